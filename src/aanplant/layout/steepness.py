"""The steepest ground that rows may run on: one list for the choice of bearing and the advice.

The law's limit is not among them: it speaks of the ground itself, which is as steep whichever
way the rows run, and ``site`` tells of it.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import Brief
from aanplant.layout.row_profiles import RowSlopes

Measure = Literal["grade", "across"]
_KEYS: tuple[tuple[str, Measure, str], ...] = (
    ("row_grade", "grade", "contour-rows"),
    ("machine_grade", "grade", "memory"),
    ("machine_side_slope", "across", "memory"),
)


@dataclass(frozen=True, slots=True)
class SlopeLimit:
    """A slope that no row should pass.

    Parameters
    ----------
    name : str
        Its key under ``[ground]`` of the brief.
    measure : {"grade", "across"}
        Along the row, or square to it.
    most_percent : float
        [%]
    source : str
        Where its default comes from.
    """

    name: str
    measure: Measure
    most_percent: float
    source: str


@dataclass(frozen=True, slots=True)
class RowLimit:
    """A limit beside what the rows of each bearing have.

    Parameters
    ----------
    limit : SlopeLimit
        The limit.
    percent : ndarray, shape (n_bearings,)
        Steepest place of any row. [%]
    """

    limit: SlopeLimit
    percent: NDArray[np.float64]

    @property
    def is_passed(self) -> NDArray[np.bool_]:
        """Whether a row somewhere passes the limit, shape (n_bearings,)."""
        return np.asarray(self.percent > self.limit.most_percent)

    @property
    def share(self) -> NDArray[np.float64]:
        """Steepest place as a share of the limit, shape (n_bearings,). [-]."""
        return np.asarray(self.percent / self.limit.most_percent)


def slope_limits(brief: Brief) -> tuple[SlopeLimit, ...]:
    """Return the limits on the slope of rows, as the brief sets them."""
    return tuple(
        SlopeLimit(name, measure, float(brief.setting(f"ground.{name}")), source)
        for name, measure, source in _KEYS
    )


def steepness(slopes: RowSlopes, measure: Measure) -> NDArray[np.float64]:
    """Steepest place of every row, either way up, shape (n_rows,); nan where unknown. [%]."""
    return np.abs(slopes.grade_percent if measure == "grade" else slopes.across_percent)
