"""How fast water runs in pipes, and whether it runs fast enough to wash an open lateral clean."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.water.friction import STANDARD_GRAVITY_M_S2

FLUSHING_M_S = 0.3
"""Least at the open end of a lateral: 1 ft/s (Univ. California, Maintenance of Microirrigation
Systems; NRCS practice 441)."""
FASTEST_M_S = 1.5
"""Most in mains and submains, 5 ft/s (from memory)."""
FILLING_M_S = 0.3
"""Most while an empty main is filled (from memory)."""
Floats = NDArray[np.float64]


def velocity_m_s(flow_m3_s: ArrayLike, bore_m: ArrayLike) -> Floats:
    """Mean speed of water in a full pipe. [m/s]."""
    return np.asarray(np.asarray(flow_m3_s, np.float64) / area_m2(bore_m))


def flow_at_velocity_m3_s(bore_m: ArrayLike, velocity: float) -> Floats:
    """Flow of a full pipe at a speed, in m/s. [m3/s]."""
    return np.asarray(area_m2(bore_m) * velocity)


def area_m2(bore_m: ArrayLike) -> Floats:
    """Area of a bore. [m2]."""
    return np.asarray(np.pi / 4.0 * np.square(np.asarray(bore_m, np.float64)))


@dataclass(frozen=True, slots=True)
class OpenEnds:
    """The outlets of a network while the ends of some laterals stand open.

    Parameters
    ----------
    coefficient, exponent : ndarray, shape (n,)
        To be given to :func:`aanplant.water.network.solve` for those of the drippers.
    """

    coefficient: Floats
    exponent: Floats


def open_ends(
    ends: ArrayLike,
    bore_m: ArrayLike,
    emitter_coefficient: ArrayLike,
    emitter_exponent: ArrayLike,
    *,
    gravity: float = STANDARD_GRAVITY_M_S2,
) -> OpenEnds:
    """Open the ends of laterals to flush them.

    An open end spends all its head on speed, ``h = V^2 / 2g``: an outlet of exponent 0.5 with
    ``k = A sqrt(2 g)``. The dripper at that node, a thousandth of it, is left out.

    Parameters
    ----------
    ends : array_like of int
        Last nodes of the laterals that are opened.
    bore_m, emitter_coefficient, emitter_exponent : array_like, shape (n,)
        Of the network. [m], [m3/s / m^x], [-]
    gravity : float
        [m/s2]
    """
    last = np.asarray(ends, dtype=np.intp)
    coefficient = np.array(emitter_coefficient, dtype=np.float64)
    exponent = np.array(np.broadcast_to(np.asarray(emitter_exponent, float), coefficient.shape))
    bore = np.broadcast_to(np.asarray(bore_m, np.float64), coefficient.shape)
    coefficient[last] = area_m2(bore[last]) * np.sqrt(2.0 * gravity)
    exponent[last] = 0.5
    return OpenEnds(coefficient, exponent)
