"""Where the sun stands at any hour of the year, and how long the day is.

Hours are true solar time: the sun stands highest at 12. A planner asks for a typical
year, so the day of the year is enough; ``position_at`` takes a clock instead.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.site.row_model import porous_interception, solid_interception

Numbers = NDArray[np.float64]

_J2000 = np.datetime64("2000-01-01T12:00:00", "ms")
_MS_A_DAY = 86_400_000.0
_TYPICAL_NEW_YEAR_DAYS = 9132.0 - 0.36
"""Noon of 1 January 2025, the year after a leap year, and back to the mean of 2025 to 2028:
a year of 365 days runs 0.24 of a day ahead of the sun."""
_DEG_AN_HOUR = 15.0
_NOON_H = 12.0


def declination_deg(day_of_year: ArrayLike) -> Numbers:
    """Declination of the sun at noon of a typical year. [deg].

    That of the almanac at the middle of a cycle of leap years: within 0.2 degrees of the
    day of any of its years.

    References
    ----------
    .. [1] Michalsky (1988), as for ``position_at``.
    """
    noon = np.asarray(day_of_year, dtype=np.float64) - 1.0 + _TYPICAL_NEW_YEAR_DAYS
    return np.asarray(np.degrees(_ecliptic(noon)[0]))


def equation_of_time_min(day_of_year: ArrayLike) -> Numbers:
    """Return true solar time less mean solar time. [min].

    References
    ----------
    .. [1] Spencer (1971), Fourier series representation of the position of the sun,
       Search 2(5), 172.
    """
    angle = _day_angle(day_of_year)
    return np.asarray(
        229.18
        * (
            0.000075
            + 0.001868 * np.cos(angle)
            - 0.032077 * np.sin(angle)
            - 0.014615 * np.cos(2.0 * angle)
            - 0.040849 * np.sin(2.0 * angle)
        )
    )


def position(
    day_of_year: ArrayLike, solar_hour: ArrayLike, latitude_deg: ArrayLike
) -> tuple[Numbers, Numbers]:
    """Find the sun by the day of the year and true solar time, broadcasting.

    Parameters
    ----------
    day_of_year : array_like
        1 to 366.
    solar_hour : array_like
        Hours since true midnight; 12 when the sun stands highest. [h]
    latitude_deg : array_like
        North positive. [deg]

    Returns
    -------
    elevation_deg : ndarray
        Above the horizon, negative at night, without refraction. [deg]
    azimuth_deg : ndarray
        Clockwise from true north, 0 to 360. [deg]
    """
    hour_angle = np.radians(_DEG_AN_HOUR * (np.asarray(solar_hour) - _NOON_H))
    return _from_hour_angle(hour_angle, np.radians(declination_deg(day_of_year)), latitude_deg)


def position_at(
    time_utc: ArrayLike, latitude_deg: ArrayLike, longitude_deg: ArrayLike
) -> tuple[Numbers, Numbers]:
    """Find the sun at an instant, within 0.02 degrees from 1950 to 2050, broadcasting.

    Parameters
    ----------
    time_utc : array_like of datetime64
        Coordinated universal time.
    latitude_deg, longitude_deg : array_like
        North and east positive. [deg]

    Returns
    -------
    elevation_deg, azimuth_deg : ndarray
        As for ``position``; parallax and refraction are left out. [deg]

    References
    ----------
    .. [1] Michalsky (1988), The Astronomical Almanac's algorithm for approximate solar
       position (1950-2050), Solar Energy 40(3), 227-235.
    """
    time = np.asarray(time_utc, dtype="datetime64[ms]")
    days = (time - _J2000).astype(np.float64) / _MS_A_DAY
    declination, ascension = _ecliptic(days)
    sidereal_h = 18.697374558 + 24.06570982441908 * days
    turned_deg = _DEG_AN_HOUR * (sidereal_h % 24.0) + np.asarray(longitude_deg)
    return _from_hour_angle(np.radians(turned_deg) - ascension, declination, latitude_deg)


def sunset_angle_rad(day_of_year: ArrayLike, latitude_deg: ArrayLike) -> Numbers:
    """Hour angle at which the middle of the sun sets on a flat horizon. [rad].

    0 in polar night and pi under the midnight sun.
    """
    declination = np.radians(declination_deg(day_of_year))
    cosine = -np.tan(np.radians(latitude_deg)) * np.tan(declination)
    return np.asarray(np.arccos(np.clip(cosine, -1.0, 1.0)))


def day_length_h(day_of_year: ArrayLike, latitude_deg: ArrayLike) -> Numbers:
    """Hours from sunrise to sunset; sunrise is at 12 less half of it in solar time. [h]."""
    return np.asarray(24.0 / np.pi * sunset_angle_rad(day_of_year, latitude_deg))


def incidence_cosine(
    elevation_deg: ArrayLike, azimuth_deg: ArrayLike, *, slope_deg: ArrayLike, facing_deg: ArrayLike
) -> Numbers:
    """Cosine of the angle between the sun and the upright of a sloping plane. [-].

    Negative where the sun is behind the plane.

    Parameters
    ----------
    elevation_deg, azimuth_deg : array_like
        Of the sun. [deg]
    slope_deg : array_like
        Of the plane, 0 level, 90 upright. [deg]
    facing_deg : array_like
        Azimuth in which the plane falls, clockwise from north. [deg]
    """
    elevation, slope = np.radians(elevation_deg), np.radians(slope_deg)
    apart = np.radians(np.asarray(azimuth_deg) - np.asarray(facing_deg))
    return np.asarray(
        np.cos(slope) * np.sin(elevation) + np.sin(slope) * np.cos(elevation) * np.cos(apart)
    )


def row_interception(
    elevation_deg: ArrayLike,
    azimuth_deg: ArrayLike,
    *,
    bearing_deg: ArrayLike,
    row_width_m: ArrayLike,
    canopy_height_m: ArrayLike,
    canopy_width_m: ArrayLike,
    leaf_area_index: ArrayLike | None = None,
) -> Numbers:
    """Share of the direct sunlight on level ground that hedgerows take, broadcasting.

    Parameters
    ----------
    elevation_deg, azimuth_deg : array_like
        Of the sun; azimuth clockwise from true north. [deg]
    bearing_deg : array_like
        Of the rows from true north. [deg]
    row_width_m : array_like
        From row to row. [m]
    canopy_height_m, canopy_width_m : array_like
        Foliage of a row from foot to top and from side to side. [m]
    leaf_area_index : array_like, optional
        Leaf area over ground area; a solid hedge when left out. [-]

    Returns
    -------
    ndarray
        0 to 1; 0 while the sun is down. [-]

    Raises
    ------
    ValueError
        If a measure of the hedge is not above 0, or it is wider than the row.
    """
    elevation = np.radians(np.asarray(elevation_deg, dtype=np.float64))
    apart = np.radians(np.asarray(azimuth_deg) - np.asarray(bearing_deg))
    drop = np.sin(elevation)
    across = np.cos(elevation) * np.abs(np.sin(apart))
    hedge = {
        "row_width_m": row_width_m,
        "canopy_height_m": canopy_height_m,
        "canopy_width_m": canopy_width_m,
    }
    if leaf_area_index is None:
        return solid_interception(drop, across, **hedge)
    return porous_interception(drop, across, leaf_area_index=leaf_area_index, **hedge)


def _ecliptic(days: Numbers) -> tuple[Numbers, Numbers]:
    """Declination and right ascension of the sun, days after noon of 1 January 2000. [rad]."""
    anomaly = np.radians(357.528 + 0.9856003 * days)
    longitude = np.radians(
        280.460 + 0.9856474 * days + 1.915 * np.sin(anomaly) + 0.020 * np.sin(2.0 * anomaly)
    )
    obliquity = np.radians(23.439 - 4e-7 * days)
    ascension = np.arctan2(np.cos(obliquity) * np.sin(longitude), np.cos(longitude))
    return np.arcsin(np.sin(obliquity) * np.sin(longitude)), ascension


def _day_angle(day_of_year: ArrayLike) -> Numbers:
    return np.asarray(2.0 * np.pi * (np.asarray(day_of_year, dtype=np.float64) - 1.0) / 365.0)


def _from_hour_angle(
    hour_angle: ArrayLike, declination: ArrayLike, latitude_deg: ArrayLike
) -> tuple[Numbers, Numbers]:
    """Turn hour angle (afternoon positive) and declination into elevation and azimuth."""
    latitude = np.radians(latitude_deg)
    up = np.sin(latitude) * np.sin(declination) + np.cos(latitude) * np.cos(declination) * np.cos(
        hour_angle
    )
    east = -np.cos(declination) * np.sin(hour_angle)
    north = np.cos(latitude) * np.sin(declination) - np.sin(latitude) * np.cos(
        declination
    ) * np.cos(hour_angle)
    elevation = np.degrees(np.arctan2(up, np.hypot(east, north)))
    return np.asarray(elevation), np.asarray(np.degrees(np.arctan2(east, north)) % 360.0)
