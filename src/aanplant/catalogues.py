"""The files of words: one catalogue a language, in the folder of the messages.

The catalogue of a language is its ``<language>.toml`` with all ``<language>_<topic>.toml``:
labels and formulas of figures, sentences of findings, headings of outputs, and, where the
language isn't English, the trade's terms as the tables and the brief write them, the names of
the brief's keys, and what these mean.
"""

import re
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from aanplant.speech import marks, speech

FIRST_LANGUAGE = "en"
"""The language that has every word, and lends those that another lacks."""
TABLES = ("figure", "finding", "word", "term", "help", "name")
_FOLDER = "aanplant.messages"
_HOLE = re.compile(r"\{([a-z]+)\}")
_NUMBER = re.compile(r"\d+\.\d+")


@cache
def catalogue(language: str = FIRST_LANGUAGE) -> Mapping[str, Any]:
    """Return the whole catalogue of a language."""
    merged: dict[str, dict[str, Any]] = {table: {} for table in TABLES}
    for part in sorted(files(_FOLDER).iterdir(), key=lambda item: item.name):
        stem, _, kind = part.name.rpartition(".")
        if kind == "toml" and (stem == language or stem.startswith(f"{language}_")):
            for table, entries in tomllib.loads(part.read_text(encoding="utf-8")).items():
                merged[table].update(entries)
    return merged


@cache
def languages() -> tuple[str, ...]:
    """Return the languages that have a catalogue, English first."""
    stems = {part.name.removesuffix(".toml") for part in files(_FOLDER).iterdir()
             if part.name.endswith(".toml")}  # fmt: skip
    others = sorted(stem for stem in stems if "_" not in stem and stem != FIRST_LANGUAGE)
    return (FIRST_LANGUAGE, *others)


def entry(table: str, name: str, language: str | None = None) -> Any:  # noqa: ANN401 - as the table has it
    """Return what a catalogue holds under an id, in English where the language lacks it.

    Raises
    ------
    KeyError
        If English lacks it too.
    """
    own = catalogue(language or speech().language)[table]
    return own[name] if name in own else catalogue()[table][name]


def term(text: str, language: str | None = None) -> str:
    """Return a word of the trade, as a table or the brief writes it, in the reader's language.

    A term may have values in it: ``softwood {size}`` is found in ``softwood 75-100``. A value
    is itself a term, or a number, which takes the reader's mark before its decimals. A text
    without a translation stays as it is: it may be a name.
    """
    told = language or speech().language
    return text if told == FIRST_LANGUAGE else _term(text, told, marks().decimal)


@cache
def _term(text: str, language: str, decimal: str) -> str:
    known = catalogue(language)["term"]
    if text in known:
        return str(known[text])
    if _NUMBER.fullmatch(text):
        return text.replace(".", decimal)
    for pattern, template in _terms_with_values(language):
        if found := pattern.fullmatch(text):
            values = {name: _term(value, language, decimal)
                      for name, value in found.groupdict().items()}  # fmt: skip
            return template.format_map(values)
    return text


@cache
def _terms_with_values(language: str) -> tuple[tuple[re.Pattern[str], str], ...]:
    """Terms that hold values, those with the most words of their own first."""
    entries = [item for item in catalogue(language)["term"].items() if "{" in item[0]]
    entries.sort(key=lambda item: (-len(_HOLE.sub("", item[0])), item[0]))
    return tuple((re.compile(_pattern(english)), str(own)) for english, own in entries)


def _pattern(english: str) -> str:
    """Turn a term with values into what finds it in a text."""
    parts = _HOLE.split(english)
    return "".join(f"(?P<{part}>.+)" if at % 2 else re.escape(part)
                   for at, part in enumerate(parts))  # fmt: skip
