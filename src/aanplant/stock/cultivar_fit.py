"""How a cultivar suits the heat and the frost of a block, and what is not known of that."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from aanplant.brief import Brief
from aanplant.inputs import CultivarFact
from aanplant.site import Site
from aanplant.site.climate_record import ClimateRecord
from aanplant.site.frost import day_of_spring, month_day
from aanplant.site.heat import class_of
from aanplant.site.planting_time import bud_break_of
from aanplant.stock.bud_frost import CAUTIOUS, CONCORD, BudFrost, bud_frost
from aanplant.stock.cultivars import OWN, Cultivar, Span, find
from aanplant.stock.ripening import Heat, heat_needed, season_heat
from aanplant.working import Finding, Input, Value, Working

HEAT_FROM, RIPE_BY = ("10-01", "04-01"), ("03-31", "09-30")
"""South and north: start of the sum from memory, end of ripening a judgement."""
MIDDLE_CLASS = 3.0
OFTEN, RARELY = 0.9, 0.1
"""Ripe in fewer than nine seasons of ten, or harmed in more than one spring of ten, wants a
decision (practice)."""
Values = dict[str, Value | tuple[Value, str]]
REGIONS = {"I": 1, "Ia": 1, "Ib": 1, "II": 2, "III": 3, "IV": 4, "V": 5}


@dataclass(frozen=True)
class CultivarFit:
    """How a cultivar suits a block.

    Parameters
    ----------
    cultivar : Cultivar
        What is known of it.
    heat : Heat or None
        Heat of each season by the day it must be ripe; None without weather.
    frost : tuple of (str, BudFrost)
        By set of critical temperatures; empty without weather or without bud-break.
    figures, findings
        What there is to say.
    """

    cultivar: Cultivar
    heat: Heat | None = None
    frost: tuple[tuple[str, BudFrost], ...] = ()
    figures: tuple[Working, ...] = ()
    findings: tuple[Finding, ...] = ()


def survey_cultivar(
    brief: Brief, site: Site, own: Sequence[CultivarFact] = ()
) -> CultivarFit | None:
    """Set the cultivar beside the block.

    Parameters
    ----------
    brief : Brief
        What is asked.
    site : Site
        With its climate, where weather serves the block.
    own : sequence of CultivarFact
        The estate's own facts on cultivars.

    Returns
    -------
    CultivarFit or None
        None while the cultivar is open.

    Raises
    ------
    InputError
        If no table holds the cultivar.
    """
    cultivar = find(brief.vines.cultivar, own)
    if cultivar is None:
        return None
    fit = CultivarFit(cultivar, findings=tuple(_training(brief, cultivar)))
    if site.climate is None:
        unknown = Finding(
            "stock", "note", "stock.cultivar_no_weather", {"cultivar": cultivar.name}
        )  # fmt: skip
        return replace(fit, findings=(*fit.findings, unknown))
    record = site.climate.record
    heat, heat_figures, heat_findings = _ripeness(brief, record, cultivar)
    frost, frost_figures, frost_findings = _frost(brief, record, cultivar)
    return replace(
        fit,
        heat=heat,
        frost=frost,
        figures=(*heat_figures, *frost_figures),
        findings=(*_region(record, cultivar), *heat_findings, *frost_findings, *fit.findings),
    )


def _unknown(cultivar: Cultivar, what: str) -> Finding:
    values = {"cultivar": cultivar.name, "what": f"words:cultivar_attribute.{what}"}
    return Finding("stock", "note", "stock.cultivar_unknown", values)


def _source(span: Span) -> str:
    """Id of the weakest source of a range; the estate's own facts count as given."""
    if span.is_recalled:
        return "memory"
    fact = span.facts[0]
    return "brief" if fact.certainty == OWN else fact.source


def _region(record: ClimateRecord, cultivar: Cultivar) -> Iterator[Finding]:
    mean = record.table.mean("degree_days_oct_apr")
    name = class_of("degree_days_oct_apr", mean)
    suited = cultivar.span("winkler")
    if suited is None:
        yield _unknown(cultivar, "winkler")
    if suited is None or not name:
        return
    # Outside all regions: cooler than the first, or hotter than the last.
    number = REGIONS.get(name.removeprefix("region "), 0 if name == "too cool" else 6)
    values: Values = {
        "cultivar": cultivar.name,
        "heat": (round(mean), "°C·d"),
        "class": name,
        "low": _roman(suited.low),
        "high": _roman(suited.high),
    }
    if suited.low <= number <= suited.high:
        yield Finding(
            "stock", "note", "stock.cultivar_region", values, "site.heat_sum", _source(suited)
        )
    else:
        yield Finding(
            "stock", "care", "stock.cultivar_region_other", values, "site.heat_sum", _source(suited)
        )


def _roman(number: float) -> str:
    return ("I", "II", "III", "IV", "V")[round(number) - 1]


def _ripeness(
    brief: Brief, record: ClimateRecord, cultivar: Cultivar
) -> tuple[Heat | None, tuple[Working, ...], tuple[Finding, ...]]:
    maturity = cultivar.span("maturity")
    if maturity is None:
        return None, (), (_unknown(cultivar, "maturity"),)
    first = _day(brief, "cultivar.heat_from", HEAT_FROM, "memory", record)
    last = _day(brief, "cultivar.ripe_by", RIPE_BY, "practice", record)
    heat = season_heat(record.checked.weather, str(first.value), str(last.value))
    low, high = heat_needed(maturity.low, maturity.high)
    shared = (*maturity.as_inputs("maturity"),)
    least = Working("stock.heat_needed_least", low, "°C·d", shared, "memory")
    figures = [least]
    if high is not None:
        figures.append(Working("stock.heat_needed_most", high, "°C·d", shared, "memory"))
    seasons = len(heat.degree_days)
    if not seasons:
        return heat, tuple(figures), ()
    file = f"file:{record.checked.weather.where}"
    count = Input("seasons", seasons, "", file)
    figures.append(
        Working(
            "stock.heat_by_ripe_date",
            float(heat.degree_days.mean()),
            "°C·d",
            (first, last, count),
            "degree-days",
        )
    )
    possible = round(heat.part_reaching(low) * seasons)
    sure = possible if high is None else round(heat.part_reaching(high) * seasons)
    part = Working(
        "stock.ripe_seasons",
        sure / seasons,
        "",
        (Input("ripe", sure, "", file), count, figures[-2].as_input("heat_needed"), first, last),
        "memory",
    )
    figures.append(part)
    values: Values = {
        "cultivar": cultivar.name,
        "sure": sure,
        "possible": possible,
        "seasons": seasons,
        "day": (str(last.value), "month-day"),
        "low": (low, "°C·d"),
        "high": (figures[-3].value, "°C·d"),
    }
    if sure / seasons < OFTEN:
        said = Finding("stock", "care", "stock.cultivar_unripe", values, part.key, "memory")
    else:
        said = Finding("stock", "note", "stock.cultivar_ripe", values, part.key, "memory")
    return heat, tuple(figures), (said,)


def _day(
    brief: Brief, key: str, defaults: tuple[str, str], source: str, record: ClimateRecord
) -> Input:
    name = key.rpartition(".")[2]
    if given := brief.setting(key):
        return Input(name, given, "", f"brief:{key}")
    return Input(name, defaults[0 if record.is_south else 1], "", f"default:{key}", source)


def _frost(
    brief: Brief, record: ClimateRecord, cultivar: Cultivar
) -> tuple[tuple[tuple[str, BudFrost], ...], tuple[Working, ...], tuple[Finding, ...]]:
    span = cultivar.span("bud_break")
    is_own_day = bool(brief.climate.bud_break)
    if span is None and not is_own_day:
        return (), (), (_unknown(cultivar, "bud_break"),)
    district = bud_break_of(brief, is_south=record.is_south)
    day = day_of_spring(district, is_south=record.is_south)
    inputs: tuple[Input, ...] = (
        Input("bud_break", district, "", "brief:climate.bud_break" if is_own_day else
              "default:climate.bud_break", "" if is_own_day else "practice"),
    )  # fmt: skip
    if not is_own_day and span is not None:
        # The early end: what buds first meets the most frost.
        step = brief.cultivar.days_per_bud_break_class
        day += round((span.low - MIDDLE_CLASS) * step)
        inputs += (
            *span.as_inputs("class"),
            Input("middle", MIDDLE_CLASS, "", "measured"),
            brief.as_input("cultivar.days_per_bud_break_class", "days"),
        )
    said_day = month_day(day, is_south=record.is_south)
    source = "brief" if is_own_day else "memory"
    budding = Working("stock.bud_break", said_day, "", inputs, source)
    weather = record.checked.weather
    found = {
        table: bud_frost(
            weather,
            bud_break_day=day,
            table=table,
            colder_c=brief.climate.colder_than_station,
            is_south=record.is_south,
        )
        for table in (CONCORD, CAUTIOUS)
    }
    if not found[CONCORD].is_telling:
        return tuple(found.items()), (budding,), ()
    hardy, cautious = found[CONCORD], found[CAUTIOUS]
    shared = (
        Input("springs", hardy.springs, "", f"file:{weather.where}"),
        budding.as_input("bud_break"),
        brief.as_input("climate.colder_than_station"),
    )
    origin = f"file:{weather.where}"
    figures = (
        budding,
        Working(
            "stock.frost_harm",
            hardy.harmed / hardy.springs,
            "",
            (Input("harmed", hardy.harmed, "", origin), *shared),
            "fao-frost",
        ),
        Working(
            "stock.frost_harm_cautious",
            cautious.harmed / cautious.springs,
            "",
            (Input("harmed", cautious.harmed, "", origin), *shared),
            "ontario-frost",
        ),
    )
    values: Values = {
        "cultivar": cultivar.name,
        "day": (said_day, "month-day"),
        "springs": hardy.springs,
        "harmed": hardy.harmed,
        "cautious": cautious.harmed,
    }
    key = "stock.frost_harm_cautious"
    if cautious.harmed > RARELY * cautious.springs:
        said = Finding("stock", "care", "stock.cultivar_frost", values, key, "ontario-frost")
    else:
        said = Finding("stock", "note", "stock.cultivar_frost_rare", values, key, "ontario-frost")
    return tuple(found.items()), figures, (said,)


def _training(brief: Brief, cultivar: Cultivar) -> Iterator[Finding]:
    usual = cultivar.texts("training")
    asked = brief.cultivar.training
    if asked and usual and not any(asked in text for text in usual):
        values = {"cultivar": cultivar.name, "usual": usual[0], "asked": asked}
        yield Finding("stock", "note", "stock.cultivar_training", values, source="memory")
