"""The charts of rows and vines: bearings, rootstocks, spare vines and spacings, as columns."""

from collections.abc import Sequence

import numpy as np

from aanplant.layout.direction import Sweep
from aanplant.layout.direction_choice import pareto, shortfalls
from aanplant.layout.direction_reasons import reasons
from aanplant.messages import fill, sentence, word
from aanplant.plan import Plan
from aanplant.report.direction_chart import limits_of, panels
from aanplant.report.rootstock_chapter import rootstock_chapter
from aanplant.report.rootstock_view import RootstockView, view_of
from aanplant.report.site_words import Chapter, Table, short
from aanplant.report.spacing_tables import consequence, sizes
from aanplant.report.stock_chapters import stock_chapters
from aanplant.server.chart_shapes import TableShape
from aanplant.server.row_chart_shapes import (
    CriterionShape,
    DirectionShape,
    LevelShape,
    LimitShape,
    PanelShape,
    RootstockShape,
    SpacingShape,
    SparesShape,
    StockShape,
)
from aanplant.stock.rootstock_answer import CRITERIA
from aanplant.stock.spares import order_quantity
from aanplant.units import UnitSystem, show, show_number, shown_in
from aanplant.work.spares import Spares

LEVELS = (0.5, 0.8, 0.9, 0.95, 0.98, 0.99, 0.999)
"""Assurances to choose from beside the one asked."""
_EVERY_DEG = 15
"""Bearings that the table of the direction chart tells, beside those of note."""
_ROOTSTOCK_WORDS = ("places", "first", "suits", "known", "doubt")
_SPARES_WORDS = ("axis", "assurance", "left_over", "gaps", "both", "level", "to_order")


def direction(plan: Plan, system: UnitSystem, asked_deg: float | None) -> DirectionShape:
    """Tell how bearings compare.

    Parameters
    ----------
    plan : Plan
        Up to the layout, its bearing chosen by the program, whatever the brief asks.
    system : {"metric", "imperial"}
        Of the reader.
    asked_deg : float or None
        The bearing that the brief asks for, None where the program is to choose. [deg]
    """
    sweep = plan.layout.sweep
    told = DirectionShape(
        chart="direction", title=word("bearings.title"), paragraphs=[], missing=[], tables=[],
        axis=word("bearings.axis"), ways={str(deg): word(f"way.{deg}") for deg in (0, 45, 90, 135)},
        bearings_deg=[], panels=[], is_unbeaten=[], is_out=[],
        unbeaten_text=word("bearings.unbeaten"), out_text="", taken_deg=None, chosen_deg=None,
    )  # fmt: skip
    if sweep is None:
        told.missing = [word("bearings.no_sweep")]
        return told
    chosen_deg = plan.layout.bearing_deg
    taken_deg = chosen_deg if asked_deg is None else asked_deg
    within = sweep.is_within
    told.bearings_deg = sweep.bearing_deg.tolist()
    told.panels = _panels(sweep, system)
    told.is_unbeaten, told.is_out = pareto(sweep).tolist(), (~within).tolist()
    told.out_text = "" if within.all() else word("bearings.out")
    told.taken_deg, told.chosen_deg = taken_deg, chosen_deg
    told.paragraphs = [sentence(one, system) for one in reasons(sweep, taken_deg)]
    told.tables = [_bearing_table(told, sweep)]
    return told


def _panels(sweep: Sweep, system: UnitSystem) -> list[PanelShape]:
    """Score and lengths first, then what the report draws, in its words."""
    ways = {criterion.name: criterion.better for criterion in sweep.criteria}
    mean, unit = shown_in(1.0, "m", system)
    lengths = sweep.mean_row_length_m * mean
    score = shortfalls(sweep, weights=sweep.weights).sum(axis=1)
    own = [
        ("rows", word("bearings.rows"), sweep.rows, ""),
        ("row_length", fill("bearings.row_length", unit=unit), lengths * sweep.row_ends / 2, "up"),
        ("mean_row_length_m", fill("bearings.mean_row_length", unit=unit), lengths, "up"),
    ]
    # Where one bearing alone may be chosen, there is nothing by which it could fall short.
    scored = [("shortfall", word("bearings.shortfall"), score, "down")] if np.ptp(score) else []
    limits = limits_of(sweep)
    reported = [(*panel, ways.get(panel[0], "down")) for panel in panels(sweep)]
    return [
        PanelShape(
            name=name, label=label, better=better,
            values=np.round(np.asarray(values, dtype=np.float64), 4).tolist(),
            limits=[
                LimitShape(value=one.most_percent,
                           text=word("bearings.limit").format(limit=show(one.most_percent, "%")))
                for one in limits.get(label, [])
            ],
        )
        for name, label, values, better in (*scored, *reported[:1], *own, *reported[1:])
    ]  # fmt: skip


def _bearing_table(told: DirectionShape, sweep: Sweep) -> TableShape:
    taken = told.taken_deg or 0.0
    near = int(np.abs((sweep.bearing_deg - taken + 90.0) % 180.0 - 90.0).argmin())
    chosen = int(np.abs(sweep.bearing_deg - (told.chosen_deg or 0.0)).argmin())
    rows = [
        [
            f"{told.bearings_deg[at]:g}°",
            *(show_number(float(f"{panel.values[at]:.5g}")) for panel in told.panels),
            word("bearings.falls_out") if told.is_out[at] else "",
        ]
        for at in range(len(sweep))
        if at in {near, chosen} or not told.bearings_deg[at] % _EVERY_DEG
    ]
    heads = [word("bearings.bearing"), *(panel.label for panel in told.panels), ""]
    return TableShape(title=told.title, heads=heads, rows=rows, left=[len(heads) - 1])


def rootstock(plan: Plan, system: UnitSystem) -> RootstockShape:
    """Tell which rootstocks may stand in a block, the best first, and why."""
    chapter = rootstock_chapter(plan, system)
    view = view_of(plan)
    ranked = view is not None and view.choice.is_ranked
    asked = set() if view is None else set(view.asked_criteria())
    return RootstockShape(
        chart="rootstock", title=word("stock_report.chart.order"), **_argued(chapter),
        criteria=[
            CriterionShape(name=name, label=word(f"stock_report.need.{name}"),
                           is_asked=name in asked)
            for name in CRITERIA
        ],
        stocks=[_stock(view, stock) for stock in view.shown] if view and ranked else [],
        words={name: word(f"stock_report.chart.{name}") for name in _ROOTSTOCK_WORDS},
    )  # fmt: skip


def _stock(view: RootstockView, stock: int) -> StockShape:
    choice = view.choice
    low, high = choice.rank_range[stock].tolist()
    wins, losses = (", ".join(word(f"stock_report.need.{name}") for name in names)
                    for names in view.won(stock))  # fmt: skip
    name = choice.stocks[stock]
    return StockShape(
        name=name, rank=int(choice.ranks[stock]), rank_from=low, rank_to=high,
        share_first_pct=100.0 * float(choice.share_first[stock]),
        suits=view.suits[stock].round(4).tolist(),
        is_doubtful=[view.is_doubtful(stock, criterion) for criterion in CRITERIA],
        is_taken=name == (choice.named or choice.picked), wins=wins, loses=losses,
    )  # fmt: skip


def spares(plan: Plan, system: UnitSystem) -> SparesShape:
    """Tell what a number of spare vines makes sure, and what it risks on either side."""
    chapter = _chapter(plan, system, "spares")
    found, currency = plan.work.spares, plan.inputs.currency
    told = {name: word(f"spares.{name}") for name in _SPARES_WORDS}
    told["ordered"] = fill("spares.ordered", spares=show_number(found.spares))
    vine, gap = found.vine_price, found.gap_price
    is_priced = vine is not None and gap is not None
    told["risk"] = fill("spares.money" if is_priced else "spares.counts", currency=currency)
    if found.cheapest is not None:
        told["least"] = fill("spares.least", spares=show_number(found.cheapest))
    curve = found.curve
    shape = SparesShape(
        chart="spares", title=word("spares.title"), **_argued(chapter), spares=[],
        assurance_pct=[], left_over=[], gaps=[], ordered=found.spares, cheapest=found.cheapest,
        levels=[], words=told,
    )  # fmt: skip
    if curve is None:
        return shape
    shape.spares = curve.spares.tolist()
    shape.assurance_pct = (100.0 * curve.assurance).round(6).tolist()
    shape.left_over = (curve.left_over * (vine if is_priced and vine else 1.0)).round(6).tolist()
    shape.gaps = (curve.gaps * (gap if is_priced and gap else 1.0)).round(6).tolist()
    shape.levels = list(_levels(plan, found))
    shape.tables.insert(0, _level_table(shape.levels, told))
    return shape


def _levels(plan: Plan, found: Spares) -> Sequence[LevelShape]:
    vines, rules = plan.brief.vines, plan.brief.spares
    places = int(plan.figures.value("layout.vines"))
    correlation = (found.variation.correlation if found.variation
                   else float(rules.batch_correlation or 0.0))  # fmt: skip
    made = []
    for level in sorted({*LEVELS, vines.assurance}):
        try:
            order = order_quantity(
                places,
                vines.loss_fraction,
                level,
                batch_correlation=correlation,
                batches=rules.batches,
            )
        except ValueError:  # no order is so sure where whole batches fail
            break
        made.append(LevelShape(assurance=level, order=order, spares=order - places,
                               is_asked=level == vines.assurance))  # fmt: skip
    return made


def _level_table(levels: Sequence[LevelShape], told: dict[str, str]) -> TableShape:
    rows = [[show(round(100.0 * one.assurance, 2), "%"), show_number(one.order),
             show_number(one.spares)] for one in levels]  # fmt: skip
    heads = [told["level"], told["to_order"], told["axis"]]
    return TableShape(title="", heads=heads, rows=rows, left=[])


def spacing(plan: Plan, system: UnitSystem) -> SpacingShape:
    """Tell what other distances between rows and vines would need, in proportion."""
    chapter = _chapter(plan, system, "spacing")
    widths, spacings = sizes(plan)
    cells = [[consequence(plan, width, gap) for width in widths] for gap in spacings]
    at = [(line, column) for line, cell in enumerate(cells)
          for column, one in enumerate(cell) if one.is_asked]  # fmt: skip
    costs = [[one.vine_cost for one in line if one.vine_cost is not None] for line in cells]
    words = {name: word(f"spacing.{name}") for name in ("rows", "vines", "about")}
    words["count"] = word("bearings.vines")
    words["cost"] = fill("stock_report.head.cost", currency=plan.inputs.currency)
    return SpacingShape(
        chart="spacing", title=word("spacing.title"), **_argued(chapter),
        row_widths_m=widths, vine_spacings_m=spacings,
        row_widths=[short(one, "m", system) for one in widths],
        vine_spacings=[short(one, "m", system) for one in spacings],
        vines=[[round(one.vines, 1) for one in line] for line in cells],
        cost=[[round(one, 2) for one in line] for line in costs] if all(costs) else [],
        currency=plan.inputs.currency, asked=at[0] if at else None, words=words,
    )  # fmt: skip


def _chapter(plan: Plan, system: UnitSystem, key: str) -> Chapter:
    return next(one for one in stock_chapters(plan, system) if one.key == key)


def told_table(table: Table) -> TableShape:
    """Tell a table of the report."""
    return TableShape(title=table.title, heads=list(table.heads),
                      rows=[list(row) for row in table.rows], left=list(table.left))  # fmt: skip


def _argued(chapter: Chapter) -> dict[str, list[str] | list[TableShape]]:
    return {
        "paragraphs": list(chapter.paragraphs),
        "missing": list(chapter.missing),
        "tables": [told_table(table) for table in chapter.tables],
    }
