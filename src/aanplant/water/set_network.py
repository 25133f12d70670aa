"""Cut one set and the mainline that brings its water out of a system, to solve it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.water.system import System

Values = NDArray[np.float64]
Whole = NDArray[np.int64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Network:
    """One set with the mainline that brings its water, ready for ``network.solve``.

    Parameters
    ----------
    nodes : ndarray of int, shape (n,)
        Its nodes in the system, ascending: any column of the system or any size chosen for
        its pipes follows by ``column[nodes]``.
    parent : ndarray of int
        Counted within the network; -1 for the source.
    length_m, elevation_m : ndarray
        As the system has them. [m]
    is_emitter : ndarray of bool
        Whether a dripper sits there.
    kind : ndarray of int8
        Kind of pipe.
    """

    nodes: Whole
    parent: Whole
    length_m: Values
    elevation_m: Values
    is_emitter: Flags
    kind: NDArray[np.int8]


def network_of(system: System, set_number: int) -> Network:
    """Cut one set and its part of the mainline out of the system.

    Parameters
    ----------
    system : System
        The whole.
    set_number : int
        From 0.

    Raises
    ------
    ValueError
        If there is no such set.
    """
    if not 0 <= set_number < len(system.sets):
        raise ValueError(f"set must be 0 to {len(system.sets) - 1}, got {set_number}")
    kept = system.set_of == set_number
    valves = system.submains.valve[system.submains.set_of == set_number]
    for valve in valves.tolist():
        node = valve
        while node >= 0 and not (kept[node] and node != valve):
            kept[node] = True
            node = int(system.parent[node])
    nodes = np.flatnonzero(kept)
    place = np.cumsum(kept) - 1
    parent = system.parent[nodes]
    return Network(
        nodes,
        np.where(parent >= 0, place[parent], -1),
        system.length_m[nodes],
        system.z_m[nodes],
        system.is_emitter[nodes],
        system.kind[nodes],
    )
