"""The irrigation system of a block as it lies in the field: pipes, valves, sets, heights.

All pipes are one tree. Node 0 is the source; pipe i brings water from node ``parent[i]``
to node i, and ``parent[i] < i``. Every dripper is a node of its own.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]
Whole = NDArray[np.int64]
Flags = NDArray[np.bool_]

SOURCE, MAINLINE, SUBMAIN, LATERAL = range(4)
"""Kinds of pipe, in the order the water runs; node 0 has none and is the source."""
KIND_NAMES = ("source", "mainline", "submain", "lateral")
NO_SET = -1
"""Set of the source and of the mainline, which serve all."""


@dataclass(frozen=True)
class Sets:
    """Rows that are watered together, columns of shape (n_sets,).

    Parameters
    ----------
    flow_m3_s : ndarray
        All its drippers at their nominal flow. [m3/s]
    emitters, vines, pieces : ndarray of int
        Drippers, vines and pieces of row.
    zone : ndarray of int
        Soil zone of most of its drippers, index into ``site.soil.zones``; -1 without zones.
    zone_share : ndarray
        Share of its drippers in that zone; 1 without zones. [-]
    area_m2 : ndarray
        Length of its rows times the row width. [m2]
    """

    flow_m3_s: Values
    emitters: Whole
    vines: Whole
    pieces: Whole
    zone: Whole
    zone_share: Values
    area_m2: Values

    def __len__(self) -> int:
        return len(self.flow_m3_s)


@dataclass(frozen=True)
class Laterals:
    """Dripper lines from a submain to a flush end, columns of shape (n_laterals,).

    A piece of row fed at its end has one, a piece fed between its ends has two.

    Parameters
    ----------
    piece : ndarray of int
        Index into ``layout.rows``.
    row, part : ndarray of int
        Number of the row, and of its piece.
    set_of : ndarray of int
        Set.
    inlet : ndarray of int
        Submain node it hangs on.
    first : ndarray of int
        Its first node; its nodes follow one another, one a dripper.
    emitters : ndarray of int
        Drippers, 1 or more.
    length_m : ndarray
        From the submain to the flush end, on the ground where heights are known. [m]
    fall_m : ndarray
        Height of its inlet over that of its flush end. [m]
    end_xy : ndarray, shape (n_laterals, 2)
        Flush ends. [m]
    with_row : ndarray of bool
        Whether it runs the way the vines are numbered.
    """

    piece: Whole
    row: Whole
    part: Whole
    set_of: Whole
    inlet: Whole
    first: Whole
    emitters: Whole
    length_m: Values
    fall_m: Values
    end_xy: Values
    with_row: Flags

    def __len__(self) -> int:
        return len(self.piece)


@dataclass(frozen=True)
class Submains:
    """Pipes that feed the laterals of one set, columns of shape (n_submains,).

    Parameters
    ----------
    set_of : ndarray of int
        Set.
    valve : ndarray of int
        Node of its valve, where the mainline ends.
    place : tuple of str
        Where it lies: ``row start``, ``row end`` or ``middle``.
    laterals : ndarray of int
        Laterals on it.
    length_m : ndarray
        Both ways from the valve. [m]
    """

    set_of: Whole
    valve: Whole
    place: tuple[str, ...]
    laterals: Whole
    length_m: Values

    def __len__(self) -> int:
        return len(self.valve)


@dataclass(frozen=True)
class Devices:
    """Valves and other parts that sit on nodes, columns of shape (n_devices,).

    Parameters
    ----------
    kind : tuple of str
        ``valve`` opens a submain; ``vacuum break`` lets air in behind it; ``air valve`` at a
        high point or the pump; ``drain`` at a low point; ``flush valve`` at a submain's end;
        ``pressure point`` where a gauge is held.
    node : ndarray of int
        Node of the system.
    set_of : ndarray of int
        Set, or ``NO_SET``.
    """

    kind: tuple[str, ...]
    node: Whole
    set_of: Whole

    def __len__(self) -> int:
        return len(self.node)

    def of(self, kind: str) -> Whole:
        """Nodes of the devices of one kind."""
        return self.node[[own == kind for own in self.kind]]


@dataclass(frozen=True)
class Crossing:
    """A pipe that crosses something rows run over, such as a drain or a buried pipe.

    Parameters
    ----------
    name, kind : str
        Of what is crossed, as the exclusions call it.
    pipe : str
        ``mainline`` or ``submain``.
    xy : tuple of float
        A place on the crossing. [m]
    """

    name: str
    kind: str
    pipe: str
    xy: tuple[float, float]


@dataclass(frozen=True)
class LayoutBreach:
    """A limit that the system does not keep, to be put in words.

    Parameters
    ----------
    kind : str
        ``set_above_supply``: more flow than the water source gives; ``source_height_differs``:
        the ground at the source lies elsewhere than its file says; ``rows_crossed``: the
        mainline runs under rows; ``heights_unknown``: pipes beyond the heights, taken as level.
    part : str
        Which set, pipe or place.
    value, limit : float
        What it comes to and what is allowed, in ``unit``.
    unit : str
        Of both.
    works : float, optional
        Nearest change that works, such as the fewest sets.
    """

    kind: str
    part: str
    value: float
    limit: float
    unit: str
    works: float | None = None


@dataclass(frozen=True)
class System:
    """The system of a block; node columns have the shape (n_nodes,).

    Parameters
    ----------
    xy : ndarray, shape (n_nodes, 2)
        Places in the frame. [m]
    z_m : ndarray
        Heights; the last known along the pipe where the ground's is not known. [m]
    parent : ndarray of int
        Node the pipe comes from; -1 for the source.
    length_m : ndarray
        Length of the pipe on the ground; 0 for the source. [m]
    kind : ndarray of int8
        ``SOURCE``, ``MAINLINE``, ``SUBMAIN`` or ``LATERAL``.
    set_of : ndarray of int
        Set; ``NO_SET`` for source and mainline, but not for the valve at a submain.
    lateral : ndarray of int
        Index into ``laterals``; -1 elsewhere.
    vine : ndarray of int
        For a dripper, the nearest vine of its row (index into ``layout.positions``); -1
        elsewhere.
    is_emitter : ndarray of bool
        Whether a dripper sits there.
    vine_set : ndarray of int, shape (n_vines,)
        Set of every vine.
    sets, laterals, submains, devices
        Tables.
    emitter_flow_m3_s : float
        Nominal flow of one dripper. [m3/s]
    flow_limit_m3_s : float
        What the source gives; infinite when not known. [m3/s]
    blank_m : float
        Row without drippers because no vine stands there. [m]
    heights_known : bool
        False without a terrain: then all lies at height 0.
    crossings, breaches
        What a pipe crosses, and limits not kept.
    """

    xy: Values
    z_m: Values
    parent: Whole
    length_m: Values
    kind: NDArray[np.int8]
    set_of: Whole
    lateral: Whole
    vine: Whole
    is_emitter: Flags
    vine_set: Whole
    sets: Sets
    laterals: Laterals
    submains: Submains
    devices: Devices
    emitter_flow_m3_s: float
    flow_limit_m3_s: float
    blank_m: float
    heights_known: bool
    crossings: tuple[Crossing, ...] = ()
    breaches: tuple[LayoutBreach, ...] = ()

    def __len__(self) -> int:
        return len(self.parent)

    def pipes(self, kind: int) -> Whole:
        """Nodes at the far ends of the pipes of one kind."""
        return np.flatnonzero(self.kind == kind)

    def total_length_m(self, kind: int) -> float:
        """Length of all pipes of one kind, dripper line behind the last dripper included. [m]."""
        if kind == LATERAL:
            return float(self.laterals.length_m.sum())
        return float(self.length_m[self.kind == kind].sum())

    @cached_property
    def trunk(self) -> Whole:
        """Nodes of source and mainline."""
        return np.flatnonzero(self.kind <= MAINLINE)
