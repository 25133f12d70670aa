"""What the papers show of the choice of a rootstock: what is asked, known, won and lost."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.plan import Plan
from aanplant.stock.rootstock_answer import CRITERIA, RootstockChoice
from aanplant.stock.rootstocks import Rootstocks, rootstocks

LISTED = 8
"""Rootstocks shown; the rest are counted."""
_APART = 0.1
"""How far from the middle of the others a stock wins or loses (judgement)."""
_RECALLED, _UNKNOWN, _PUBLISHED = "memory", "unknown", "published"


@dataclass(frozen=True)
class RootstockView:
    """The choice of a rootstock with the facts behind it.

    Parameters
    ----------
    choice : RootstockChoice
        What was found.
    facts : Rootstocks
        The table, the estate's own rows in it.
    """

    choice: RootstockChoice
    facts: Rootstocks

    @property
    def shown(self) -> tuple[int, ...]:
        """Stocks to show, the best first."""
        return self.choice.order[:LISTED]

    @property
    def weights(self) -> NDArray[np.float64]:
        """Weight of each criterion on the whole block, what zones need allowed for."""
        needs = self.choice.needs
        return np.asarray(self.choice.weights * (self._zone_shares @ np.nan_to_num(needs)))

    @property
    def suits(self) -> NDArray[np.float64]:
        """How well each stock suits the block by each criterion, shape (n, k); mean by area."""
        suits: NDArray[np.float64] = np.einsum(
            "z,nzk->nk", self._zone_shares, np.nan_to_num(self.choice.suits)
        )
        return suits

    @property
    def _zone_shares(self) -> NDArray[np.float64]:
        areas = np.array([zone.area_ha for zone in self.choice.zones])
        return np.asarray(areas / areas.sum())

    def won(self, stock: int) -> tuple[list[str], list[str]]:
        """Criteria on which a stock is better, and worse, than the middle of those allowed."""
        others = self.suits[list(self.choice.order)]
        gap = self.suits[stock] - np.median(others, axis=0)
        asked = self.weights > 0.0
        wins = [name for name, far, on in zip(CRITERIA, gap, asked, strict=True)
                if on and far >= _APART]  # fmt: skip
        losses = [name for name, far, on in zip(CRITERIA, gap, asked, strict=True)
                  if on and far <= -_APART]  # fmt: skip
        return wins, losses

    def certainty(self, stock: int, attribute: str) -> str:
        """How sure a cell of the table is: published, memory, unknown or another certainty."""
        facts = self.facts.of(self.choice.stocks[stock], attribute)
        numbers = [fact for fact in facts if fact.low is not None]
        if not numbers:
            return _UNKNOWN
        if all(fact.certainty == _RECALLED for fact in numbers):
            return _RECALLED
        return _PUBLISHED

    def is_doubtful(self, stock: int, attribute: str) -> bool:
        """Whether a cell is recalled or unknown."""
        return self.certainty(stock, attribute) != _PUBLISHED

    def asked_criteria(self) -> list[str]:
        """Criteria that weigh anything here."""
        return [name for name, weight in zip(CRITERIA, self.weights, strict=True) if weight > 0.0]


def view_of(plan: Plan) -> RootstockView | None:
    """Return the choice of a plan with its facts; None where no rootstock was looked at."""
    choice = plan.stock.rootstock_choice
    if choice is None:
        return None
    return RootstockView(choice, rootstocks(plan.inputs.rootstocks))
