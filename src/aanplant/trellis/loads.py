"""What pulls on the posts between the ends: crop, canopy, wind, bends in plan and dips.

Wind presses on foliage as on a porous fence; q = 0.613 v2 is half the density of air at
1.226 kg/m3 times the square of the speed.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.brief import Brief

Values = NDArray[np.float64]

GRAVITY_N_PER_KG = 9.80665
PRESSURE_PA_PER_M2_S2 = 0.613
"""Half of 1.226 kg/m3."""
KG_PER_T, M2_PER_HA = 1000.0, 10_000.0
GUST_HEIGHT_M = 10.0
"""Height for which wind maps and stations give gusts."""
LEAFY_EXPONENT = 0.4
"""Aerodynamic from optical porosity, Guan and others (2003), abstract."""
SOLID_DRAG, DRAG_EXPONENT = 1.08, 1.8
"""Drag of a porous belt, 1.08 (1 - porosity^1.8); same paper, from memory."""


@dataclass(frozen=True)
class PostLoads:
    """Forces across the row on line posts, as arrays that broadcast over rows.

    Parameters
    ----------
    wind_n_per_m2_s2 : ndarray
        Force of the wind on a post for every (m/s)2 of the gust at the height of the canopy.
        [N/(m/s)2]
    wind_height_m : ndarray
        Height of that force above the ground. [m]
    gust_m_s : ndarray
        Gust at the height of the canopy. [m/s]
    side_n, side_height_m : ndarray
        Pull of wires that bend in plan at the post, and its height; 0 on straight rows. [N, m]
    """

    wind_n_per_m2_s2: Values
    wind_height_m: Values
    gust_m_s: Values
    side_n: Values
    side_height_m: Values

    def force_n(self, gust_m_s: ArrayLike) -> Values:
        """Force across the row on a post, wind and bend on the same side. [N]."""
        speed = np.asarray(gust_m_s, np.float64)
        return np.asarray(self.wind_n_per_m2_s2 * speed**2 + self.side_n)

    def moment_nm(self, gust_m_s: ArrayLike) -> Values:
        """Bending of a post at the ground line. [N m]."""
        speed = np.asarray(gust_m_s, np.float64)
        wind = self.wind_n_per_m2_s2 * speed**2 * self.wind_height_m
        return np.asarray(wind + self.side_n * self.side_height_m)


def crop_kg_per_m(yield_t_per_ha: ArrayLike, row_width_m: ArrayLike) -> Values:
    """Crop on a metre of row. [kg/m].

    Parameters
    ----------
    yield_t_per_ha : array_like
        Crop. [t/ha]
    row_width_m : array_like
        Distance between rows. [m]
    """
    crop, width = np.asarray(yield_t_per_ha, np.float64), np.asarray(row_width_m, np.float64)
    return np.asarray(crop * KG_PER_T * width / M2_PER_HA)


def crop_n_per_m(brief: Brief) -> Values:
    """Crop on a metre of row for each year from planting, shape (n_years,). [N/m]."""
    shares = np.asarray(brief.trellis.yield_by_year, np.float64)
    crop = crop_kg_per_m(shares * brief.trellis.yield_full, brief.vines.row_width)
    return np.asarray(crop * GRAVITY_N_PER_KG)


def canopy_n_per_m(brief: Brief) -> float:
    """Weight of leaves, shoots and old wood on a metre of grown row. [N/m]."""
    return float(brief.trellis.canopy_weight * GRAVITY_N_PER_KG)


def wind_pressure_pa(speed_m_s: ArrayLike) -> Values:
    """Pressure of the wind, 0.613 v2. [Pa]."""
    return np.asarray(PRESSURE_PA_PER_M2_S2 * np.asarray(speed_m_s, np.float64) ** 2)


def gust_at_height_m_s(gust_m_s: ArrayLike, height_m: ArrayLike) -> Values:
    """Bring a gust at 10 m down to a height, by the profile of wind over short grass. [m/s].

    Parameters
    ----------
    gust_m_s : array_like
        At 10 m. [m/s]
    height_m : array_like
        Above the ground, over 0.1. [m]

    Raises
    ------
    ValueError
        If a height is not above 0.1 m, where the profile ends.

    References
    ----------
    .. [1] Allen, Pereira, Raes and Smith (1998), FAO Irrigation and Drainage Paper 56,
       equation 47. Gusts weaken less than mean wind near the ground, so the lower part
       of the row may see somewhat more.
    """
    height = np.asarray(height_m, np.float64)
    if np.any(height <= 0.1):  # noqa: PLR2004 - the logarithm's own limit
        raise ValueError(f"height_m must be above 0.1 m, got {height.min()}")
    profile = np.log(67.8 * height - 5.42) / np.log(67.8 * GUST_HEIGHT_M - 5.42)
    return np.asarray(np.asarray(gust_m_s, np.float64) * profile)


def aerodynamic_porosity(optical: ArrayLike, exponent: float = LEAFY_EXPONENT) -> Values:
    """Porosity to air from that to the eye, optical^0.4 in leaf. [-]."""
    return np.asarray(np.asarray(optical, np.float64) ** exponent)


def drag_coefficient(optical_porosity: ArrayLike) -> Values:
    """Drag of foliage, 1.08 (1 - aerodynamic porosity^1.8). [-].

    Parameters
    ----------
    optical_porosity : array_like
        Share of sky seen through the row, from the side, 0 to 1. [-]

    Raises
    ------
    ValueError
        If a porosity is no share.

    References
    ----------
    .. [1] Guan, Zhang and Zhu (2003), shelter belts in a wind tunnel: the exponent from
       the abstract, the drag from memory.
    """
    optical = np.asarray(optical_porosity, np.float64)
    if np.any((optical < 0.0) | (optical > 1.0)):
        raise ValueError("optical_porosity must be in [0, 1]")
    return np.asarray(SOLID_DRAG * (1.0 - aerodynamic_porosity(optical) ** DRAG_EXPONENT))


def rows_from_the_edge(line: ArrayLike, first: int, last: int) -> NDArray[np.int64]:
    """Count how many rows deep each row stands, 1 at the nearer side of the block.

    Parameters
    ----------
    line : array_like of int, shape (n_rows,)
        Number of each row's line across the block.
    first, last : int
        Numbers of the outer lines.
    """
    number = np.asarray(line, np.int64)
    return np.asarray(np.minimum(number - first, last - number) + 1)


def shelter_factor(rows_deep: ArrayLike, exposed_rows: int, sheltered: float) -> Values:
    """Share of the wind's force that reaches a row. [-].

    Parameters
    ----------
    rows_deep : array_like of int, shape (n_rows,)
        From ``rows_from_the_edge``.
    exposed_rows : int
        Rows from each side in full wind.
    sheltered : float
        Share that reaches the rows further in. [-]
    """
    return np.where(np.asarray(rows_deep) <= exposed_rows, 1.0, sheltered)


def wind_force_n(
    pressure_pa: ArrayLike,
    drag: ArrayLike,
    canopy_height_m: ArrayLike,
    post_spacing_m: ArrayLike,
    shelter: ArrayLike = 1.0,
) -> Values:
    """Force of the wind on one post, q Cd h s k. [N].

    Parameters
    ----------
    pressure_pa : array_like
        Of the wind. [Pa]
    drag : array_like
        Of the foliage. [-]
    canopy_height_m : array_like
        Of the foliage, foot to top. [m]
    post_spacing_m : array_like
        Row that hangs on a post, above 0. [m]
    shelter : array_like
        Share of the force that reaches the row. [-]

    Raises
    ------
    ValueError
        If a post spacing is not above 0.
    """
    spacing = _spacing(post_spacing_m)
    face = np.asarray(canopy_height_m, np.float64) * spacing
    return np.asarray(np.asarray(pressure_pa) * np.asarray(drag) * face * np.asarray(shelter))


def hold_down_n(tension_n: ArrayLike, angle_deg: ArrayLike) -> Values:
    """Pull of wires on a post where they turn by an angle, 2 T sin(angle / 2). [N].

    Parameters
    ----------
    tension_n : array_like
        Of all wires on the post together. [N]
    angle_deg : array_like
        Change of slope, above 0 in a dip, where the wires lift the post. [deg]
    """
    half = np.radians(np.asarray(angle_deg, np.float64)) / 2.0
    return np.asarray(2.0 * np.asarray(tension_n, np.float64) * np.sin(half))


def slope_change_deg(along_m: ArrayLike, height_m: ArrayLike, row: ArrayLike) -> Values:
    """How the wires turn up or down at every post of every row. [deg].

    Parameters
    ----------
    along_m, height_m : array_like, shape (n_posts,)
        Distance along the row on the plan, rising within a row, and height of the ground at
        all posts, end posts too, row after row. [m]
    row : array_like, shape (n_posts,)
        Number of the row each post stands in.

    Returns
    -------
    ndarray, shape (n_posts,)
        Above 0 in dips, below on crests, 0 at the ends of a row; nan beside unknown heights.

    Raises
    ------
    ValueError
        If two neighbours of a row stand at the same place, or against the row.
    """
    along, height, rows = np.asarray(along_m), np.asarray(height_m), np.asarray(row)
    same = rows[1:] == rows[:-1]
    step = np.diff(along)
    if np.any(step[same] <= 0.0):
        raise ValueError("posts must follow one another along their row, at distances above 0")
    slope = np.degrees(np.arctan2(np.diff(height), np.where(same, step, 1.0)))
    turn = np.zeros(len(along))
    inside = np.flatnonzero(same[1:] & same[:-1])
    turn[inside + 1] = slope[inside + 1] - slope[inside]
    return turn


def post_loads(
    brief: Brief,
    post_spacing_m: ArrayLike,
    canopy_foot_m: float,
    *,
    rows_deep: ArrayLike = 1,
    side_n: ArrayLike = 0.0,
    side_height_m: ArrayLike = 0.0,
) -> PostLoads:
    """Gather what presses across the row on the line posts of every row.

    Parameters
    ----------
    brief : Brief
        Its canopy and its wind.
    post_spacing_m : array_like
        Post to post. [m]
    canopy_foot_m : float
        Height of the foot of the foliage, as a rule that of the cordon wire. [m]
    rows_deep : array_like of int
        From ``rows_from_the_edge``; 1 puts every row in full wind.
    side_n, side_height_m : array_like
        Pull of wires that bend in plan, ``layout.side_load.side_load_n``, and where. [N, m]
    """
    rules = brief.posts
    middle_m = canopy_foot_m + brief.canopy.height / 2.0
    force = wind_force_n(
        wind_pressure_pa(1.0),
        drag_coefficient(rules.porosity) * rules.streamlining,
        brief.canopy.height,
        post_spacing_m,
        shelter_factor(rows_deep, rules.exposed_rows, rules.sheltered_wind),
    )
    force, side, side_height = np.broadcast_arrays(force, side_n, side_height_m)
    gust = gust_at_height_m_s(rules.wind, middle_m)
    return PostLoads(
        force,
        np.full(force.shape, middle_m),
        np.full(force.shape, float(gust)),
        np.asarray(side, np.float64),
        np.asarray(side_height, np.float64),
    )


def _spacing(post_spacing_m: ArrayLike) -> Values:
    spacing = np.asarray(post_spacing_m, np.float64)
    if not np.all(spacing > 0.0):
        raise ValueError(f"post_spacing_m must be above 0, got {spacing.min(initial=np.inf)}")
    return spacing
