"""The chapters of the stock report on cultivar, spacing and spares, and what they rest on."""

from collections.abc import Callable, Iterable
from typing import Any

import numpy as np

from aanplant import tables
from aanplant.inputs import CultivarFact
from aanplant.messages import fill, word
from aanplant.plan import Plan
from aanplant.report.ripening_chart import ripening_chart
from aanplant.report.rootstock_chapter import DASH, percent, rootstock_chapter, rootstock_findings
from aanplant.report.rootstock_view import view_of
from aanplant.report.site_words import MARKS, Chapter, Table, date_words, mark_of, of_topics, short
from aanplant.report.spacing_tables import consequence_table, rule_table
from aanplant.report.spares_chart import spares_chart
from aanplant.rootstock_facts import RANGES
from aanplant.stock.cultivars import OWN, Cultivar
from aanplant.stock.spacing import TABLE as RULES
from aanplant.stock.spares_curve import curve_at
from aanplant.units import UnitSystem, show, show_fixed, show_number
from aanplant.work.spares import Spares
from aanplant.working import Finding

CULTIVAR = ("stock.cultivar_",)
SPACING = ("stock.row_width_", "stock.machine_room", "stock.canopy_shades", "stock.spacing_",
           "stock.vine_spacing_")  # fmt: skip
SPARES = ("stock.batches_", "stock.hold_", "stock.spares_")
_FACTS = ("vigour", "bud_break", "maturity", "winkler")
_FEW = 10.0
_CERTAINTIES = ("published", "standard", "practice", "memory")
_REGIONS = ("I", "II", "III", "IV", "V")


def stock_chapters(plan: Plan, system: UnitSystem) -> tuple[Chapter, ...]:
    """All chapters, also those without data."""
    makers: tuple[Callable[[Plan, UnitSystem], Chapter], ...] = (
        rootstock_chapter, _cultivar, _spacing, _spares, _sources,
    )  # fmt: skip
    return tuple(make(plan, system) for make in makers)


def stock_findings(plan: Plan) -> tuple[Finding, ...]:
    """All findings that stand in the report."""
    return (*rootstock_findings(plan), *of_topics(plan, *CULTIVAR), *of_topics(plan, *SPACING),
            *of_topics(plan, *SPARES))  # fmt: skip


def _cultivar(plan: Plan, system: UnitSystem) -> Chapter:
    fit, found = plan.stock.cultivar_fit, of_topics(plan, *CULTIVAR)
    if fit is None:
        return Chapter("cultivar", findings=found, missing=(word("stock_report.missing.cultivar"),))
    figures, heat = plan.figures, fit.heat
    told: list[str] = []
    pictures: tuple[tuple[str, Callable[[], Any]], ...] = ()
    if heat is not None and len(heat.degree_days):
        low = figures.value("stock.heat_needed_least")
        high = (figures.value("stock.heat_needed_most")
                if "stock.heat_needed_most" in figures else None)  # fmt: skip
        by = {item.name: str(item.value) for item in figures["stock.heat_by_ripe_date"].inputs}
        first, day = date_words(by["heat_from"]), date_words(by["ripe_by"])
        told.append(
            fill("stock_report.argue.ripe", cultivar=fit.cultivar.name,
                 low=short(low, "°C·d", system), day=day, seasons=len(heat.degree_days),
                 high=DASH if high is None else short(high, "°C·d", system),
                 mean=short(float(heat.degree_days.mean()), "°C·d", system))
        )  # fmt: skip
        pictures = (
            (fill("stock_report.caption.heat", first=first, day=day),
             lambda: ripening_chart(heat, low, high, day)),
        )  # fmt: skip
    if "stock.bud_break" in figures:
        budding = figures["stock.bud_break"]
        told.append(fill("stock_report.argue.budding", day=date_words(str(budding.value)))
                    + mark_of(budding.source))  # fmt: skip
    return Chapter(
        "cultivar",
        pictures,
        (_facts(fit.cultivar),),
        found,
        () if plan.site.climate else (word("stock_report.missing.weather"),),
        (" ".join(told),) if told else (),
    )


def _facts(cultivar: Cultivar) -> Table:
    rows = []
    for name in _FACTS:
        span = cultivar.span(name)
        said = word(f"stock_report.attribute.{name}")
        if span is None:
            rows.append([said, word("stock_report.unknown"), DASH])
            continue
        ends = [_REGIONS[round(end) - 1] if name == "winkler" else show_number(end)
                for end in (span.low, span.high)]  # fmt: skip
        text = ends[0] if ends[0] == ends[1] else fill("stock_report.between", low=ends[0],
                                                       high=ends[1])  # fmt: skip
        rows.append([said, text, _told_sources(span.facts)])
    for name in ("training", "remark"):
        rows.extend(
            [word(f"stock_report.attribute.{name}"), fact.text, _told_sources((fact,))]
            for fact in cultivar.facts if fact.attribute == name and fact.text
        )  # fmt: skip
    heads = [word(f"stock_report.head.{name}") for name in ("attribute", "range", "source")]
    return Table(heads, rows, left=(0, 1, 2), title=word("stock_report.table.cultivar"))


def _told_sources(facts: Iterable[CultivarFact]) -> str:
    said = dict.fromkeys(
        fact.source if fact.certainty == OWN else _source_text(fact.source) for fact in facts
    )
    return "; ".join(said)


def _source_text(source: str) -> str:
    known = tables.sources().get(source)
    if known is None:
        return source
    if known.certainty in MARKS:
        return word(f"stock_report.certainty.{known.certainty}")
    return known.text


def _spacing(plan: Plan, system: UnitSystem) -> Chapter:
    vines, stock = plan.brief.vines, plan.stock
    told = fill("stock_report.argue.spacing", row=short(vines.row_width, "m", system),
                vine=short(vines.vine_spacing, "m", system),
                area=short(stock.area_per_vine_m2, "m2", system))  # fmt: skip
    return Chapter(
        "spacing",
        (),
        (rule_table(plan, system), consequence_table(plan, system)),
        of_topics(plan, *SPACING),
        () if plan.site.soil else (word("stock_report.open.soil"),),
        (f"{told} {word('stock_report.argue.consequences')}",),
    )


def _spares(plan: Plan, _: UnitSystem) -> Chapter:
    spares, found = plan.work.spares, of_topics(plan, *SPARES)
    if spares.curve is None:
        return Chapter("spares", findings=found, missing=(word("stock_report.missing.loss"),))
    return Chapter(
        "spares",
        (
            (
                word("stock_report.caption.spares"),
                lambda: spares_chart(spares, plan.inputs.currency),
            ),
        ),
        (_sides(plan, spares),),
        found,
        (),
        (" ".join(_sureness(plan, spares)), *_money(plan, spares)),
    )


def _sureness(plan: Plan, spares: Spares) -> Iterable[str]:
    vines, rules, fitted = plan.brief.vines, plan.brief.spares, spares.variation
    yield fill("stock_report.argue.loss", loss=percent(vines.loss_fraction),
               assurance=percent(vines.assurance))  # fmt: skip
    if fitted is not None:
        yield fill("stock_report.argue.loss_record", found=percent(fitted.loss_fraction))
        yield fill("stock_report.argue.fitted", batches=fitted.batches,
                   low=show_fixed(fitted.low, 4), high=show_fixed(fitted.high, 4))  # fmt: skip
    elif not rules.batch_correlation:
        yield word("stock_report.argue.alike")
    is_own = plan.brief.is_given(f"spares.{rules.keep}_loss")
    yield fill("stock_report.argue.held", share=percent(rules.first_year_share),
               held=percent(rules.bed_loss if rules.keep == "bed" else rules.bag_loss),
               mark="" if is_own else MARKS["practice"])  # fmt: skip


def _money(plan: Plan, spares: Spares) -> Iterable[str]:
    rules = plan.brief.spares
    if spares.vine_price is None or spares.gap_price is None or rules.gap_price is None:
        yield word("stock_report.open.price")
        return
    yield fill("stock_report.argue.gap", price=show_number(spares.gap_price),
               currency=plan.inputs.currency, year=show_number(rules.gap_price),
               years=show_number(rules.gap_years),
               vine=show_number(spares.vine_price))  # fmt: skip


def _sides(plan: Plan, spares: Spares) -> Table:
    """Assurance and risk of some numbers of spares, the one ordered among them."""
    places, loss = int(plan.figures.value("layout.vines")), plan.brief.vines.loss_fraction
    correlation = (spares.variation.correlation if spares.variation
                   else float(plan.brief.spares.batch_correlation or 0.0))  # fmt: skip
    choices = {0: "none", round(places * loss / (1.0 - loss)): "mean",
               round(1.5 * spares.spares): "more"}  # fmt: skip
    if spares.cheapest is not None:
        choices[spares.cheapest] = "cheapest"
    choices[spares.spares] = "ordered"
    numbers = np.array(sorted(choices), dtype=np.int64)
    curve = curve_at(numbers, places, loss, correlation, plan.brief.spares.batches)
    priced = spares.vine_price is not None and spares.gap_price is not None
    risk = curve.risk(spares.vine_price or 0.0, spares.gap_price or 0.0)
    rows = []
    for number, sure, left, gaps, money in zip(
        numbers.tolist(), curve.assurance.tolist(), curve.left_over.tolist(),
        curve.gaps.tolist(), risk.tolist(), strict=True,
    ):  # fmt: skip
        row = [word(f"stock_report.choice.{choices[number]}"), show_number(number),
               show(round(100.0 * sure, 1), "%"), show_number(round(left)),
               show_number(round(gaps, 0 if gaps >= _FEW else 1))]  # fmt: skip
        rows.append([*row, show_number(round(money))] if priced else row)
    names = ["choice", "spares", "assurance", "left_over", "gaps", *(["risk"] if priced else [])]
    heads = [fill(f"stock_report.head.{name}", currency=plan.inputs.currency) for name in names]
    return Table(heads, rows, title=word("stock_report.table.sides"), is_wide=True)


def _sources(plan: Plan, _: UnitSystem) -> Chapter:
    """List every source of the figures and findings of the report, and how sure it is."""
    used: dict[str, list[str]] = {}
    for name, topic in (("cultivar", CULTIVAR), ("spacing", SPACING), ("spares", SPARES)):
        for finding in of_topics(plan, *topic):
            used.setdefault(finding.source, []).append(name)
    for finding in rootstock_findings(plan):
        used.setdefault(finding.source, []).append("rootstocks")
    fit = plan.stock.cultivar_fit
    for figure in fit.figures if fit else ():
        used.setdefault(figure.source, []).append("cultivar")
    for fact in fit.cultivar.facts if fit else ():
        used.setdefault(fact.source, []).append("cultivar")
    for row in tables.rows(RULES):
        used.setdefault(row["source"], []).append("spacing")
    if not plan.brief.is_given("spares.first_year_share"):
        used.setdefault("replacement-losses", []).append("spares")
    cells = _cells(plan, used)
    known = tables.sources()
    sources = sorted(
        (known[source] for source in used if source in known
         and known[source].certainty in _CERTAINTIES),
        key=lambda one: (_CERTAINTIES.index(one.certainty), one.id == one.certainty),
    )  # fmt: skip
    rows = [
        [
            one.text + MARKS.get(one.certainty, ""),
            word(f"stock_report.certainty.{one.certainty}"),
            ", ".join(word(f"stock_report.used.{part}") for part in dict.fromkeys(used[one.id])),
        ]
        for one in sources
    ]
    heads = [word(f"stock_report.head.{name}") for name in ("source", "certainty", "used")]
    return Chapter(
        "sources",
        tables=(Table(heads, rows, left=(0, 1, 2)),),
        paragraphs=(cells,),
    )


def _cells(plan: Plan, used: dict[str, list[str]]) -> str:
    view = view_of(plan)
    if view is None or not view.shown:
        return word("stock_report.argue.no_cells")
    sure = [view.certainty(stock, name) for stock in view.shown for name in RANGES]
    for stock in view.shown:
        for name in RANGES:
            for fact in view.facts.of(view.choice.stocks[stock], name):
                used.setdefault(fact.source, []).append("rootstocks")
    return fill("stock_report.argue.sources", cells=len(sure), published=sure.count("published"),
                memory=sure.count("memory"), unknown=sure.count("unknown"))  # fmt: skip
