"""The lines of the years after planting, and the sums of all lines by month and year."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from aanplant.brief import Brief
from aanplant.work.cash_model import CashModel, crop_shares
from aanplant.work.money_lines import KINDS, Kind, MoneyLine, exact, to_cent
from aanplant.work.money_risk import Losses

BEARING = "bearing"
"""Stage of what is paid and earned while the vines stand."""
YOUNG_YEARS = 2
"""Last year of aftercare where no round says so; year 0 is the year of planting."""
_HECTARE = "ha"


@dataclass(frozen=True, slots=True)
class CashYear:
    """All lines of one year together.

    Parameters
    ----------
    year : int
        From planting, 0 for the year of planting.
    by_kind : mapping of str to Decimal
        Sum of each kind of line. [currency]
    """

    year: int
    by_kind: Mapping[Kind, Decimal]

    @property
    def income(self) -> Decimal:
        """What comes in. [currency]."""
        return self.by_kind["income"]

    @property
    def cost(self) -> Decimal:
        """What is paid. [currency]."""
        return sum((self.by_kind[kind] for kind in KINDS if kind != "income"), Decimal(0))

    @property
    def net(self) -> Decimal:
        """Income less cost. [currency]."""
        return self.income - self.cost


def years_of(lines: Iterable[MoneyLine], first: int, last: int) -> tuple[CashYear, ...]:
    """Sum the lines of every year from the first to the last; to the cent."""
    sums: dict[int, dict[Kind, Decimal]] = defaultdict(lambda: dict.fromkeys(KINDS, Decimal(0)))
    for line in lines:
        sums[line.year][line.kind] += line.cost
    return tuple(CashYear(year, sums[year]) for year in range(first, last + 1))


def months_of(lines: Iterable[MoneyLine]) -> Mapping[str, Decimal]:
    """Sum the flows of the lines that have a month, by month; to the cent."""
    sums: dict[str, Decimal] = defaultdict(Decimal)
    for line in lines:
        if line.month:
            sums[line.month] += line.flow
    return dict(sorted(sums.items()))


def last_young_year(lines: Sequence[MoneyLine]) -> int:
    """Last year in which vines are trained: that of the last round of aftercare."""
    return max((line.year for line in lines if line.stage == "aftercare"), default=YOUNG_YEARS)


def contingency_line(brief: Brief, lines: Sequence[MoneyLine]) -> tuple[MoneyLine, ...]:
    """Put the contingency on top of the establishment; none where it is nought."""
    share = exact(brief.money.contingency)
    if not share:
        return ()
    base = sum((line.cost for line in lines if line.year <= 0), Decimal(0))
    return (
        MoneyLine("overhead.contingency", "planting", "", "money.contingency", base, "", share,
                  to_cent(base * share), brief.work.planting, 0, "overhead"),
    )  # fmt: skip


def upkeep_lines(brief: Brief, area_ha: float, young_until: int) -> tuple[MoneyLine, ...]:
    """List what a year costs whatever the crop: care of young and grown vines, renewals."""
    rules, area = brief.money, exact(area_ha)
    lines = []
    for year in range(rules.horizon + 1):
        is_young = year <= young_until
        care, word = (
            (rules.young_cost, "money.young") if is_young else (rules.running_cost, "money.running")
        )
        stage = "aftercare" if is_young else BEARING
        for price, name, each in (
            (care, word, stage),
            (rules.overhead, "money.overhead", stage),
        ):
            if price:
                lines.append(_yearly(f"{name}.{year}", each, name, area, exact(price), year))
    for renewal in rules.renewals:
        step = renewal.every or rules.horizon + 1
        lines.extend(
            _yearly(f"renewal.{renewal.name}.{year}", BEARING, "", area, exact(renewal.cost),
                    year, what=renewal.name, kind="material")
            for year in range(renewal.year, rules.horizon + 1, step)
        )  # fmt: skip
    return tuple(lines)


def crop_lines(
    brief: Brief, model: CashModel, losses: Losses, area_ha: float
) -> tuple[MoneyLine, ...]:
    """Income and harvest of every year with a crop, losses as expected, and the salvage."""
    rules, lines = brief.money, []
    tonnes = model.full_crop_t * crop_shares(model, **losses.expected())[0]
    for year, crop in enumerate(np.round(tonnes, 3).tolist()):
        if not crop:
            continue
        if rules.grape_price is not None:
            lines.append(
                _yearly(f"income.{year}", BEARING, "money.grapes", exact(crop),
                        exact(rules.grape_price), year, unit="t", kind="income")
            )  # fmt: skip
        if rules.harvest_cost:
            lines.append(
                _yearly(f"harvest.{year}", BEARING, "money.harvest", exact(crop),
                        exact(rules.harvest_cost), year, unit="t")
            )  # fmt: skip
    if rules.salvage:
        lines.append(
            _yearly("income.salvage", BEARING, "money.salvage", exact(area_ha),
                    exact(rules.salvage), rules.horizon, kind="income")
        )  # fmt: skip
    return tuple(lines)


def _yearly(  # noqa: PLR0917 - what a line holds
    name: str, stage: str, word: str, quantity: Decimal, rate: Decimal, year: int, *,
    unit: str = _HECTARE, kind: Kind = "overhead", what: str = "",
) -> MoneyLine:  # fmt: skip
    return MoneyLine(name, stage, what, word, quantity, unit, rate, to_cent(quantity * rate), "",
                     year, kind)  # fmt: skip
