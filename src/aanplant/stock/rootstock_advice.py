"""What to say of the rootstock: what is chosen, what is excluded, what is in doubt."""

from collections import Counter
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import Brief
from aanplant.rootstock_facts import OWN
from aanplant.site import Site
from aanplant.stock.rootstock_answer import (
    CRITERIA,
    FAILS,
    NEAR,
    UNKNOWN,
    Held,
    RootstockChoice,
)
from aanplant.stock.rootstock_unmeasured import contradictions, not_measured, not_tested
from aanplant.stock.rootstocks import Rootstocks
from aanplant.working import Finding, Value

GRAVE = ("phylloxera", "active_lime", "chlorosis")
"""A vine on a stock that breaks one of these dies or sickens; the rest costs yield."""
MANY_TURNS = 3
ASSIGNED = ("own_choice", "supply", "affinity")
"""Limits that no mending of the ground lifts."""
HELD = {
    "fails": "rootstock_fails.{}",
    "near": "rootstock_near.{}",
    "unknown": "rootstock_unknown.{}",
}
"""Words on a limit, by how it is held."""
Values = dict[str, Value | tuple[Value, str]]


def advice(
    brief: Brief, site: Site, found: RootstockChoice, known: Rootstocks
) -> Iterator[Finding]:
    """Say what was found of the rootstock, the gravest first within each matter.

    Parameters
    ----------
    brief, site
        What was asked, and the ground.
    found : RootstockChoice
        With its pick.
    known : Rootstocks
        The stocks.
    """
    yield from contradictions(brief, site, found)
    yield from not_measured(site, found)
    chosen = found.named or found.picked
    if found.named:
        yield from _named(found, known)
    elif not found.is_ranked:
        yield Finding("stock", "care", "stock.rootstock_refused", {"what": _missing(found)})
    elif not found.picked:
        yield Finding("stock", "care", "stock.rootstock_none", _excluded(found))
        yield from _nearest(found)
    else:
        yield from _picked(found)
        yield from _kept_out(found, known)
    if chosen:
        yield from _near(found, known, found.stocks.index(chosen))
        yield from not_tested(brief, site, known, chosen)
        yield from _recalled(known, chosen)
        for name, text in found.cautions:
            if name == chosen:
                values: Values = {"rootstock": name, "text": text}
                fact = next(one for one in known.of(name, "caution") if one.text == text)
                source = "brief" if fact.certainty == OWN else fact.source
                yield Finding("stock", "note", "stock.rootstock_caution", values, source=source)


def _missing(found: RootstockChoice) -> str:
    return "words:" + ",".join(f"rootstock_missing.{what}" for what in found.missing)


def _held(rootstock: str, held: Held) -> Values:
    return {
        "rootstock": rootstock,
        "what": "words:" + HELD[held.state].format(held.limit),
        "zone": held.zone,
        "asked": "" if np.isnan(held.asked) else (round(held.asked, 2), held.unit),
        "tolerance": "" if np.isnan(held.tolerance) else (round(held.tolerance, 2), held.unit),
    }


def _source(known: Rootstocks, stock: str, limit: str) -> str:
    """Return the source behind a limit: memory where any of the cell is recalled."""
    if limit == "supply":
        return "brief"
    facts = known.of(stock, "vinifera_parent" if limit == "own_choice" else limit)
    if not facts or any(fact.certainty == "memory" for fact in facts):
        return "memory"
    return "brief" if facts[0].certainty == OWN else facts[0].source


def _named(found: RootstockChoice, known: Rootstocks) -> Iterator[Finding]:
    stock = found.stocks.index(found.named)
    for held in found.held(stock, FAILS):
        if held.limit == "affinity":
            continue  # said by its own finding, with what is known of the pair
        values = _held(found.named, held)
        source = _source(known, found.named, held.limit)
        if held.limit in GRAVE:
            yield Finding("stock", "stop", "stock.rootstock_breaks", values, source=source)
        else:
            yield Finding("stock", "care", "stock.rootstock_harmed", values, source=source)
    for held in found.held(stock, UNKNOWN):
        values = _held(found.named, held)
        yield Finding("stock", "care", "stock.rootstock_unknown", values, source="memory")
    if not found.is_ranked:
        yield Finding(
            "stock",
            "care",
            "stock.rootstock_unjudged",
            {"rootstock": found.named, "what": _missing(found)},
        )
    elif found.order and found.order[0] != stock:
        first = found.order[0]
        values = {
            "rootstock": found.named,
            "rank": int(found.ranks[stock]),
            "first": found.stocks[first],
        }
        if found.allowed[stock]:
            yield Finding("stock", "note", "stock.rootstock_named_rank", values)
        else:
            yield Finding("stock", "note", "stock.rootstock_instead", values)


def _excluded(found: RootstockChoice) -> Values:
    """Count the stocks by the limit that excludes them; one may break several."""
    broken = Counter(
        held.limit for stock in np.flatnonzero(~found.allowed) for held in found.held(int(stock))
    )
    return {
        "stocks": len(found.stocks),
        "limits": "words:"
        + ",".join(f"rootstock_limit.{name}" for name, _ in broken.most_common()),
    }


def _nearest(found: RootstockChoice) -> Iterator[Finding]:
    """Say what each zone alone would allow, and which stocks one limit alone keeps out."""
    firsts = _firsts(found)
    if firsts:
        listed = ", ".join(f"{zone.name}: {firsts.get(zone.name, '–')}" for zone in found.zones)
        yield Finding("stock", "note", "stock.rootstock_none_by_zone", {"zones": listed})
    order = np.argsort(-found.scores)
    for stock in order.tolist():
        broken = found.held(stock)
        if len(broken) == 1 and broken[0].limit not in ASSIGNED:
            values = _held(found.stocks[stock], broken[0])
            yield Finding("stock", "note", "stock.rootstock_nearest", values, source="arithmetic")


def _firsts(found: RootstockChoice) -> dict[str, str]:
    """Return the stock that is first in each zone by itself, of the zones that have one."""
    return {
        zone.name: found.stocks[int(np.argmax(found.ranks_in[:, place] == 1))]
        for place, zone in enumerate(found.zones)
        if (found.ranks_in[:, place] == 1).any()
    }


def _picked(found: RootstockChoice) -> Iterator[Finding]:
    first, *rest = found.order
    values: Values = {
        "rootstock": found.picked,
        "allowed": len(found.order),
        "stocks": len(found.stocks),
        "score": round(float(found.scores[first]), 2),
        "percent": round(100 * float(found.share_first[first])),
    }
    key = "stock.rootstock.chosen.score"
    yield Finding("stock", "note", "stock.rootstock_picked", values, key)
    if rest:
        second = rest[0]
        better = found.suits[first] - found.suits[second]
        counted = found.weights * found.needs
        area = np.array([zone.area_ha for zone in found.zones])
        gain = (better * counted * area[:, None]).sum(axis=0)
        values = {
            "rootstock": found.picked,
            "second": found.stocks[second],
            "second_score": round(float(found.scores[second]), 2),
            "second_percent": round(100 * float(found.share_first[second])),
            "wins": _criteria(gain > 0),
            "loses": _criteria(gain < 0),
        }
        yield Finding("stock", "note", "stock.rootstock_second", values, key)
    for turn in found.turns[:MANY_TURNS]:
        values = {
            "stock": turn.stock,
            "criterion": f"words:rootstock_criterion.{turn.criterion}",
            "rating": round(turn.rating, 2),
            "first": turn.first,
        }
        yield Finding("stock", "note", "stock.rootstock_turn", values, key, "memory")
    firsts = _firsts(found)
    if len(set(firsts.values())) > 1:
        listed = ", ".join(f"{zone}: {stock}" for zone, stock in firsts.items())
        values = {"rootstock": found.picked, "zones": listed}
        yield Finding("stock", "note", "stock.rootstock_zones_differ", values, key)


def _kept_out(found: RootstockChoice, known: Rootstocks) -> Iterator[Finding]:
    """Name the stocks that score higher than the pick and that one limit alone keeps out."""
    best = found.scores[found.order[0]]
    better = np.flatnonzero((found.scores > best) & ~found.allowed)
    for stock in better[np.argsort(-found.scores[better])].tolist():
        name, broken = found.stocks[stock], found.held(stock)
        if len(broken) != 1 or broken[0].limit in ASSIGNED:
            continue
        values = {**_held(name, broken[0]), "picked": found.picked}
        source = _source(known, name, broken[0].limit)
        yield Finding("stock", "note", "stock.rootstock_kept_out", values, source=source)


def _criteria(which: NDArray[np.bool_]) -> str:
    names = [name for name, is_one in zip(CRITERIA, which, strict=True) if is_one]
    return "words:" + ",".join(f"rootstock_criterion.{name}" for name in names or ["none"])


def _near(found: RootstockChoice, known: Rootstocks, stock: int) -> Iterator[Finding]:
    for held in found.held(stock, NEAR):
        if held.limit == "affinity":
            continue
        name = found.stocks[stock]
        source = _source(known, name, held.limit)
        yield Finding("stock", "care", "stock.rootstock_near", _held(name, held), source=source)


def _recalled(known: Rootstocks, chosen: str) -> Iterator[Finding]:
    names = [
        attribute
        for attribute in (
            "phylloxera",
            "active_lime",
            "chlorosis",
            "salt",
            "waterlogging",
            *CRITERIA,
        )
        if all(fact.certainty == "memory" for fact in known.of(chosen, attribute))
    ]
    if names:
        values: Values = {
            "rootstock": chosen,
            "what": "words:" + ",".join(f"rootstock_of.{name}" for name in names),
        }
        yield Finding("stock", "note", "stock.rootstock_recalled", values, source="memory")
