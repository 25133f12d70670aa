"""How far apart pipe drains may lie, as a range: the soil's conductivity is never known well."""

import math

PIPE_RADIUS_M = 0.05
"""A common drain pipe (practice). [m]"""
CONDUCTIVITY_DOUBT = 2.0
"""Auger holes in one field easily differ twofold either way (judgement)."""
_TERMS = 60
_SLOW = 0.5
_NEAR_M = 1e-4


def equivalent_depth_m(spacing_m: float, depth_below_m: float, pipe_radius_m: float) -> float:
    """Depth of flow that stands for water converging on a pipe. [m].

    Parameters
    ----------
    spacing_m : float
        Between drains. [m]
    depth_below_m : float
        From the drains down to what stops water. [m]
    pipe_radius_m : float
        [m]

    References
    ----------
    .. [1] Van der Molen, Wesseling (1991), A solution in closed form and a series solution
       to replace the tables for the thickness of the equivalent layer in Hooghoudt's drain
       spacing formula, Agricultural Water Management 19.
    """
    if depth_below_m <= pipe_radius_m:
        return max(0.0, depth_below_m)
    x = 2.0 * math.pi * depth_below_m / spacing_m
    flow = math.log(spacing_m / (math.pi * pipe_radius_m)) + _convergence(x)
    depth = math.pi * spacing_m / 8.0 / flow
    return min(depth, depth_below_m)


def _convergence(x: float) -> float:
    """Sum of the series of van der Molen and Wesseling, by its limit where it is slow."""
    if x <= _SLOW:
        return math.pi**2 / (4.0 * x) + math.log(x / (2.0 * math.pi))
    return sum(
        4.0 * math.exp(-2.0 * n * x) / (n * -math.expm1(-2.0 * n * x)) for n in range(1, _TERMS, 2)
    )


def drain_spacing_m(
    conductivity_m_d: float,
    discharge_m_d: float,
    head_m: float,
    depth_below_m: float,
    pipe_radius_m: float = PIPE_RADIUS_M,
) -> float:
    """Spacing of parallel drains by Hooghoudt, in one soil above and below them. [m].

    ``L² = (8 K d h + 4 K h²) / q``, with the equivalent depth d found along with L.

    Parameters
    ----------
    conductivity_m_d : float
        Hydraulic conductivity K. [m/d]
    discharge_m_d : float
        Water to carry off, q. [m/d]
    head_m : float
        Height of the water table midway above the drains, h. [m]
    depth_below_m : float
        From the drains down to what stops water. [m]
    pipe_radius_m : float
        [m]

    Raises
    ------
    ValueError
        If a quantity that must be positive is not.

    References
    ----------
    .. [1] Hooghoudt (1940), Versl. Landbouwk. Onderz. 46.
    """
    if min(conductivity_m_d, discharge_m_d, head_m) <= 0 or depth_below_m < 0:
        raise ValueError("conductivity, discharge and head must be above 0, depth not below 0")

    def fits(spacing: float) -> bool:
        depth = equivalent_depth_m(spacing, depth_below_m, pipe_radius_m)
        carried = 8.0 * conductivity_m_d * depth * head_m + 4.0 * conductivity_m_d * head_m**2
        return carried / spacing**2 >= discharge_m_d

    low, high = 4.0 * math.pi * pipe_radius_m, 1e5
    if not fits(low):
        return low
    while high - low > _NEAR_M:
        middle = (low + high) / 2.0
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low


def drain_spacing_range_m(
    conductivity_m_d: float, discharge_m_d: float, head_m: float, depth_below_m: float
) -> tuple[float, float]:
    """Spacing for half and for twice the measured conductivity. [m]; see ``drain_spacing_m``."""
    low, high = (
        drain_spacing_m(conductivity_m_d * factor, discharge_m_d, head_m, depth_below_m)
        for factor in (1.0 / CONDUCTIVITY_DOUBT, CONDUCTIVITY_DOUBT)
    )
    return low, high
