"""Pipe that never grows wider downstream."""

import numpy as np
from numpy.typing import NDArray

from aanplant.water.reaches import SOURCE, Places, Reaches

Values = NDArray[np.float64]
_LAST_BITS = 1e-12


def broken_joints(reaches: Reaches, length: Values, rank: Places) -> list[int]:
    """Reaches that have a larger size than some of the pipe upstream of them.

    Parameters
    ----------
    reaches : Reaches
    length : ndarray, shape (n_reaches, n_options)
        Metres or share of each reach in each size.
    rank : ndarray of int, shape (n_options,)
        Order of the sizes.
    """
    is_there = length > 0.0
    largest = np.where(is_there, rank, rank.min()).max(axis=1)
    smallest = np.where(is_there, rank, rank.max()).min(axis=1)
    above = reaches.pipe_above()
    has_pipe = (above != SOURCE) & (reaches.length_m > 0.0)
    grows = has_pipe & (largest > smallest[above])
    return [int(reach) for reach in np.flatnonzero(grows)]


def exchanged(
    reaches: Reaches, length_m: Values, cost_per_m: Values, may: NDArray[np.bool_], rank: Places
) -> Values:
    """Exchange wide pipe for narrow across joints that grow, metre for metre.

    A metre of wide pipe saves more head upstream, where at least as much water runs, than
    downstream: the exchange costs nothing and no head anywhere falls. So where both sizes are
    allowed on both sides, the cheapest sizes can always be laid so that they taper.

    Parameters
    ----------
    reaches : Reaches
    length_m : ndarray, shape (n_reaches, n_options)
        Metres of each reach in each size. [m]
    cost_per_m : ndarray, shape (n_reaches, n_options)
        [1/m]
    may : ndarray of bool, shape (n_reaches, n_options)
        Sizes each reach may have.
    rank : ndarray of int, shape (n_options,)
        Order of the sizes.

    Returns
    -------
    ndarray, shape (n_reaches, n_options)
        Metres; joints that could not be mended so still grow. [m]
    """
    length = length_m.copy()
    above = reaches.pipe_above()
    left: set[int] = set()
    while True:
        # The lowest first, so that wide pipe travels up a long line in one go.
        growing = [joint for joint in broken_joints(reaches, length, rank) if joint not in left]
        if not growing:
            return length
        for reach in reversed(growing):
            if not _exchange(length, reach, int(above[reach]), cost_per_m, may, rank):
                left.add(reach)


def _exchange(  # noqa: PLR0917 - the two sides of a joint and what binds them
    length: Values,
    reach: int,
    up: int,
    cost_per_m: Values,
    may: NDArray[np.bool_],
    rank: Places,
) -> bool:
    """Mend one joint in place; whether anything could be moved."""
    is_moved = False
    while True:
        wide = _end(length[reach], rank, is_widest=True)
        narrow = _end(length[up], rank, is_widest=False)
        if rank[wide] <= rank[narrow]:
            return is_moved
        saved = cost_per_m[reach, wide] - cost_per_m[reach, narrow]
        spent = cost_per_m[up, wide] - cost_per_m[up, narrow]
        if not (may[reach, narrow] and may[up, wide]) or spent > saved * (1.0 + _LAST_BITS):
            return is_moved
        metres = min(length[reach, wide], length[up, narrow])
        for place, one, other in ((reach, wide, narrow), (up, narrow, wide)):
            length[place, one] -= metres
            length[place, other] += metres
        is_moved = True


def _end(length: Values, rank: Places, *, is_widest: bool) -> int:
    """Place of the widest or the narrowest size of a reach."""
    there = np.flatnonzero(length > 0.0)
    order = rank[there]
    return int(there[order.argmax() if is_widest else order.argmin()])
