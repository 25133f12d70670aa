"""Words for figures, findings and sources, by message id, in the reader's language.

The catalogue of a language is all its ``en*.toml`` files: labels and formulas of
figures, sentences of findings, headings of outputs. They share three tables
(``figure``, ``finding``, ``word``) and no id stands in two files.
"""

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from aanplant.units import UnitSystem, show
from aanplant.working import Finding, Value, Working


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
    return template.format_map(
        {name: _shown(value, system) for name, value in finding.values.items()}
    )


def word(name: str, language: str = "en") -> str:
    """Return a heading or label of an output by its id, such as ``sheet.scale``."""
    return str(catalogue(language)["word"][name])


def _shown(value: Value | tuple[Value, str], system: UnitSystem) -> str:
    if isinstance(value, tuple):
        return show(value[0], value[1], system)
    return show(value, "")
