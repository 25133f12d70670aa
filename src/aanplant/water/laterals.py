"""Drippers along the rows, and where each row takes its water: at an end or in between."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from aanplant.layout.positions import Positions
from aanplant.water.friction import (
    VISCOSITY_20_C_M2_S,
    blasius,
    head_loss_m,
    reynolds_number,
)

Values = NDArray[np.float64]
Whole = NDArray[np.int64]
Place = Literal["row start", "row end", "middle"]
RUN_POWER = 2.75
"""Head lost by an evenly drawn-off smooth pipe goes with this power of its length (Blasius)."""
_HALVINGS = 40
_APART_M = 10.0
"""Gap between rows laid end to end on one axis; a row is never nearer itself than this."""


@dataclass(frozen=True)
class Drippers:
    """Drippers row by row, from the start of each; columns of shape (n_drippers,).

    Parameters
    ----------
    piece : ndarray of int
        Index into the rows.
    walked_m : ndarray
        Distance from the start of the fitted row, on the plan. [m]
    ground_m : ndarray
        Distance from the first end post, along the ground. [m]
    vine : ndarray of int
        Nearest vine of the same piece, index into the positions.
    xy : ndarray, shape (n_drippers, 2)
        [m]
    left_out : int
        Places that stay blank since no vine stands near.
    """

    piece: Whole
    walked_m: Values
    ground_m: Values
    vine: Whole
    xy: Values
    left_out: int

    def __len__(self) -> int:
        return len(self.piece)


def drippers(
    positions: Positions, spacing_m: float, ground_length_m: Values, *, vine_spacing_m: float
) -> Drippers:
    """Place drippers evenly along every piece of row, what is left over half at each end.

    Where the nearest vine of the piece stands farther than a vine spacing (or a dripper
    spacing, where that is more), the line stays blank.

    Parameters
    ----------
    positions : Positions
        Filled rows.
    spacing_m : float
        Dripper to dripper along the line. [m]
    ground_length_m : ndarray, shape (n_rows,)
        End post to end post along the ground. [m]
    vine_spacing_m : float
        Vine to vine. [m]
    """
    if not spacing_m > 0.0:
        raise ValueError(f"spacing_m must be above 0, got {spacing_m}")
    plan = positions.row_length_m
    held = positions.vines > 0
    # A whole number of spacings must not be lost to rounding.
    fits = np.floor(ground_length_m / spacing_m + 1e-9).astype(np.int64)
    count = np.where(held, np.maximum(fits, 1), 0)
    piece = np.repeat(np.arange(len(count)), count)
    nth = np.arange(len(piece)) - np.repeat(np.cumsum(count) - count, count)
    first = (ground_length_m - (count - 1) * spacing_m) / 2.0
    ground = first[piece] + spacing_m * nth
    per_ground = np.divide(plan, ground_length_m, out=np.ones_like(plan), where=ground_length_m > 0)
    walked = positions.row_start_m[piece] + ground * per_ground[piece]
    vine, away = _nearest_vine(positions, piece, walked)
    kept = away <= max(vine_spacing_m, spacing_m)
    piece, walked = piece[kept], walked[kept]
    xy = positions.rows.point_at(piece, walked)
    return Drippers(piece, walked, ground[kept], vine[kept], xy, int(len(kept) - kept.sum()))


def _nearest_vine(positions: Positions, piece: Whole, walked: Values) -> tuple[Whole, Values]:
    """Nearest vine of the same piece, and how far it is along the row. [m]."""
    rows = positions.rows
    owner = positions.piece.astype(np.int64)
    if rows.paths is None:
        at = ((positions.xy - rows.start_xy[owner]) * rows.heading_xy[owner]).sum(axis=1)
    else:
        at = shapely.line_locate_point(rows.lines()[owner], shapely.points(positions.xy))
    room = float(rows.length_m.max(initial=0.0)) + float(np.abs(walked).max(initial=0.0)) + _APART_M
    key = owner * room + at
    order = np.argsort(key, kind="stable")
    sorted_key = key[order]
    wanted = piece * room + walked
    above = np.clip(np.searchsorted(sorted_key, wanted), 1, max(len(key) - 1, 1))
    below = above - 1
    above = np.minimum(above, len(key) - 1)
    nearer_below = wanted - sorted_key[below] <= sorted_key[above] - wanted
    # On the axis of all rows a vine of another piece is never the nearer one.
    chosen = np.where(nearer_below, below, above)
    return order[chosen], np.abs(wanted - sorted_key[chosen])


def choose_place(
    grade: float,
    longest_m: float,
    *,
    level_grade: float,
    longest_lateral_m: float,
    nearer: Place = "row start",
) -> Place:
    """Where a submain lies that feeds rows of one slope.

    On a slope water enters at the upper end, so that what the line loses by friction it
    gains by falling. On level ground rows too long for one run are fed in the middle; the
    others at the end that suits the mainline.

    Parameters
    ----------
    grade : float
        Fall of the rows from start to end over their length, typical of them. [-]
    longest_m : float
        Longest row. [m]
    level_grade : float
        Rows that fall less count as level. [-]
    longest_lateral_m : float
        Longest run of dripper line fed at one end on level ground. [m]
    nearer : {"row start", "row end"}
        End that suits the mainline.
    """
    if abs(grade) > level_grade:
        return "row start" if grade > 0.0 else "row end"
    return "middle" if longest_m > longest_lateral_m else nearer


def inlet_share(fall_m: float, loss_m: float) -> float:
    """Share of a row, from its upper end, at which both runs end at one pressure.

    With x of the row above the inlet, the heads at the two ends differ by
    ``loss ((1 - x)^2.75 - x^2.75) - fall``: friction of an evenly drawn-off smooth pipe goes
    with flow^1.75 times length, and the flow with length. Solved by halving; at most one half.

    Parameters
    ----------
    fall_m : float
        Fall of the row from end to end, 0 or more. [m]
    loss_m : float
        Head its whole length would lose if fed at one end, above 0. [m]

    Returns
    -------
    float
        0, the upper end, where the row falls as much as it would lose. [-]
    """
    low, high = 0.0, 0.5
    if fall_m >= loss_m:
        return low
    for _ in range(_HALVINGS):
        share = (low + high) / 2.0
        left = loss_m * ((1.0 - share) ** RUN_POWER - share**RUN_POWER) - fall_m
        low, high = (share, high) if left > 0.0 else (low, share)
    return (low + high) / 2.0


def loss_of_run_m(length_m: float, flow_m3_s: float, bore_m: float) -> float:
    """Head lost along an evenly drawn-off line by the law of Blasius. [m].

    The loss at full flow over 2.75, which is Christiansen's factor for very many outlets [1]_.

    Parameters
    ----------
    length_m, flow_m3_s, bore_m : float
        Whole length, flow at the inlet and bore. [m, m3/s, m]

    References
    ----------
    .. [1] Christiansen (1942), Irrigation by sprinkling, Calif. Agric. Exp. Stn. Bull. 670.
    """
    re = reynolds_number(flow_m3_s, bore_m, VISCOSITY_20_C_M2_S)
    whole = head_loss_m(flow_m3_s, bore_m, length_m, blasius(re))
    return float(whole) / RUN_POWER
