"""The irrigation system as designed: what each pipe is, and what runs in it in every set."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from aanplant.water.duties import SetDuties
from aanplant.water.emitters import EmitterLaw
from aanplant.water.filters import FilterChoice
from aanplant.water.longest_lateral import LongestLateral
from aanplant.water.pipes import Pipe
from aanplant.water.pump_power import PumpHead
from aanplant.water.surge import SurgeCheck
from aanplant.water.system import LATERAL, MAINLINE, SUBMAIN, System
from aanplant.working import Finding, Working

Values = NDArray[np.float64]
Whole = NDArray[np.int64]
Flags = NDArray[np.bool_]

KIND_OF = {"mainline": MAINLINE, "submain": SUBMAIN, "lateral": LATERAL}


@dataclass(frozen=True)
class SetRuns:
    """What every set does when it runs, columns of shape (n_sets,).

    Parameters
    ----------
    flow_m3_s : ndarray
        What its drippers give together. [m3/s]
    source_head_m : ndarray
        Head, height and pressure together, behind pump, filter and meter. [m]
    least_m, most_m : ndarray
        Pressure of its weakest and its strongest dripper. [m]
    least_node, most_node : ndarray of int
        Their nodes.
    mean_flow_m3_s : ndarray
        Of its drippers. [m3/s]
    emission_pct : ndarray
        Emission uniformity of the design. [%]
    low_quarter_pct : ndarray
        Mean flow of the lowest quarter over the mean, by pressure alone. [%]
    flow_variation : ndarray
        Share by which the least flow lies under the greatest. [-]
    velocity_m_s : ndarray
        Highest in mainline and submains. [m/s]
    velocity_node : ndarray of int
        Where that is.
    flushing_m_s : ndarray
        At the open end of the lateral that is washed worst, one open at a time. [m/s]
    flushing_lateral : ndarray of int
        That lateral, index into ``system.laterals``.
    starved : ndarray of int
        Drippers without pressure to run.
    valve_m : ndarray
        Least pressure behind its valves. [m]
    """

    flow_m3_s: Values
    source_head_m: Values
    least_m: Values
    most_m: Values
    least_node: Whole
    most_node: Whole
    mean_flow_m3_s: Values
    emission_pct: Values
    low_quarter_pct: Values
    flow_variation: Values
    velocity_m_s: Values
    velocity_node: Whole
    flushing_m_s: Values
    flushing_lateral: Whole
    starved: Whole
    valve_m: Values

    def __len__(self) -> int:
        return len(self.flow_m3_s)


@dataclass(frozen=True, eq=False)
class DesignedSystem:
    """A system with its pipes sized and every set run; node columns have the shape (n_nodes,).

    Two are the same only if they are one: what follows from a system may be kept by it.

    Parameters
    ----------
    system : System
        Pipes, valves and drippers in the field; pipes change size at its nodes.
    law : EmitterLaw
        Of its drippers.
    pipes : tuple of Pipe
        The pipes that are used: mainline and submain sizes, the widest first, then the
        dripper line.
    pipe : ndarray of int
        Index into ``pipes`` of the pipe that ends at each node; -1 for the source.
    pressure_m : ndarray
        While the node's own set runs; in the mainline the least of all sets. [m]
    emitter_flow_m3_s : ndarray
        Flow of each dripper, 0 elsewhere. [m3/s]
    pipe_flow_m3_s, velocity_m_s : ndarray
        While the node's own set runs; in the mainline the greatest of all sets.
        [m3/s], [m/s]
    starved : ndarray of bool
        Drippers without pressure to run.
    runs : SetRuns
        What every set does.
    duties : SetDuties
        What every set asks of the pump; ``duties.worst`` is the set that decides.
    pump_head : PumpHead
        What makes up the pump's head in that set.
    rest_head_m : float
        Head at the source when the water stands against shut valves. [m]
    suction_head_m : float
        Suction head that is there, over vapour. [m]
    filter : FilterChoice
        The filter for the largest set.
    surge : SurgeCheck
        Of the mainline or submain pipe that a sudden stop would bring nearest to its class, or
        farthest beyond it.
    surge_node : int
        Where that is.
    is_priced : bool
        Whether pipes were chosen by price; else by their plastic.
    is_pumped : bool
        Whether a pump of the estate drives it; not so on municipal water.
    longest : tuple of LongestLateral
        How long a lateral may be in each bore of dripper line.
    weighed_m3 : float or None
        Water of a season against whose energy pipes were weighed; None where they were not. [m3]
    figures, findings
        What there is to say.
    """

    system: System
    law: EmitterLaw
    pipes: tuple[Pipe, ...]
    pipe: Whole
    pressure_m: Values
    emitter_flow_m3_s: Values
    pipe_flow_m3_s: Values
    velocity_m_s: Values
    starved: Flags
    runs: SetRuns
    duties: SetDuties
    pump_head: PumpHead
    rest_head_m: float
    suction_head_m: float
    filter: FilterChoice
    surge: SurgeCheck
    surge_node: int
    is_priced: bool
    is_pumped: bool
    longest: tuple[LongestLateral, ...]
    weighed_m3: float | None
    figures: tuple[Working, ...] = ()
    findings: tuple[Finding, ...] = ()

    @property
    def lacks_head(self) -> bool:
        """Whether the pump gives some set less head than it asks for."""
        return any(one.kind == "pump_head_short" for one in self.duties.breaches)

    @property
    def lateral_pipe(self) -> Pipe:
        """The dripper line."""
        return self.pipes[-1]

    @cached_property
    def metres(self) -> dict[str, dict[Pipe, float]]:
        """Metres of every pipe by kind, as they lie, without waste. [m].

        ``mainline`` and ``submain`` by size, widest first, and ``lateral``, the line behind the
        last dripper to the flush end included.
        """
        found: dict[str, dict[Pipe, float]] = {}
        for name in ("mainline", "submain"):
            own = self.system.kind == KIND_OF[name]
            long = np.bincount(self.pipe[own], self.system.length_m[own], len(self.pipes))
            found[name] = {
                pipe: float(metres)
                for pipe, metres in zip(self.pipes, long, strict=True)
                if metres > 0.0
            }
        found["lateral"] = {self.lateral_pipe: self.system.total_length_m(LATERAL)}
        return found

    def row_of(self, node: int) -> tuple[int, int]:
        """Row and part that a dripper's node lies in.

        Raises
        ------
        ValueError
            If no dripper sits there.
        """
        lateral = int(self.system.lateral[node])
        if lateral < 0:
            raise ValueError(f"node {node} is no dripper")
        return int(self.system.laterals.row[lateral]), int(self.system.laterals.part[lateral])

    def place_of(self, node: int) -> tuple[float, float]:
        """Place of a node in the frame. [m]."""
        x, y = self.system.xy[node]
        return float(x), float(y)
