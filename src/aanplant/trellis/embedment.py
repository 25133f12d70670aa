"""How a post stands in the ground, by four published methods, none made for thin trellis posts.

Each method turns a force across the row at some height, a width and a depth into a *relative*
utilisation: force over what the method allows. The two for building poles allow a working
load, the two of Broms an ultimate one, so their numbers are not to be compared with one
another but along one method: twice the utilisation needs twice the ground.

Non-constrained: d3 = k (d + c h), the cubic behind the printed d = A/2 (1 + sqrt(1 + 4.36 h/A)).
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Values = NDArray[np.float64]

IBC_FORCE, IBC_ARM = 3.0 * 2.34, 4.36 / 4.0
"""Of k = 7.02 P/(S b) and of c = 1.09: the printed formula with S1 = S d/3 put in."""
IBC_CONSTRAINED = 4.25
EP486_FORCE, EP486_ARM, EP486_CONSTRAINED = 6.0, 8.0 / 6.0, 4.0
"""Older closed form of the post-frame standard, recalled: d2 = (6 V + 8 M/d)/(S b)."""
BROMS_TOP_DIAMETERS = 1.5
"""Clay down to this many diameters is not counted."""
BROMS_CLAY, BROMS_LOWER = 9.0, 2.25
_STEPS, ROUNDING = 60, 1e-12


def ibc_depth_m(
    force_n: ArrayLike, height_m: ArrayLike, width_m: ArrayLike, bearing_pa_per_m: ArrayLike
) -> Values:
    """Depth a free pole needs. [m].

    Parameters
    ----------
    force_n : array_like
        Across the pole. [N]
    height_m : array_like
        Of the force above the ground. [m]
    width_m : array_like
        Diameter, or diagonal of a square. [m]
    bearing_pa_per_m : array_like
        Lateral bearing for a metre of depth, all increases in it. [Pa/m]

    References
    ----------
    .. [1] International Building Code, section 1807.3.2.1.
    """
    return _depth(force_n, height_m, _ground(width_m, bearing_pa_per_m), IBC_FORCE, IBC_ARM)


def ibc_depth_at_pressure_m(
    force_n: ArrayLike, height_m: ArrayLike, width_m: ArrayLike, pressure_pa: ArrayLike
) -> Values:
    """Depth a free pole needs where the pressure at a third of its depth is given. [m]."""
    a = 2.34 * np.asarray(force_n) / (np.asarray(pressure_pa) * np.asarray(width_m))
    return np.asarray(0.5 * a * (1.0 + np.sqrt(1.0 + 4.36 * np.asarray(height_m) / a)))


def ibc_constrained_depth_m(
    moment_nm: ArrayLike, width_m: ArrayLike, bearing_pa_per_m: ArrayLike
) -> Values:
    """Depth a pole needs that a floor or rail holds at the ground line. [m].

    References
    ----------
    .. [1] International Building Code, section 1807.3.2.2.
    """
    ground = _ground(width_m, bearing_pa_per_m)
    return np.asarray(np.cbrt(IBC_CONSTRAINED * np.asarray(moment_nm) / ground))


def ep486_depth_m(
    force_n: ArrayLike, height_m: ArrayLike, width_m: ArrayLike, bearing_pa_per_m: ArrayLike
) -> Values:
    """Depth a free post needs by the older form of ASABE EP486, from memory. [m]."""
    return _depth(force_n, height_m, _ground(width_m, bearing_pa_per_m), EP486_FORCE, EP486_ARM)


def ep486_constrained_depth_m(
    moment_nm: ArrayLike, width_m: ArrayLike, bearing_pa_per_m: ArrayLike
) -> Values:
    """Depth a post needs that is held at the ground line, ASABE EP486, from memory. [m]."""
    ground = _ground(width_m, bearing_pa_per_m)
    return np.asarray(np.cbrt(EP486_CONSTRAINED * np.asarray(moment_nm) / ground))


def ibc_force_n(
    depth_m: ArrayLike, height_m: ArrayLike, width_m: ArrayLike, bearing_pa_per_m: ArrayLike
) -> Values:
    """Force that a free pole of a depth may carry, the inverse of ``ibc_depth_m``. [N]."""
    return _force(depth_m, height_m, _ground(width_m, bearing_pa_per_m), IBC_FORCE, IBC_ARM)


def ep486_force_n(
    depth_m: ArrayLike, height_m: ArrayLike, width_m: ArrayLike, bearing_pa_per_m: ArrayLike
) -> Values:
    """Force that a free post of a depth may carry, the inverse of ``ep486_depth_m``. [N]."""
    return _force(depth_m, height_m, _ground(width_m, bearing_pa_per_m), EP486_FORCE, EP486_ARM)


@dataclass(frozen=True, slots=True)
class Ultimate:
    """What turns a short post over, by Broms.

    Parameters
    ----------
    force_n : ndarray
        Ultimate force across the post. [N]
    moment_nm : ndarray
        Greatest bending of the post at that force, below the ground line; nan in sand. [N m]
    """

    force_n: Values
    moment_nm: Values


def broms_clay(
    depth_m: ArrayLike, height_m: ArrayLike, diameter_m: ArrayLike, cohesion_pa: ArrayLike
) -> Ultimate:
    """Find the force that turns a short free-headed post over in clay.

    H (e + 1.5 D + f/2) = 2.25 D g2 cu with f = H/(9 cu D) and g = L - 1.5 D - f: a quadratic
    in f.

    Parameters
    ----------
    depth_m, height_m, diameter_m : array_like
        Depth in the ground, height of the force, diameter. [m]
    cohesion_pa : array_like
        Undrained strength. [Pa]

    References
    ----------
    .. [1] Broms (1964), Lateral resistance of piles in cohesive soils, as an open textbook of
       foundation engineering gives it; the 2.25 from memory.
    """
    diameter = np.asarray(diameter_m, np.float64)
    strength = np.asarray(cohesion_pa, np.float64)
    free = np.maximum(np.asarray(depth_m, np.float64) - BROMS_TOP_DIAMETERS * diameter, 0.0)
    arm = np.asarray(height_m, np.float64) + BROMS_TOP_DIAMETERS * diameter
    half = 2.0 * arm + free
    f = free**2 / (half + np.sqrt(half**2 + free**2))
    force = BROMS_CLAY * strength * diameter * f
    return Ultimate(np.asarray(force), np.asarray(force * (arm + f / 2.0)))


def broms_sand(
    depth_m: ArrayLike,
    height_m: ArrayLike,
    diameter_m: ArrayLike,
    unit_weight_n_m3: ArrayLike,
    friction_deg: ArrayLike,
) -> Ultimate:
    """Find the force that turns a short free-headed post over in sand, 0.5 w D L3 Kp/(e + L).

    Parameters
    ----------
    depth_m, height_m, diameter_m : array_like
        Depth in the ground, height of the force, diameter. [m]
    unit_weight_n_m3 : array_like
        Weight of the soil. [N/m3]
    friction_deg : array_like
        Angle of friction. [deg]

    References
    ----------
    .. [1] Broms (1964), Lateral resistance of piles in cohesionless soils, from memory.
    """
    depth, height = np.asarray(depth_m, np.float64), np.asarray(height_m, np.float64)
    push = np.asarray(unit_weight_n_m3) * np.asarray(diameter_m) * passive_pressure(friction_deg)
    force = 0.5 * push * depth**3 / (height + depth)
    return Ultimate(np.asarray(force), np.full(np.shape(force), math.nan))


def passive_pressure(friction_deg: ArrayLike) -> Values:
    """Rankine's passive pressure coefficient, tan2(45 + phi/2). [-]."""
    return np.asarray(np.tan(np.radians(45.0 + np.asarray(friction_deg, np.float64) / 2.0)) ** 2)


def standing_gust_m_s(
    utilisation: Callable[[Values], Values], shape: tuple[int, ...], fastest_m_s: float = 100.0
) -> Values:
    """Find the gust at which a utilisation that grows with it reaches 1. [m/s].

    Parameters
    ----------
    utilisation : callable
        Of gusts of ``shape``. [m/s to -]
    shape : tuple of int
        Of the answer.
    fastest_m_s : float
        What stands this is said to stand any gust, as infinity. [m/s]

    Returns
    -------
    ndarray
        0 where the part fails without wind.
    """
    low, high = np.zeros(shape), np.full(shape, fastest_m_s)
    for _ in range(_STEPS):
        middle = (low + high) / 2.0
        stands = utilisation(middle) <= 1.0
        low, high = np.where(stands, middle, low), np.where(stands, high, middle)
    stands_all = utilisation(np.full(shape, fastest_m_s)) <= 1.0
    fails_still = utilisation(np.zeros(shape)) > 1.0
    return np.where(stands_all, np.inf, np.where(fails_still, 0.0, low))


def _ground(width_m: ArrayLike, bearing_pa_per_m: ArrayLike) -> Values:
    """Force that a metre of post takes for a metre of depth, S b. [N/m2]."""
    return np.asarray(np.asarray(bearing_pa_per_m, np.float64) * np.asarray(width_m, np.float64))


def _depth(
    force_n: ArrayLike, height_m: ArrayLike, ground: Values, per_force: float, arm: float
) -> Values:
    """Positive root of d3 = k (d + c h), k = per_force P/(S b), by Newton from above."""
    k = per_force * np.asarray(force_n, np.float64) / ground
    far = k * arm * np.asarray(height_m, np.float64)
    # The cube of this start exceeds k d + far, and the cubic is convex: Newton only descends.
    depth = np.asarray(np.sqrt(k) + np.cbrt(far))
    for _ in range(_STEPS):
        slope = 3.0 * depth**2 - k
        step = np.divide(
            depth**3 - k * depth - far, slope, where=slope > 0.0, out=np.zeros_like(depth)
        )
        depth = depth - step
        if np.all(np.abs(step) <= ROUNDING * depth):
            break
    return np.asarray(depth)


def _force(
    depth_m: ArrayLike, height_m: ArrayLike, ground: Values, per_force: float, arm: float
) -> Values:
    depth = np.asarray(depth_m, np.float64)
    reach = depth + arm * np.asarray(height_m, np.float64)
    return np.asarray(ground * depth**3 / (per_force * reach))
