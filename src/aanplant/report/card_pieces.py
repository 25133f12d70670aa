"""The pieces that the nursery's order and the cards are made of: tables, steps, amounts."""

import datetime as dt
import re
from collections.abc import Iterable, Mapping
from typing import Any

from aanplant.messages import fill, show_date, show_month, word
from aanplant.units import UnitSystem, show, show_fixed, show_number, shown_in

Part = dict[str, Any]
_UNIT = re.compile(r"\D+$")


def table_part(
    heading: str,
    titles: list[str],
    rows: list[list[str]],
    widths: Iterable[float],
    *,
    kind: str = "table",
    note: str = "",
) -> Part:
    """Return a table; ``kind`` is table, fine (small print) or fill (room for a pencil)."""
    return {"heading": word(heading), "kind": kind, "heads": titles, "rows": rows,
            "widths": list(widths), "note": note}  # fmt: skip


def steps_part(heading: str, names: Iterable[str], values: Mapping[str, str]) -> Part:
    """Return steps with a box to tick, each a word of the catalogue below the heading's."""
    rows = [fill(f"{heading}.{name}", **values) for name in names]
    return {"heading": word(heading), "kind": "steps", "rows": rows}


def heads(*names: str) -> list[str]:
    """Return the heads of columns."""
    return [word(f"cards.head.{name}") for name in names]


def when(date: str) -> str:
    """Write a month or a day, such as ``2027-08`` or ``2027-09-26``."""
    year, month, *days = map(int, date.split("-"))
    return show_date(dt.date(year, month, days[0])) if days else show_month(year, month)


def length(length_m: float, system: UnitSystem) -> str:
    """Write a length in the hand's units: centimetres or inches."""
    if system == "imperial":
        return f"{show_fixed(shown_in(1000.0 * length_m, 'mm', system)[0], 1)} in"
    return f"{show_number(round(100.0 * length_m, 1))} cm"


def degrees(value: float, system: UnitSystem) -> str:
    """Write a temperature."""
    if system == "imperial":
        return f"{show_number(round(value * 9 / 5 + 32))} °F"
    return show(value, "degC")


def value_range(
    row: Mapping[str, str], system: UnitSystem, ends: tuple[str, str] = ("low", "high")
) -> str:
    """Write one value, a range, or an open range; "" where the row is in words alone."""
    low, high = (in_unit(row[end], row["unit"], system) for end in ends)
    if low == high:
        return low
    if not high:
        return f"≥ {low}"
    return span(low, high) if low else f"≤ {high}"


def span(low: str, high: str) -> str:
    """Write a range of two amounts, their unit once."""
    unit = _UNIT.search(high)
    return f"{low.removesuffix(unit[0]) if unit else low} – {high}"


def in_unit(text: str, unit: str, system: UnitSystem) -> str:
    """Write a number of a table with its unit; "" for an empty cell."""
    if not text:
        return ""
    if unit == "cm":
        return length(float(text) / 100.0, system)
    if unit == "mm" and system == "imperial":
        return f"{show_fixed(shown_in(float(text), 'mm', system)[0], 2)} in"
    return show(float(text), unit, system)
