"""What a sudden stop of the water would do to each pipe of a system."""

import numpy as np
from numpy.typing import NDArray

from aanplant.water.pipes import Pipe
from aanplant.water.surge import SurgeCheck, surge_head_m, wave_speed_m_s

Values = NDArray[np.float64]
Whole = NDArray[np.int64]


def worst_surge(
    pipes: tuple[Pipe, ...], pipe: Whole, most_pressure_m: Values, velocity_m_s: Values
) -> tuple[SurgeCheck, int]:
    """Find the mainline or submain pipe that a sudden stop brings nearest to its class.

    Parameters
    ----------
    pipes : tuple of Pipe
        Those used; the last is the dripper line, which has no gate to stop it.
    pipe : ndarray of int, shape (n_nodes,)
        Index into them; -1 for the source.
    most_pressure_m, velocity_m_s : ndarray, shape (n_nodes,)
        Greatest of all sets. [m], [m/s]

    Returns
    -------
    SurgeCheck, int
        And the node where that pipe ends; what passes the class stands farthest beyond it.
    """
    buried = np.flatnonzero((pipe >= 0) & (pipe < len(pipes) - 1))
    own = pipe[buried]
    wave = wave_speed_m_s(
        [one.bore_m for one in pipes],
        [one.wall_m for one in pipes],
        [one.elasticity_pa for one in pipes],
    )
    surge = surge_head_m(velocity_m_s[buried], wave[own])
    rated = np.array([one.rated_head_m for one in pipes])[own]
    working = most_pressure_m[buried]
    at = int(np.argmax(working + surge - rated))
    check = SurgeCheck(float(working[at]), float(surge[at]), float(rated[at]))
    return check, int(buried[at])
