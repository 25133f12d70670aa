"""Quantities with units: understood at the brief's door, shown in metric or imperial.

Inside the program every number has the fixed unit of its key; this module is the
only place that turns one unit into another.
"""

import math
import re
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING, Literal

from aanplant.catalogues import term
from aanplant.errors import InputError
from aanplant.speech import marks, money_around

if TYPE_CHECKING:
    from pint import UnitRegistry

UnitSystem = Literal["metric", "imperial"]

_NUMBER = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?"
_PART = re.compile(
    rf"\s*({_NUMBER})\s*([A-Za-zµ°%][A-Za-z0-9µ°²³/*^ -]*?)?(?:\s*$|\s+(?={_NUMBER}))"
)
_LONGEST_TEXT = 60
_EXAMPLES = {
    "m": '"2.5 m" or "8 ft"',
    "mm": '"5 mm" or "0.2 in"',
    "m3/h": '"40 m3/h"',
    "m3": '"52000 m3"',
    "L/h": '"2.3 L/h"',
    "L": '"5 L"',
    "km/h": '"6 km/h"',
    "deg": '"32 deg"',
    "s": '"10 s"',
}


@cache
def _registry() -> "UnitRegistry[float]":
    from pint import UnitRegistry  # noqa: PLC0415 - costs a third of a second, needed for texts only

    registry: UnitRegistry[float] = UnitRegistry()
    registry.define("gpm = gallon / minute")
    return registry


def parse_quantity(value: object, unit: str, where: str) -> float:
    """Turn a bare number or a text with a unit into a number in ``unit``.

    Parameters
    ----------
    value : object
        A number, taken as being in ``unit`` already, or a text such as ``"9 ft"``,
        ``"8 ft 6 in"`` or ``"2.3 L/h"``.
    unit : str
        The fixed unit of the key, "" for a pure number.
    where : str
        File and key, for the message.

    Returns
    -------
    float
        The quantity in ``unit``.

    Raises
    ------
    InputError
        If it is no number, has a unit of another kind, or isn't finite.
    """
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise InputError(where, repr(value), _expected(unit))
    number = _parse_text(value, unit, where) if isinstance(value, str) else float(value)
    if not math.isfinite(number):
        raise InputError(where, repr(value), f"a finite number, {_expected(unit)}")
    return number


def _expected(unit: str) -> str:
    if not unit:
        return "a number"
    return f"a quantity in {unit}, such as {_EXAMPLES.get(unit, f'a number of {unit}')}"


def _parse_text(text: str, unit: str, where: str) -> float:
    if len(text) > _LONGEST_TEXT:
        raise InputError(where, f"a text of {len(text)} letters", _expected(unit))
    total, position, parts = 0.0, 0, 0
    while position < len(text):
        match = _PART.match(text, position)
        if match is None or match.end() == position:
            raise InputError(where, repr(text), _expected(unit))
        number, written = float(match[1]), (match[2] or "").strip()
        if not written and (parts or position + len(match[0]) < len(text)):
            raise InputError(where, repr(text), _expected(unit))
        total += _convert(number, written, unit, text, where) if written else number
        position, parts = match.end(), parts + 1
    if parts == 0:
        raise InputError(where, repr(text), _expected(unit))
    return total


def _convert(number: float, written: str, unit: str, text: str, where: str) -> float:
    if written == unit:
        return number
    from pint import PintError  # noqa: PLC0415 - see _registry

    registry = _registry()
    try:
        source = registry.parse_units(_spelled(written))
        target = registry.parse_units(_spelled(unit) or "dimensionless")
    except (
        PintError,
        ValueError,
        TypeError,
        AttributeError,
        SyntaxError,
        ArithmeticError,
        AssertionError,
    ):
        raise InputError(where, f"{text!r}, whose unit is not known", _expected(unit)) from None
    if source.dimensionality != target.dimensionality:
        raise InputError(where, f"{text!r}, a quantity of another kind", _expected(unit))
    converted: float = registry.Quantity(number, source).to(target).magnitude
    return converted


def _spelled(unit: str) -> str:
    """Write a unit as pint reads it: m3 as m**3, US gal as gal."""
    plain = unit.replace("²", "2").replace("³", "3").replace("US ", "")
    plain = re.sub(r"short tons?\b", "short_ton", plain)
    return re.sub(r"(?<=[A-Za-z])([23])\b", r"**\1", plain)


_FOOT_M = 0.3048
_ACRE_M2 = 4046.8564224
_GALLON_L = 3.785411784
_POUND_KG = 0.45359237
_POUND_N = _POUND_KG * 9.80665
_PSI_KPA = _POUND_N / 0.0254**2 / 1000.0
_IMPERIAL: dict[str, tuple[str, float]] = {
    "m": ("ft", 1 / _FOOT_M),
    "km": ("mi", 1 / 1.609344),
    "mm": ("in", 1 / 25.4),
    "m2": ("sq ft", 1 / _FOOT_M**2),
    "ha": ("acre", 10_000 / _ACRE_M2),
    "vines/ha": ("vines/acre", _ACRE_M2 / 10_000),
    "L": ("US gal", 1 / _GALLON_L),
    "L/h": ("US gal/h", 1 / _GALLON_L),
    "m3": ("US gal", 1000 / _GALLON_L),
    "m3/h": ("US gal/min", 1000 / _GALLON_L / 60),
    "kg": ("lb", 1 / _POUND_KG),
    "t": ("short ton", 1 / (2 * _POUND_KG)),
    "t/ha": ("short tons/acre", _ACRE_M2 / 1e4 / (2 * _POUND_KG)),
    "kg/ha": ("lb/acre", _ACRE_M2 / 1e4 / _POUND_KG),
    "km/h": ("mph", 1 / 1.609344),
    "kPa": ("psi", 1 / _PSI_KPA),
    "kPa/m": ("psi/ft", _FOOT_M / _PSI_KPA),
    "m/s": ("ft/s", 1 / _FOOT_M),
    "N": ("lbf", 1 / _POUND_N),
    "kN": ("lbf", 1000.0 / _POUND_N),
    "N/m": ("lbf/ft", _FOOT_M / _POUND_N),
    "kg/m": ("lb/ft", _FOOT_M / _POUND_KG),
    "mm/d": ("in/d", 1 / 25.4),
    "mm/m": ("in/ft", _FOOT_M / 25.4),
    "L/d": ("US gal/d", 1 / _GALLON_L),
    "m3/d": ("US gal/d", 1000 / _GALLON_L),
    "ha/h": ("acre/h", 10_000 / _ACRE_M2),
}
"""Exact factors from the international yard and pound (1959), US gallon, standard gravity."""

_PLAIN_NAMES = {
    "deg": "°",
    "degC": "°C",
    "m2": "m²",
    "m3": "m³",
    "m3/h": "m³/h",
    "%": " %",
    "MJ/m2": "MJ/m²",
}


def shown_in(value: float, unit: str, system: UnitSystem) -> tuple[float, str]:
    """Return the value and unit in which a reader of ``system`` wants to see it."""
    if system == "imperial" and unit in _IMPERIAL:
        name, factor = _IMPERIAL[unit]
        return value * factor, name
    return value, unit


def show(value: float | str, unit: str, system: UnitSystem = "metric") -> str:
    """Write a value with its unit for people: 24 118 vines, 7.84 ha, 32°.

    Whole numbers keep all their digits; others get four significant digits and never
    fewer than their whole part. The marks in them are those of the reader's locale.
    """
    if isinstance(value, str):
        return value
    number, name = shown_in(value, unit, system)
    text = show_number(number)
    name = term(_PLAIN_NAMES.get(name, name))
    if not name or name == "°" or name.startswith(" "):
        return f"{text}{name}".replace(" %", "\u202f%")
    return f"{text} {name}"


def show_number(number: float) -> str:
    """Write a number for people, see ``show``."""
    if isinstance(number, int) or (number == round(number) and abs(number) < 1e15):  # noqa: PLR2004 - exact in float64
        return _marked(f"{round(number):d}")
    digits = max(0, 3 - math.floor(math.log10(abs(number))))
    text = f"{number:.{digits}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return _marked(text)


def show_fixed(number: float | Decimal, decimals: int) -> str:
    """Write a number with as many decimals as asked for, thousands set apart."""
    return _marked(f"{number:.{decimals}f}")


def show_money(amount: Decimal, currency: str, decimals: int = 2) -> str:
    """Write an amount of money as its reader's locale does: R1 234.50."""
    text = show_fixed(abs(amount), decimals)
    before, behind = money_around(currency) if currency else ("", "")
    return f"{'-' if amount < 0 else ''}{before}{text}{behind}"


def _marked(text: str) -> str:
    """Set thousands apart and the decimals behind the mark of the reader's locale."""
    decimal, group = marks()
    sign = "-" if text.startswith("-") else ""
    whole, dot, rest = text.removeprefix("-").partition(".")
    grouped = f"{int(whole):,}".replace(",", group)
    return f"{sign}{grouped}{decimal if dot else ''}{rest}"
