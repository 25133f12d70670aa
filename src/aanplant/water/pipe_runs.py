"""Pipes as they are laid: runs of one kind, set and size from branch to branch, as lines."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray

from aanplant.water.designed import DesignedSystem
from aanplant.water.system import KIND_NAMES, LATERAL, MAINLINE, NO_SET, SUBMAIN

Values = NDArray[np.float64]
Whole = NDArray[np.int64]

_STRAIGHT_M = 0.001
_SYSTEMS_KEPT = 2


@dataclass(frozen=True)
class PipeRun:
    """A run of pipe of one size.

    Parameters
    ----------
    kind : str
        ``mainline``, ``submain`` or ``lateral``.
    set_of : int
        Set; ``NO_SET`` for the mainline.
    pipe : int
        Index into ``pipes`` of the designed system.
    lateral : int
        Index into ``system.laterals``; -1 for mainline and submain.
    xy : ndarray, shape (n, 2)
        Corners, the way the water runs. [m]
    z_m : ndarray, shape (n,)
        Heights of the corners, as the system has them. [m]
    length_m : float
        On the ground. [m]
    flow_m3_s : float
        The greatest in it while its sets run. [m3/s]
    velocity_m_s : float
        The greatest in it. [m/s]
    """

    kind: str
    set_of: int
    pipe: int
    lateral: int
    xy: Values
    z_m: Values
    length_m: float
    flow_m3_s: float
    velocity_m_s: float


@lru_cache(_SYSTEMS_KEPT)  # files and drawings of one plan all ask
def pipe_runs(made: DesignedSystem) -> tuple[PipeRun, ...]:
    """Return every pipe of a system, mainline before submains before laterals."""
    return (*_buried(made, MAINLINE), *_buried(made, SUBMAIN), *_laterals(made))


def _buried(made: DesignedSystem, kind: int) -> list[PipeRun]:
    """Part mainline or submains into runs: a branch or another size begins a new one."""
    system = made.system
    own = system.pipes(kind)
    parent = system.parent[own]
    branches = np.bincount(parent, minlength=len(system))
    goes_on = (
        (system.kind[parent] == kind)
        & (made.pipe[parent] == made.pipe[own])
        & (branches[parent] == 1)
    )
    chains: dict[int, list[int]] = {}
    first: dict[int, int] = {}
    for node, before, same in zip(own.tolist(), parent.tolist(), goes_on.tolist(), strict=True):
        first[node] = first[before] if same else node
        chains.setdefault(first[node], [before]).append(node)
    return [_run(made, kind, np.array(nodes)) for nodes in chains.values()]


def _run(made: DesignedSystem, kind: int, nodes: Whole) -> PipeRun:
    system, behind = made.system, nodes[1:]
    xy, z = _corners(system.xy[nodes], system.z_m[nodes])
    return PipeRun(
        kind=KIND_NAMES[kind],
        set_of=int(system.set_of[behind[0]]) if kind == SUBMAIN else NO_SET,
        pipe=int(made.pipe[behind[0]]),
        lateral=-1,
        xy=xy,
        z_m=z,
        length_m=float(system.length_m[behind].sum()),
        flow_m3_s=float(made.pipe_flow_m3_s[behind].max()),
        velocity_m_s=float(made.velocity_m_s[behind].max()),
    )


def _laterals(made: DesignedSystem) -> list[PipeRun]:
    system, laterals = made.system, made.system.laterals
    found = []
    for number in range(len(laterals)):
        first = int(laterals.first[number])
        nodes = slice(first, first + int(laterals.emitters[number]))
        inlet = laterals.inlet[number]
        xy, z = _corners(
            np.vstack([system.xy[inlet], system.xy[nodes], laterals.end_xy[number]]),
            # The flush end is taken as high as the last dripper.
            np.concatenate(
                [
                    system.z_m[[inlet]],
                    system.z_m[nodes],
                    system.z_m[[first + laterals.emitters[number] - 1]],
                ]
            ),
        )
        found.append(
            PipeRun(
                kind=KIND_NAMES[LATERAL],
                set_of=int(laterals.set_of[number]),
                pipe=int(made.pipe[first]),
                lateral=number,
                xy=xy,
                z_m=z,
                length_m=float(laterals.length_m[number]),
                flow_m3_s=float(made.pipe_flow_m3_s[nodes].max()),
                velocity_m_s=float(made.velocity_m_s[nodes].max()),
            )
        )
    return found


def _corners(xy: Values, z_m: Values) -> tuple[Values, Values]:
    """Leave out what lies on a straight line between its neighbours, seen from above."""
    line = shapely.LineString(np.column_stack([xy, z_m]))
    found = shapely.get_coordinates(shapely.simplify(line, _STRAIGHT_M), include_z=True)
    return found[:, :2], found[:, 2]


def pipe_codes(made: DesignedSystem, runs: tuple[PipeRun, ...]) -> tuple[str, ...]:
    """Code of every pipe of ``pipe_runs``.

    ``M1`` is the first length of mainline from the source, ``S2.3`` the third length of submain
    of set 2, ``12T1`` the first dripper line of row 12, counted as its vines are.
    """
    laterals = made.system.laterals
    order = np.lexsort([laterals.with_row, laterals.part, laterals.row])
    seen: dict[str, int] = {}
    lines: dict[int, str] = {}
    for number in order.tolist():
        stem = f"{int(laterals.row[number]):02d}T"
        seen[stem] = seen.get(stem, 0) + 1
        lines[number] = f"{stem}{seen[stem]}"
    codes = []
    for run in runs:
        if run.lateral >= 0:
            codes.append(lines[run.lateral])
            continue
        stem = "M" if run.kind == KIND_NAMES[MAINLINE] else f"S{run.set_of + 1}."
        seen[stem] = seen.get(stem, 0) + 1
        codes.append(f"{stem}{seen[stem]}")
    return tuple(codes)


def device_codes(made: DesignedSystem) -> tuple[str, ...]:
    """Code of every valve and other device, as on the drawing and in the files.

    A set's only valve has the set's number, as ``V2``; the second of several is ``V2.2``.
    Other devices are counted by kind.
    """
    devices = made.system.devices
    valves = np.bincount(made.system.submains.set_of, minlength=len(made.system.sets))
    seen: dict[str, int] = {}
    codes = []
    for kind, number in zip(devices.kind, devices.set_of.tolist(), strict=True):
        letter = DEVICE_LETTERS[kind]
        stem = f"{letter}{number + 1}" if kind == "valve" else letter
        seen[stem] = seen.get(stem, 0) + 1
        if kind != "valve":
            codes.append(f"{stem}{seen[stem]}")
        else:
            codes.append(stem if valves[number] == 1 else f"{stem}.{seen[stem]}")
    return tuple(codes)


DEVICE_LETTERS = {
    "valve": "V",
    "vacuum break": "K",
    "air valve": "L",
    "drain": "D",
    "flush valve": "F",
    "pressure point": "P",
}
"""First letter of the code of each kind of device."""
