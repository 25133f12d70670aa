"""Compare all row directions of a block, and recommend one."""

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.layout.alleys import cut, spread
from aanplant.layout.lattice import Lattice, Pattern
from aanplant.layout.plantable import HeadlandRule, kept_room
from aanplant.layout.rows import open_ground
from aanplant.layout.scanlines import Pieces, boundary, free_pieces, turned
from aanplant.layout.turns import Machine, Turn, fitting, possible

VINES_WITHIN = 0.01
"""Share of the most vines a recommended direction may lose (judgement)."""
SAME = 1e-9
"""Relative difference below which two values are the same."""


@dataclass(frozen=True, slots=True)
class Criterion:
    """Something by which directions differ.

    Parameters
    ----------
    name : str
        Such as ``vines`` or ``interception``.
    better : {"up", "down"}
        Whether more or less of it is better.
    values : ndarray, shape (n_bearings,)
        One a bearing.
    """

    name: str
    better: Literal["up", "down"]
    values: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Sweep:
    """Directions compared, as columns of shape (n_bearings,), each with its best offset.

    Parameters
    ----------
    bearing_deg : ndarray
        Clockwise from the y axis. [deg]
    offset_m : ndarray
        Offset with the most vines, the smallest of several. [m]
    vines : ndarray, int64
        Vines.
    rows : ndarray, int64
        Lattice lines that hold a row.
    row_ends : ndarray, int64
        Two for every piece of row.
    mean_row_length_m : ndarray
        Of the fitted pieces that hold a vine; 0 when there are none. [m]
    short_rows : ndarray, int64
        Pieces left out as too short, and pieces kept but shorter than ``short_row_m``.
    machine_time_h : ndarray
        One pass along every piece of row with a turn after each. [h]
    turn : Turn
        The turn that was reckoned with.
    extra : tuple of Criterion
        What others added.
    """

    bearing_deg: NDArray[np.float64]
    offset_m: NDArray[np.float64]
    vines: NDArray[np.int64]
    rows: NDArray[np.int64]
    row_ends: NDArray[np.int64]
    mean_row_length_m: NDArray[np.float64]
    short_rows: NDArray[np.int64]
    machine_time_h: NDArray[np.float64]
    turn: Turn
    extra: tuple[Criterion, ...] = field(default=())

    def __len__(self) -> int:
        return len(self.bearing_deg)

    @property
    def criteria(self) -> tuple[Criterion, ...]:
        """All criteria: vines and row length up; ends, machine time and short rows down."""
        return (
            Criterion("vines", "up", self.vines.astype(np.float64)),
            Criterion("row_ends", "down", self.row_ends.astype(np.float64)),
            Criterion("mean_row_length_m", "up", self.mean_row_length_m),
            Criterion("machine_time_h", "down", self.machine_time_h),
            Criterion("short_rows", "down", self.short_rows.astype(np.float64)),
            *self.extra,
        )

    def with_criterion(self, criterion: Criterion) -> "Sweep":
        """Add a criterion, such as sunlight or slope along the row.

        Raises
        ------
        ValueError
            If the name is taken or there is not one value a bearing.
        """
        if criterion.name in {known.name for known in self.criteria}:
            raise ValueError(f"there is a criterion {criterion.name!r} already")
        if criterion.values.shape != self.bearing_deg.shape:
            raise ValueError(f"need {len(self)} values, got shape {criterion.values.shape}")
        return dataclasses.replace(self, extra=(*self.extra, criterion))


def sweep(
    area: BaseGeometry,
    row_width_m: float,
    vine_spacing_m: float,
    *,
    bearings_deg: NDArray[np.float64] | Sequence[float] = tuple(range(180)),
    offsets: int = 10,
    pattern: Pattern = "square",
    end_gap_m: float = 0.0,
    phase_m: float = 0.0,
    headland_m: float = 0.0,
    side_margin_m: float = 0.0,
    shortest_m: float = 0.0,
    longest_m: float | None = None,
    cross_alley_m: float = 0.0,
    exclusions: Sequence[BaseGeometry] = (),
    headland_rule: HeadlandRule = "along the row",
    machine: Machine | None = None,
    short_row_m: float = 50.0,
) -> Sweep:
    """Fit rows at every bearing and offset, and count.

    Rows and vines are found by the very functions of ``rows.fit`` and
    ``positions.count``; nothing is placed. All offsets of a bearing are fitted at once,
    as lines a step apart. Only cross alleys are simpler than in ``fit``: one set for
    all offsets of a bearing, so a count may differ by a few vines where rows are cut.

    Parameters
    ----------
    area, row_width_m, headland_m, side_margin_m, shortest_m, longest_m, cross_alley_m, exclusions,
    headland_rule
        As for ``rows.fit``.
    vine_spacing_m, pattern, end_gap_m, phase_m
        As for ``positions.place``.
    bearings_deg : sequence of float
        Bearings to compare. [deg]
    offsets : int
        Offsets tried at each, evenly spaced over a row width from 0.
    machine : Machine, optional
        Whose time is reckoned; its turn is the best that goes into ``headland_m``,
        the least deep one when none does.
    short_row_m : float
        Rows below this count as short (judgement). [m]

    Returns
    -------
    Sweep

    Raises
    ------
    ValueError
        If a number is out of range.
    """
    if offsets < 1 or not row_width_m > 0.0:
        raise ValueError(f"offsets and row width must be above 0, got {offsets} and {row_width_m}")
    edges = boundary(open_ground(area, exclusions))
    lattice = Lattice(vine_spacing_m, pattern, end_gap_m, phase_m)
    step = row_width_m / offsets
    found = []
    for bearing in bearings_deg:
        across = turned(edges, bearing)
        headland, margin = kept_room(across, headland_m, side_margin_m, headland_rule)
        pieces = free_pieces(across, step, 0.0, headland, margin)
        pieces = cut(pieces, spread(pieces, longest_m, cross_alley_m))
        found.append(_best_offset(pieces, offsets, lattice, shortest_m, short_row_m))
    offset, vines, rows, parts, length, short = (
        np.array(column) for column in zip(*found, strict=True)
    )
    machine = machine or Machine()
    turn = _usual_turn(machine, row_width_m, headland_m)
    return Sweep(
        bearing_deg=np.asarray(bearings_deg, dtype=np.float64),
        offset_m=offset * step,
        vines=vines,
        rows=rows,
        row_ends=2 * parts,
        mean_row_length_m=length / np.maximum(parts, 1),
        short_rows=short,
        machine_time_h=np.asarray(machine.pass_time_s(length, parts, turn)) / 3600.0,
        turn=turn,
    )


def pareto(sweep: Sweep) -> NDArray[np.bool_]:
    """Find bearings that no other beats: as good in every criterion and better in one.

    Shape (n_bearings,).
    """
    # Axis 0 is the bearing judged, axis 1 the one that may beat it, axis 2 the criterion.
    good = _upward(sweep)
    at_least = np.all(good[None, :, :] >= good[:, None, :], axis=2)
    more = np.any(good[None, :, :] > good[:, None, :], axis=2)
    return np.asarray(~np.any(at_least & more, axis=1), dtype=np.bool_)


def recommend(
    sweep: Sweep,
    *,
    vines_within: float = VINES_WITHIN,
    weights: Mapping[str, float] | None = None,
) -> int:
    """Index of the bearing to take.

    Among the bearings that no other beats and whose vines are within ``vines_within``
    of the most, the one with the least machine time; of equals the smallest bearing.
    (Vines hardly differ from one direction to the next; row ends, turns and short rows
    do.) With ``weights`` the choice among the same bearings is by the least weighted
    sum of shortfalls: how far a criterion is from its best among them, as a share of
    its range among them.

    Parameters
    ----------
    sweep : Sweep
        Directions compared.
    vines_within : float
        Share of the most vines that may be given up. [-]
    weights : mapping of str to float, optional
        Weight of each criterion that counts, by name.

    Raises
    ------
    ValueError
        If the sweep is empty or a weight names no criterion.
    """
    if not len(sweep):
        raise ValueError("there are no bearings to choose from")
    weights = {"machine_time_h": 1.0} if weights is None else weights
    names = [criterion.name for criterion in sweep.criteria]
    unknown = set(weights) - set(names)
    if unknown:
        raise ValueError(f"no criterion {', '.join(sorted(unknown))}; there are {', '.join(names)}")
    enough = sweep.vines >= (1.0 - vines_within) * sweep.vines.max()
    candidates = np.flatnonzero(pareto(sweep) & enough)
    good = _upward(sweep)[candidates]
    best, span = good.max(axis=0), np.ptp(good, axis=0)
    shortfall = (best - good) / np.where(span > SAME * np.abs(best), span, np.inf)
    score = shortfall @ np.array([weights.get(name, 0.0) for name in names])
    level = candidates[score <= score.min() + SAME]
    return int(level[np.argmin(sweep.bearing_deg[level])])


def _upward(sweep: Sweep) -> NDArray[np.float64]:
    """Criteria turned so that more is better, shape (n_bearings, n_criteria)."""
    return np.stack([c.values if c.better == "up" else -c.values for c in sweep.criteria], axis=1)


def _best_offset(
    pieces: Pieces, offsets: int, lattice: Lattice, shortest_m: float, short_row_m: float
) -> tuple[int, int, int, int, float, int]:
    """Offset number with the most vines; its vines, lines, pieces, length and short pieces."""
    length = pieces.length_m
    line, offset = np.divmod(pieces.line, offsets)
    vines = lattice.vines_in(line, pieces.along_from_m, pieces.along_to_m)
    vines[length < shortest_m] = 0
    total = np.bincount(offset, weights=vines, minlength=offsets)
    best = int(total.argmax())
    mine = np.flatnonzero(offset == best)
    held = mine[vines[mine] > 0]
    lines = int(np.count_nonzero(np.diff(line[held]))) + 1 if len(held) else 0
    short = int(np.count_nonzero(length[mine] < max(short_row_m, shortest_m)))
    return best, int(total[best]), lines, len(held), float(length[held].sum()), short


def _usual_turn(machine: Machine, row_width_m: float, headland_m: float) -> Turn:
    fits = fitting(
        machine.turning_radius_m, row_width_m, room_m=headland_m, machine_width_m=machine.width_m
    )
    return fits or possible(machine.turning_radius_m, row_width_m)[-1]
