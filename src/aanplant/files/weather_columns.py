"""Which column of a weather file holds what, and in which unit.

A unit is stated in the header, or fixed by a layout that is recognised; it is never
guessed from the numbers.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from aanplant.errors import InputError

_NAMES = {
    "tmin_c": "tmin|t min|tn|tasmin|min temp|mintemp|temp min|temperature min|min temperature|"
    "minimum temperature|lowest temperature|t2m min",
    "tmax_c": "tmax|t max|tx|tasmax|max temp|maxtemp|temp max|temperature max|max temperature|"
    "maximum temperature|highest temperature|t2m max",
    "rain_mm": "rain|rainfall|precipitation|precip|prcp|prectot|prectotcorr|rain sum|"
    "precipitation sum",
    "radiation_mj_m2": "radiation|solar radiation|global radiation|shortwave radiation|"
    "shortwave radiation sum|srad|rs|ghi|allsky sfc sw dwn",
    "wind_m_s": "wind|wind speed|windspeed|mean wind|wind mean|ws|u|u2|u10|ws2m|ws10m",
    "humidity_min_pct": "rh min|rhmin|humidity min|min humidity|relative humidity min",
    "humidity_max_pct": "rh max|rhmax|humidity max|max humidity|relative humidity max",
    "humidity_mean_pct": "rh|rh mean|rhmean|humidity|relative humidity|mean humidity|"
    "humidity mean|relative humidity mean|rh2m",
    "dew_point_c": "dew point|dewpoint|tdew|t2mdew|dew point temperature",
    "vapour_pressure_kpa": "vapour pressure|vapor pressure|ea|vp",
    "et0_mm": "et0|eto|referenceet|reference et|reference evapotranspiration",
    "date": "date|time|datum|day date",
    "year": "year|yyyy|yr",
    "month": "month|mo",
    "day": "day|dy",
    "day_of_year": "doy|jday|day of year|julian day",
}
_FIELD = {name: field for field, names in _NAMES.items() for name in names.split("|")}
DATES = ("date", "year", "month", "day", "day_of_year")

_TEMPERATURE = {
    "c": (1.0, 0.0),
    "degc": (1.0, 0.0),
    "celsius": (1.0, 0.0),
    "k": (1.0, -273.15),
    "kelvin": (1.0, -273.15),
    "f": (1 / 1.8, -32 / 1.8),
    "degf": (1 / 1.8, -32 / 1.8),
    "fahrenheit": (1 / 1.8, -32 / 1.8),
}
_DEPTH = {"mm": (1.0, 0.0), "cm": (10.0, 0.0), "in": (25.4, 0.0), "inch": (25.4, 0.0)}
_UNITS = {
    "tmin_c": _TEMPERATURE,
    "tmax_c": _TEMPERATURE,
    "dew_point_c": _TEMPERATURE,
    "rain_mm": _DEPTH,
    "et0_mm": _DEPTH,
    "radiation_mj_m2": {
        "mjm2": (1.0, 0.0),
        "wm2": (0.0864, 0.0),
        "kwhm2": (3.6, 0.0),
        "kw-hrm2": (3.6, 0.0),
        "calcm2": (0.04184, 0.0),
        "langley": (0.04184, 0.0),
    },
    "wind_m_s": {
        "ms": (1.0, 0.0),
        "kmh": (1 / 3.6, 0.0),
        "mph": (0.44704, 0.0),
        "kn": (1852 / 3600, 0.0),
        "knots": (1852 / 3600, 0.0),
    },
    "humidity_min_pct": {"%": (1.0, 0.0), "pct": (1.0, 0.0), "percent": (1.0, 0.0)},
    "vapour_pressure_kpa": {"kpa": (1.0, 0.0), "hpa": (0.1, 0.0), "mbar": (0.1, 0.0)},
}
_UNITS["humidity_max_pct"] = _UNITS["humidity_mean_pct"] = _UNITS["humidity_min_pct"]
"""Factor and shift of each unit, by field; exact by definition (the calorie is 4.184 J)."""
_LAYOUT_UNITS = {
    "t2m min": "c",
    "t2m max": "c",
    "t2mdew": "c",
    "rh2m": "%",
    "ws2m": "m/s",
    "ws10m": "m/s",
    "prectotcorr": "mm",
    "prectot": "mm",
}
"""Names whose unit is part of their layout: reanalysis series by day of the NASA kind."""
_MODEL_COLUMNS = {"mintemp": "c", "maxtemp": "c", "precipitation": "mm", "referenceet": "mm"}
"""Day, month, year and these four bare names are the text layout of an open crop model."""
_HEIGHTS = {"u2": 2.0, "u10": 10.0, "ws2m": 2.0, "ws10m": 10.0}
_BRACKETED = re.compile(r"(?P<name>.*?)\s*[(\[](?P<unit>[^()\[\]]*)[)\]]")
_AT_HEIGHT = re.compile(r"(?P<name>[a-z ]+?)(?: at)? (?P<height>\d+(?:\.\d+)?) ?m")


@dataclass(frozen=True, slots=True)
class Column:
    """One column that is understood: what it holds and how its unit is turned into ours."""

    index: int
    field: str
    factor: float = 1.0
    shift: float = 0.0
    height_m: float | None = None


def understood(names: Sequence[str], where: str) -> tuple[Column, ...]:
    """Find the columns of weather among the names of a header.

    Parameters
    ----------
    names : sequence of str
        Small letters, words one space apart, a unit in brackets or at the end.
    where : str
        File and line, for messages.

    Raises
    ------
    InputError
        If a column's unit is not stated or not known, or two columns hold the same thing.
    """
    layout = dict(_LAYOUT_UNITS)
    if {"day", "month", "year", *_MODEL_COLUMNS} <= set(names):
        layout |= _MODEL_COLUMNS
    found: dict[str, Column] = {}
    for index, name in enumerate(names):
        column = _column(index, name, layout, where)
        if column is None:
            continue
        other = found.get(column.field)
        if other is None:
            found[column.field] = column
        elif column.field == "wind_m_s" and None not in {other.height_m, column.height_m}:
            found[column.field] = min(other, column, key=lambda item: abs((item.height_m or 2) - 2))
        else:
            raise InputError(
                where,
                f"two columns for the same thing, {names[other.index]!r} and {name!r}",
                "one of them",
            )
    return tuple(found.values())


def _column(index: int, name: str, layout: dict[str, str], where: str) -> Column | None:
    bracketed = _BRACKETED.fullmatch(name)
    bare, unit = (bracketed["name"], bracketed["unit"]) if bracketed else _split(name)
    height = _HEIGHTS.get(bare)
    at_height = _AT_HEIGHT.fullmatch(bare)
    if at_height and _FIELD.get(at_height["name"]) == "wind_m_s":
        bare, height = at_height["name"], float(at_height["height"])
    field = _FIELD.get(bare)
    if field is None:
        return None
    if field in DATES:
        return Column(index, field)
    unit = unit or layout.get(bare, "")
    known = _UNITS[field]
    if _plain_unit(unit) not in known:
        raise InputError(
            where,
            f"the column {name!r} without its unit" if not unit else f"the unit {unit!r}",
            f'the unit in the header, such as "{bare} ({_example(field)})"',
        )
    factor, shift = known[_plain_unit(unit)]
    return Column(index, field, factor, shift, height)


def _split(name: str) -> tuple[str, str]:
    """Split ``rain mm`` or ``radiation mj m2`` into what it is and its unit."""
    words = name.split(" ")
    for count in range(len(words), 0, -1):
        bare = " ".join(words[:count])
        if bare in _FIELD:
            return bare, " ".join(words[count:])
        at_height = _AT_HEIGHT.fullmatch(bare)
        if at_height and at_height["name"] in _FIELD:
            return bare, " ".join(words[count:])
    return name, ""


def _plain_unit(unit: str) -> str:
    """Write a unit without its marks: MJ m-2 d-1, MJ/m^2/day and mj m2 are all mjm2."""
    text = unit.lower().replace("²", "2").replace("⁻", "-").replace("°", "deg").replace("¹", "1")
    text = re.sub(r"(?:/|\s)(?:day|d)(?:-1)?$|(?:\s|\.)d-1$", "", text.strip())
    text = re.sub(r"(?<=[a-z])-(?=\d)", "", text)
    return re.sub(r"(?<=s)1$", "", re.sub(r"[\s^/.·]", "", text))


def _example(field: str) -> str:
    return {
        "rain_mm": "mm",
        "et0_mm": "mm",
        "radiation_mj_m2": "MJ/m2",
        "wind_m_s": "m/s",
        "vapour_pressure_kpa": "kPa",
    }.get(field, "%" if field.startswith("humidity") else "°C")
