"""Set a block out with tape and pegs: two lines across the rows, and distances along them.

A base line AB is pegged (see ``base_line``) and a second line DC parallel to it, so that
A, B, C and D are a rectangle whose diagonals can be checked. Every row crosses both
lines; a string between its two marks is the row.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.layout.pegged_lines import BaseLine
from aanplant.layout.positions import Positions
from aanplant.layout.rows import Rows

_SAME_STEP_M = 1e-6


@dataclass(frozen=True, slots=True)
class Runs:
    """Evenly spaced things along rows, as columns with one entry a run.

    ``first_m`` and ``last_m`` are measured from the start end post of the piece of
    row; the ``count`` things between them, ends included, are ``step_m`` apart. All are
    along the ground where vines are spaced so, else on the plan.
    """

    piece: NDArray[np.int64]
    first_m: NDArray[np.float64]
    last_m: NDArray[np.float64]
    count: NDArray[np.int64]
    step_m: float


@dataclass(frozen=True, slots=True)
class SettingOut:
    """All distances to tape, as columns with one entry a piece of row that holds vines.

    Parameters
    ----------
    base : BaseLine
        The pegged lines.
    piece : ndarray, shape (n,), int64
        Index into ``rows``.
    row, part : ndarray, shape (n,)
        Row, and piece of it.
    on_ab_m, on_dc_m : ndarray, shape (n,)
        Where the row crosses AB, from A, and DC, from D; below 0 beyond A or D. [m]
    start_m, end_m : ndarray, shape (n,)
        From the mark on AB along the row to its start and its end post; above 0
        towards DC. [m]
    start_foot_m, start_offset_m, end_foot_m, end_offset_m : ndarray, shape (n,)
        The same end posts by right angles: along AB from A, and square to it. [m]
    vines, line_posts : Runs
        Along each piece.
    """

    base: BaseLine
    piece: NDArray[np.int64]
    row: NDArray[np.int32]
    part: NDArray[np.int32]
    on_ab_m: NDArray[np.float64]
    on_dc_m: NDArray[np.float64]
    start_m: NDArray[np.float64]
    end_m: NDArray[np.float64]
    start_foot_m: NDArray[np.float64]
    start_offset_m: NDArray[np.float64]
    end_foot_m: NDArray[np.float64]
    end_offset_m: NDArray[np.float64]
    vines: Runs
    line_posts: Runs

    def __len__(self) -> int:
        return len(self.piece)


def set_out(base: BaseLine, rows: Rows, positions: Positions) -> SettingOut:
    """Work out every distance to tape.

    Parameters
    ----------
    base : BaseLine
        For the bearing of these rows.
    rows, positions
        The layout.
    """
    starts = positions.end_posts_xy[positions.end_posts_is_start]
    ends = positions.end_posts_xy[~positions.end_posts_is_start]
    piece = positions.end_posts_piece[positions.end_posts_is_start].astype(np.int64)
    angle = np.radians(base.crossing_deg)
    start_foot, start_offset = _square(base, starts)
    end_foot, end_offset = _square(base, ends)
    # A row leaves AB at the crossing angle: along it, a metre of offset is 1 / sin of it.
    on_ab = start_foot - start_offset / np.tan(angle)
    return SettingOut(
        base=base,
        piece=piece,
        row=rows.row[piece],
        part=rows.part[piece],
        on_ab_m=on_ab,
        on_dc_m=on_ab + base.depth_m / np.tan(angle),
        start_m=start_offset / np.sin(angle),
        end_m=end_offset / np.sin(angle),
        start_foot_m=start_foot,
        start_offset_m=start_offset,
        end_foot_m=end_foot,
        end_offset_m=end_offset,
        vines=_runs(positions, positions.xy, positions.piece, starts),
        line_posts=_runs(positions, positions.line_posts_xy, positions.line_posts_piece, starts),
    )


def right_angle_error_deg(a: float, b: float, c: float, error_c: float) -> float:
    """Error of a right angle laid out by a triangle whose long side is off by a little.

    From c² = a² + b² - 2ab cos(angle): d(angle) = c dc / (a b).

    Parameters
    ----------
    a, b, c : float
        Sides, such as 30, 40, 50. [m]
    error_c : float
        Error of the long side. [m]

    Returns
    -------
    float
        Error of the angle. [deg]

    Raises
    ------
    ValueError
        If the sides are no right triangle.
    """
    if not (a > 0.0 and b > 0.0 and abs(a * a + b * b - c * c) <= 1e-9 * c * c):
        raise ValueError(f"{a}, {b}, {c} are not the sides of a right triangle")
    return float(np.degrees(c * error_c / (a * b)))


def _square(
    base: BaseLine, xy: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Distance along AB of the foot of each point, and its offset to the left of AB."""
    away = xy - base.pegs_xy[0]
    return away @ base.along_xy, away @ base.inward_xy


def _runs(
    positions: Positions,
    xy: NDArray[np.float64],
    piece: NDArray[np.int32],
    starts: NDArray[np.float64],
) -> Runs:
    """Find runs of one common step; a thing left out, or a new piece of row, begins a new run.

    Distances are along the ground where vines are spaced so, else on the plan.
    """
    if not len(xy):
        none = np.empty(0)
        return Runs(np.empty(0, np.int64), none, none, np.empty(0, np.int64), 0.0)
    pieces = positions.end_posts_piece[positions.end_posts_is_start]
    chainage = np.hypot(*(xy - starts[np.searchsorted(pieces, piece)]).T)
    if positions.along_ground is not None:
        begin = positions.row_start_m[piece]
        ground = [positions.along_ground.ground_at(piece, at) for at in (begin, begin + chainage)]
        chainage = ground[1] - ground[0]
    apart = np.diff(chainage)
    same_piece = np.diff(piece) == 0
    step = float(apart[same_piece].min()) if same_piece.any() else 0.0
    breaks = np.flatnonzero(~same_piece | (apart > step + _SAME_STEP_M))
    first = np.concatenate([[0], breaks + 1])
    last = np.concatenate([breaks, [len(xy) - 1]])
    return Runs(
        piece=piece[first].astype(np.int64),
        first_m=chainage[first],
        last_m=chainage[last],
        count=(last - first + 1).astype(np.int64),
        step_m=step,
    )
