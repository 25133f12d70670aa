"""From what vines use to what drippers must give, how often, and how many sets a day holds.

Plain arithmetic.
"""

import math

from aanplant.water.quality import water_with_leaching

LEACHING_COUNTS = 0.1
"""Smaller leaching needs are met by what drains anyway (Keller and Bliesner, from memory)."""


def counting_share(uniformity: float, leaching: float = 0.0) -> float:
    """Share of the water at the drippers that the worst watered vines can use. [-].

    Parameters
    ----------
    uniformity : float
        Emission uniformity, 0 < EU <= 1. [-]
    leaching : float
        Share that must drain to carry salt away; counts above 0.1. [-]

    Raises
    ------
    ValueError
        If a share is outside its range.
    """
    if not 0.0 < uniformity <= 1.0 or not 0.0 <= leaching < 1.0:
        raise ValueError(f"uniformity in (0, 1], leaching in [0, 1): {uniformity}, {leaching}")
    drains = leaching if leaching > LEACHING_COUNTS else 0.0
    return uniformity / float(water_with_leaching(1.0, drains))


def sets_in_a_day(hours_available: float, hours_each: float) -> int:
    """Return the most sets that can run one after another in a day; 0 if not one can. [sets]."""
    if hours_each <= 0.0:
        raise ValueError(f"hours_each must be above 0, got {hours_each}")
    return math.floor(hours_available / hours_each + 1e-9)


def most_net_depth_mm(allowed_depletion: float, rooted: float, available_mm: float) -> float:
    """Most water worth giving at once: what the root zone may lack, over the whole ground. [mm].

    Parameters
    ----------
    allowed_depletion, rooted : float
        Share of the available water that may go, and of the ground that holds it. [-]
    available_mm : float
        Available water in the depth of the roots. [mm]
    """
    return allowed_depletion * rooted * available_mm


def longest_interval_d(depth_mm: float, use_mm_d: float) -> float:
    """Days that a depth lasts; endless where nothing is used. [d]."""
    return math.inf if use_mm_d <= 0.0 else depth_mm / use_mm_d
