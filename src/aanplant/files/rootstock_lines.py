"""The rootstocks of a plan as lists: one line a stock, and one a stock in a zone."""

import math
from typing import Any

from aanplant.stock.rootstock_answer import CRITERIA, FAILS, NEAR, UNKNOWN, Held, RootstockChoice


def rootstock_tables(found: RootstockChoice) -> dict[str, list[dict[str, Any]]]:
    """Return the tables ``rootstocks`` and ``rootstock_zones``, the best stock first.

    Parameters
    ----------
    found : RootstockChoice
        As the stage made it; what is not known or not ranked is null.
    """
    rest = [stock for stock in range(len(found.stocks)) if stock not in found.order]
    order = [*found.order, *rest]
    zones = range(len(found.zones))
    return {
        "rootstocks": [_stock(found, stock) for stock in order],
        "rootstock_zones": [_in_zone(found, stock, zone) for stock in order for zone in zones],
    }


def _stock(found: RootstockChoice, stock: int) -> dict[str, Any]:
    name = found.stocks[stock]
    is_ranked = bool(found.ranks[stock])
    return {
        "rootstock": name,
        "is_chosen": name in {found.picked, found.named} - {""},
        "allowed": bool(found.allowed[stock]),
        "reasons": [_held(held) for held in found.held(stock, FAILS, UNKNOWN)],
        "without_margin": [_held(held) for held in found.held(stock, NEAR)],
        "score": _number(found.scores[stock]),
        "rank": int(found.ranks[stock]) if is_ranked else None,
        "rank_from": int(found.rank_range[stock, 0]) if is_ranked else None,
        "rank_to": int(found.rank_range[stock, 1]) if is_ranked else None,
        "share_first": float(found.share_first[stock]) if is_ranked else None,
    }


def _held(held: Held) -> dict[str, Any]:
    return {
        "limit": held.limit,
        "state": held.state,
        "zone": held.zone or None,
        "asked": _number(held.asked),
        "tolerance": _number(held.tolerance),
        "unit": held.unit,
    }


def _in_zone(found: RootstockChoice, stock: int, zone: int) -> dict[str, Any]:
    return {
        "rootstock": found.stocks[stock],
        "zone": found.zones[zone].name,
        "area_ha": found.zones[zone].area_ha,
        "allowed": bool(found.allowed_in[stock, zone]),
        "score": _number(found.scores_in[stock, zone]),
        "rank": int(found.ranks_in[stock, zone]) or None,
        **{
            f"suits_{name}": float(found.suits[stock, zone, column])
            for column, name in enumerate(CRITERIA)
        },
    }


def _number(value: float) -> float | None:
    return None if math.isnan(value) else float(value)
