"""What an anchor in the ground can hold: a screwed helix, a buried log, a plate.

These are estimates of the load at which an anchor comes out. They know the soil by two or
three numbers only; a pull test on the site is the one proof.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.trellis.ends import above_0

Floats = NDArray[np.float64]

CLAY_BEARING_FACTOR = 9.0
"""Nc of a deep plate in clay, as notes of a supplier of helical anchors print it."""
SHALLOW_CLAY_SLOPE = 1.2
"""Nc of a shallow plate in clay for each diameter of depth; from memory."""
WEDGE_PRESSURE = 0.95
"""Ku, earth pressure on the sides of the soil lifted, Meyerhof and Adams (1968); from memory."""
FRICTION_DEG = (20.0, 25.0, 30.0, 35.0, 40.0, 45.0)
SHAPE_FACTOR = (0.05, 0.10, 0.15, 0.25, 0.35, 0.50)
"""m of Meyerhof and Adams (1968) at each friction angle; from memory."""
DEEP_RATIO = (2.5, 3.0, 4.0, 5.0, 7.0, 9.0)
"""Depth over diameter past which no more soil is lifted, at each friction angle; from memory."""
WATERLOGGED_SHARE = 0.5
"""What is left of an anchor in waterlogged ground, as a page on ground anchors prints it."""
TORQUE_FACTOR_PER_M = 10.0 / 0.3048
"""Kt of a shaft of 1.5 in, 10 to the foot, as notes of a supplier of helical anchors print it."""


@dataclass(frozen=True, slots=True)
class AnchorSoil:
    """The ground that holds an anchor.

    Parameters
    ----------
    cohesion_pa : float
        Undrained strength cu of clay; 0 in sand. [Pa]
    friction_deg : float
        Friction angle phi. In clay it counts for what is loaded for years. [deg]
    unit_weight_n_m3 : float
        Weight of the soil. [N/m3]
    is_waterlogged : bool
        Whether it may stand under water.
    """

    cohesion_pa: float
    friction_deg: float
    unit_weight_n_m3: float
    is_waterlogged: bool = False

    @property
    def share(self) -> float:
        """Share of the dry capacity that is left. [-]."""
        return WATERLOGGED_SHARE if self.is_waterlogged else 1.0


def helix_area_m2(diameter_mm: ArrayLike) -> Floats:
    """Area of a round plate, the hole of its shaft ignored. [m2]."""
    return np.asarray(np.pi * (above_0("diameter_mm", diameter_mm) / 1000.0) ** 2 / 4.0)


def bearing_n(
    area_m2: ArrayLike,
    cohesion_pa: ArrayLike,
    overburden_pa: ArrayLike = 0.0,
    overburden_factor: ArrayLike = 0.0,
) -> Floats:
    """Pull at which a deep plate ploughs through the soil, A (c Nc + q' Nq). [N]."""
    cohesion = np.asarray(cohesion_pa, np.float64) * CLAY_BEARING_FACTOR
    overburden = np.asarray(overburden_pa, np.float64) * np.asarray(overburden_factor, np.float64)
    return np.asarray(np.asarray(area_m2, np.float64) * (cohesion + overburden))


def overburden_factor(friction_deg: ArrayLike) -> Floats:
    """Bearing factor Nq = exp(pi tan(phi)) tan2(45 + phi/2), after Prandtl and Reissner. [-]."""
    phi = np.radians(np.asarray(friction_deg, np.float64))
    return np.asarray(np.exp(np.pi * np.tan(phi)) * np.tan(np.pi / 4.0 + phi / 2.0) ** 2)


def breakout_n(diameter_mm: ArrayLike, depth_m: ArrayLike, soil: AnchorSoil) -> Floats:
    """Pull at which a shallow plate lifts the soil above it. [N].

    In sand A gamma H Fq with Fq = 1 + 2 (1 + m H/D) (H/D) Ku tan(phi), H/D no more than
    `DEEP_RATIO`; in clay A c times 1.2 H/D, no more than 9.

    Parameters
    ----------
    diameter_mm : array_like
        Of the plate. [mm]
    depth_m : array_like
        Of the plate below the ground. [m]
    soil : AnchorSoil
        That holds it; clay where it has cohesion.

    References
    ----------
    .. [1] Meyerhof and Adams (1968), The ultimate uplift capacity of foundations, Canadian
       Geotechnical Journal 5: 225-244; recalled from memory, as is the rule for clay.
    """
    area, depth = helix_area_m2(diameter_mm), above_0("depth_m", depth_m)
    ratio = depth / (np.asarray(diameter_mm, np.float64) / 1000.0)
    if soil.cohesion_pa > 0.0:
        factor = np.minimum(SHALLOW_CLAY_SLOPE * ratio, CLAY_BEARING_FACTOR)
        return np.asarray(area * soil.cohesion_pa * factor)
    phi = soil.friction_deg
    ratio = np.minimum(ratio, np.interp(phi, FRICTION_DEG, DEEP_RATIO))
    shape = 1.0 + np.interp(phi, FRICTION_DEG, SHAPE_FACTOR) * ratio
    factor = 1.0 + 2.0 * shape * ratio * WEDGE_PRESSURE * np.tan(np.radians(phi))
    return np.asarray(area * soil.unit_weight_n_m3 * depth * factor)


def helix_n(diameter_mm: ArrayLike, depth_m: ArrayLike, soil: AnchorSoil) -> Floats:
    """Pull along its shaft at which a helix, or a plate square to its tie, comes out. [N].

    The lower of `bearing_n` and `breakout_n`. In clay the weight of the soil above is left out.

    Parameters
    ----------
    diameter_mm, depth_m
        Of the plate and of its depth below the ground. [mm], [m]
    soil : AnchorSoil
        That holds it; clay where it has cohesion.
    """
    area = helix_area_m2(diameter_mm)
    if soil.cohesion_pa > 0.0:
        deep = bearing_n(area, soil.cohesion_pa)
    else:
        overburden = soil.unit_weight_n_m3 * np.asarray(depth_m, np.float64)
        deep = bearing_n(area, 0.0, overburden, overburden_factor(soil.friction_deg))
    return np.asarray(soil.share * np.minimum(deep, breakout_n(diameter_mm, depth_m, soil)))


def plate_n(
    width_m: ArrayLike, length_m: ArrayLike, depth_m: ArrayLike, soil: AnchorSoil
) -> Floats:
    """Pull at which an oblong plate square to its tie comes out, as a round one of its area. [N].

    Parameters
    ----------
    width_m, length_m, depth_m
        Of the plate and of its middle below the ground. [m]
    soil : AnchorSoil
        That holds it.
    """
    area = above_0("width_m", width_m) * above_0("length_m", length_m)
    return helix_n(1000.0 * np.sqrt(4.0 * area / np.pi), depth_m, soil)


def helix_from_torque_n(
    torque_nm: ArrayLike, factor_per_m: ArrayLike = TORQUE_FACTOR_PER_M
) -> Floats:
    """Pull a helix will stand by the torque that screwed it in, Kt times torque. [N].

    Parameters
    ----------
    torque_nm : array_like
        At the end of screwing in. [N m]
    factor_per_m : array_like
        Kt; from 3 to 20 to the foot (10 to 66 1/m) by shaft. [1/m]
    """
    return np.asarray(np.asarray(torque_nm, np.float64) * np.asarray(factor_per_m, np.float64))


def torque_for_nm(pull_n: ArrayLike, factor_per_m: ArrayLike = TORQUE_FACTOR_PER_M) -> Floats:
    """Torque to reach while a helix is screwed in, so that it stands a pull. [N m]."""
    return np.asarray(np.asarray(pull_n, np.float64) / above_0("factor_per_m", factor_per_m))


def deadman_n(depth_m: ArrayLike, length_m: ArrayLike, soil: AnchorSoil) -> Floats:
    """Sideways pull at which a buried log ploughs forward: 0.5 gamma H2 (Kp - Ka) B. [N].

    Its load stays for years, so that friction alone counts, in clay as well. The formula is
    from memory.

    Parameters
    ----------
    depth_m : array_like
        H, of its lower edge below the ground. [m]
    length_m : array_like
        B, across the pull. [m]
    soil : AnchorSoil
        That holds it.
    """
    half = np.pi / 4.0, np.radians(soil.friction_deg) / 2.0
    difference = np.tan(half[0] + half[1]) ** 2 - np.tan(half[0] - half[1]) ** 2
    depth, length = above_0("depth_m", depth_m), above_0("length_m", length_m)
    pressure = 0.5 * soil.unit_weight_n_m3 * depth**2 * difference
    return np.asarray(soil.share * pressure * length)


def deadman_uplift_n(
    depth_m: ArrayLike, length_m: ArrayLike, trench_m: ArrayLike, soil: AnchorSoil
) -> Floats:
    """Lift at which a buried log comes up: the soil over it and friction on its four sides. [N].

    Soil of depth H, length B, width w: gamma H B w + gamma H2 Ku tan(phi) (B + w), after
    Meyerhof and Adams (1968) without their shape factor, which would add; from memory.

    Parameters
    ----------
    depth_m, length_m : array_like
        As for `deadman_n`. [m]
    trench_m : array_like
        w, width of the trench that is filled again. [m]
    soil : AnchorSoil
        That holds it.
    """
    depth, length = above_0("depth_m", depth_m), above_0("length_m", length_m)
    width = above_0("trench_m", trench_m)
    weight = depth * length * width
    friction = WEDGE_PRESSURE * np.tan(np.radians(soil.friction_deg))
    sides = depth**2 * friction * (length + width)
    return np.asarray(soil.share * soil.unit_weight_n_m3 * (weight + sides))
