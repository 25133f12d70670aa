"""The spacing beside the rules, and what another distance between vines would change."""

from dataclasses import dataclass

from aanplant.messages import fill, word
from aanplant.plan import Plan
from aanplant.report.site_words import Table, mark_of, short
from aanplant.stock.spacing import Range, rule
from aanplant.units import UnitSystem, show_number, shown_in

DASH = "–"
_NEAR_M = 0.02
"""Distances closer to one another than this are one choice."""
_STEPS = (0.8, 1.25)
"""Other distances to show where no rule gives any, over the one asked for."""


def rule_table(plan: Plan, system: UnitSystem) -> Table:
    """Set what is asked for beside the range of every rule, with the certainty of the rule."""
    brief, form = plan.brief, plan.brief.spacing.canopy
    rows = []
    asked = short(brief.vines.row_width, "m", system)
    if form == "free":
        rows.append([_name("row_width"), asked, word("stock_report.rule.no_rule")])
    else:
        rows.append([_name("row_width"), asked, _span(rule("row width", form), system)])
    room = plan.figures.value("stock.machine_room")
    rows.append([_name("machine"), short(room, "m", system),
                 _span(rule("beside the machine"), system)])  # fmt: skip
    ratio, most = plan.figures.value("stock.canopy_to_row"), rule("canopy to row")
    rows.append([_name("canopy"), show_number(round(ratio, 2)),
                 fill("stock_report.rule.most", high=show_number(most.high))
                 + mark_of(most.source)])  # fmt: skip
    spaced = short(brief.vines.vine_spacing, "m", system)
    for potential, meant in plan.stock.spacing.in_row.items() if plan.stock.spacing else ():
        name = fill("stock_report.rule.vine", potential=word(f"potential.{potential}"))
        rows.append([name, spaced, _span(meant, system)])
    heads = [word(f"stock_report.head.{name}") for name in ("attribute", "asked", "rule")]
    return Table(heads, rows, title=word("stock_report.table.rules"), is_wide=True)


@dataclass(frozen=True, slots=True)
class Consequence:
    """What a spacing would need, in proportion to the rows as laid.

    Parameters
    ----------
    row_width_m, vine_spacing_m : float
        Between rows, and between vines in a row. [m]
    vines, line_posts : float
        That it would hold. [each]
    density_vines_ha : float
        Vines on a hectare of planted ground. [vines/ha]
    wire_m : float
        Of all strands. [m]
    vine_cost : float or None
        Of the vines in it, None without their price. [currency]
    is_asked : bool
        Whether it is the one of the brief.
    """

    row_width_m: float
    vine_spacing_m: float
    vines: float
    line_posts: float
    density_vines_ha: float
    wire_m: float
    vine_cost: float | None
    is_asked: bool


def consequence(plan: Plan, row_width_m: float, vine_spacing_m: float) -> Consequence:
    """Reckon a spacing from the rows as laid, with as many vines from post to post as now."""
    vines = plan.brief.vines
    keys = ("layout.vines", "layout.line_posts", "trellis.wire_length")
    places, posts, wire_m = (plan.figures.value(key) for key in keys)
    per_width = vines.row_width / row_width_m
    count = places * per_width * vines.vine_spacing / vine_spacing_m
    price = plan.work.spares.vine_price
    return Consequence(
        row_width_m,
        vine_spacing_m,
        count,
        posts * count / places if places else 0.0,
        10_000.0 / (row_width_m * vine_spacing_m),
        wire_m * per_width,
        None if price is None else count * price,
        (row_width_m, vine_spacing_m) == (vines.row_width, vines.vine_spacing),
    )


def consequence_table(plan: Plan, system: UnitSystem) -> Table:
    """Vines, posts, wire and cost at the ends of the rules, in proportion to the rows as laid."""
    price = plan.work.spares.vine_price
    rows = []
    for one in (consequence(plan, *choice) for choice in _choices(plan)):
        name = " × ".join(short(size, "m", system) for size in
                          (one.row_width_m, one.vine_spacing_m))  # fmt: skip
        row = [
            f"{name} ({word('stock_report.head.asked')})" if one.is_asked else name,
            _rounded(one.vines, exact=one.is_asked),
            show_number(round(shown_in(one.density_vines_ha, "vines/ha", system)[0])),
            _rounded(one.line_posts, exact=one.is_asked),
            _rounded(shown_in(one.wire_m, "m", system)[0], exact=one.is_asked),
        ]
        rows.append(row if one.vine_cost is None else [*row, show_number(round(one.vine_cost, -3))])
    names = (
        "spacing",
        "vines",
        "density",
        "posts",
        "wire",
        *(("cost",) if price is not None else ()),
    )
    length, density = (shown_in(1.0, unit, system)[1] for unit in ("m", "vines/ha"))
    heads = [fill(f"stock_report.head.{name}", currency=plan.inputs.currency, unit=density,
                  length=length) for name in names]  # fmt: skip
    return Table(heads, rows, title=word("stock_report.table.consequences"), is_wide=True)


def sizes(plan: Plan) -> tuple[list[float], list[float]]:
    """Row widths and vine spacings to set beside one another, each in rising order. [m]."""
    widths, spacings = (sorted(set(each)) for each in zip(*_choices(plan), strict=True))
    return widths, spacings


def _choices(plan: Plan) -> list[tuple[float, float]]:
    """Row widths and vine spacings to compare: what is asked, and the ends of the rules."""
    vines, form = plan.brief.vines, plan.brief.spacing.canopy
    width_m, spacing_m = vines.row_width, vines.vine_spacing
    in_row = plan.stock.spacing.in_row if plan.stock.spacing else {}
    spacings = [end for meant in in_row.values() for end in (meant.low, meant.high)]
    usual = None if form == "free" else rule("row width", form)
    widths = [usual.low, usual.high] if usual else []
    chosen = [(width_m, spacing_m)]
    for other in (
        *((width_m, one) for one in spacings or [spacing_m * step for step in _STEPS]),
        *((one, spacing_m) for one in widths),
    ):
        if all(
            max(abs(a - b) for a, b in zip(other, one, strict=True)) > _NEAR_M for one in chosen
        ):
            chosen.append(other)
    return sorted(chosen)


def _name(key: str) -> str:
    return word(f"stock_report.rule.{key}")


def _span(meant: Range, system: UnitSystem) -> str:
    low, high = (short(end, "m", system) for end in (meant.low, meant.high))
    return fill("stock_report.between", low=low, high=high) + mark_of(meant.source)


def _rounded(number: float, *, exact: bool) -> str:
    return show_number(round(number) if exact else round(number, -2))
