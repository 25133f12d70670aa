"""The money of a block drawn: by year and by stage, what it hangs on, and its chances."""

import numpy as np
from numpy.typing import NDArray

from aanplant.messages import fill, word
from aanplant.report.money_bars import horizontal, key_line, thousands
from aanplant.report.paper import Box
from aanplant.report.plot import LABEL, Plot, round_ticks
from aanplant.report.style import INK, LINE, PEN, SHEET, SOFT, WATER, WATER_TINT, text_width
from aanplant.report.svg import CAP_HEIGHT, Drawing
from aanplant.units import show, show_number
from aanplant.work.money import Money
from aanplant.work.money_lines import KINDS

WIDTH_MM = 170.0
_LEFT, _RIGHT = 20.0, 4.0
_NAMES_MM = 46.0
"""Room for the names of bars that lie."""
_ROW_MM = 7.4
_FILLS = {"material": INK, "labour": WATER, "machine": SOFT, "overhead": LINE}
_BINS = 40
_TAIL = 0.005
"""Share of the futures at either end that is left off the picture."""


def cash_by_year(money: Money) -> Drawing:
    """Draw cost and income of every year as bars, and the balance so far as a line."""
    drawing = Drawing(WIDTH_MM, 78.0, word("money_report.cash"))
    years, *flows = yearly(money)
    costs, incomes, balance = (values / 1e3 for values in flows)
    values = np.concatenate([incomes, -costs, balance])
    room = 0.06 * max(float(np.ptp(values)), 1e-3)
    plot = Plot(
        Box(_LEFT, 14.0, WIDTH_MM - _LEFT - _RIGHT, 48.0),
        float(years[0]) - 0.6, float(years[-1]) + 0.6,
        float(values.min()) - room, float(values.max()) + room,
    )  # fmt: skip
    plot.levels(drawing, round_ticks(plot.low, plot.high, 6))
    for year, income, cost in zip(years.tolist(), incomes.tolist(), costs.tolist(), strict=True):
        for value, fill_, stroke, name in ((-cost, LINE, SOFT, "cost"),
                                           (income, WATER_TINT, WATER, "income")):  # fmt: skip
            if value:
                (x1, y1), (x2, y2) = plot.places([year - 0.34, year + 0.34], [value, 0.0]).tolist()
                drawing.path(f"M{x1:.3f} {y1:.3f}H{x2:.3f}V{y2:.3f}H{x1:.3f}z", fill=fill_,
                             stroke=stroke, width=0.2, name=name)  # fmt: skip
    nought = float(plot.down(0.0))
    drawing.line(plot.area.x, nought, plot.area.right, nought, width=0.25)
    drawing.path(plot.curve(years, balance), stroke=INK, width=0.5, name="balance")
    for x, y in plot.places(years, balance).tolist():
        drawing.circle(x, y, 0.65, fill=INK)
    plot.foot(drawing, years.tolist(), [show_number(int(year)) for year in years.tolist()])
    plot.heading(drawing, fill("money_report.axis", currency=money.currency))
    drawing.text(plot.area.right, plot.area.bottom + 8.0, word("money_report.year_axis"),
                 size=LABEL, align="end", colour=SOFT)  # fmt: skip
    key_line(
        drawing, plot.area.x, 74.6,
        [(word("money_report.cost"), LINE, SOFT), (word("money_report.income"), WATER_TINT, WATER),
         (word("money_report.balance"), "", INK)],
    )  # fmt: skip
    return drawing


def yearly(money: Money) -> tuple[NDArray[np.float64], ...]:
    """Years from planting, cost, income and balance so far, each (n_years,), in the basis's terms.

    All but the years are in the estate's currency; the balance is below nought while owed.
    """
    count = len(money.flows)
    years = np.array([year.year for year in money.by_year[:count]], np.float64)
    incomes = np.array([float(year.income) for year in money.by_year[:count]])
    net = np.array([float(year.net) for year in money.by_year[:count]])
    # Prices of the year, where the basis is nominal: the flows already hold them.
    rise = np.divide(money.flows, net, out=np.ones(count), where=np.abs(net) > 1.0)
    return years, (incomes - net) * rise, incomes * rise, -money.accumulated


def cost_by_stage(money: Money) -> Drawing:
    """Draw the cost of establishment by stage, each bar in its kinds."""
    stages = money.by_stage()
    height = 20.0 + _ROW_MM * max(len(stages), 1)
    drawing = Drawing(WIDTH_MM, height, word("money_report.stages"))
    most = max((float(sum(kinds.values())) for kinds in stages.values()), default=1.0) / 1e3
    area = Box(_NAMES_MM, 9.0, WIDTH_MM - _NAMES_MM - 22.0, _ROW_MM * max(len(stages), 1))
    plot = Plot(area, 0.0, max(most, 1e-3), 0.0, 1.0)
    horizontal(drawing, plot, fill("money_report.axis", currency=money.currency))
    for number, (stage, kinds) in enumerate(stages.items()):
        top = area.y + _ROW_MM * number + 1.2
        drawing.text(area.x - 2.0, top + 3.5, word(f"money_stage.{stage}"), size=LABEL,
                     align="end")  # fmt: skip
        so_far = 0.0
        for kind in KINDS:
            value = float(kinds.get(kind, 0)) / 1e3
            if value:
                x1, x2 = plot.across([so_far, so_far + value]).tolist()
                drawing.box(x1, top, x2 - x1, _ROW_MM - 2.4, fill=_FILLS[kind], stroke=SHEET)
                so_far += value
        drawing.text(float(plot.across(so_far)) + 1.4, top + 3.5, thousands(so_far), size=LABEL,
                     face="figure")  # fmt: skip
    present = [kind for kind in KINDS if any(kinds.get(kind) for kinds in stages.values())]
    key_line(
        drawing,
        area.x,
        height - 2.4,
        [(word(f"money_kind.{kind}"), _FILLS[kind], SOFT) for kind in present],
    )
    return drawing


def what_it_hangs_on(money: Money) -> Drawing:
    """Draw how far the net present value moves with each thing moved alone.

    Raises
    ------
    ValueError
        If no price of grapes is known.
    """
    returns = money.returns
    if returns is None:
        raise ValueError("without a price of grapes there is no worth to move")
    moved = returns.tornado
    height = 24.0 + _ROW_MM * len(moved)
    drawing = Drawing(WIDTH_MM, height, word("money_report.hangs_on"))
    ends = np.array([(one.npv_low, one.npv_high) for one in moved]) / 1e3
    room = 0.13 * max(float(np.ptp(ends)), 1e-3)
    area = Box(_NAMES_MM, 9.0, WIDTH_MM - _NAMES_MM - _RIGHT, _ROW_MM * len(moved))
    plot = Plot(area, float(ends.min()) - room, float(ends.max()) + room, 0.0, 1.0)
    horizontal(drawing, plot, fill("money_report.npv_axis", currency=money.currency))
    if plot.left < 0 < plot.right:
        x = float(plot.across(0.0))
        drawing.line(x, area.y, x, area.bottom, width=0.3)
    base = float(plot.across(returns.npv / 1e3))
    for number, one in enumerate(moved):
        top = area.y + _ROW_MM * number + 1.2
        drawing.text(area.x - 2.0, top + 3.5, word(f"money_moved.{one.name}"), size=LABEL,
                     align="end")  # fmt: skip
        for npv, value, fill_, stroke in ((one.npv_low, one.low, LINE, SOFT),
                                          (one.npv_high, one.high, WATER_TINT, WATER)):  # fmt: skip
            x = float(plot.across(npv / 1e3))
            if abs(x - base) < 0.05:  # noqa: PLR2004 - thinner than a line
                continue
            drawing.box(min(x, base), top, abs(x - base), _ROW_MM - 2.4, fill=fill_, stroke=stroke)
            is_right = x > base
            drawing.text(x + (1.0 if is_right else -1.0), top + 3.3, moved_to(one.name, value),
                         size=2.0, align="start" if is_right else "end", colour=SOFT,
                         halo=0.3)  # fmt: skip
    drawing.line(base, area.y - 1.0, base, area.bottom + 1.0, stroke=PEN, width=0.3, dash="1 0.7")
    told = fill("money_report.as_planned", npv=thousands(returns.npv / 1e3))
    drawing.text(base, area.bottom + 9.4, told, size=LABEL, face="figure", align="middle",
                 colour=PEN)  # fmt: skip
    return drawing


def moved_to(name: str, value: float) -> str:
    """Write what one thing is moved to, a ``Moved``'s name and its low or high."""
    if name == "delay":
        return fill("money_report.years", years=round(value))
    if name == "rate":
        return show(round(100.0 * value, 2), "%")
    if name == "loss":
        return fill("money_report.times", times=show_number(value))
    return f"{100.0 * (value - 1.0):+.0f}\u202f%".replace("-", "−")


def futures(money: Money) -> Drawing:
    """Draw the net present values of the futures: how many, and the share below.

    Raises
    ------
    ValueError
        If no price of grapes is known.
    """
    returns = money.returns
    if returns is None:
        raise ValueError("without a price of grapes there are no futures to draw")
    npv = returns.simulation.npv / 1e3
    drawing = Drawing(WIDTH_MM, 96.0, word("money_report.futures"))
    low, high = np.quantile(npv, [_TAIL, 1.0 - _TAIL]).tolist()
    low, high = min(low, 0.0), max(high, 0.0)
    if high - low < 1e-6:  # noqa: PLR2004 - all futures are one
        low, high = low - 1.0, high + 1.0
    # Nought is the edge of a bin, so that no bin both falls short and pays.
    step = (high - low) / _BINS
    low, high = step * np.floor(low / step), step * np.ceil(high / step)
    counts, edges = np.histogram(npv, bins=round((high - low) / step), range=(low, high))
    upper, lower = (
        Box(_LEFT, top, WIDTH_MM - _LEFT - _RIGHT, 30.0) for top in (9.0, 50.0)
    )  # fmt: skip
    shares = 100.0 * counts / len(npv)
    plot = Plot(upper, low, high, 0.0, 1.08 * max(float(shares.max()), 1e-3))
    ticks = round_ticks(0.0, plot.high, 3)
    plot.levels(drawing, ticks, [show(tick, "%") for tick in ticks])
    for share, left, right in zip(shares.tolist(), edges[:-1].tolist(), edges[1:].tolist(),
                                  strict=True):  # fmt: skip
        if share:
            (x1, y1), (x2, y2) = plot.places([left, right], [share, 0.0]).tolist()
            loses = (left + right) / 2.0 < 0.0
            drawing.box(x1, y1, x2 - x1, y2 - y1, fill=LINE if loses else WATER_TINT,
                        stroke=SOFT if loses else WATER, line=0.15)  # fmt: skip
    plot.heading(drawing, fill("money_report.futures_axis", draws=show_number(len(npv))))
    plot.foot(drawing, [], [])
    below = Plot(lower, low, high, 0.0, 104.0)
    below.levels(drawing, [0, 25, 50, 75, 100], [show(tick, "%") for tick in (0, 25, 50, 75, 100)])
    at = np.linspace(low, high, 200)
    part = 100.0 * np.searchsorted(npv, at) / len(npv)
    drawing.path(below.curve(at, part), stroke=INK, width=0.45, name="below")
    below.heading(drawing, word("money_report.below_axis"))
    ticks = round_ticks(low, high, 7)
    below.foot(drawing, ticks, [show_number(tick) for tick in ticks])
    drawing.text(lower.right, lower.bottom + 8.4,
                 fill("money_report.npv_axis", currency=money.currency), size=LABEL, align="end",
                 colour=SOFT)  # fmt: skip
    _mark_loss(drawing, plot, below, returns.simulation.chance_of_loss)
    return drawing


def _mark_loss(drawing: Drawing, plot: Plot, below: Plot, chance: float) -> None:
    """Mark nought through both pictures, with the share that falls short."""
    x, y = float(plot.across(0.0)), float(below.down(100.0 * chance))
    drawing.line(x, plot.area.y, x, below.area.bottom, stroke=PEN, width=0.3, dash="1 0.7")
    drawing.circle(x, y, 1.1, fill=PEN)
    told = fill("money_report.short", chance=show(round(100.0 * chance, 1), "%"))
    width = text_width(told, LABEL, "figure")
    fits_left = x - width - 3.0 > below.area.x
    drawing.text(x - 2.2 if fits_left else x + 2.2, y - CAP_HEIGHT * LABEL, told, size=LABEL,
                 face="figure", colour=PEN, align="end" if fits_left else "start",
                 halo=0.5)  # fmt: skip
