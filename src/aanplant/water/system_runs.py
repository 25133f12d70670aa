"""Run every set of a sized system: pressure and flow at every dripper, speeds, flushing."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.water.designed import SetRuns
from aanplant.water.emitters import EmitterLaw
from aanplant.water.network import Flows, solve
from aanplant.water.set_network import Network, network_of
from aanplant.water.system import LATERAL, System
from aanplant.water.system_sizing import SizedSystem
from aanplant.water.uniformity import emission_uniformity, flow_variation, low_quarter_uniformity
from aanplant.water.velocity import open_ends, velocity_m_s

Values = NDArray[np.float64]
Whole = NDArray[np.int64]
Flags = NDArray[np.bool_]

EVEN_FLOW = 1e-4
"""Share by which the mean flow of a set may miss the nominal one."""
WASHED_LATERALS = 3
"""Laterals of a set whose flushing is looked at: the longest, and the weakest at inlet and end."""
_STEPS = 12


@dataclass(frozen=True)
class SystemRuns:
    """What runs where; node columns as ``DesignedSystem`` has them.

    Parameters
    ----------
    runs : SetRuns
        By set.
    pressure_m, most_pressure_m, emitter_flow_m3_s, pipe_flow_m3_s, velocity_m_s, starved
        By node; ``most_pressure_m`` is the greatest pressure of all sets. [m]
    """

    runs: SetRuns
    pressure_m: Values
    most_pressure_m: Values
    emitter_flow_m3_s: Values
    pipe_flow_m3_s: Values
    velocity_m_s: Values
    starved: Flags


def run_system(
    system: System, sized: SizedSystem, law: EmitterLaw, emitters_per_vine: float
) -> SystemRuns:
    """Run every set by itself at the head it asks for, or what the pump gives of it.

    Drippers that do not regulate run at the head with which their mean flow is nominal, for
    which the set's valve is opened.

    Parameters
    ----------
    system : System
        As laid.
    sized : SizedSystem
        Its pipes.
    law : EmitterLaw
        Of its drippers.
    emitters_per_vine : float
        Drippers that water one vine together. [-]
    """
    bores = np.array([pipe.bore_m for pipe in sized.pipes])
    bore = bores[np.maximum(sized.pipe, 0)]
    n = len(system)
    pressure, most = np.full(n, np.inf), np.full(n, -np.inf)
    emitted, piped, speed = np.zeros(n), np.zeros(n), np.zeros(n)
    starved = np.zeros(n, np.bool_)
    lines = []
    for number in range(len(system.sets)):
        network = network_of(system, number)
        head, flows = _run(network, sized, number, law, bore)
        nodes = network.nodes
        pressure[nodes] = np.minimum(pressure[nodes], flows.pressure_m)
        most[nodes] = np.maximum(most[nodes], flows.pressure_m)
        piped[nodes] = np.maximum(piped[nodes], flows.pipe_flow_m3_s)
        speed[nodes] = np.maximum(speed[nodes], flows.velocity_m_s)
        emitted[nodes] += flows.emitter_flow_m3_s
        starved[nodes] |= flows.starved & network.is_emitter
        lines.append(_line(system, network, flows, head, law, emitters_per_vine, bore, number))
    columns = (np.array(column) for column in zip(*lines, strict=True))
    return SystemRuns(SetRuns(*columns), pressure, most, emitted, piped, speed, starved)


def solve_set(network: Network, law: EmitterLaw, bore_m: Values, source_head_m: float) -> Flows:
    """Solve one set.

    Parameters
    ----------
    network : Network
        The set with its part of the mainline.
    law : EmitterLaw
        Of its drippers.
    bore_m : ndarray, shape (n,)
        Of its pipes; anything for the source. [m]
    source_head_m : float
        Height and pressure together. [m]
    """
    one = law.as_node
    return solve(
        network.parent,
        network.length_m,
        bore_m,
        network.elevation_m,
        np.where(network.is_emitter, one.coefficient, 0.0),
        one.exponent,
        source_head_m,
        regulation_start_m=one.regulation_start_m if law.keeps_flow else None,
        regulation_end_m=one.regulation_end_m if law.keeps_flow else None,
    )


def _run(
    network: Network, sized: SizedSystem, number: int, law: EmitterLaw, bore: Values
) -> tuple[float, Flows]:
    own = bore[network.nodes]
    given = float(sized.given_head_m[number])
    head = min(float(sized.asked_head_m[number]), given)
    flows = solve_set(network, law, own, head)
    if law.keeps_flow:
        return head, flows
    nominal = law.flow_m3_s * network.is_emitter.sum()
    level = float(network.elevation_m[network.is_emitter].mean())
    for _ in range(_STEPS):
        share = flows.pipe_flow_m3_s[0] / nominal
        if abs(share - 1.0) < EVEN_FLOW or share <= 0.0 or (head >= given and share < 1.0):
            break
        # Head over the drippers grows about as the square of the flow.
        head = min(level + (head - level) / share ** (1.0 / max(law.exponent, 0.5)), given)
        flows = solve_set(network, law, own, head)
    return head, flows


def _line(  # noqa: PLR0917 - what a set is, and how it ran
    system: System,
    network: Network,
    flows: Flows,
    head: float,
    law: EmitterLaw,
    emitters_per_vine: float,
    bore: Values,
    number: int,
) -> tuple[float | int, ...]:
    """One line of ``SetRuns``, in its order."""
    drips = np.flatnonzero(network.is_emitter)
    flow, pressure = flows.emitter_flow_m3_s[drips], flows.pressure_m[drips]
    weakest, strongest = drips[pressure.argmin()], drips[pressure.argmax()]
    runs = flow.max() > 0.0
    mean = float(flow.mean())
    made = emission_uniformity(flow.min(), mean, law.variation, emitters_per_vine) if runs else 0.0
    pipes = np.flatnonzero(network.kind < LATERAL)
    fastest = pipes[flows.velocity_m_s[pipes].argmax()]
    washed, lateral = _flushing(system, network, flows, law, bore, number)
    stems = np.searchsorted(network.nodes, system.submains.valve[system.submains.set_of == number])
    return (
        float(flows.pipe_flow_m3_s[0]),
        head,
        float(pressure.min()),
        float(pressure.max()),
        int(network.nodes[weakest]),
        int(network.nodes[strongest]),
        mean,
        float(made),
        low_quarter_uniformity(flow) if runs else 0.0,
        flow_variation(flow) if runs else 1.0,
        float(flows.velocity_m_s[fastest]),
        int(network.nodes[fastest]),
        washed,
        lateral,
        int((flows.starved & network.is_emitter).sum()),
        float(flows.pressure_m[stems].min()),
    )


def _flushing(  # noqa: PLR0917 - the same
    system: System,
    network: Network,
    flows: Flows,
    law: EmitterLaw,
    bore: Values,
    number: int,
) -> tuple[float, int]:
    """Speed at the open end of the lateral that is washed worst, and which lateral that is.

    The head at its inlet is taken as it is with all ends shut; one lateral more or less
    changes it little.
    """
    laterals = system.laterals
    own = np.flatnonzero(laterals.set_of == number)
    inlet = flows.head_m[np.searchsorted(network.nodes, laterals.inlet[own])]
    last = laterals.first[own] + laterals.emitters[own] - 1
    end_pressure = flows.pressure_m[np.searchsorted(network.nodes, last)]
    tried = {
        int(key.argmin())
        for key in (-laterals.length_m[own], inlet - system.z_m[laterals.inlet[own]], end_pressure)
    }
    found = []
    for at in sorted(tried):
        lateral = int(own[at])
        nodes = laterals.first[lateral] + np.arange(laterals.emitters[lateral])
        found.append((_washed(system, nodes, float(inlet[at]), law, bore), lateral))
    return min(found)


def _washed(
    system: System, nodes: Whole, inlet_head_m: float, law: EmitterLaw, bore: Values
) -> float:
    own = np.append(bore[nodes[0]], bore[nodes])
    one = law.as_node
    last = len(nodes)
    opened = open_ends([last], own, np.append(0.0, np.full(last, one.coefficient)), one.exponent)
    start = np.full(last + 1, one.regulation_start_m)
    end = np.full(last + 1, one.regulation_end_m)
    start[last] = end[last] = np.inf
    flows = solve(
        np.arange(-1, last),
        np.append(0.0, system.length_m[nodes]),
        own,
        np.append(0.0, system.z_m[nodes]),
        opened.coefficient,
        opened.exponent,
        inlet_head_m,
        regulation_start_m=start if law.keeps_flow else None,
        regulation_end_m=end if law.keeps_flow else None,
    )
    return float(velocity_m_s(flows.emitter_flow_m3_s[last], own[last]))
