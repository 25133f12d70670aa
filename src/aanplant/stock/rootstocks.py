"""The rootstocks that are known, as arrays with a low and a high end, and their names."""

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from aanplant import tables
from aanplant.errors import InputError
from aanplant.rootstock_facts import RANGES, RootstockFact

Range = NDArray[np.float64]
_ADDED = ("synonym", "caution", "graft_fails", "graft_weak")
"""Attributes of which every row holds by itself."""


@dataclass(frozen=True)
class Rootstocks:
    """All facts, the user's in place of the shipped ones.

    Parameters
    ----------
    facts : tuple of RootstockFact
        In the order of the table.
    """

    facts: tuple[RootstockFact, ...]

    @cached_property
    def names(self) -> tuple[str, ...]:
        """The stocks, each once."""
        return tuple(dict.fromkeys(fact.rootstock for fact in self.facts))

    @cached_property
    def _by_cell(self) -> dict[tuple[str, str], list[RootstockFact]]:
        cells: dict[tuple[str, str], list[RootstockFact]] = {}
        for fact in self.facts:
            cells.setdefault((fact.rootstock, fact.attribute), []).append(fact)
        return cells

    def of(self, name: str, attribute: str) -> tuple[RootstockFact, ...]:
        """Return what is said of one attribute of one stock."""
        return tuple(self._by_cell.get((name, attribute), ()))

    def texts(self, name: str, attribute: str) -> tuple[str, ...]:
        """Return the texts of one attribute of one stock."""
        return tuple(fact.text for fact in self.of(name, attribute))

    def ranges(self, attribute: str) -> Range:
        """Return least and greatest of all sources, (n_stocks, 2); nan where unknown."""
        found = np.full((len(self.names), 2), np.nan)
        for index, name in enumerate(self.names):
            known = [
                (fact.low, fact.high)
                for fact in self.of(name, attribute)
                if fact.low is not None and fact.high is not None
            ]
            if known:
                found[index] = min(low for low, _ in known), max(high for _, high in known)
        return found

    def spread(self, attribute: str, memory_spread: float) -> Range:
        """Return the range widened where it rests on memory alone; all of it where unknown.

        Parameters
        ----------
        attribute : str
            One that has numbers.
        memory_spread : float
            How far a rating from memory may be wrong; twice as far where it is in doubt.
        """
        least, greatest = RANGES[attribute]
        found = self.ranges(attribute)
        for index, name in enumerate(self.names):
            facts = self.of(name, attribute)
            if np.isnan(found[index, 0]):
                found[index] = least, greatest
            elif all(fact.certainty == "memory" for fact in facts):
                steps = 2.0 if any(fact.text == "uncertain" for fact in facts) else 1.0
                found[index] += np.array([-1.0, 1.0]) * steps * memory_spread
        return np.clip(found, least, greatest)

    def named(self, name: str, where: str = "brief.toml: vines.rootstock") -> str:
        """Return the name the table uses for a stock.

        Parameters
        ----------
        name : str
            Any of its names, however it is spaced.
        where : str
            Key that holds it, for messages.

        Raises
        ------
        InputError
            If no stock is called so; says the nearest names.
        """
        known = {_plain(stock): stock for stock in self.names}
        for fact in self.facts:
            if fact.attribute == "synonym":
                known.setdefault(_plain(fact.text), fact.rootstock)
        if _plain(name) in known:
            return known[_plain(name)]
        near = difflib.get_close_matches(_plain(name), known, n=3, cutoff=0.5)
        listed = ", ".join(dict.fromkeys(known[one] for one in near)) or ", ".join(self.names)
        raise InputError(
            where,
            repr(name),
            f'"choose" or a known rootstock, such as {listed}, or lines for it in rootstocks.csv '
            "in the estate folder",
        )


def rootstocks(own: Sequence[RootstockFact] = ()) -> Rootstocks:
    """Return all stocks; the user's rows take the place of all shipped ones of the same cell.

    Parameters
    ----------
    own : sequence of RootstockFact
        The user's rows; a shipped stock may be called by any of its names. Cautions, other
        names and grafts are added to what is known, not put in its place.
    """
    return _gathered(tuple(own))


@lru_cache(maxsize=8)
def _gathered(own: tuple[RootstockFact, ...]) -> Rootstocks:
    shipped = [
        RootstockFact(
            row["rootstock"],
            row["attribute"],
            float(row["low"]) if row["low"] else None,
            float(row["high"]) if row["high"] else None,
            row["text"],
            row["source"],
            row["certainty"],
        )
        for row in tables.rows("rootstocks.csv")
    ]
    names = {_plain(fact.rootstock): fact.rootstock for fact in shipped}
    for fact in shipped:
        if fact.attribute == "synonym":
            names.setdefault(_plain(fact.text), fact.rootstock)
    mine = [
        replace(fact, rootstock=names.setdefault(_plain(fact.rootstock), fact.rootstock))
        for fact in own
    ]
    replaced = {(fact.rootstock, fact.attribute) for fact in mine if fact.attribute not in _ADDED}
    kept = [fact for fact in shipped if (fact.rootstock, fact.attribute) not in replaced]
    return Rootstocks((*kept, *mine))


@lru_cache(maxsize=4096)
def _plain(name: str) -> str:
    return re.sub(r"[^0-9a-z]", "", name.casefold())
