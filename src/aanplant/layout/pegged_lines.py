"""The two lines that are pegged before rows are set out with a tape."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

LONGEST_BAY_M = 60.0
"""Diagonals are checked in bays no longer than this (judgement: two tapes)."""


@dataclass(frozen=True, slots=True)
class Tie:
    """A point on a side of the boundary, found from a corner.

    Parameters
    ----------
    corner, towards : int
        Corner it is taped from and the corner taped towards, counted from 0 in the
        order of the boundary's outer ring.
    distance_m, side_m : float
        From that corner to the point, and the whole side. [m]
    """

    corner: int
    towards: int
    distance_m: float
    side_m: float


@dataclass(frozen=True, slots=True)
class BaseLine:
    """The line PQ from boundary to boundary, with A and B on it and the block on its left.

    Parameters
    ----------
    p_xy, q_xy : ndarray, shape (2,)
        Its ends on the boundary. [m]
    p_tie, q_tie : Tie
        How they are found.
    a_m, b_m : float
        Pegs A and B, from P. [m]
    crossing_deg : float
        Between the direction from A to B and the rows, 0 to 180, anticlockwise. [deg]
    depth_m : float
        From AB to the second line DC, at right angles. [m]
    """

    p_xy: NDArray[np.float64]
    q_xy: NDArray[np.float64]
    p_tie: Tie
    q_tie: Tie
    a_m: float
    b_m: float
    crossing_deg: float
    depth_m: float

    @property
    def is_side(self) -> bool:
        """Whether it is a side of the boundary, so that A and B are corners."""
        return self.p_tie.distance_m == 0.0 and self.q_tie.distance_m == 0.0

    @property
    def pq_m(self) -> float:
        """From P to Q [m]."""
        return float(np.hypot(*(self.q_xy - self.p_xy)))

    @property
    def length_m(self) -> float:
        """From A to B [m]."""
        return self.b_m - self.a_m

    @property
    def along_xy(self) -> NDArray[np.float64]:
        """Unit vector from A to B."""
        unit: NDArray[np.float64] = (self.q_xy - self.p_xy) / self.pq_m
        return unit

    @property
    def inward_xy(self) -> NDArray[np.float64]:
        """Unit vector from A to D."""
        right, up = self.along_xy
        return np.array([-up, right])

    @property
    def pegs_xy(self) -> NDArray[np.float64]:
        """Pegs A, B, C and D, shape (4, 2) [m]."""
        a = self.p_xy + self.a_m * self.along_xy
        b = self.p_xy + self.b_m * self.along_xy
        deep = self.depth_m * self.inward_xy
        return np.array([a, b, b + deep, a + deep])

    @property
    def bays_m(self) -> NDArray[np.float64]:
        """Distances from A (and from D) of the pegs between which diagonals are checked [m]."""
        return np.linspace(0.0, self.length_m, int(np.ceil(self.length_m / LONGEST_BAY_M)) + 1)

    def diagonal_m(self, bay_m: float) -> float:
        """Both diagonals of a rectangle as deep as DC and ``bay_m`` long [m]."""
        return float(np.hypot(bay_m, self.depth_m))


def corner_checks(base: BaseLine, ring: NDArray[np.float64]) -> list[tuple[int, float, float]]:
    """Two corners near P or Q with their distances from P and Q, to prove the ends.

    Returns
    -------
    list of (corner, from P, from Q)
        Corners counted from 0. [-, m, m]
    """
    own = {base.p_tie.corner, base.q_tie.corner}
    found = [
        (corner, float(np.hypot(*(point - base.p_xy))), float(np.hypot(*(point - base.q_xy))))
        for corner, point in enumerate(ring)
        if corner not in own
    ]
    return sorted(found, key=lambda item: min(item[1:]))[:2]
