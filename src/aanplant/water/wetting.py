"""How wide and how deep drippers wet the soil, and how fast they rain on it."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.tables import rows

Values = NDArray[np.float64]

OVERLAP = 0.8
"""Distance of drippers over the width they wet, so that their circles join to a strip."""
WIDTH_FACTOR, WIDTH_BY_VOLUME, WIDTH_BY_SOIL = 1.82, 0.22, -0.17
DEPTH_FACTOR, DEPTH_BY_VOLUME, DEPTH_BY_SOIL = 2.54, 0.63, 0.45


def strip_width_m(flow_lph: ArrayLike, texture: str) -> Values:
    """Return the width of the strip a line of drippers wets. [m].

    Between the flows of the table it is interpolated; beyond them its ends stay.

    Parameters
    ----------
    flow_lph : array_like
        Of one dripper. [L/h]
    texture : str
        coarse, medium or fine.

    Raises
    ------
    ValueError
        If the texture is another.

    References
    ----------
    .. [1] Keller, Karmeli (1974), Trickle irrigation design parameters, from memory.
    """
    return _from_table(flow_lph, texture, "width_m")


def dripper_spacing_m(flow_lph: ArrayLike, texture: str) -> Values:
    """Return the distance at which circles of drippers join to a strip. [m]."""
    return _from_table(flow_lph, texture, "spacing_m")


def wetted_share(strip_m: ArrayLike, row_width_m: ArrayLike) -> Values:
    """Return the share of the ground that one line a row wets, at most all of it. [-]."""
    return np.minimum(np.asarray(strip_m, np.float64) / np.asarray(row_width_m, np.float64), 1.0)


def wetted_diameter_m(texture: str, soil_depth_m: float, layering: str = "homogeneous") -> float:
    """Return the circle one dripper of 4 L/h wets at a depth; between depths interpolated. [m].

    Parameters
    ----------
    texture : str
        coarse, medium or fine.
    soil_depth_m : float
        Of soil and roots. [m]
    layering : str
        homogeneous, stratified or layered.
    """
    table = [row for row in rows("wetted_diameters.csv") if row["texture"] == texture]
    depths = [float(row["soil_depth_m"]) for row in table]
    widths = [float(row[f"{layering}_m"]) for row in table]
    return float(np.interp(soil_depth_m, depths, widths))


@dataclass(frozen=True, slots=True)
class Bulb:
    """The soil one dripper wets, at the end of watering.

    Parameters
    ----------
    width_m, depth_m : ndarray
        [m]
    """

    width_m: Values
    depth_m: Values


def wetted_bulb(
    flow_m3_s: ArrayLike, volume_m3: ArrayLike, conductivity_m_s: ArrayLike
) -> Bulb:  # fmt: skip
    """Return width and depth of the soil that a dripper wets.

    w = 1.82 V^0.22 (Ks/q)^-0.17 and z = 2.54 V^0.63 (Ks/q)^0.45

    Parameters
    ----------
    flow_m3_s : array_like
        Of the dripper. [m3/s]
    volume_m3 : array_like
        Given in one watering. [m3]
    conductivity_m_s : array_like
        Saturated conductivity of the soil. [m/s]

    References
    ----------
    .. [1] Schwartzman, Zur (1986), Emitter spacing and geometry of wetted soil volume,
       J. Irrig. Drain. Eng. 112: 242-253, from memory.
    """
    volume = np.asarray(volume_m3, np.float64)
    by_flow = np.asarray(conductivity_m_s, np.float64) / np.asarray(flow_m3_s, np.float64)
    return Bulb(
        np.asarray(WIDTH_FACTOR * volume**WIDTH_BY_VOLUME * by_flow**WIDTH_BY_SOIL),
        np.asarray(DEPTH_FACTOR * volume**DEPTH_BY_VOLUME * by_flow**DEPTH_BY_SOIL),
    )


def application_rate_mm_h(
    flow_lph: ArrayLike, area_m2: ArrayLike, efficiency: float = 1.0
) -> Values:  # fmt: skip
    """Return the depth of water given in an hour: 1 L on 1 m2 is 1 mm. [mm/h].

    Parameters
    ----------
    flow_lph : array_like
        Of one dripper or sprayer. [L/h]
    area_m2 : array_like
        Ground that one has, such as dripper distance times row width. [m2]
    efficiency : float
        Share of the water that counts. [-]
    """
    return np.asarray(efficiency * np.asarray(flow_lph, np.float64) / np.asarray(area_m2))


def puddle_rate_mm_h(flow_lph: ArrayLike, diameter_m: ArrayLike) -> Values:
    """Return the rate at which a round puddle must soak in. [mm/h]."""
    diameter = np.asarray(diameter_m, np.float64)
    return application_rate_mm_h(flow_lph, math.pi * diameter**2 / 4.0)


def _from_table(flow_lph: ArrayLike, texture: str, column: str) -> Values:
    table = [row for row in rows("wetted_strips.csv") if row["texture"] == texture]
    if not table:
        raise ValueError(f"texture must be coarse, medium or fine, got {texture!r}")
    flows = [float(row["flow_lph"]) for row in table]
    return np.asarray(
        np.interp(np.asarray(flow_lph, np.float64), flows, [float(row[column]) for row in table])
    )
