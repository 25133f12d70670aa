"""Words for figures, findings and sources, by message id, in the reader's language.

The catalogue of a language is all its ``en*.toml`` files: labels and formulas of
figures, sentences of findings, headings of outputs. They share three tables
(``figure``, ``finding``, ``word``) and no id stands in two files.

A word that follows a number takes its singular where the number is one:
``{springs} {springs:spring|springs}`` reads "1 spring" or "7 springs".
"""

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from aanplant.units import UnitSystem, show
from aanplant.working import Finding, Value, Working

WORDS = "words:"
"""A value of a finding that begins so names words of the catalogue, which may hold values too."""


@cache
def catalogue(language: str = "en") -> Mapping[str, Any]:
    """Return the whole catalogue of a language."""
    merged: dict[str, dict[str, Any]] = {"figure": {}, "finding": {}, "word": {}}
    for part in sorted(files(__package__).iterdir(), key=lambda item: item.name):
        if part.name.startswith(language) and part.name.endswith(".toml"):
            for table, entries in tomllib.loads(part.read_text(encoding="utf-8")).items():
                merged[table].update(entries)
    return merged


def label(working: Working, language: str = "en") -> str:
    """Return what a figure is called, such as "rows" or "wire, cordon"."""
    name = str(catalogue(language)["figure"][working.message_id]["label"])
    return f"{name}, {working.about}" if working.about else name


def formula(working: Working, language: str = "en") -> str:
    """Return how a figure is found, readable, in the names of its inputs."""
    return str(catalogue(language)["figure"][working.message_id]["formula"])


def sentence(finding: Finding, system: UnitSystem = "metric", language: str = "en") -> str:
    """Return a finding as a sentence with its figures in it."""
    template = str(catalogue(language)["finding"][finding.message]["text"])
    shown = {
        name: _Shown(_shown(value, system, language)) for name, value in finding.values.items()
    }
    named = {
        name: _listed(value.removeprefix(WORDS).split(","), language).format_map(shown)
        for name, value in finding.values.items()
        if isinstance(value, str) and value.startswith(WORDS)
    }
    return template.format_map(shown | named)


def word(name: str, language: str = "en") -> str:
    """Return a heading or label of an output by its id, such as ``sheet.scale``."""
    return str(catalogue(language)["word"][name])


def fill(name: str, language: str = "en", /, **values: object) -> str:
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


def _listed(names: list[str], language: str) -> str:
    """Write words by their ids as a list: one, one and two, one, two and three."""
    *first, last = (word(name, language) for name in names)
    return f"{', '.join(first)} {word('list.and', language)} {last}" if first else last


def _month_day(text: str, language: str) -> str:
    """Write a day of any year, such as "09-10", in words."""
    month, _, day = text.partition("-")
    return f"{int(day)} {word(f'month_name.{month}', language)}"


def _shown(value: Value | tuple[Value, str], system: UnitSystem, language: str = "en") -> str:
    if isinstance(value, tuple) and value[1] == "month-day":
        return _month_day(str(value[0]), language)
    if isinstance(value, tuple):
        return show(value[0], value[1], system)
    return show(value, "")
