"""Where a solved set breaks a limit: drippers without water, pipes that suck or run too fast."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.water.network import Flows
from aanplant.water.velocity import FASTEST_M_S

Kind = Literal["starved", "suction", "too_fast"]
Flags = NDArray[np.bool_]
_ALMOST_NONE_M = 1e-6
"""Pressure below none that is the solver's own rounding."""


@dataclass(frozen=True, slots=True)
class FlowBreach:
    """One limit that a set does not keep.

    Parameters
    ----------
    kind : {"starved", "suction", "too_fast"}
        Drippers without pressure, pipes below the pressure of the air, or water too fast.
    node : int
        Worst place, a node of the network as it was solved.
    value, limit : float
        What it comes to there and what is allowed: pressure [m] or speed [m/s].
    count : int
        Drippers or pipes that break it.
    """

    kind: Kind
    node: int
    value: float
    limit: float
    count: int


def flow_breaches(flows: Flows, *, fastest_m_s: ArrayLike = FASTEST_M_S) -> tuple[FlowBreach, ...]:
    """Limits that the flows break, the gravest first; none where all is well.

    Parameters
    ----------
    flows : Flows
        Of a set.
    fastest_m_s : array_like, shape (n,)
        Most for each pipe; infinite where there is no limit. [m/s]

    Returns
    -------
    tuple of FlowBreach
    """
    found: list[FlowBreach] = []
    pressure, limit = flows.pressure_m, np.broadcast_to(fastest_m_s, flows.velocity_m_s.shape)
    without: tuple[tuple[Kind, Flags], ...] = (
        ("starved", flows.starved),
        ("suction", pressure < -_ALMOST_NONE_M),
    )
    for kind, broken in without:
        if broken.any():
            worst = int(np.where(broken, pressure, np.inf).argmin())
            count = int(broken.sum())
            found.append(FlowBreach(kind, worst, float(pressure[worst]), 0.0, count))
    over = flows.velocity_m_s / limit
    if (fast := over > 1.0).any():
        worst = int(over.argmax())
        speed, most = float(flows.velocity_m_s[worst]), float(limit[worst])
        found.append(FlowBreach("too_fast", worst, speed, most, int(fast.sum())))
    return tuple(found)
