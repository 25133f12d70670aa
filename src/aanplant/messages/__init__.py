"""Words for figures, findings and sources, by message id, in the reader's language.

Who the reader is, ``speech.speaking`` says; English lends the words that a language lacks.
The files of a language share the tables ``figure``, ``finding``, ``word`` and ``term``, and
no id stands in two of them.

A word that follows a number takes its singular where the number is one:
``{springs} {springs:spring|springs}`` reads "1 spring" or "7 springs". A fixed quantity in the
text of a finding stands as ``{quantity:0.6 m}``, so that each reader gets it in units of their own.
"""

import re
from datetime import date

from aanplant.catalogues import catalogue, entry, languages, term
from aanplant.speech import date_pattern, speaking, speech
from aanplant.units import UnitSystem, show
from aanplant.working import Finding, Value, Working

__all__ = [
    "WORDS",
    "catalogue",
    "fill",
    "formula",
    "label",
    "languages",
    "sentence",
    "show_date",
    "show_day",
    "show_month",
    "show_value",
    "speaking",
    "speech",
    "term",
    "word",
]

_DATE_PART = re.compile(r"y|MMMM|MMM|dd|d|'([^']*)'")
_ISO_DATE = re.compile(r"\d{4}-\d\d-\d\d")
_ISO_MONTH = re.compile(r"\d{4}-(?:0[1-9]|1[0-2])")
_MONTH_DAY = re.compile(r"(?:0[1-9]|1[0-2])-(?:0[1-9]|[12]\d|3[01])")
WORDS = "words:"
"""A value of a finding that begins so names words of the catalogue, which may hold values too."""


def label(working: Working, language: str | None = None) -> str:
    """Return what a figure is called, such as "rows" or "wire, cordon"."""
    name = str(entry("figure", working.message_id, language)["label"])
    return f"{name}, {working.about}" if working.about else name


def formula(working: Working, language: str | None = None) -> str:
    """Return how a figure is found, readable, in the names of its inputs."""
    return str(entry("figure", working.message_id, language)["formula"])


def sentence(finding: Finding, system: UnitSystem = "metric", language: str | None = None) -> str:
    """Return a finding as a sentence with its figures in it."""
    template = str(entry("finding", finding.message, language)["text"])
    shown: dict[str, str | _Quantity] = {
        name: _Shown(_shown(value, system, language)) for name, value in finding.values.items()
    }
    shown["quantity"] = _Quantity(system)
    named = {
        name: _listed(value.removeprefix(WORDS).split(","), language).format_map(shown)
        for name, value in finding.values.items()
        if isinstance(value, str) and value.startswith(WORDS)
    }
    return template.format_map(shown | named)


def word(name: str, language: str | None = None) -> str:
    """Return a heading or label of an output by its id, such as ``sheet.scale``."""
    return str(entry("word", name, language))


def fill(name: str, language: str | None = None, /, **values: object) -> str:
    """Return a word with values in it, each written as it is shown."""
    return word(name, language).format_map({key: _Shown(value) for key, value in values.items()})


class _Shown(str):
    """A value as it is shown; ``{value:one|many}`` chooses the word that goes with it."""

    __slots__ = ()

    def __format__(self, spec: str) -> str:
        one, bar, many = spec.partition("|")
        if not bar:
            return super().__format__(spec)
        return one if str(self) == "1" else many


class _Quantity:
    """Shows the quantity that stands behind it in a text, in a reader's units."""

    __slots__ = ("_system",)

    def __init__(self, system: UnitSystem) -> None:
        self._system = system

    def __format__(self, spec: str) -> str:
        number, _, unit = spec.partition(" ")
        return show(float(number), unit, self._system)


def _listed(names: list[str], language: str | None) -> str:
    """Write words by their ids as a list: one, one and two, one, two and three."""
    *first, last = (word(name, language) for name in names)
    return f"{', '.join(first)} {word('list.and', language)} {last}" if first else last


def _shown(value: Value | tuple[Value, str], system: UnitSystem, language: str | None) -> str:
    if isinstance(value, tuple) and value[1] == "month-day":
        return show_day(str(value[0]), language=language)
    if isinstance(value, tuple):
        return show(value[0], value[1], system)
    if isinstance(value, str) and _ISO_DATE.fullmatch(value):
        return show_date(date.fromisoformat(value), language)
    return term(show(value, ""), language)


def show_value(value: Value, unit: str, system: UnitSystem = "metric") -> str:
    """Write a value of a figure or of an input, with its unit; dates as the reader writes them."""
    if not isinstance(value, str):
        return show(value, unit, system)
    if _ISO_DATE.fullmatch(value):
        return show_date(date.fromisoformat(value))
    if _ISO_MONTH.fullmatch(value):
        return show_month(int(value[:4]), int(value[5:]))
    return show_day(value) if _MONTH_DAY.fullmatch(value) else value


def show_date(day: date, language: str | None = None) -> str:
    """Write a date: 5 Nov 2026."""
    return _dated("yMMMd", day.month, day.day, day.year, language)


def show_month(year: int, month: int, language: str | None = None) -> str:
    """Write a month of a year: Nov 2026."""
    return _dated("yMMM", month, 1, year, language)


def show_day(month_day: str, *, is_short: bool = False, language: str | None = None) -> str:
    """Write a day of any year, such as ``09-10``: 10 September, or 10 Sep for short."""
    month, _, day = month_day.partition("-")
    return _dated("MMMd" if is_short else "MMMMd", int(month), int(day), 0, language)


def _dated(skeleton: str, month: int, day: int, year: int, language: str | None) -> str:
    """Put the parts of a date in the order of the reader's locale."""
    parts = {
        "y": str(year),
        "MMMM": word(f"month_name.{month:02d}", language),
        "MMM": word(f"month.{month}", language),
        "dd": f"{day:02d}",
        "d": str(day),
    }
    pattern = date_pattern(skeleton)
    return _DATE_PART.sub(lambda found: parts.get(found[0], found[1] or ""), pattern)
