"""How strong the light is: clear days and measured ones, straight from the sun and from the sky."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.site.radiation import (
    SOLAR_CONSTANT_MJ_M2_MIN,
    extraterrestrial_radiation,
    inverse_distance,
)
from aanplant.site.sun import position, sunset_angle_rad

Numbers = NDArray[np.float64]
_Suns = tuple[Numbers, Numbers, Numbers, Numbers]
"""Days, hours, elevations and azimuths."""

_MJ_A_DAY = 0.0864
"""Of one W/m2."""
SOLAR_CONSTANT_W_M2 = SOLAR_CONSTANT_MJ_M2_MIN * 1e6 / 60.0
_NOON_H = 12.0
_LATE_SUNSET_RAD = np.radians(81.4)
"""Sunset angle from which the curve of the warmer seasons holds (Erbs and others 1982)."""
LEAST_ELEVATION_DEG = 1.0
"""A sun lower than this is left to the light of the sky, as its beam means nothing for rows."""


@dataclass(frozen=True, slots=True)
class Sky:
    """Sun and light over hours of some days.

    Parameters
    ----------
    latitude_deg : float
        North positive. [deg]
    day_of_year : ndarray, shape (n_days,)
        1 to 366.
    solar_hour : ndarray, shape (n_hours,)
        Middles of equal stretches of a day. [h]
    elevation_deg, azimuth_deg : ndarray, shape (n_days, n_hours)
        Of the sun. [deg]
    beam_w_m2 : ndarray, shape (n_days, n_hours)
        Straight from the sun, square to it. [W/m2]
    diffuse_w_m2 : ndarray, shape (n_days, n_hours)
        From the sky on level open ground. [W/m2]
    """

    latitude_deg: float
    day_of_year: Numbers
    solar_hour: Numbers
    elevation_deg: Numbers
    azimuth_deg: Numbers
    beam_w_m2: Numbers
    diffuse_w_m2: Numbers

    @property
    def mj_a_stretch(self) -> float:
        """Energy of 1 W/m2 over one stretch of the day. [MJ/m2]."""
        return _MJ_A_DAY / len(self.solar_hour)

    @property
    def is_afternoon(self) -> NDArray[np.bool_]:
        """Which stretches lie after true noon, shape (n_hours,)."""
        return np.asarray(self.solar_hour > _NOON_H)


def hours(stretches: int = 24) -> Numbers:
    """Middles of equal stretches of a day in solar time. [h]."""
    return np.asarray((np.arange(stretches) + 0.5) * 24.0 / stretches)


def haurwitz(elevation_deg: ArrayLike) -> Numbers:
    """Sunlight on level ground under a clear sky, from the sun and the sky together. [W/m2].

    Measured at sea level; a high site gets some per cent more.

    References
    ----------
    .. [1] Haurwitz (1945), Insolation in relation to cloudiness and cloud density,
       Journal of Meteorology 2, 154-166.
    """
    sine = np.sin(np.radians(elevation_deg))
    up = np.where(sine > 0.0, sine, np.inf)
    return np.asarray(1098.0 * np.maximum(sine, 0.0) * np.exp(-0.059 / up))


def diffuse_share_of_hour(clearness: ArrayLike) -> Numbers:
    """Share of an hour's sunlight that comes from the sky. [-].

    Parameters
    ----------
    clearness : array_like
        Sunlight on level ground over that above the air. [-]

    References
    ----------
    .. [1] Erbs, Klein, Duffie (1982), Estimation of the diffuse radiation fraction for hourly,
       daily and monthly-average global radiation, Solar Energy 28(4), 293-302.
    """
    k = np.asarray(clearness, dtype=np.float64)
    middle = 0.9511 + k * (-0.1604 + k * (4.388 + k * (-16.638 + k * 12.336)))
    return np.select([k <= 0.22, k <= 0.80], [1.0 - 0.09 * k, middle], 0.165)  # noqa: PLR2004


def diffuse_share_of_day(clearness: ArrayLike, sunset_rad: ArrayLike) -> Numbers:
    """Share of a day's sunlight that comes from the sky. [-].

    Parameters
    ----------
    clearness : array_like
        As for an hour. [-]
    sunset_rad : array_like
        Hour angle of sunset. [rad]

    References
    ----------
    .. [1] Erbs, Klein, Duffie (1982), as for an hour.
    """
    k, sunset = np.broadcast_arrays(np.asarray(clearness, dtype=np.float64), sunset_rad)
    short = 1.0 + k * (-0.2727 + k * (2.4495 + k * (-11.9514 + k * 9.3879)))
    long = 1.0 + k * (0.2832 + k * (-2.5557 + k * 0.8448))
    is_short = sunset < _LATE_SUNSET_RAD
    return np.select(
        [is_short & (k < 0.715), is_short, k < 0.722],  # noqa: PLR2004 - ends of the curves
        [short, np.float64(0.143), long],
        0.175,
    )


def hour_share(solar_hour: ArrayLike, sunset_rad: ArrayLike) -> Numbers:
    """Rate at which a day's sunlight on level ground comes, as a share of it an hour. [1/h].

    References
    ----------
    .. [1] Collares-Pereira, Rabl (1979), The average distribution of solar radiation,
       Solar Energy 22(2), 155-164.
    """
    hour_angle = np.radians(15.0 * (np.asarray(solar_hour) - _NOON_H))
    sunset = np.asarray(sunset_rad)
    a = 0.4090 + 0.5016 * np.sin(sunset - np.pi / 3.0)
    b = 0.6609 - 0.4767 * np.sin(sunset - np.pi / 3.0)
    return np.asarray((a + b * np.cos(hour_angle)) * diffuse_hour_share(solar_hour, sunset))


def diffuse_hour_share(solar_hour: ArrayLike, sunset_rad: ArrayLike) -> Numbers:
    """Rate at which a day's light of the sky comes, as a share of it an hour. [1/h].

    References
    ----------
    .. [1] Liu, Jordan (1960), The interrelationship and characteristic distribution of
       direct, diffuse and total solar radiation, Solar Energy 4(3), 1-19.
    """
    hour_angle = np.radians(15.0 * (np.asarray(solar_hour) - _NOON_H))
    sunset = np.asarray(sunset_rad)
    whole = np.sin(sunset) - sunset * np.cos(sunset)
    rate = np.pi / 24.0 * (np.cos(hour_angle) - np.cos(sunset))
    is_day = (np.abs(hour_angle) < sunset) & (whole > 0.0)
    return np.asarray(np.where(is_day, rate / np.where(whole > 0.0, whole, 1.0), 0.0))


def clear_sky(latitude_deg: float, day_of_year: ArrayLike, solar_hour: ArrayLike) -> Sky:
    """Sun and light of clear days: Haurwitz's sunlight, parted by Erbs's share of an hour.

    Parameters
    ----------
    latitude_deg : float
        North positive. [deg]
    day_of_year : array_like, shape (n_days,)
        1 to 366.
    solar_hour : array_like, shape (n_hours,)
        See ``hours``. [h]
    """
    suns = _suns(latitude_deg, day_of_year, solar_hour)
    day, _, elevation, _ = suns
    total = haurwitz(elevation)
    above = SOLAR_CONSTANT_W_M2 * inverse_distance(day)[:, None] * np.sin(np.radians(elevation))
    clearness = np.divide(total, above, out=np.zeros_like(total), where=above > 0.0)
    diffuse = total * diffuse_share_of_hour(clearness)
    return _sky(latitude_deg, suns, total, diffuse)


def measured_sky(
    latitude_deg: float, day_of_year: ArrayLike, solar_hour: ArrayLike, daily_mj_m2: ArrayLike
) -> Sky:
    """Sun and light of days whose sunlight on level ground is known.

    Parted by Erbs's share of a day, spread over the hours by Collares-Pereira and Rabl
    (all of it) and by Liu and Jordan (that of the sky).

    Parameters
    ----------
    latitude_deg, day_of_year, solar_hour
        As for ``clear_sky``.
    daily_mj_m2 : array_like, shape (n_days,)
        Sunlight of each day, such as the mean of a month. [MJ/m2]

    Raises
    ------
    ValueError
        If a day has more sunlight than there is above the air, or less than none.
    """
    suns = _suns(latitude_deg, day_of_year, solar_hour)
    day, hour, _, _ = suns
    daily = np.broadcast_to(np.asarray(daily_mj_m2, dtype=np.float64), day.shape)
    above = extraterrestrial_radiation(latitude_deg, day)
    if not np.all((daily >= 0.0) & (daily <= above)):
        raise ValueError(f"daily sunlight must be within 0 and {above} MJ/m2, got {daily}")
    sunset = sunset_angle_rad(day, latitude_deg)
    clearness = np.divide(daily, above, out=np.zeros_like(above), where=above > 0.0)
    share = diffuse_share_of_day(clearness, sunset)
    total = _spread(daily, hour_share(hour, sunset[:, None]))
    diffuse = _spread(daily * share, diffuse_hour_share(hour, sunset[:, None]))
    return _sky(latitude_deg, suns, total, np.minimum(diffuse, total))


def _suns(latitude_deg: float, day_of_year: ArrayLike, solar_hour: ArrayLike) -> _Suns:
    day = np.atleast_1d(np.asarray(day_of_year, dtype=np.float64))
    hour = np.atleast_1d(np.asarray(solar_hour, dtype=np.float64))
    return day, hour, *position(day[:, None], hour, latitude_deg)


def _spread(daily_mj_m2: Numbers, rate: Numbers) -> Numbers:
    """Watts over the stretches of each day that add up to its sunlight."""
    whole = rate.mean(axis=1, keepdims=True)
    even = np.divide(rate, whole, out=np.zeros_like(rate), where=whole > 0.0)
    return np.asarray(daily_mj_m2[:, None] / _MJ_A_DAY * even)


def _sky(latitude_deg: float, suns: _Suns, total: Numbers, diffuse: Numbers) -> Sky:
    day, hour, elevation, azimuth = suns
    is_up = elevation >= LEAST_ELEVATION_DEG
    sine = np.where(is_up, np.sin(np.radians(elevation)), 1.0)
    beam = np.where(is_up, (total - diffuse) / sine, 0.0)
    return Sky(latitude_deg, day, hour, elevation, azimuth, beam, np.where(is_up, diffuse, total))
