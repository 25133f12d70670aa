"""Pipes that branch and never meet again: sums and equations along them, run by run."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

_ROOT = -1
Floats = NDArray[np.float64]
Indices = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class _Rank:
    """Runs of pipe that are worked on together, one after the other in the arrays.

    Parameters
    ----------
    start, stop : int
        Their places in the order of the tree.
    tops : ndarray of int, shape (n_runs,)
        Place of the node of each run that is nearest to the source.
    onto : ndarray of int, shape (n_runs,)
        Place of the node each run hangs on, ``_ROOT`` for the source.
    """

    start: int
    stop: int
    tops: Indices
    onto: Indices

    @property
    def last(self) -> int:
        """Return the end of what lies between its nodes; LAPACK wants one even for a lone node."""
        return max(self.stop - 1, self.start + 1)


class Tree:
    """A tree of pipes cut into runs, so that each step is one call for thousands of nodes.

    Every node but the source belongs to one run: a lateral, say, or a whole submain with the
    last of its laterals. In the order of the tree a run is contiguous, from its far end to its
    top, and every run comes before the one it hangs on. At a fork the branch with the
    most nodes carries on the run, so there are at most ``log2 n`` ranks of runs.

    Parameters
    ----------
    parent : ndarray of int, shape (n,)
        Node upstream of each, ``parent[i] < i``; that of node 0 is not read.

    Attributes
    ----------
    order : ndarray of int, shape (n - 1,)
        Node at each place.
    """

    __slots__ = ("_band", "_in_run", "_ranks", "order")

    def __init__(self, parent: Indices) -> None:
        run, runs_rank = _runs(parent)
        nodes = parent.size
        turn = np.argsort(runs_rank, kind="stable")
        place_of_run = np.empty_like(turn)
        place_of_run[turn] = np.arange(turn.size)
        key = place_of_run[run[1:]] * nodes + (nodes - 1 - np.arange(1, nodes))
        self.order = np.argsort(key, kind="stable") + 1  # fast where runs are in order already
        place = np.full(nodes, _ROOT)
        place[self.order] = np.arange(nodes - 1)
        upstream = place[parent[self.order]]
        run_at = run[self.order]
        is_top = np.append(run_at[1:] != run_at[:-1], True)[: nodes - 1]
        self._in_run = np.where(is_top, 0.0, 1.0)
        # The two diagonals of a triangular matrix that adds a run up from its far end.
        self._band = np.asfortranarray(np.vstack([np.ones(nodes - 1), -self._in_run]))
        tops = np.flatnonzero(is_top)
        rank = runs_rank[run_at[tops]]
        ends = np.searchsorted(rank, np.arange(rank[-1] + 1 if rank.size else 0), side="right")
        self._ranks: list[_Rank] = []
        first = 0
        for end in ends:
            mine = tops[first:end]
            start = 0 if first == 0 else int(tops[first - 1]) + 1
            self._ranks.append(_Rank(start, int(mine[-1]) + 1, mine, upstream[mine]))
            first = int(end)

    def gather(self, outflow: Floats) -> Floats:
        """Sum of what leaves at each node and beyond it: the flow of its pipe."""
        total = outflow.copy()
        for rank in self._ranks:
            piece = slice(rank.start, rank.stop)
            total[piece] = _triangular(self._band[:, piece], total[piece], "N")
            _add(total, rank.onto, total[rank.tops])
        return total

    def descend(self, source: float, loss: Floats) -> Floats:
        """Head at each node: that of the source less every loss on the way."""
        head = -loss
        for rank in reversed(self._ranks):
            head[rank.tops] += np.where(rank.onto == _ROOT, source, head[rank.onto])
            piece = slice(rank.start, rank.stop)
            head[piece] = _triangular(self._band[:, piece], head[piece], "T")
        return head

    def change_of_head(self, pipe: Floats, outlet: Floats, short: Floats) -> Floats:
        """Rise of head at each node that brings every flow into balance, to first order.

        Parameters
        ----------
        pipe, outlet : ndarray, shape (n - 1,)
            Flow gained for each metre of head, by pipe and by outlet. [m2/s]
        short : ndarray, shape (n - 1,)
            Flow by which the outlets of each node fall short of their own law. [m3/s]

        Returns
        -------
        ndarray, shape (n - 1,)
            In the order of the tree. [m]
        """
        from scipy.linalg.lapack import dpttrf, dpttrs  # noqa: PLC0415 - heavy

        beside = -pipe * self._in_run  # to the next node of the run
        diagonal = outlet + pipe
        diagonal[1:] -= beside[:-1]
        load = -short
        factors = []
        for rank in self._ranks:
            piece = slice(rank.start, rank.stop)
            pivots, off, _ = dpttrf(diagonal[piece], beside[rank.start : rank.last])
            factors.append((pivots, off))
            alone, _ = dpttrs(pivots, off, load[piece])
            reach, pivot = pipe[rank.tops], pivots[rank.tops - rank.start]
            _add(diagonal, rank.onto, reach - reach * reach / pivot)
            _add(load, rank.onto, reach * alone[rank.tops - rank.start])
        rise = load
        for rank, (pivots, off) in zip(reversed(self._ranks), reversed(factors), strict=True):
            above = np.where(rank.onto == _ROOT, 0.0, rise[rank.onto])
            rise[rank.tops] += pipe[rank.tops] * above
            piece = slice(rank.start, rank.stop)
            rise[piece], _ = dpttrs(pivots, off, rise[piece])
        return rise


def _triangular(band: Floats, right: Floats, transposed: str) -> Floats:
    from scipy.linalg.lapack import dtbtrs  # noqa: PLC0415 - heavy

    solved, _ = dtbtrs(band, right[:, None], uplo="L", trans=transposed, diag="U")
    return np.asarray(solved[:, 0])


def _add(values: Floats, places: Indices, what: Floats) -> None:
    """Add onto the places, several times where one is named twice; the source takes none."""
    hung = places != _ROOT
    np.add.at(values, places[hung], what[hung])


def _runs(parent: Indices) -> tuple[Indices, Indices]:
    """Run of every node and rank of every run; those of rank 0 carry no others."""
    nodes = parent.size
    children = np.bincount(parent[1:], minlength=nodes)
    heads = children[parent] != 1
    heads[:2] = True
    heads |= parent == 0  # what hangs on the source starts a run
    # Stretches without a fork: each node finds the head of its own by jumps that double.
    head = np.where(heads, np.arange(nodes), parent)
    while True:
        further = head[head]
        if np.array_equal(further, head):
            break
        head = further
    tops = np.flatnonzero(heads)
    stretch = np.searchsorted(tops, head)
    size = np.bincount(stretch).tolist()
    onto = stretch[parent[tops]].tolist()
    run_of_stretch, ranks = _join(onto, size)
    return run_of_stretch[stretch], ranks


def _join(onto: list[int], size: list[int]) -> tuple[Indices, Indices]:
    """Join each stretch to the heaviest that follows it; stretch 0 is the source alone."""
    count = len(onto)
    weight, heaviest, follows = size[:], [0] * count, [0] * count
    for i in range(count - 1, 0, -1):
        up = onto[i]
        weight[up] += weight[i]
        if weight[i] > heaviest[up]:
            heaviest[up], follows[up] = weight[i], i
    run, tops = [0] * count, [0]
    for i in range(1, count):
        if onto[i] and follows[onto[i]] == i:
            run[i] = run[onto[i]]
        else:
            run[i] = len(tops)
            tops.append(i)
    rank = [0] * len(tops)
    for number in range(len(tops) - 1, 0, -1):
        up = run[onto[tops[number]]]
        rank[up] = max(rank[up], rank[number] + 1)
    return np.array(run), np.array(rank)
