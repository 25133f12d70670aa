"""The linear programme of pipe sizes: cost to keep low, heads to keep up, joints to taper.

Variables, in this order: the share of each reach that is of each size allowed in it, the head
where each use of a reach ends, the pump's head, and noughts and ones for what a linear programme
cannot say (Karmeli, Gadish and Meyers 1968, recalled from memory, for the linear part).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from aanplant.water.reaches import SOURCE, Places, Reaches

Values = NDArray[np.float64]
Entry = tuple[Places, Places, Values]
MOST_SIZES = 2
"""Pipe sizes in one reach."""


@dataclass(frozen=True)
class HeadForSale:
    """Head that a pump may add for all sets, priced.

    Parameters
    ----------
    least_m, most_m : float
        Between which it is chosen. [m]
    price_per_m : float
        What a metre of it costs over all sets, in the unit of the pipes' cost. [1/m]
    """

    least_m: float
    most_m: float
    price_per_m: float


@dataclass(frozen=True)
class Solved:
    """What the solver found.

    Parameters
    ----------
    share : ndarray, shape (n_reaches, n_options)
        Of each reach in each size. [-]
    pump_head_m : float
        [m]
    price_of_head : ndarray, shape (n_sets,)
        Cost saved by another metre of head at the source while a set runs; nan where sizes
        were chosen by noughts and ones. [1/m]
    """

    share: Values
    pump_head_m: float
    price_of_head: Values


@dataclass
class Model:
    """Rows and columns, to which rules are added as they turn out to be broken."""

    reaches: Reaches
    gradient: Values
    cost_per_m: Values
    allowed: NDArray[np.bool_]
    source_head_m: Values
    pump: HeadForSale | None
    whole: bool
    rank: Places
    widens: bool = False
    joints: list[int] = field(default_factory=list)
    crowded: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Give every size that a reach may have its column."""
        self._reach, self._option = np.nonzero(self.allowed)
        self._column = np.full(self.allowed.shape, -1)
        self._column[self._reach, self._option] = np.arange(len(self._reach))
        self._heads = len(self._reach)
        self._pump = self._heads + len(self.reaches.reach)
        self._binaries = self._pump + (self.pump is not None)

    def solve(self) -> Solved | None:
        """Find the cheapest sizes under the rules added so far; None where there are none."""
        from scipy.optimize import linprog  # noqa: PLC0415 - costs a quarter of a second

        equal, right = self._equalities()
        most, limit, binaries = self._rules()
        columns = self._binaries + binaries
        whole_numbers = np.zeros(columns)
        whole_numbers[self._binaries :] = 1
        if self.whole:
            whole_numbers[: self._heads] = 1
        is_linear = not whole_numbers.any()
        found = linprog(
            self._costs(columns),
            A_ub=_matrix(most, len(limit), columns) if limit else None,
            b_ub=limit or None,
            A_eq=_matrix(equal, len(right), columns),
            b_eq=right,
            bounds=self._bounds(columns),
            integrality=None if is_linear else whole_numbers,
            method="highs-ds" if is_linear else "highs",
            options={} if is_linear else {"mip_rel_gap": 0.0},
        )
        if found.x is None:
            return None
        share = np.zeros(self.allowed.shape)
        share[self._reach, self._option] = found.x[: self._heads]
        head = 0.0 if self.pump is None else float(found.x[self._pump])
        prices = np.full(self.reaches.n_sets, np.nan)
        if is_linear:
            at_source = self.reaches.up == SOURCE
            rows = len(self.reaches.parent) + np.flatnonzero(at_source)
            prices = np.zeros(self.reaches.n_sets)
            np.add.at(prices, self.reaches.set[at_source], -found.eqlin.marginals[rows])
        return Solved(share, head, prices)

    def _costs(self, columns: int) -> Values:
        cost = np.zeros(columns)
        lengths = self.reaches.length_m[self._reach]
        cost[: self._heads] = self.cost_per_m[self._reach, self._option] * lengths
        if self.pump is not None:
            cost[self._pump] = self.pump.price_per_m
        return cost

    def _bounds(self, columns: int) -> Values:
        bounds = np.tile([0.0, 1.0], (columns, 1))
        bounds[self._heads : self._pump, 0] = self.reaches.least_head_m
        bounds[self._heads : self._pump, 1] = np.inf
        if self.pump is not None:
            bounds[self._pump] = self.pump.least_m, self.pump.most_m
        return bounds

    def _equalities(self) -> tuple[list[Entry], Values]:
        """Every reach is filled; every use loses the head of the sizes it runs through."""
        reaches = self.reaches
        first = len(reaches.parent)
        use, option = np.nonzero(self.allowed[reaches.reach])
        of = reaches.reach[use]
        below = np.flatnonzero(reaches.up != SOURCE)
        above = np.flatnonzero(reaches.up == SOURCE)
        uses = np.arange(len(reaches.reach))
        entries = [
            (self._reach, np.arange(self._heads), np.ones(self._heads)),
            (
                first + use,
                self._column[of, option],
                self.gradient[use, option] * reaches.length_m[of],
            ),
            (first + uses, self._heads + uses, np.ones(len(uses))),
            (first + below, self._heads + reaches.up[below], -np.ones(len(below))),
        ]
        if self.pump is not None:
            entries.append((first + above, np.full(len(above), self._pump), -np.ones(len(above))))
        given = np.where(reaches.up == SOURCE, self.source_head_m[reaches.set], 0.0)
        return entries, np.concatenate([np.ones(first), given - reaches.fixed_loss_m])

    def _rules(self) -> tuple[list[Entry], list[float], int]:
        """Joints that must taper and reaches that must do with two sizes."""
        entries: list[Entry] = []
        limits: list[float] = []
        next_binary = self._binaries

        def add(columns: Iterable[tuple[Sequence[int] | Places, float]], limit: float) -> None:
            for places, value in columns:
                at = np.asarray(places, np.intp)
                entries.append((np.full(len(at), len(limits)), at, np.full(len(at), value)))
            limits.append(limit)

        above = self.reaches.pipe_above()
        for reach in self.joints:
            for step in self._steps():
                child = self._as_large(reach, step)
                parent = self._as_large(int(above[reach]), step)
                if self.whole or self.widens:
                    add([(child, 1.0), (parent, -1.0)], 0.0)
                    continue
                add([(child, 1.0), ([next_binary], -1.0)], 0.0)
                add([([next_binary], 1.0), (parent, -1.0)], 0.0)
                next_binary += 1
        for reach in self.crowded:
            sizes = self._column[reach][self.allowed[reach]]
            for place, size in enumerate(sizes):
                add([([int(size)], 1.0), ([next_binary + place], -1.0)], 0.0)
            add([(np.arange(next_binary, next_binary + len(sizes)), 1.0)], float(MOST_SIZES))
            next_binary += len(sizes)
        return entries, limits, next_binary - self._binaries

    def _steps(self) -> Places:
        return np.unique(self.rank)[1:]

    def _as_large(self, reach: int, step: int) -> Places:
        """Columns of the sizes of a reach that are of a rank or above."""
        return np.asarray(self._column[reach][self.allowed[reach] & (self.rank >= step)])


def _matrix(entries: Sequence[Entry], rows: int, columns: int) -> object:
    from scipy.sparse import coo_matrix  # noqa: PLC0415 - comes with the solver

    row, column, value = (np.concatenate([entry[i] for entry in entries]) for i in range(3))
    return coo_matrix((value, (row, column)), (rows, columns)).tocsr()
