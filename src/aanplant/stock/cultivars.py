"""What is known of each cultivar: the shipped facts, and the estate's own in their place."""

import difflib
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from aanplant import tables
from aanplant.errors import InputError
from aanplant.inputs import CultivarFact
from aanplant.working import Input

TABLE = "cultivars.csv"
OWN = "estate"
"""Certainty of a fact from the estate's own table."""


@dataclass(frozen=True, slots=True)
class Span:
    """Lowest and highest of what the sources say, and which sources they are.

    Parameters
    ----------
    low, high : float
        Ends, equal where all agree.
    facts : tuple of CultivarFact
        What it rests on.
    """

    low: float
    high: float
    facts: tuple[CultivarFact, ...]

    @property
    def is_recalled(self) -> bool:
        """Whether any of it is from memory."""
        return any(fact.certainty == "memory" for fact in self.facts)

    def as_inputs(self, name: str) -> tuple[Input, Input]:
        """Return both ends as inputs of a figure."""
        fact = next((one for one in self.facts if one.certainty == "memory"), self.facts[0])
        is_own = fact.certainty == OWN
        origin, source = ("file", "") if is_own else ("table", fact.source)
        return (
            Input(f"{name}_low", self.low, "", f"{origin}:{TABLE}", source),
            Input(f"{name}_high", self.high, "", f"{origin}:{TABLE}", source),
        )


@dataclass(frozen=True, slots=True)
class Cultivar:
    """One cultivar.

    Parameters
    ----------
    name : str
        As the table writes it.
    facts : tuple of CultivarFact
        All that is known of it.
    """

    name: str
    facts: tuple[CultivarFact, ...]

    def span(self, attribute: str) -> Span | None:
        """Range of a number; None when it isn't known."""
        found = tuple(
            fact for fact in self.facts if fact.attribute == attribute and fact.low is not None
        )
        lows = [fact.low for fact in found if fact.low is not None]
        highs = [fact.low if fact.high is None else fact.high for fact in found]
        if not found:
            return None
        return Span(min(lows), max(high for high in highs if high is not None), found)

    def texts(self, attribute: str) -> tuple[str, ...]:
        """Words on an attribute, such as its training."""
        return tuple(fact.text for fact in self.facts if fact.attribute == attribute and fact.text)


def cultivars(own: Sequence[CultivarFact] = ()) -> tuple[Cultivar, ...]:
    """Return every cultivar, the shipped ones first.

    Parameters
    ----------
    own : sequence of CultivarFact
        The estate's own facts; they replace all shipped facts on the same attribute.
    """
    return _gathered(tuple(own))


@lru_cache(maxsize=8)
def _gathered(own: tuple[CultivarFact, ...]) -> tuple[Cultivar, ...]:
    shipped = [
        CultivarFact(
            row["cultivar"], row["attribute"], _number(row["low"]), _number(row["high"]),
            row["text"], row["source"], row["certainty"],
        )
        for row in tables.rows(TABLE)
    ]  # fmt: skip
    names = {folded(fact.cultivar): fact.cultivar for fact in (*own, *shipped)}
    names.update({folded(fact.cultivar): fact.cultivar for fact in shipped})
    for fact in shipped:
        if fact.attribute == "synonym" and folded(fact.text) in names:
            # The estate calls a shipped cultivar by its other name.
            names[folded(fact.text)] = fact.cultivar
    mine = [(names[folded(fact.cultivar)], fact) for fact in own]
    replaced = {(name, fact.attribute) for name, fact in mine}
    by_name: dict[str, list[CultivarFact]] = {}
    for fact in shipped:
        kept = by_name.setdefault(fact.cultivar, [])
        if (fact.cultivar, fact.attribute) not in replaced:
            kept.append(fact)
    for name, fact in mine:
        by_name.setdefault(name, []).append(fact)
    return tuple(Cultivar(name, tuple(facts)) for name, facts in by_name.items())


def find(name: str, own: Sequence[CultivarFact] = ()) -> Cultivar | None:
    """Return a cultivar by its name or another name of it; None for an empty name.

    Raises
    ------
    InputError
        If it is in neither table, with the names most like it.
    """
    if not name.strip():
        return None
    known: dict[str, Cultivar] = {}
    for one in cultivars(own):
        for called in (one.name, *one.texts("synonym")):
            known.setdefault(folded(called), one)
    if folded(name) in known:
        return known[folded(name)]
    near = difflib.get_close_matches(folded(name), known, n=3, cutoff=0.6)
    meant = " or ".join(dict.fromkeys(repr(known[one].name) for one in near))
    added = f"lines for it in {TABLE} in the estate folder"
    raise InputError(
        "brief.toml: vines.cultivar",
        f"{name!r}, which no table of cultivars holds",
        f"{meant}, or {added}" if meant else f"a known cultivar, or {added}",
    )


@lru_cache(maxsize=4096)
def folded(name: str) -> str:
    """Name without accents, capitals and doubled blanks, for comparing."""
    plain = unicodedata.normalize("NFKD", name)
    return " ".join("".join(c for c in plain if not unicodedata.combining(c)).casefold().split())


def _number(text: str) -> float | None:
    return float(text) if text else None
