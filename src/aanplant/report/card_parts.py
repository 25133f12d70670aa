"""What stands on the nursery's order and on the cards, part by part."""

from collections.abc import Mapping

from aanplant import tables
from aanplant.messages import term, word
from aanplant.plan import Plan
from aanplant.report.card_pieces import (
    Part,
    degrees,
    heads,
    length,
    span,
    steps_part,
    table_part,
    value_range,
    when,
)
from aanplant.units import UnitSystem, show, show_number

HOLE = ("pegs", "soil", "hole", "sides", "fill")
PLANT = (
    "soak",
    "trim",
    "union",
    "union_zones",
    "firm",
    "water",
    "sand",
    "mound",
    "open",
    "open_by",
    "peg",
    "cut",
    "lot",
)
CAUTIONS = ("lifting", "heat", "services", "posture")
COMPARED = {
    "hole width": "nursery.hole_width",
    "hole depth": "nursery.hole_depth",
    "hole fill": "",
    "union above soil": "nursery.union_height",
    "soaking": "nursery.soaking",
    "root trim": "nursery.root_trim",
    "water": "water.at_planting, nursery.sand_water",
    "settling of loosened soil": "nursery.settling_share, nursery.soil_settling",
    "first cut": "nursery.first_cut_buds",
}
"""Subjects on which sources differ, as the table has them, and the key of the brief to set."""


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
    batches = [f"{word('cards.delivery')} {n}" for n, _ in enumerate(order.deliveries, 1)]
    titles = [*heads("cultivar", "clone", "rootstock", "vines"), *batches]
    kinds = [
        [*(name or word("cards.open") for name in (kind.cultivar, kind.clone, kind.rootstock)),
         show_number(kind.vines), *(show_number(vines) for vines in kind.deliveries)]
        for kind in order.kinds
    ]  # fmt: skip
    delivered = [
        [batch, show_number(vines), *([show_number(order.planting_days[at])]
         if order.planting_days else [word("cards.open")])]
        for at, (batch, vines) in enumerate(zip(batches, order.deliveries, strict=True))
    ]  # fmt: skip
    dates = [
        [word(f"cards.step.{date.step.replace(' ', '_')}"), when(date.first), when(date.last)]
        for date in order.dates
    ]
    parts = [
        {"heading": word("cards.asked"), "kind": "facts", "rows": asked},
        table_part("cards.kinds", titles, kinds, (3, 2, 2, 1.5, *(1.5 for _ in batches))),
        table_part("cards.deliveries", heads("delivery", "vines", "days"), delivered, (2, 1, 1)),
    ]
    if dates:
        parts.append(table_part("cards.dates", heads("step", "from", "to"), dates, (3, 1.5, 1.5)))
    parts.append(grades_part(rules.grade, system))
    if rules.lots:
        parts.append(_lots(plan))
    return parts


def planting_parts(plan: Plan, system: UnitSystem) -> list[Part]:
    """Return the parts of the card for those who plant."""
    rules, order = plan.brief.nursery, plan.work.nursery
    left_out = {"sand"} if not order.sandy_zones else set()
    left_out |= set() if rules.mound else {"mound", "open", "open_by"}
    left_out |= {"open"} if order.dates else {"open_by"}
    heights = {_by_hand(height) for _, height in order.union_by_zone}
    left_out |= set() if len(heights) > 1 else {"union_zones"}
    values = card_values(plan, system)
    plant = [name for name in PLANT if name not in left_out]
    compared = [
        [term(row["subject"]), term(row["condition"]), value_range(row, system), term(row["note"]),
         word(f"cards.certainty.{row['certainty']}"), COMPARED[row["subject"]]]
        for row in tables.rows("planting_practice.csv")
        if row["subject"] in COMPARED
    ]  # fmt: skip
    titles = heads("subject", "where", "value", "also", "certainty", "setting")
    widths = (1.8, 2.6, 1.5, 2.6, 1.5, 2.4)
    return [
        steps_part("cards.hole", HOLE, values),
        steps_part("cards.plant", plant, values),
        {"heading": word("cards.cautions"), "kind": "cautions",
         "rows": [word(f"cards.caution.{name}") for name in CAUTIONS]},
        table_part("cards.compared", titles, compared, widths, kind="fine",
                   note=word("cards.compared_note"))
        | {"new_page": True},
    ]  # fmt: skip


def card_values(plan: Plan, system: UnitSystem) -> Mapping[str, str]:
    """Named values of the sentences."""
    rules, order = plan.brief.nursery, plan.work.nursery
    practice = tables.rows("planting_practice.csv")
    cold = [row for row in practice if row["subject"] == "store temperature"]
    damp = next(row for row in practice if row["subject"] == "store humidity")
    low, high = (f(float(row[end]) for row in cold) for f, end in ((min, "low"), (max, "high")))
    weeks = show_number(rules.mound_weeks)
    return {
        "temperature": span(degrees(low, system), degrees(high, system)),
        "humidity": value_range(damp, system),
        "soaking": show(rules.soaking, "h"),
        "width": length(rules.hole_width, system),
        "depth": length(rules.hole_depth, system),
        "union": length(rules.union_height, system),
        "union_today": length(_by_hand(order.union_height_m), system),
        "settling": length(_by_hand(order.union_height_m - rules.union_height), system),
        "trim": word("cards.trimmed").format(
            low=length(0.12, system), high=length(0.15, system)
        ) if rules.root_trim == "trimmed" else word("cards.uncut"),
        "water": show(plan.brief.water.at_planting, "L", system),
        "sand_water": show(rules.sand_water, "L", system),
        "zones": ", ".join(order.sandy_zones),
        "union_zones": ", ".join(
            f"{zone} {length(_by_hand(height), system)}" for zone, height in order.union_by_zone
        ),
        "weeks": weeks,
        "opened": when(order.dates[-1].last) if order.dates else "",
        "task": when(order.dates[-1].first) if order.dates else "",
        "buds": show_number(rules.first_cut_buds),
        "mixing": term(rules.lots_in_rows),
    }  # fmt: skip


def _by_hand(height_m: float) -> float:
    """Round to half a centimetre: nobody plants closer than that."""
    return round(200.0 * height_m) / 200.0


def grades_part(grade: str, system: UnitSystem) -> Part:
    """Numbers of the grade asked for, and the checks by eye."""
    rows = [
        [
            term(row["part"]),
            term(row["measure"]),
            value_range(row, system, ("least", "most")),
            term(row["note"]),
        ]
        for row in tables.rows("vine_grades.csv")
        if row["standard"] in {grade, "field check"}
    ]
    return table_part(
        "cards.grade_numbers",
        heads("part", "measure", "value", "also"),
        rows,
        (1.5, 3, 2, 4),
        kind="fine",
        note=term(grade),
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
    titles = heads("lot", "clone", "rootstock", "certificate", "tests", "hot_water", "permit",
                   "vines", "state")  # fmt: skip
    widths = (2, 1.4, 1.6, 2, 3, 1.4, 1.6, 1.3, 1.5)
    return table_part("cards.lots", titles, rows, widths, kind="fine")
