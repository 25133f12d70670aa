"""Alternatives of a brief side by side: their figures, and how they differ, in sentences."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from aanplant.messages import fill, word
from aanplant.plan import Plan
from aanplant.units import UnitSystem, show, show_number, shown_in
from aanplant.working import Working

ESTABLISHMENT, RETURNS = "work.budget.establishment", "work.budget.npv"
COLUMNS = (
    "layout.bearing",
    "layout.vines",
    "stock.order_quantity",
    "layout.rows",
    "layout.row_ends",
    "layout.row_length",
    "trellis.line_posts",
    "trellis.wire_length",
    ESTABLISHMENT,
    RETURNS,
)
"""Figures that the table of alternatives shows, in its order."""
PLANTED = "work.calendar.planted"
MORE = ("work.budget.cost_per_area", "work.calendar.gate", PLANTED)
"""Figures that stand below those of the table where there is room."""
_COUNTED = ("layout.vines", "layout.rows", "trellis.line_posts", "trellis.wire_length")


@dataclass(frozen=True)
class Outcome:
    """What came of one alternative.

    Parameters
    ----------
    figures : mapping of str to Working
        Those of ``COLUMNS`` and ``MORE`` that its plan has.
    establishment : Decimal
        What it costs to establish. [currency]
    npv : float or None
        Net present value, None while no price of grapes is known. [currency]
    lacks_prices : bool
        Whether a price or hours are missing from the sums.
    currency : str
        ISO 4217 code.
    unpriced, stops : int
        Items of the order without a price, and findings that say stop.
    """

    figures: Mapping[str, Working]
    establishment: Decimal
    npv: float | None
    lacks_prices: bool
    currency: str
    unpriced: int
    stops: int


def outcome_of(plan: Plan) -> Outcome:
    """Return what is compared of a whole plan."""
    money = plan.money
    return Outcome(
        {key: plan.figures[key] for key in (*COLUMNS, *MORE) if key in plan.figures},
        money.establishment,
        None if money.returns is None else money.returns.npv,
        bool(money.lacks),
        money.currency,
        len(plan.work.unpriced),
        sum(finding.level == "stop" for finding in plan.findings),
    )


def columns(outcomes: Sequence[Outcome]) -> list[str]:
    """Figures that can be set side by side: worth only where that of all is known."""
    is_known = all(not isinstance(one.figures[RETURNS].value, str) for one in outcomes)
    return [key for key in COLUMNS if key != RETURNS or is_known]


def is_costed(outcomes: Sequence[Outcome]) -> bool:
    """Whether all have a cost that can be compared."""
    return all(one.figures[ESTABLISHMENT].value != "unknown" for one in outcomes)


def cost_told(this: Outcome, first: Outcome, *, name: str, beside: str) -> str:
    """Say what one costs to establish and is worth beside the first.

    Parameters
    ----------
    this, first : Outcome
        Both with a cost.
    name, beside : str
        What they are called.
    """
    dearer = round(this.establishment - first.establishment)
    told = fill(
        "vary.costs_more" if dearer > 0 else "vary.costs_less" if dearer else "vary.costs_the_same",
        cost=show(abs(dearer), this.currency), this=name, first=beside,
    )  # fmt: skip
    if this.npv is not None and first.npv is not None:
        better = round(this.npv - first.npv)
        told += fill(
            "vary.worth_more" if better > 0 else "vary.worth_less" if better else "vary.worth_same",
            npv=show(abs(better), this.currency),
        )  # fmt: skip
    is_short = this.lacks_prices or first.lacks_prices
    return f"{told}{word('vary.lacks_prices') if is_short else '.'}"


def count_told(this: Outcome, first: Outcome, system: UnitSystem, *, beside: str) -> str:
    """Say what is more or fewer of than in the first, and what of the dates moves."""
    *others, last = _differences(this, first, system) or [""]
    if not last:
        return fill("alternatives.same", first=beside)
    listed = f"{', '.join(others)} {word('list.and')} {last}" if others else last
    return fill("alternatives.beside", first=beside, listed=listed)


def _differences(this: Outcome, first: Outcome, system: UnitSystem) -> list[str]:
    return [*_counted(this, first, system), *_moved(this, first)]


def _counted(this: Outcome, first: Outcome, system: UnitSystem) -> Iterator[str]:
    for key in _COUNTED:
        if key not in this.figures or key not in first.figures:
            continue
        mine, other = this.figures[key], first.figures[key]
        more, unit = shown_in(float(mine.value) - float(other.value), mine.unit, system)
        if count := round(abs(more)):
            name = f"alternatives.{'more' if more > 0 else 'fewer'}.{key}"
            yield fill(name, count=show_number(count), unit=unit)


def _moved(this: Outcome, first: Outcome) -> Iterator[str]:
    ends = [day_of(one.figures.get(PLANTED)) for one in (this, first)]
    if ends[0] is None or ends[1] is None or ends[0] == ends[1]:
        return
    days = (ends[0] - ends[1]).days
    yield fill("alternatives.later" if days > 0 else "alternatives.sooner", days=abs(days))


def day_of(figure: Working | None) -> date | None:
    """Day of a figure, None where there is none yet."""
    try:
        return None if figure is None else date.fromisoformat(str(figure.value))
    except ValueError:
        return None
