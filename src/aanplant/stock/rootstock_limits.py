"""Which rootstocks the ground and the scion allow: hard limits, at the cautious end."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import Brief
from aanplant.site import Site
from aanplant.site.salinity import GRAPE_SLOPE_PCT
from aanplant.stock.affinity import grafts
from aanplant.stock.rootstock_answer import (
    FAILS,
    HOLDS,
    LIMITS,
    NEAR,
    NOT_ASKED,
    UNKNOWN,
)
from aanplant.stock.rootstocks import Rootstocks
from aanplant.stock.site_demands import ZoneDemands, table_value

NEMATODES = {"root_knot": "root-knot", "dagger": "dagger", "ring": "ring"}
"""Attributes of the stocks by the groups of ``nematodes.csv``; of others no ratings are known."""
OWN_ROOTS = "own roots"
MEDIUM_SALT, TOLERANT_SALT = 3.0, 4.0
"""Ratings from which a stock counts as of medium tolerance, or tolerant (judgement)."""
Array = NDArray[np.float64]
Codes = NDArray[np.int64]


def nematodes_found(site: Site) -> tuple[str, ...]:
    """Return the groups of nematodes of which any were counted, each once."""
    readings = site.history.nematodes if site.history else ()
    return tuple(
        dict.fromkeys(
            reading.group for reading in readings if reading.count.count and reading.group
        )
    )


def is_phylloxera_free(brief: Brief, site: Site) -> bool:
    """Whether phylloxera is declared absent, and was not found all the same."""
    was_found = site.history is not None and site.history.states["phylloxera"] == "found"
    return bool(brief.rootstock.phylloxera_free_source) and not was_found


def salt_threshold_ds_m(rating: float) -> float:
    """Conductivity up to which a stock of a salt rating loses nothing. [dS/m]."""
    if rating >= TOLERANT_SALT:
        return table_value("salt threshold", "tolerant")
    return table_value("salt threshold", "medium" if rating >= MEDIUM_SALT else "sensitive")


def most_salt_ds_m(threshold_ds_m: float, least_yield: float) -> float:
    """Conductivity at which salt leaves no more than a share of the yield. [dS/m].

    The Maas-Hoffman line turned round: threshold + (100 − yield) / slope.

    References
    ----------
    .. [1] Maas, Hoffman (1977), J. Irrig. Drain. Div. ASCE 103: 115-134, from memory.
    """
    return threshold_ds_m + 100.0 * (1.0 - least_yield) / GRAPE_SLOPE_PCT


def judge_limits(
    brief: Brief,
    site: Site,
    known: Rootstocks,
    zones: Sequence[ZoneDemands],
    available: Sequence[str],
) -> tuple[Codes, Array, Array]:
    """Set every stock beside every limit in every zone.

    Parameters
    ----------
    brief : Brief
        Its section ``rootstock``, and the cultivar.
    site : Site
        For nematodes, Phytophthora and phylloxera.
    known : Rootstocks
        The stocks.
    zones : sequence of ZoneDemands
        What the zones ask.
    available : sequence of str
        Stocks that can be had, by the table's names; empty for all.

    Returns
    -------
    states : ndarray of int, shape (n, z, limits)
    asked : ndarray, shape (z, limits)
    tolerance : ndarray, shape (n, z, limits)
    """
    shape = (len(known.names), len(zones), len(LIMITS))
    states = np.full(shape, NOT_ASKED)
    asked, tolerance = np.full(shape[1:], np.nan), np.full(shape, np.nan)

    def put(limit: str, state: Codes, ask: Array | float, bear: Array) -> None:
        column = LIMITS.index(limit)
        asked[:, column] = ask
        tolerance[:, :, column] = bear
        states[:, :, column] = state

    put("own_choice", _own_choice(known), np.nan, np.full((shape[0], 1), np.nan))
    if available:
        offered = np.where(np.isin(known.names, available), HOLDS, FAILS)[:, None]
        put("supply", offered, np.nan, np.full((shape[0], 1), np.nan))
    put("affinity", _affinity(known, brief), np.nan, np.full((shape[0], 1), np.nan))
    rules = brief.rootstock
    if not is_phylloxera_free(brief, site):
        put("phylloxera", *_by_rating(known, "phylloxera", rules.phylloxera_rating, rules))
    found = nematodes_found(site)
    for attribute, group in NEMATODES.items():
        if group in found:
            put(attribute, *_by_rating(known, attribute, rules.nematode_rating, rules))
    if site.history is not None and site.history.states["Phytophthora"] == "found":
        put("phytophthora", *_by_rating(known, "phytophthora", rules.phytophthora_rating, rules))
    put("active_lime", *_active_lime(known, zones, rules.lime_margin))
    put("chlorosis", *_chlorosis(known, zones, rules.lime_margin))
    put("salt", *_salt(known, zones, rules.least_yield))
    wet = np.array([[np.nan if z.wet_rating is None else z.wet_rating for z in zones]])
    put("waterlogging", *_by_rating(known, "waterlogging", wet, rules))
    return states, asked, tolerance


def _own_choice(known: Rootstocks) -> Codes:
    doubtful = [
        name == OWN_ROOTS or "no" not in known.texts(name, "vinifera_parent")
        for name in known.names
    ]
    return np.where(doubtful, FAILS, HOLDS)[:, None]


def _affinity(known: Rootstocks, brief: Brief) -> Codes:
    of_pair = {
        graft.rootstock: FAILS if graft.affinity == "fails" else NEAR
        for graft in grafts(brief.vines.cultivar, known)
    }
    return np.array([[of_pair.get(name, HOLDS)] for name in known.names])


def _by_rating(
    known: Rootstocks, attribute: str, wanted: Array | float, rules: object
) -> tuple[Codes, Array, Array]:
    """Judge a rating: near where it holds only if what is recalled is right."""
    low = known.ranges(attribute)[:, :1]
    doubted = known.spread(attribute, rules.memory_spread)[:, :1]  # type: ignore[attr-defined]
    want = np.broadcast_to(np.asarray(wanted, dtype=np.float64), (1, np.size(wanted)))
    state = np.where(doubted >= want, HOLDS, np.where(low >= want, NEAR, FAILS))
    state = np.where(np.isnan(low), np.where(want <= 1.0, HOLDS, UNKNOWN), state)
    return np.where(np.isnan(want), NOT_ASKED, state), want[0], low


def _active_lime(
    known: Rootstocks, zones: Sequence[ZoneDemands], margin: float
) -> tuple[Codes, Array, Array]:
    lime = np.array([np.nan if zone.lime is None else zone.lime.active_lime_pct for zone in zones])
    low = known.ranges("active_lime")[:, :1]
    state = np.where(lime + margin <= low, HOLDS, np.where(lime <= low, NEAR, FAILS))
    state = np.where(np.isnan(low), UNKNOWN, state)
    state = np.where(lime == 0.0, HOLDS, state)
    return np.where(np.isnan(lime), NOT_ASKED, state), lime, low


def _chlorosis(
    known: Rootstocks, zones: Sequence[ZoneDemands], margin: float
) -> tuple[Codes, Array, Array]:
    index = np.array(
        [np.nan if zone.chlorosis_index is None else zone.chlorosis_index for zone in zones]
    )
    iron = np.array(
        [np.nan if zone.index is None else zone.index.iron_mg_kg or np.nan for zone in zones]
    )
    low = known.ranges("chlorosis")[:, :1]
    # The margin of lime raises the index too.
    wider = index + margin / iron**2 * 1e4
    state = np.where(wider <= low, HOLDS, np.where(index <= low, NEAR, FAILS))
    state = np.where(np.isnan(low), UNKNOWN, state)
    return np.where(np.isnan(index), NOT_ASKED, state), index, low


def _salt(
    known: Rootstocks, zones: Sequence[ZoneDemands], least_yield: float
) -> tuple[Codes, Array, Array]:
    ece = np.array([np.nan if zone.ece_ds_m is None else zone.ece_ds_m for zone in zones])
    ratings = known.ranges("salt")[:, 0]
    # Of a stock whose rating is not known, grape as such is known: it counts as sensitive.
    threshold = np.array([[salt_threshold_ds_m(np.nan_to_num(one))] for one in ratings])
    most = most_salt_ds_m(threshold, least_yield)  # type: ignore[arg-type]
    state = np.where(ece <= threshold, HOLDS, np.where(ece <= most, NEAR, FAILS))
    return np.where(np.isnan(ece), NOT_ASKED, state), ece, most  # type: ignore[return-value]
