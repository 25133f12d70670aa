"""Pipes and valves of a block's irrigation system, as every file of places holds them.

A pipe or valve has the same code in all of them, and on the drawings.
"""

from dataclasses import dataclass
from math import isnan

import numpy as np
from numpy.typing import NDArray

from aanplant.files.points import NO_ROW, Points
from aanplant.plan import Plan
from aanplant.water.designed import DesignedSystem
from aanplant.water.emitters import KPA_PER_M
from aanplant.water.pipe_runs import PipeRun, device_codes, pipe_codes, pipe_runs
from aanplant.water.pipes import MM_PER_M, Pipe

Values = NDArray[np.float64]
PEGGED = ("valve", "air valve", "drain", "flush valve")
"""Parts that a surveyor pegs before trenches are dug; the rest stand where these or drippers do."""
PipeFields = dict[str, str | int | float | None]


@dataclass(frozen=True)
class LaidPipe:
    """One pipe from branch to branch, of one size.

    Parameters
    ----------
    code : str
        As on lists and drawings.
    run : PipeRun
        How it runs.
    pipe : Pipe
        What it is made of.
    row : int or None
        Row a dripper line lies in; None for mainline and submain.
    z_m : ndarray, shape (n,)
        Height of the ground at each corner of the run; nan without heights. [m]
    """

    code: str
    run: PipeRun
    pipe: Pipe
    row: int | None
    z_m: Values

    @property
    def set_number(self) -> int | None:
        """Set it serves, counted from 1; None for the mainline, which serves all."""
        return self.run.set_of + 1 if self.run.set_of >= 0 else None

    @property
    def xyz(self) -> Values:
        """Corners with their heights, shape (n, 3); shape (n, 2) where none is known. [m]."""
        if np.isnan(self.z_m).any():
            return self.run.xy
        return np.column_stack([self.run.xy, self.z_m])

    def fields(self) -> PipeFields:
        """Return what the files say of it, by column."""
        return {
            "code": self.code,
            "kind": self.run.kind,
            "set": self.set_number,
            "row": self.row,
            "material": self.pipe.material,
            "class": self.pipe.series,
            "outside_mm": round(self.pipe.outside_m * MM_PER_M, 2),
            "bore_mm": round(self.pipe.bore_m * MM_PER_M, 2),
            "length_m": round(self.run.length_m, 3),
            "flow_m3_h": round(self.run.flow_m3_s * 3600.0, 4),
            "velocity_m_s": round(self.run.velocity_m_s, 3),
        }


@dataclass(frozen=True)
class LaidValves:
    """Valves and other parts on the pipes, columns of shape (n,).

    Parameters
    ----------
    code, kind : tuple of str
        As on the drawings.
    set_number : tuple of int or None
        Set they serve, counted from 1; None on the mainline.
    xy : ndarray, shape (n, 2)
        In the block's frame. [m]
    z_m : ndarray
        Height of the ground; nan without heights. [m]
    pressure_kpa : ndarray
        What a gauge behind them shall read while their set runs; on the mainline the least of
        all sets. [kPa]
    """

    code: tuple[str, ...]
    kind: tuple[str, ...]
    set_number: tuple[int | None, ...]
    xy: Values
    z_m: Values
    pressure_kpa: Values

    def __len__(self) -> int:
        return len(self.code)

    def heights(self) -> list[float | None]:
        """Heights, None where they are not known. [m]."""
        return [None if isnan(z) else z for z in self.z_m.tolist()]


def designed_system(plan: Plan) -> DesignedSystem | None:
    """Return the irrigation system of a plan; None where none was designed."""
    return plan.water.system if "water" in plan.results else None


def laid_pipes(made: DesignedSystem) -> tuple[LaidPipe, ...]:
    """Return every pipe: mainline before submains before dripper lines."""
    runs, laterals = pipe_runs(made), made.system.laterals
    known = made.system.heights_known
    return tuple(
        LaidPipe(
            code,
            run,
            made.pipes[run.pipe],
            int(laterals.row[run.lateral]) if run.lateral >= 0 else None,
            run.z_m if known else np.full(len(run.xy), np.nan),
        )
        for run, code in zip(runs, pipe_codes(made, runs), strict=True)
    )


def laid_valves(made: DesignedSystem) -> LaidValves:
    """Return every valve and other part on the pipes."""
    system, devices = made.system, made.system.devices
    z = system.z_m[devices.node] if system.heights_known else np.full(len(devices), np.nan)
    return LaidValves(
        code=device_codes(made),
        kind=devices.kind,
        set_number=tuple(one + 1 if one >= 0 else None for one in devices.set_of.tolist()),
        xy=system.xy[devices.node],
        z_m=np.asarray(z, np.float64),
        pressure_kpa=made.pressure_m[devices.node] * KPA_PER_M,
    )


def pegged_points(plan: Plan) -> tuple[Points, ...]:
    """Return the parts on the pipes that are pegged, kind by kind; none without a system."""
    made = designed_system(plan)
    if made is None:
        return ()
    valves = laid_valves(made)
    kinds = np.array(valves.kind)
    found = []
    for kind in PEGGED:
        own = np.flatnonzero(kinds == kind)
        no_row = np.full(len(own), NO_ROW, np.int32)
        number = np.arange(1, len(own) + 1, dtype=np.int32)
        code = np.array(valves.code)[own]
        found.append(Points(kind, code, no_row, no_row, number, valves.xy[own], valves.z_m[own]))
    return tuple(found)
