"""Compare all row directions of a block."""

import dataclasses
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.layout.alleys import cut, spread
from aanplant.layout.lattice import Lattice, Pattern
from aanplant.layout.plantable import HeadlandRule, kept_room
from aanplant.layout.row_frame import boundary, turned
from aanplant.layout.rows import Rows, open_ground, rows_of
from aanplant.layout.scanlines import Pieces, free_pieces
from aanplant.layout.steepness import RowLimit
from aanplant.layout.turns import Machine, Turn, fitting, possible

VINES_WITHIN = 0.01
"""Share of the most vines a recommended direction may lose (judgement)."""
SMALL_SHARE = 0.05
SMALL_SHARE_VINES = 0.01
"""Things counted that differ by a smaller share over all bearings count for less (judgement)."""


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
    step : float
        The least range that counts whole when criteria are weighed: where bearings differ
        by less, the criterion counts for less.
    """

    name: str
    better: Literal["up", "down"]
    values: NDArray[np.float64]
    step: float = 0.0

    @property
    def good(self) -> NDArray[np.float64]:
        """Values turned so that more is better."""
        return self.values if self.better == "up" else -self.values


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
    weights : mapping of str to float, optional
        Weight of each criterion, by name; None where nothing is said.
    vines_within : float
        Share of the most vines that a bearing chosen may give up. [-]
    limits : tuple of RowLimit
        What no row should pass, with what the rows of each bearing have.
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
    weights: Mapping[str, float] | None = None
    vines_within: float = VINES_WITHIN
    limits: tuple[RowLimit, ...] = field(default=())

    def __len__(self) -> int:
        return len(self.bearing_deg)

    @property
    def criteria(self) -> tuple[Criterion, ...]:
        """All criteria: vines and row length up; ends, machine time and short rows down."""
        counted: tuple[tuple[str, Literal["up", "down"], float], ...] = (
            ("vines", "up", SMALL_SHARE_VINES),
            ("row_ends", "down", SMALL_SHARE),
            ("mean_row_length_m", "up", SMALL_SHARE),
            ("machine_time_h", "down", SMALL_SHARE),
            ("short_rows", "down", SMALL_SHARE),
        )
        made = []
        for name, better, share in counted:
            values = np.asarray(getattr(self, name), dtype=np.float64)
            made.append(Criterion(name, better, values, share * float(values.max(initial=0.0))))
        return (*made, *self.extra)

    @property
    def weighed(self) -> tuple[Criterion, ...]:
        """Criteria that count: vines, and all with a weight; all where no weights are given."""
        if self.weights is None:
            return self.criteria
        weights = self.weights
        return tuple(
            criterion
            for criterion in self.criteria
            if criterion.name == "vines" or weights.get(criterion.name, 0.0) > 0.0
        )

    @property
    def is_within(self) -> NDArray[np.bool_]:
        """Whether the rows of a bearing keep within all limits, shape (n_bearings,)."""
        passed = [row_limit.is_passed for row_limit in self.limits]
        return np.asarray(~np.any([np.zeros(len(self), np.bool_), *passed], axis=0))

    @property
    def is_open(self) -> NDArray[np.bool_]:
        """Whether a bearing may be chosen, shape (n_bearings,).

        Those within all limits; where there is none, those that come nearest to it: their worst
        place is the least share of its limit.
        """
        if self.is_within.any() or not len(self):
            return self.is_within
        return np.asarray(self.worst_share <= self.worst_share.min())

    @property
    def worst_share(self) -> NDArray[np.float64]:
        """Worst place of a bearing's rows as a share of its limit, shape (n_bearings,). [-]."""
        shares = [row_limit.share for row_limit in self.limits]
        return np.asarray(np.max([np.zeros(len(self)), *shares], axis=0))

    def out_by(self, at: int) -> tuple[str, ...]:
        """Names of the limits that the rows of one bearing pass."""
        return tuple(each.limit.name for each in self.limits if each.is_passed[at])

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
    look_at: Callable[[Rows], None] | None = None,
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
    look_at : callable, optional
        Called with the rows of each bearing in turn, at its best offset.

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
        whole = free_pieces(across, step, 0.0, headland, margin)
        pieces = cut(whole, spread(whole, longest_m, cross_alley_m))
        found.append(_best_offset(pieces, offsets, lattice, shortest_m, short_row_m))
        if look_at is not None:
            best = found[-1][0]
            own = whole.where(whole.line % offsets == best)
            look_at(
                rows_of(
                    own._replace(line=own.line // offsets),
                    bearing,
                    row_width_m,
                    best * step,
                    shortest_m=shortest_m,
                    longest_m=longest_m,
                    cross_alley_m=cross_alley_m,
                )
            )
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
