"""Whether a pump can draw its water: the air presses it up, warmth and height take from that."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.site.weather import saturation_vapour_pressure
from aanplant.trellis.breaches import Breach
from aanplant.water.emitters import KPA_PER_M

Values = NDArray[np.float64]

SEA_LEVEL_KPA = 101.325
AIR_LAPSE, AIR_EXPONENT = 2.25577e-5, 5.25588
"""Of the standard atmosphere, with height in metres."""
NPSH_MARGIN_M = 0.5
"""By how much the suction head there is should exceed what the pump needs (published)."""
PRACTICAL_LIFT_M, PRACTICAL_LIFT_HEIGHTS_M = (6.7, 6.1), (0.0, 805.0)
"""Suction lift that can be counted on, as a table prints it for two heights above the sea."""


def air_pressure_kpa(height_m: ArrayLike) -> Values:
    """Return the pressure of the standard atmosphere at a height above the sea. [kPa]."""
    height = np.asarray(height_m, np.float64)
    return np.asarray(SEA_LEVEL_KPA * (1.0 - AIR_LAPSE * height) ** AIR_EXPONENT)


def suction_head_m(
    height_m: ArrayLike, suction_lift_m: float, suction_loss_m: float, water_c: float = 20.0
) -> Values:
    """Return the net positive suction head there is, (Pa - Pv)/(rho g) - zs - hf. [m].

    Parameters
    ----------
    height_m : array_like
        Of the pump above the sea. [m]
    suction_lift_m : float
        Of the pump above the lowest water. [m]
    suction_loss_m : float
        Friction on the suction side. [m]
    water_c : float
        Temperature of the water. [degC]
    """
    free = air_pressure_kpa(height_m) - saturation_vapour_pressure(water_c)
    return np.asarray(free / KPA_PER_M - suction_lift_m - suction_loss_m)


def practical_lift_m(height_m: float) -> float:
    """Return the suction lift that can be counted on, beyond the printed heights too. [m]."""
    (first, second), (low, high) = PRACTICAL_LIFT_M, PRACTICAL_LIFT_HEIGHTS_M
    return first + (second - first) * (height_m - low) / (high - low)


def suction_breaches(
    available_m: float, required_m: float | None, suction_lift_m: float, height_m: float
) -> tuple[Breach, ...]:
    """Return what keeps a pump from sucking its water: air and vapour, or too high a lift."""
    found = []
    if required_m is not None and available_m < required_m + NPSH_MARGIN_M:
        found.append(
            Breach("suction_head_short", "pump", available_m, required_m + NPSH_MARGIN_M, "m")
        )
    limit = practical_lift_m(height_m)
    if suction_lift_m > limit:
        found.append(Breach("suction_lift_high", "pump", suction_lift_m, limit, "m"))
    return tuple(found)
