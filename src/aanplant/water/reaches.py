"""A branching pipe line cut into reaches, and the flow each set sends through them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Values = NDArray[np.float64]
Places = NDArray[np.intp]
SOURCE = -1
"""Parent of a reach that begins at the source."""


@dataclass(frozen=True)
class Reaches:
    """Pipes to be sized, and the water that each set of rows sends through each of them.

    A *use* is one reach while one set runs; a mainline reach is used by every set beyond it.
    Arrays of uses stand with the upstream use first.

    Parameters
    ----------
    parent : ndarray, shape (n_reaches,)
        Reach upstream of each, always an earlier one; -1 at the source.
    length_m : ndarray, shape (n_reaches,)
        [m]
    name : tuple of str
        What a person calls each reach; "" where nothing.
    reach, set : ndarray, shape (n_uses,)
        Which reach, and which set.
    up : ndarray, shape (n_uses,)
        Use of the reach upstream by the same set; -1 at the source.
    flow_m3_s : ndarray, shape (n_uses,)
        [m3/s]
    least_head_m : ndarray, shape (n_uses,)
        Head, height and pressure together, needed where the reach ends; -inf where none is. [m]
    fixed_loss_m : ndarray, shape (n_uses,)
        Head lost in valves and fittings of the reach, whatever its size. [m]
    n_sets : int
        Sets of rows.
    """

    parent: Places
    length_m: Values
    name: tuple[str, ...]
    reach: Places
    set: Places
    up: Places
    flow_m3_s: Values
    least_head_m: Values
    fixed_loss_m: Values
    n_sets: int

    def says(self, reach: int) -> str:
        """Name a reach to a person."""
        return self.name[reach] or f"reach {reach + 1}"

    def pipe_above(self) -> Places:
        """Nearest reach upstream of each that has any length, -1 where none has."""
        above = self.parent.copy()
        for reach, parent in enumerate(self.parent):
            if parent != SOURCE and self.length_m[parent] == 0.0:
                above[reach] = above[parent]
        return above

    def largest_flow_m3_s(self) -> Values:
        """Greatest flow of each reach over all sets, shape (n_reaches,). [m3/s]."""
        largest = np.zeros(len(self.parent))
        np.maximum.at(largest, self.reach, self.flow_m3_s)
        return largest


def reaches_of(
    parent: ArrayLike,
    length_m: ArrayLike,
    flow_m3_s: ArrayLike,
    least_head_m: ArrayLike,
    *,
    fixed_loss_m: ArrayLike = 0.0,
    name: Sequence[str] = (),
) -> Reaches:
    """Set up reaches from one line of numbers a set.

    Parameters
    ----------
    parent : array_like, shape (n_reaches,)
        Reach upstream, earlier in the list; -1 at the source.
    length_m : array_like, shape (n_reaches,)
        [m]
    flow_m3_s : array_like, shape (n_sets, n_reaches) or (n_reaches,)
        Flow through each reach while a set runs, 0 where the set sends none. [m3/s]
    least_head_m : array_like, same shape
        Head needed where each reach ends; -inf where none is. [m]
    fixed_loss_m : array_like
        Head lost in valves and fittings; broadcast to the shape of the flows. [m]
    name : sequence of str
        What a person calls each reach.

    Raises
    ------
    ValueError
        If shapes differ, a reach stands before its parent, a length or loss is negative, or water
        runs through a reach and not through its parent.
    """
    flow = np.atleast_2d(np.asarray(flow_m3_s, np.float64))
    above, length = np.asarray(parent, np.intp), np.asarray(length_m, np.float64)
    _check(above, length, flow)
    loss = np.broadcast_to(np.asarray(fixed_loss_m, np.float64), flow.shape)
    if not (loss >= 0.0).all():
        raise ValueError("a fixed loss must be at least 0")
    runs = flow > 0.0
    set_, reach = np.nonzero(runs)
    place = np.full(flow.shape, SOURCE)
    place[runs] = np.arange(len(reach))
    at_source = above[reach] == SOURCE
    up = np.where(at_source, SOURCE, place[set_, above[reach]])
    if np.any((up == SOURCE) & ~at_source):
        raise ValueError("water runs through a reach and not through the one upstream of it")
    least = np.broadcast_to(np.asarray(least_head_m, np.float64), flow.shape)
    if np.isnan(least).any() or np.any(np.isfinite(least) & ~runs):
        raise ValueError("a head is asked of a reach through which the set sends no water")
    names = tuple(name) or ("",) * len(above)
    if len(names) != len(above):
        raise ValueError(f"{len(names)} names for {len(above)} reaches")
    return Reaches(
        above, length, names, reach, set_, up, flow[runs], least[runs], loss[runs], len(flow)
    )


def gathered(parent: ArrayLike, taken_m3_s: ArrayLike) -> Values:
    """Flow through each reach from what is taken where reaches end. [m3/s].

    Parameters
    ----------
    parent : array_like, shape (n_reaches,)
        Reach upstream, earlier in the list; -1 at the source.
    taken_m3_s : array_like, shape (..., n_reaches)
        Water that leaves where each reach ends. [m3/s]

    Returns
    -------
    ndarray, shape (..., n_reaches)
    """
    above = np.asarray(parent, np.intp)
    flow = np.array(taken_m3_s, np.float64)
    for reach in range(len(above) - 1, -1, -1):
        if above[reach] != SOURCE:
            flow[..., above[reach]] += flow[..., reach]
    return flow


def _check(parent: Places, length_m: Values, flow_m3_s: Values) -> None:
    if not len(parent) == len(length_m) == flow_m3_s.shape[1]:
        raise ValueError(
            f"{len(parent)} parents, {len(length_m)} lengths and flows for {flow_m3_s.shape[1]}"
        )
    if np.any(parent >= np.arange(len(parent))) or np.any(parent < SOURCE):
        raise ValueError("every reach must stand behind the one upstream of it")
    if not ((length_m >= 0.0).all() and np.isfinite(length_m).all()):
        raise ValueError("a length must be at least 0")
    if not ((flow_m3_s >= 0.0).all() and np.isfinite(flow_m3_s).all()):
        raise ValueError("a flow must be at least 0")
