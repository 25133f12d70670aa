"""Read daily weather: a table with a header, from a station or from open weather data.

Understood are CSV with commas, semicolons or tabs, text set apart by blanks (as open
crop models keep it), and files with a header block between ``-BEGIN HEADER-`` and
``-END HEADER-`` that lists each column with its unit (as open reanalysis data come).
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from aanplant.errors import InputError
from aanplant.files import weather_dates
from aanplant.files.delimited import TextTable, plain_number, table_in
from aanplant.files.reading import decode_text, read_bytes_checked
from aanplant.files.weather_columns import Column, understood
from aanplant.inputs import DailyWeather

FIELDS = (
    "tmin_c",
    "tmax_c",
    "rain_mm",
    "radiation_mj_m2",
    "wind_m_s",
    "humidity_min_pct",
    "humidity_max_pct",
    "humidity_mean_pct",
    "dew_point_c",
    "vapour_pressure_kpa",
    "et0_mm",
)
_MISSING = re.compile(r"|-|na|nan|n/a|null|none|-99(?:9{0,2})(?:[.,][09]+)?", re.IGNORECASE)
_PLAIN = re.compile(r"[+-]?\d+(?:\.\d+)?(?:[eE][+-]?\d{1,2})?")
_PLACE = {
    "latitude_deg": re.compile(r"\blat(?:itude)?\b\s*[:=]?\s*([+-]?\d+(?:\.\d+)?)", re.IGNORECASE),
    "longitude_deg": re.compile(
        r"\blon(?:g|gitude)?\b\s*[:=]?\s*([+-]?\d+(?:\.\d+)?)", re.IGNORECASE
    ),
    "height_m": re.compile(
        r"\b(?:height|altitude|elevation)\b(?:[^\n]*[:=])?\s*([+-]?\d+(?:\.\d+)?)\s*m",
        re.IGNORECASE,
    ),
}
_RANGE = {"latitude_deg": 90.0, "longitude_deg": 180.0, "height_m": 9000.0}
_UNIT_LINE = re.compile(r"\s*([A-Za-z0-9_]+)\s.*\(([^()]+)\)\s*$")


def read_weather(path: Path, *, is_own: bool = True) -> DailyWeather:
    """Read a file of daily weather.

    Parameters
    ----------
    path : Path
        The file.
    is_own : bool
        Whether the brief names it; the estate's weather serves only blocks nearby.

    Raises
    ------
    InputError
        If it can't be read, a unit is not stated, a date is no date or could be read in
        two ways, a number is no number, or there is no lowest and highest temperature.
    """
    text = decode_text(read_bytes_checked(path), path.name)
    head, body = _split_header(text)
    units = {match[1]: match[2] for line in head if (match := _UNIT_LINE.match(line))}
    table = _with_units(table_in(body, path.name), units)
    where = f"{path.name}: the header"
    columns = {column.field: column for column in understood(table.columns, where)}
    if not {"tmin_c", "tmax_c"} <= set(columns):
        raise InputError(
            where,
            f"the columns {', '.join(table.columns)}",
            "a lowest and a highest temperature with their unit, "
            "such as date,tmin (°C),tmax (°C),rain (mm)",
        )
    if not table.lines:
        raise InputError(path.name, "a header alone", "a line for each day")
    sheet = _Sheet(table, [line.where for line in table.lines])
    values = {
        field: sheet.numbers(columns[field])
        if field in columns
        else np.full(len(table.lines), np.nan)
        for field in FIELDS
    }
    comments = [line for line in text.splitlines() if line.lstrip().startswith("#")]
    return DailyWeather(
        where=path.name,
        date=_dates(sheet, columns, where),
        **values,  # type: ignore[arg-type]
        wind_height_m=columns["wind_m_s"].height_m if "wind_m_s" in columns else None,
        **_place("\n".join((*head, *comments)), path.name),  # type: ignore[arg-type]
        is_own=is_own,
    )


def _split_header(text: str) -> tuple[list[str], str]:
    """Split off a header block; in a text set apart by blanks put tabs for the blanks."""
    lines = text.splitlines()
    ends = [i for i, line in enumerate(lines) if line.strip().upper() == "-END HEADER-"]
    head = lines[: ends[0]] if ends else []
    body = ["#", *[""] * (len(head)), *lines[ends[0] + 1 :]] if ends else lines
    first = next((line for line in body if line.strip() and not line.lstrip().startswith("#")), "")
    if not any(mark in first for mark in ";,\t"):
        body = [
            line
            if line.lstrip().startswith("#")
            else re.sub(r"\s+", "\t", re.sub(r"\s+(?=[(\[])", "", line.strip()))
            for line in body
        ]
    return head, "\n".join(body)


def _with_units(table: TextTable, units: Mapping[str, str]) -> TextTable:
    """Add the units of a header block to the names of the columns."""
    stated = {name.replace("_", " ").lower(): unit for name, unit in units.items()}
    names = tuple(
        f"{name} ({stated[name].lower()})" if name in stated else name for name in table.columns
    )
    lines = table.lines
    if names != table.columns:
        lines = tuple(
            type(line)(line.where, dict(zip(names, line.cells.values(), strict=True)))
            for line in lines
        )
    return TextTable(names, lines, table.separator)


@dataclass(frozen=True, slots=True)
class _Sheet:
    """A table whose cells are asked for by column."""

    table: TextTable
    wheres: Sequence[str]

    def texts(self, column: Column) -> list[str]:
        """Cells of a column."""
        name = self.table.columns[column.index]
        return [line.cells[name] for line in self.table.lines]

    def numbers(self, column: Column) -> NDArray[np.float64]:
        """Numbers of a column in our unit, nan where missing, shape (n,)."""
        read = [
            self._number(text, where)
            for text, where in zip(self.texts(column), self.wheres, strict=True)
        ]
        return np.array(read) * column.factor + column.shift

    def _number(self, text: str, where: str) -> float:
        if _MISSING.fullmatch(text):
            return float("nan")
        if _PLAIN.fullmatch(text):
            return float(text)
        return float(plain_number(text, where, separator=self.table.separator))


def _dates(sheet: _Sheet, columns: Mapping[str, Column], where: str) -> NDArray[np.datetime64]:
    if "date" in columns:
        return weather_dates.from_texts(sheet.texts(columns["date"]), sheet.wheres)
    if {"year", "month", "day"} <= set(columns):
        parts = [sheet.texts(columns[name]) for name in ("year", "month", "day")]
        return weather_dates.from_parts(parts[0], parts[1], parts[2], sheet.wheres)
    if {"year", "day_of_year"} <= set(columns):
        parts = [sheet.texts(columns[name]) for name in ("year", "day_of_year")]
        return weather_dates.from_day_of_year(parts[0], parts[1], sheet.wheres)
    raise InputError(
        where,
        f"the columns {', '.join(sheet.table.columns)}",
        "a column date, or year, month and day, or year and doy",
    )


def _place(text: str, where: str) -> dict[str, float | None]:
    """Find where it was measured in comments such as ``# latitude: -33.6``."""
    place: dict[str, float | None] = {}
    for name, pattern in _PLACE.items():
        match = pattern.search(text)
        place[name] = float(match[1]) if match else None
        if match and abs(float(match[1])) > _RANGE[name]:
            raise InputError(
                where, f"a {name.partition('_')[0]} of {match[1]}", "one that is on the earth"
            )
    return place
