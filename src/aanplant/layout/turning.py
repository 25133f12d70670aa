"""Whether a machine can turn at every row end without leaving the field or touching a trellis."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.layout.positions import Positions
from aanplant.layout.room import room_at_ends
from aanplant.layout.row_frame import axes
from aanplant.layout.standing_trellis import standing_trellis, touches
from aanplant.layout.turns import Turn, path, possible

NONE = "none"
"""Stands for a turn where none fits."""


@dataclass(frozen=True, slots=True)
class TurnRoom:
    """Room at row ends, and the turn that fits at each.

    A turn is made around the end of one row, from the alley on its one side to the
    alley on the other, so a row has one at an end only where it has a neighbour on
    both sides there.

    Parameters
    ----------
    turns : tuple of Turn
        Turns the machine can make between neighbouring alleys, best first; each needs
        ``depth_m`` and half the machine's width beyond the outermost anchor.
    machine_width_m : float
        Width of what turns. [m]
    room_ahead_m : ndarray, shape (n_end_posts,)
        From each end post straight ahead to the edge of the field. [m]
    room_right_angle_m : ndarray, shape (n_end_posts,)
        From each end post at right angles to the edge it faces, as the edge runs from
        one alley to the other beside the row. [m]
    end : ndarray, shape (n_places,), int64
        End post (index into ``positions.end_posts_xy``) around which a turn is made.
    kind : ndarray of str, shape (n_places,)
        "u", "omega", "fishtail" or "none".
    xy : ndarray, shape (n_places, 2)
        The end posts of ``end``. [m]
    ways : ndarray of shapely lines, shape (n_places,)
        Way of the machine's middle, of the last of ``turns`` where none fits.
    """

    turns: tuple[Turn, ...]
    machine_width_m: float
    room_ahead_m: NDArray[np.float64]
    room_right_angle_m: NDArray[np.float64]
    end: NDArray[np.int64]
    kind: NDArray[np.str_]
    xy: NDArray[np.float64]
    ways: NDArray[np.object_]

    @property
    def failed_xy(self) -> NDArray[np.float64]:
        """Row ends around which no turn fits, shape (n, 2). [m]."""
        return np.asarray(self.xy[self.kind == NONE], dtype=np.float64)

    @property
    def least_room_ahead_m(self) -> float:
        """Least room straight ahead; infinite without rows. [m]."""
        return float(self.room_ahead_m.min(initial=np.inf))

    @property
    def least_room_right_angle_m(self) -> float:
        """Least room at right angles to the edge; infinite without rows. [m]."""
        return float(self.room_right_angle_m.min(initial=np.inf))

    def depth_needed_m(self, turn: Turn) -> float:
        """Room a turn takes beyond the outermost anchor, half the machine included. [m]."""
        return turn.depth_m + self.machine_width_m / 2.0

    def count(self, kind: str) -> int:
        """Places at which a kind of turn, or "none", is the best that fits."""
        return int(np.count_nonzero(self.kind == kind))


def check_turns(
    positions: Positions,
    field: BaseGeometry,
    *,
    machine_width_m: float,
    turning_radius_m: float,
    row_width_m: float,
    anchor_distance_m: float | NDArray[np.float64],
) -> TurnRoom:
    """Drive every turn between neighbouring alleys and see whether it fits.

    The machine drives out of one alley until the turn lies wholly beyond the anchors of
    all rows it swings past, turns, and drives back into the next alley. Its way fits
    when a strip of its width along it lies inside the field and touches no other row,
    end post or anchor (rows across an alley, or behind an exclusion). Length and
    overhang of machine and implement are left out: give a width that covers them.

    The ways are those between straight, parallel rows. For rows that bend none is driven:
    there are no places then, only the room at the ends and the turns that would be made.

    Parameters
    ----------
    positions : Positions
        Rows as set, end posts included.
    field : shapely Polygon or MultiPolygon
        Boundary less avoided exclusions, in metres.
    machine_width_m : float
        Width of what turns, implement included. [m]
    turning_radius_m : float
        Of the machine's middle. [m]
    row_width_m : float
        Alley to alley. [m]
    anchor_distance_m : float or ndarray, shape (n_end_posts,)
        How far anchors stand beyond end posts; 0 where an end has none outside. [m]

    Returns
    -------
    TurnRoom

    Raises
    ------
    ValueError
        If a distance is out of range.
    """
    anchor_m = np.broadcast_to(anchor_distance_m, positions.end_posts_piece.shape)
    if not (machine_width_m > 0.0 and np.all(anchor_m >= 0.0)):
        raise ValueError(
            f"machine must have a width and anchors a distance, got {machine_width_m} and "
            f"{anchor_distance_m}"
        )
    turns = possible(turning_radius_m, row_width_m)
    ahead, right_angle = room_at_ends(positions, field)
    if positions.rows.paths is not None:
        none = np.empty(0, dtype=np.int64)
        return TurnRoom(
            turns, machine_width_m, ahead, right_angle, none, np.empty(0, dtype="<U8"),
            np.empty((0, 2)), np.empty(0, dtype=object),
        )  # fmt: skip
    ends = _ends(positions, anchor_m)
    end = np.flatnonzero((ends.beside >= 0).all(axis=1))
    kind = np.full(len(end), NONE, dtype="<U8")
    driven = np.empty(len(end), dtype=object)
    trellis, edge = standing_trellis(positions, anchor_m), shapely.boundary(field)
    shapely.prepare([field, edge])
    for turn in turns:
        left = np.flatnonzero(kind == NONE)
        # Rows the turn swings past on either side of the one in the middle.
        past = int((turn.half_extent_m + machine_width_m / 2.0) // row_width_m)
        near = _near_rows(ends.beside, end[left], max(past, 1))
        start = np.where(near >= 0, ends.anchor_m[near], -np.inf).max(axis=1)
        turn_path = path(turn, turning_radius_m, row_width_m)
        ways = _ways(positions, ends, end[left], start, turn_path)
        own = np.where(near >= 0, positions.end_posts_piece[near], -1)
        fits = _inside(ways, field, edge, machine_width_m / 2.0)
        fits &= ~touches(trellis, ways, own, machine_width_m / 2.0)
        kind[left[fits]] = turn.kind
        driven[left] = ways
    xy = positions.end_posts_xy[end]
    return TurnRoom(turns, machine_width_m, ahead, right_angle, end, kind, xy, driven)


class _Ends(NamedTuple):
    """End posts as columns, shape (n_end_posts,).

    ``side`` is 1 where the post faces along the bearing, -1 against it; ``post_m`` and
    ``anchor_m`` are distances from the origin that way; ``beside`` the end posts of the
    rows on its low and high side that face the same way, -1 for none, shape
    (n_end_posts, 2).
    """

    across_m: NDArray[np.float64]
    post_m: NDArray[np.float64]
    anchor_m: NDArray[np.float64]
    side: NDArray[np.float64]
    beside: NDArray[np.int64]


def _ends(positions: Positions, anchor_distance_m: NDArray[np.float64]) -> _Ends:
    rows = positions.rows
    frame = axes(rows.bearing_deg)
    along_xy = np.array([frame.along_x, frame.along_y])
    side = np.sign(positions.end_posts_outward_xy @ along_xy)
    outward = side * (positions.end_posts_xy @ along_xy)
    beside = np.full((len(side), 2), -1)
    # The two ends of a piece follow one another; sort pieces by line, then along.
    line = rows.line[positions.end_posts_piece]
    for facing in (1.0, -1.0):
        ends = np.flatnonzero(side == facing)
        ends = ends[np.lexsort((outward[ends], line[ends]))]
        far = -outward[ends ^ 1]
        for column, neighbour in enumerate((-1, 1)):
            beside[ends, column] = _beside(ends, line[ends], far, outward[ends], neighbour)
    across = rows.across_m[positions.end_posts_piece]
    return _Ends(across, outward, outward + anchor_distance_m, side, beside)


def _beside(
    ends: NDArray[np.int64],
    line: NDArray[np.int64],
    far: NDArray[np.float64],
    near: NDArray[np.float64],
    neighbour: int,
) -> NDArray[np.int64]:
    """Find the end next door: on the neighbouring line, row beside ours, end nearest.

    Rows reach from ``far`` to ``near``, both counted outward.
    """
    first = np.searchsorted(line, line + neighbour, side="left")
    beyond = np.searchsorted(line, line + neighbour, side="right")
    best = np.full(len(ends), -1)
    gap = np.full(len(ends), np.inf)
    for part in range(int((beyond - first).max(initial=0))):
        other = np.minimum(first + part, len(ends) - 1)
        apart = np.abs(near[other] - near)
        nearer = (first + part < beyond) & (far[other] < near) & (far < near[other]) & (apart < gap)
        best[nearer] = ends[other[nearer]]
        gap[nearer] = apart[nearer]
    return best


def _near_rows(
    beside: NDArray[np.int64], middle: NDArray[np.int64], reach: int
) -> NDArray[np.int64]:
    """Find ends up to ``reach`` rows to either side, shape (n, 2 reach + 1); -1 for none."""
    columns = [middle]
    for column in (0, 1):
        at = middle
        for _ in range(reach):
            at = np.where(at >= 0, beside[at, column], -1)
            columns.append(at)
    return np.stack(columns, axis=1)


def _ways(
    positions: Positions,
    ends: _Ends,
    middle: NDArray[np.int64],
    start_m: NDArray[np.float64],
    turn_path: NDArray[np.float64],
) -> NDArray[np.object_]:
    """Ways driven, as lines: out of one alley, around, into the other."""
    frame = axes(positions.rows.bearing_deg)
    # Axis 0 is the place, axis 1 runs along the way.
    outward = start_m[:, None] + np.pad(turn_path[:, 1], 1)
    outward[:, 0] = outward[:, -1] = ends.post_m[middle]
    sideways = np.pad(turn_path[:, 0], 1, mode="edge")
    across = ends.across_m[middle, None] + sideways
    along = ends.side[middle, None] * outward
    xy = np.stack(
        [
            across * frame.across_x + along * frame.along_x,
            across * frame.across_y + along * frame.along_y,
        ],
        axis=-1,
    )
    return np.asarray(shapely.linestrings(xy), dtype=object)


def _inside(
    ways: NDArray[np.object_], field: BaseGeometry, edge: BaseGeometry, half_width_m: float
) -> NDArray[np.bool_]:
    """Whether ways stay half a machine's width inside the field."""
    inside: NDArray[np.bool_] = shapely.contains(field, ways)
    inside[inside] = ~shapely.dwithin(edge, ways[inside], half_width_m)
    return inside
