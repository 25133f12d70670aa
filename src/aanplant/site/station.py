"""Whether the weather that was read belongs to the block."""

import numpy as np

from aanplant.brief import Brief
from aanplant.inputs import DailyWeather
from aanplant.site.frame import EARTH_RADIUS_M, Frame
from aanplant.working import Finding, Value


def serving_weather(
    brief: Brief, weather: DailyWeather | None, frame: Frame
) -> tuple[DailyWeather | None, tuple[Finding, ...]]:
    """Return the weather if it serves the block, and what to say about that.

    A file that the brief names always serves. The estate's file serves blocks within
    ``climate.station_reach`` of the place its own comments state, and no block when it
    states none: weather of another place is worse than none.

    Parameters
    ----------
    brief : Brief
        What is asked.
    weather : DailyWeather or None
        As read.
    frame : Frame
        The block's own grid, for its place.
    """
    reach_km = brief.climate.station_reach
    if weather is None:
        return None, (Finding("site", "note", "climate.no_weather", source="brief"),)
    if weather.latitude_deg is None or weather.longitude_deg is None:
        if weather.is_own:
            return weather, ()
        said = Finding(
            "site", "care", "climate.weather_place_unknown", {"file": weather.where}, source="brief"
        )
        return None, (said,)
    distance_km = distance_m(
        frame.longitude_deg, frame.latitude_deg, weather.longitude_deg, weather.latitude_deg
    ) / 1000.0  # fmt: skip
    if distance_km <= reach_km:
        return weather, ()
    values: dict[str, Value | tuple[Value, str]] = {
        "file": weather.where,
        "distance": (distance_km, "km"),
        "reach": (reach_km, "km"),
    }
    if weather.is_own:
        return weather, (
            Finding("site", "care", "climate.own_weather_far", values, source="practice"),
        )
    return None, (Finding("site", "note", "climate.weather_elsewhere", values, source="brief"),)


def distance_m(
    longitude_deg: float, latitude_deg: float, other_longitude_deg: float, other_latitude_deg: float
) -> float:
    """Distance along a great circle of the sphere, good to half a per cent. [m]."""
    first, second = np.radians(latitude_deg), np.radians(other_latitude_deg)
    half_up = np.sin((second - first) / 2.0)
    half_across = np.sin(np.radians(other_longitude_deg - longitude_deg) / 2.0)
    chord = half_up**2 + np.cos(first) * np.cos(second) * half_across**2
    return float(2.0 * EARTH_RADIUS_M * np.arcsin(np.sqrt(min(chord, 1.0))))
