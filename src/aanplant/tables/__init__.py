"""Data the program ships, as CSV, every row with its source and how sure it is."""

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files


@cache
def rows(name: str) -> tuple[Mapping[str, str], ...]:
    """Return the rows of a shipped table, such as ``wire.csv``, by column name."""
    text = files(__package__).joinpath(name).read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


@dataclass(frozen=True, slots=True)
class Source:
    """Where a formula or a value comes from.

    Parameters
    ----------
    id : str
        As figures and tables name it.
    text : str
        The source in words.
    certainty : str
        ``published``, ``standard``, ``arithmetic``, ``practice`` (common practice, no source)
        or ``memory`` (recalled, not checked).
    """

    id: str
    text: str
    certainty: str


@cache
def sources() -> Mapping[str, Source]:
    """Return all sources by id."""
    return {
        row["id"]: Source(row["id"], row["text"], row["certainty"]) for row in rows("sources.csv")
    }
