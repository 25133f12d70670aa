"""What stands on the nursery's order and on the cards, part by part."""

from collections.abc import Iterable, Mapping
from typing import Any

from aanplant import tables
from aanplant.messages import fill, word
from aanplant.plan import Plan
from aanplant.units import UnitSystem, show, show_number, shown_in
from aanplant.work.nursery_dates import warm_up

SAMPLED = 20
"""Vines on one receiving card."""
STORE = ("temperature", "humidity", "moist", "fruit", "roots", "soak", "in_shade")
HOLE = ("pegs", "soil", "hole", "sides", "fill")
PLANT = ("soak", "trim", "union", "firm", "water", "sand", "mound", "open", "peg", "cut", "lot")
CAUTIONS = ("lifting", "heat", "services", "posture")
COMPARED = ("hole width", "hole depth", "hole fill", "union above soil", "soaking", "root trim",
            "water", "settling of loosened soil")  # fmt: skip
"""Subjects on which sources differ, as the table has them."""

Part = dict[str, Any]


def order_parts(plan: Plan, system: UnitSystem) -> list[Part]:
    """Return the parts of the nursery's order."""
    rules, order = plan.brief.nursery, plan.work.nursery
    asked = [
        [word("cards.nursery"), rules.name or word("cards.open")],
        [word("cards.state"), rules.order_state],
        [word("cards.grade"), rules.grade],
        [word("cards.certification"), " · ".join(
            text for text in (rules.certification, rules.certificate_class) if text)],
        [word("cards.vines"), show_number(order.vines)],
    ]  # fmt: skip
    batches = [f"{word('cards.delivery')} {n}" for n in range(1, rules.deliveries + 1)]
    heads = _heads("cultivar", "clone", "rootstock", "vines")
    kinds = [
        [*(name or word("cards.open") for name in (kind.cultivar, kind.clone, kind.rootstock)),
         show_number(kind.vines)]
        for kind in order.kinds
    ]  # fmt: skip
    delivered = [
        [batch, show_number(vines), *([show_number(order.planting_days[at])]
         if order.planting_days else [word("cards.open")])]
        for at, (batch, vines) in enumerate(zip(batches, order.deliveries, strict=True))
    ]  # fmt: skip
    dates = [
        [word(f"cards.step.{date.step.replace(' ', '_')}"), _month(date.first), _month(date.last)]
        for date in order.dates
    ]
    parts = [
        {"heading": word("cards.asked"), "kind": "facts", "rows": asked},
        _table("cards.kinds", heads, kinds, (3, 2, 2, 1.5)),
        _table("cards.deliveries", _heads("delivery", "vines", "days"), delivered, (2, 1, 1)),
    ]
    if dates:
        parts.append(_table("cards.dates", _heads("step", "from", "to"), dates, (3, 1.5, 1.5)))
    parts.append(_grades(rules.grade, system))
    if rules.lots:
        parts.append(_lots(plan))
    return parts


def receiving_parts(plan: Plan, system: UnitSystem) -> list[Part]:
    """Return the parts of the card for a delivery."""
    rules = plan.brief.nursery
    is_south = plan.site.frame.latitude_deg < 0
    values = _values(plan, system)
    by_date = [
        [_day(row.until), show_number(row.days), row.note]
        for row in warm_up(is_south=is_south)
    ]  # fmt: skip
    unit = shown_in(1.0, "mm", system)[1]
    names = ("number", "calliper", "roots", "union_closed", "buds", "good")
    heads = [head.format(unit=unit) for head in _heads(*names)]
    blank = [[str(number), "", "", "", "", ""] for number in range(1, SAMPLED + 1)]
    written = [[word(f"cards.write.{name}"), "_" * 28] for name in ("lot", "day", "vines", "by")]
    return [
        {"heading": word("cards.delivery"), "kind": "facts", "rows": written},
        _steps("cards.store", STORE, values),
        _table("cards.warm_up", _heads("until", "days", "also"), by_date, (2, 1, 3)),
        _grades(rules.grade, system),
        _table("cards.sample", heads, blank, (1, 2, 2, 2, 2, 2), kind="fill",
               note=word("cards.sample_note")),
        {"heading": word("cards.verdict"), "kind": "facts", "rows": [
            [word(f"cards.verdict.{name}"), "_" * 28] for name in ("below", "taken", "signed")]},
    ]  # fmt: skip


def planting_parts(plan: Plan, system: UnitSystem) -> list[Part]:
    """Return the parts of the card for those who plant."""
    rules, order = plan.brief.nursery, plan.work.nursery
    left_out = {"sand"} if not order.sandy_zones else set()
    left_out |= set() if rules.mound else {"mound", "open"}
    values = _values(plan, system)
    plant = [name for name in PLANT if name not in left_out]
    compared = [
        [row["subject"], row["condition"], _range(row, system), row["note"],
         word(f"cards.certainty.{row['certainty']}")]
        for row in tables.rows("planting_practice.csv")
        if row["subject"] in COMPARED
    ]  # fmt: skip
    return [
        _steps("cards.hole", HOLE, values),
        _steps("cards.plant", plant, values),
        {"heading": word("cards.cautions"), "kind": "cautions",
         "rows": [word(f"cards.caution.{name}") for name in CAUTIONS]},
        _table("cards.compared", _heads("subject", "where", "value", "also", "certainty"),
               compared, (2, 3, 1.5, 3, 1.6), kind="fine", note=word("cards.compared_note"))
        | {"new_page": True},
    ]  # fmt: skip


def _values(plan: Plan, system: UnitSystem) -> Mapping[str, str]:
    """Named values of the sentences."""
    rules, order = plan.brief.nursery, plan.work.nursery
    practice = tables.rows("planting_practice.csv")
    cold = [row for row in practice if row["subject"] == "store temperature"]
    damp = next(row for row in practice if row["subject"] == "store humidity")
    low, high = (f(float(row[end]) for row in cold) for f, end in ((min, "low"), (max, "high")))
    weeks = show_number(rules.mound_weeks)
    return {
        "temperature": f"{_degrees(low, system)} – {_degrees(high, system)}",
        "humidity": f"{damp['low']} – {damp['high']} %",
        "soaking": show(rules.soaking, "h"),
        "width": _length(rules.hole_width, system),
        "depth": _length(rules.hole_depth, system),
        "union": _length(rules.union_height, system),
        "union_today": _length(order.union_height_m, system),
        "settling": _length(order.union_height_m - rules.union_height, system),
        "trim": word("cards.trimmed").format(
            low=_length(0.12, system), high=_length(0.15, system)
        ) if rules.root_trim == "trimmed" else word("cards.uncut"),
        "water": show(plan.brief.water.at_planting, "L", system),
        "sand_water": show(rules.sand_water, "L", system),
        "zones": ", ".join(order.sandy_zones),
        "weeks": weeks,
        "buds": show_number(rules.first_cut_buds),
        "mixing": rules.lots_in_rows,
    }  # fmt: skip


def _grades(grade: str, system: UnitSystem) -> Part:
    """Numbers of the grade asked for, and the checks by eye."""
    rows = [
        [row["part"], row["measure"], _range(row, system, ("least", "most")), row["note"]]
        for row in tables.rows("vine_grades.csv")
        if row["standard"] in {grade, "field check"}
    ]
    return _table(
        "cards.grade_numbers",
        _heads("part", "measure", "value", "also"),
        rows,
        (1.5, 3, 2, 4),
        kind="fine",
        note=grade,
    )


def _lots(plan: Plan) -> Part:
    rows = [
        [lot.id, lot.scion_clone, lot.rootstock_clone,
         " ".join(t for t in (lot.certificate, lot.certificate_class) if t) or word("cards.none"),
         "; ".join(f"{t.organism} {t.method} {t.date}: {t.result}" for t in lot.virus_tests)
         or word("cards.none"), lot.hot_water_treatment,
         lot.transport_permit or word("cards.none"), show_number(lot.vines), lot.state]
        for lot in plan.brief.nursery.lots
    ]  # fmt: skip
    heads = _heads("lot", "clone", "rootstock", "certificate", "tests", "hot_water", "permit",
                   "vines", "state")  # fmt: skip
    return _table("cards.lots", heads, rows, (2, 1.4, 1.6, 2, 3, 1.4, 1.6, 1.3, 1.5), kind="fine")


def _table(
    heading: str,
    heads: list[str],
    rows: list[list[str]],
    widths: Iterable[float],
    *,
    kind: str = "table",
    note: str = "",
) -> Part:
    return {"heading": word(heading), "kind": kind, "heads": heads, "rows": rows,
            "widths": list(widths), "note": note}  # fmt: skip


def _steps(heading: str, names: Iterable[str], values: Mapping[str, str]) -> Part:
    rows = [fill(f"{heading}.{name}", **values) for name in names]
    return {"heading": word(heading), "kind": "steps", "rows": rows}


def _heads(*names: str) -> list[str]:
    return [word(f"cards.head.{name}") for name in names]


def _month(month: str) -> str:
    return f"{word(f'month.{int(month[5:])}')} {month[:4]}"


def _day(month_day: str) -> str:
    return f"{int(month_day[3:])} {word(f'month.{int(month_day[:2])}')}"


def _length(length_m: float, system: UnitSystem) -> str:
    """Write a length in the hand's units: centimetres or inches."""
    if system == "imperial":
        return f"{shown_in(1000.0 * length_m, 'mm', system)[0]:.1f} in"
    return f"{round(100.0 * length_m, 1):g} cm"


def _degrees(value: float, system: UnitSystem) -> str:
    return f"{value * 9 / 5 + 32:.0f} °F" if system == "imperial" else f"{value:g} °C"


def _range(
    row: Mapping[str, str], system: UnitSystem, ends: tuple[str, str] = ("low", "high")
) -> str:
    """Write one value, a range, or an open range; "" where the row is in words alone."""
    low, high = (_in_unit(row[end], row["unit"], system) for end in ends)
    if low == high:
        return low
    if not high:
        return f"≥ {low}"
    return f"{low} – {high}" if low else f"≤ {high}"


def _in_unit(text: str, unit: str, system: UnitSystem) -> str:
    if not text:
        return ""
    if unit == "cm":
        return _length(float(text) / 100.0, system)
    if unit == "mm" and system == "imperial":
        return f"{shown_in(float(text), 'mm', system)[0]:.2f} in"
    return show(float(text), unit, system)
