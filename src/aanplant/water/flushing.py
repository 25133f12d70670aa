"""How many laterals can be flushed at once so that each is washed clean."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from aanplant.water.network import solve
from aanplant.water.velocity import FLUSHING_M_S, open_ends


@dataclass(frozen=True, slots=True)
class Flushing:
    """Laterals whose ends may stand open together.

    Parameters
    ----------
    at_once : int
        Most that are all washed fast enough, 0 where not even one is.
    slowest_m_s : float
        Speed at the slowest of them; of one where none is fast enough. [m/s]
    flow_m3_s : float
        What the source gives meanwhile, the drippers included. [m3/s]
    """

    at_once: int
    slowest_m_s: float
    flow_m3_s: float


def flushing(  # noqa: PLR0917 - the network as `solve` takes it, and the ends
    parent: ArrayLike,
    length_m: ArrayLike,
    diameter_m: ArrayLike,
    elevation_m: ArrayLike,
    emitter_coefficient: ArrayLike,
    emitter_exponent: ArrayLike,
    source_head_m: float,
    ends: ArrayLike,
    *,
    least_m_s: float = FLUSHING_M_S,
    flow_available_m3_s: float = np.inf,
    **more: Any,  # noqa: ANN401 - what `solve` takes besides
) -> Flushing:
    """Find how many laterals of a set can be flushed together.

    Laterals are opened from the last of ``ends`` on, so the last should be that farthest from
    the valve. The more that stand open, the slower each runs and the more the source must give.

    Parameters
    ----------
    parent, length_m, diameter_m, elevation_m, emitter_coefficient, emitter_exponent
        As :func:`aanplant.water.network.solve` takes them, shape (n,).
    source_head_m : float
        Held while flushing. [m]
    ends : array_like of int
        Last node of each lateral.
    least_m_s : float
        Speed that washes a lateral clean. [m/s]
    flow_available_m3_s : float
        Most the source gives. [m3/s]
    **more
        Friction and the like, for ``solve``.

    Returns
    -------
    Flushing

    Raises
    ------
    ValueError
        If there is no end to open.
    """
    last = np.asarray(ends, dtype=np.intp)
    if not last.size:
        raise ValueError("ends must name the last node of at least one lateral")

    def opened(number: int) -> Flushing:
        some = last[-number:]
        outlets = open_ends(some, diameter_m, emitter_coefficient, emitter_exponent)
        pipes = (parent, length_m, diameter_m, elevation_m)
        flows = solve(*pipes, outlets.coefficient, outlets.exponent, source_head_m, **more)
        slowest = float(flows.velocity_m_s[some].min())
        return Flushing(number, slowest, float(flows.pipe_flow_m3_s[0]))

    def will_do(found: Flushing) -> bool:
        return found.slowest_m_s >= least_m_s and found.flow_m3_s <= flow_available_m3_s

    best = opened(1)
    if not will_do(best):
        return Flushing(0, best.slowest_m_s, best.flow_m3_s)
    high = last.size + 1
    while high - best.at_once > 1:
        found = opened((best.at_once + high) // 2)
        if will_do(found):
            best = found
        else:
            high = found.at_once
    return best
