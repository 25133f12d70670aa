"""The climate of a block as lists: one line a season, a fault, a way to shelter."""

import dataclasses
import math
from typing import Any

from aanplant.site.climate import Climate
from aanplant.site.frost import month_day

Table = list[dict[str, Any]]


def climate_tables(climate: Climate) -> dict[str, Table]:
    """Return ``climate_years``, ``weather_faults`` and ``frost_protection``; unknown is null."""
    record = climate.record
    return {
        "climate_years": _years(climate),
        "weather_faults": [dataclasses.asdict(fault) for fault in record.checked.faults],
        "frost_protection": [
            {name: _known(value) for name, value in dataclasses.asdict(option).items()}
            for option in record.damage.options
        ],
    }


def _years(climate: Climate) -> Table:
    """One line a harvest year, with the last frost as month and day, null without any."""
    record = climate.record
    table = record.table
    last = dict(
        zip(record.frost.harvest_year.tolist(), record.frost.last_day.tolist(), strict=True)
    )
    return [
        {
            "harvest_year": year,
            **{name: _known(float(values[row])) for name, values in table.columns.items()},
            "last_frost": _day(last.get(year, math.nan), is_south=record.is_south),
        }
        for row, year in enumerate(table.harvest_year.tolist())
    ]


def _day(day: float, *, is_south: bool) -> str | None:
    return None if math.isnan(day) else month_day(day, is_south=is_south)


def _known(value: float | str) -> float | str | None:
    return None if isinstance(value, float) and math.isnan(value) else value
