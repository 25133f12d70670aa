"""The blow in a pipe when water is stopped, and whether the pipe's class can take it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.water.friction import STANDARD_GRAVITY_M_S2

WATER_BULK_MODULUS_PA = 2.19e9
WATER_DENSITY_KG_M3 = 998.2
"""At 20 degrees Celsius."""
PVC_MODULUS_PA, POLYETHYLENE_MODULUS_PA = 3.0e9, 1.0e9
"""Short-term moduli of PVC-U and of PE100 (from memory)."""


def wave_speed_m_s(
    bore_m: ArrayLike, wall_m: ArrayLike, modulus_pa: ArrayLike
) -> NDArray[np.float64]:
    """Speed of a pressure wave in a pipe that widens under it.

    ``a = sqrt(K / rho) / sqrt(1 + (K / E) (D / e))``, bore for D, no factor for restraint.

    Parameters
    ----------
    bore_m, wall_m : array_like
        Inside diameter and thickness of the wall. [m]
    modulus_pa : array_like
        Of the wall, for a short load. [Pa]

    Returns
    -------
    ndarray
        [m/s]

    References
    ----------
    .. [1] Korteweg's formula as in Wylie and Streeter (1993), Fluid Transients in Systems.
    """
    bore, wall = np.asarray(bore_m, np.float64), np.asarray(wall_m, np.float64)
    if not ((bore > 0.0) & (wall > 0.0)).all():
        raise ValueError("bore_m and wall_m must be above 0")
    in_rock = np.sqrt(WATER_BULK_MODULUS_PA / WATER_DENSITY_KG_M3)
    yielding = WATER_BULK_MODULUS_PA / np.asarray(modulus_pa, np.float64) * bore / wall
    return np.asarray(in_rock / np.sqrt(1.0 + yielding))


def slowest_sudden_closure_s(length_m: ArrayLike, wave_m_s: ArrayLike) -> NDArray[np.float64]:
    """Time ``2 L / a`` in which the wave comes back; a stop within it is as if sudden. [s]."""
    return np.asarray(2.0 * np.asarray(length_m, np.float64) / np.asarray(wave_m_s, np.float64))


def surge_head_m(
    stopped_m_s: ArrayLike,
    wave_m_s: ArrayLike,
    *,
    length_m: ArrayLike = np.inf,
    closure_s: ArrayLike = 0.0,
    gravity: float = STANDARD_GRAVITY_M_S2,
) -> NDArray[np.float64]:
    """Rise of head when water of a speed is stopped.

    ``a dV / g`` (Joukowsky) for a stop within ``2 L / a``; for a slower one that lasts t,
    ``2 L dV / (g t)`` (Michaud, from memory).

    Parameters
    ----------
    stopped_m_s, wave_m_s : array_like
        Speed taken from the water, and of the wave. [m/s]
    length_m, closure_s : array_like
        Of the pipe to the next open water, and how long the valve takes to close. [m], [s]
    gravity : float
        [m/s2]

    Returns
    -------
    ndarray
        [m]
    """
    wave, lasts = np.asarray(wave_m_s, np.float64), np.asarray(closure_s, np.float64)
    back_s = slowest_sudden_closure_s(length_m, wave)
    slower = lasts > back_s
    share = np.divide(back_s, lasts, out=np.ones(slower.shape), where=slower)
    return np.asarray(share * wave * np.asarray(stopped_m_s, np.float64) / gravity)


@dataclass(frozen=True, slots=True)
class SurgeCheck:
    """What a pipe has to bear against what it is made for.

    Parameters
    ----------
    working_m, surge_m, class_m : float
        Working head, rise when the water is stopped, and head of the pipe's class. [m]
    """

    working_m: float
    surge_m: float
    class_m: float

    @property
    def total_m(self) -> float:
        """Return working head and surge together. [m]."""
        return self.working_m + self.surge_m

    @property
    def over_m(self) -> float:
        """Return the head by which the class is passed, below 0 where it holds. [m]."""
        return self.total_m - self.class_m

    @property
    def holds(self) -> bool:
        """Whether the class covers working pressure and surge."""
        return self.over_m <= 0.0
