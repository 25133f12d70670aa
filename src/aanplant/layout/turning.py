"""Whether a machine can turn at every row end without leaving the field or touching a trellis."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.layout.positions import Positions
from aanplant.layout.scanlines import Axes, axes, boundary, free_pieces, turned
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
    """

    turns: tuple[Turn, ...]
    machine_width_m: float
    room_ahead_m: NDArray[np.float64]
    room_right_angle_m: NDArray[np.float64]
    end: NDArray[np.int64]
    kind: NDArray[np.str_]
    xy: NDArray[np.float64]

    @property
    def failed_xy(self) -> NDArray[np.float64]:
        """Row ends around which no turn fits, shape (n, 2). [m]."""
        return self.xy[self.kind == NONE]

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
    anchor_distance_m: float,
) -> TurnRoom:
    """Drive every turn between neighbouring alleys and see whether it fits.

    The machine drives out of one alley until the turn lies wholly beyond the anchors of
    all rows it swings past, turns, and drives back into the next alley. Its way fits
    when a strip of its width along it lies inside the field and touches no other row,
    end post or anchor (rows across an alley, or behind an exclusion). Length and
    overhang of machine and implement are left out: give a width that covers them.

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
    anchor_distance_m : float
        How far anchors stand beyond end posts. [m]

    Returns
    -------
    TurnRoom

    Raises
    ------
    ValueError
        If a distance is out of range.
    """
    if not (machine_width_m > 0.0 and anchor_distance_m >= 0.0):
        raise ValueError(f"bad widths: machine {machine_width_m}, anchor {anchor_distance_m}")
    step = positions.rows.row_width_m
    turns = possible(turning_radius_m, step)
    ahead, right_angle = _room(positions, field)
    ends = _ends(positions)
    end = np.flatnonzero((ends.beside >= 0).all(axis=1))
    kind = np.full(len(end), NONE, dtype="<U8")
    for turn in turns:
        open_places = np.flatnonzero(kind == NONE)
        middle = end[open_places]
        # Rows the turn swings past on either side of the one in the middle.
        past = int((turn.half_extent_m + machine_width_m / 2.0) // step)
        near = _near_rows(ends.beside, middle, max(past, 1))
        outward = np.where(near >= 0, ends.outward_m[near], -np.inf).max(axis=1)
        ways = _ways(
            ends, middle, outward + anchor_distance_m, path(turn, turning_radius_m, step),
            axes(positions.rows.bearing_deg), step,
        )  # fmt: skip
        own = np.where(near >= 0, positions.end_posts_piece[near], -1)
        fits = _inside(ways, field, machine_width_m / 2.0)
        fits &= ~_touches(positions, ways, own, anchor_distance_m, machine_width_m / 2.0)
        kind[open_places[fits]] = turn.kind
    return TurnRoom(
        turns, machine_width_m, ahead, right_angle, end, kind, positions.end_posts_xy[end]
    )


class _Ends(NamedTuple):
    """End posts as columns, shape (n_end_posts,).

    ``side`` is 1 where the post faces along the bearing, -1 against it; ``outward_m`` its
    distance from the origin that way; ``beside`` the end posts of the rows on its low and
    high side that face the same way, -1 for none, shape (n_end_posts, 2).
    """

    across_m: NDArray[np.float64]
    outward_m: NDArray[np.float64]
    side: NDArray[np.float64]
    beside: NDArray[np.int64]


def _ends(positions: Positions) -> _Ends:
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
    return _Ends(rows.across_m[positions.end_posts_piece], outward, side, beside)


def _beside(
    ends: NDArray[np.int64],
    line: NDArray[np.int64],
    far: NDArray[np.float64],
    near: NDArray[np.float64],
    neighbour: int,
) -> NDArray[np.int64]:
    """Ends on the neighbouring line whose row lies beside ours and ends nearest to it.

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
    """Ends up to ``reach`` rows to either side, shape (n_places, 2 reach + 1); -1 for none."""
    columns = [middle]
    for column in (0, 1):
        at = middle
        for _ in range(reach):
            at = np.where(at >= 0, beside[at, column], -1)
            columns.append(at)
    return np.stack(columns, axis=1)


def _ways(
    ends: _Ends,
    middle: NDArray[np.int64],
    start_m: NDArray[np.float64],
    turn_path: NDArray[np.float64],
    frame: Axes,
    step_m: float,
) -> NDArray[np.object_]:
    """Ways driven, as lines: out of one alley, around, into the other."""
    outward = start_m[:, None] + np.pad(turn_path[:, 1], 1)
    outward[:, 0] = outward[:, -1] = ends.outward_m[middle]
    sideways = np.pad(turn_path[:, 0], 1, constant_values=(-step_m / 2.0, step_m / 2.0))
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
    ways: NDArray[np.object_], field: BaseGeometry, half_width_m: float
) -> NDArray[np.bool_]:
    """Whether ways stay half a machine's width inside the field."""
    edge = shapely.boundary(field)
    shapely.prepare([field, edge])
    inside: NDArray[np.bool_] = shapely.contains(field, ways)
    inside[inside] = ~shapely.dwithin(edge, ways[inside], half_width_m)
    return inside


def _touches(
    positions: Positions,
    ways: NDArray[np.object_],
    own: NDArray[np.int64],
    anchor_distance_m: float,
    half_width_m: float,
) -> NDArray[np.bool_]:
    """Whether ways come within half a machine's width of a row that is not their own."""
    anchors = positions.end_posts_xy + anchor_distance_m * positions.end_posts_outward_xy
    trellis = np.asarray(shapely.linestrings(anchors.reshape(-1, 2, 2)), dtype=object)
    way, row = shapely.STRtree(trellis).query(ways, predicate="dwithin", distance=half_width_m)
    foreign = (positions.end_posts_piece[::2][row][:, None] != own[way]).all(axis=1)
    touches = np.zeros(len(ways), dtype=bool)
    touches[way[foreign]] = True
    return touches


def _room(
    positions: Positions, field: BaseGeometry
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Room ahead of every end post, straight on and at right angles to the edge."""
    rows = positions.rows
    frame = axes(rows.bearing_deg)
    along_xy = np.array([frame.along_x, frame.along_y])
    side = np.sign(positions.end_posts_outward_xy @ along_xy)
    along = positions.end_posts_xy @ along_xy
    line = rows.line[positions.end_posts_piece]
    edges = turned(boundary(field), rows.bearing_deg)
    # Where the edge is met on the row's own line and on the alley lines beside it.
    half_lines = free_pieces(edges, rows.row_width_m / 2.0, rows.offset_m)
    low, here, high = (
        _edge_ahead(half_lines.line, half_lines.along_from_m, half_lines.along_to_m,
                    2 * line + shift, along, side)
        for shift in (-1, 0, 1)
    )  # fmt: skip
    ahead = np.where(np.isnan(here), 0.0, np.abs(here - along))
    lean = np.where(np.isnan(low), 2.0 * (high - here), high - low)
    lean = np.where(np.isnan(high), 2.0 * (here - low), lean) / rows.row_width_m
    facing = ahead / np.hypot(1.0, np.nan_to_num(lean))
    nearest = shapely.distance(shapely.boundary(field), shapely.points(positions.end_posts_xy))
    return ahead, np.maximum(facing, nearest)


def _edge_ahead(
    piece_line: NDArray[np.int64],
    piece_from: NDArray[np.float64],
    piece_to: NDArray[np.float64],
    line: NDArray[np.int64],
    along: NDArray[np.float64],
    side: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Where the piece of line that holds a point ends on the point's side; nan if none does."""
    if not len(piece_line):
        return np.full(len(line), np.nan)
    floor = min(float(piece_from.min()), float(along.min(initial=np.inf)))
    span = max(float(piece_to.max()), float(along.max(initial=-np.inf))) - floor + 1.0
    at = np.searchsorted(piece_line * span + (piece_from - floor), line * span + (along - floor),
                         side="right") - 1  # fmt: skip
    holds = (at >= 0) & (piece_line[at] == line) & (piece_to[at] >= along)
    return np.where(holds, np.where(side > 0, piece_to[at], piece_from[at]), np.nan)
