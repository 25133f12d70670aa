"""A system as it lies in the field, turned into reaches to be sized, and its sizes turned back."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.water.lateral_bores import LateralLines
from aanplant.water.pipe_limits import PipeKind
from aanplant.water.reaches import Reaches, gathered, reaches_of
from aanplant.water.system import MAINLINE, SUBMAIN, System

Values = NDArray[np.float64]
Places = NDArray[np.intp]


@dataclass(frozen=True)
class SystemReaches:
    """Mainline and submains of a system, ready for ``pipe_choice.size_pipes``.

    Parameters
    ----------
    nodes : ndarray of int, shape (n_reaches,)
        Node at the far end of each reach, ascending.
    reaches : Reaches
        One a pipe of mainline and submains.
    kinds : tuple of str
        ``mainline`` or ``submain``.
    low_m : ndarray, shape (n_reaches,)
        Height of the lower end of each. [m]
    """

    nodes: Places
    reaches: Reaches
    kinds: tuple[PipeKind, ...]
    low_m: Values


def system_reaches(
    system: System, inlet_pressure_m: ArrayLike, *, valve_loss_m: float = 0.0
) -> SystemReaches:
    """Cut the mainline and the submains of a system into reaches with the flows of its sets.

    Parameters
    ----------
    system : System
        As it lies in the field.
    inlet_pressure_m : array_like, shape () or (n_laterals,)
        Pressure that each lateral needs at its inlet. [m]
    valve_loss_m : float
        Head lost in the valve of a submain, and a regulator beside it. [m]
    """
    nodes = np.flatnonzero((system.kind == MAINLINE) | (system.kind == SUBMAIN))
    place = np.full(len(system), -1)
    place[nodes] = np.arange(len(nodes))
    parent = place[system.parent[nodes]]
    laterals = system.laterals
    inlet = place[laterals.inlet]
    shape = (len(system.sets), len(nodes))
    taken, least = np.zeros(shape), np.full(shape, -np.inf)
    np.add.at(taken, (laterals.set_of, inlet), laterals.emitters * system.emitter_flow_m3_s)
    needed = system.z_m[laterals.inlet] + np.asarray(inlet_pressure_m, np.float64)
    np.maximum.at(least, (laterals.set_of, inlet), needed)
    loss = np.zeros(shape)
    valves = place[system.submains.valve]
    loss[system.submains.set_of[valves >= 0], valves[valves >= 0]] = valve_loss_m
    is_submain = system.kind[nodes] == SUBMAIN
    kinds: tuple[PipeKind, ...] = tuple("submain" if sub else "mainline" for sub in is_submain)
    reaches = reaches_of(
        parent,
        system.length_m[nodes],
        gathered(parent, taken),
        least,
        fixed_loss_m=loss,
        name=_names(system, nodes),
    )
    low = np.minimum(system.z_m[nodes], system.z_m[system.parent[nodes]])
    return SystemReaches(nodes, reaches, kinds, low)


def lateral_lines(system: System, which: ArrayLike) -> LateralLines:
    """Drippers of some laterals in the form of ``lateral_bores``.

    Parameters
    ----------
    system : System
    which : array_like of int
        Places among the laterals.
    """
    chosen = np.asarray(which, np.intp)
    laterals = system.laterals
    count = laterals.emitters[chosen]
    lateral = np.repeat(np.arange(len(chosen)), count)
    along = np.arange(len(lateral)) - np.repeat(np.cumsum(count) - count, count)
    nodes = laterals.first[chosen][lateral] + along
    rise = system.z_m[nodes] - system.z_m[laterals.inlet[chosen]][lateral]
    return LateralLines(lateral, system.length_m[nodes], rise)


def hardest_laterals(system: System) -> Places:
    """Laterals of each set to choose a bore by: the longest, the most uphill, the most downhill."""
    laterals = system.laterals
    found: set[int] = set()
    for one in range(len(system.sets)):
        own = np.flatnonzero(laterals.set_of == one)
        if len(own):
            found |= {
                int(own[np.argmax(laterals.length_m[own])]),
                int(own[np.argmin(laterals.fall_m[own])]),
                int(own[np.argmax(laterals.fall_m[own])]),
            }
    return np.array(sorted(found), np.intp)


def _names(system: System, nodes: Places) -> tuple[str, ...]:
    """Name every reach by where it ends."""
    along = np.zeros(len(system))
    begins = np.zeros(len(system))
    names = []
    for node in nodes:
        above = system.parent[node]
        along[node] = along[above] + system.length_m[node]
        if system.kind[node] == MAINLINE:
            names.append(f"mainline, {along[node]:.0f} m from the source")
            continue
        begins[node] = begins[above] if system.kind[above] == SUBMAIN else along[above]
        far = along[node] - begins[node]
        names.append(f"submain of set {system.set_of[node] + 1}, {far:.0f} m from its valve")
    return tuple(names)
