"""Choose the rootstock of a block, or judge the one that is named, and say why."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import CHOOSE, Brief
from aanplant.inputs import Inputs
from aanplant.site import Site
from aanplant.stock.rootstock_advice import advice
from aanplant.stock.rootstock_answer import (
    CRITERIA,
    FAILS,
    LIMITS,
    STATES,
    UNKNOWN,
    Held,
    RootstockChoice,
    Turn,
)
from aanplant.stock.rootstock_figures import figures
from aanplant.stock.rootstock_limits import judge_limits
from aanplant.stock.rootstock_ranking import (
    Scale,
    doubted,
    draw,
    middle,
    needs,
    rank,
    suits,
    turns,
    weights,
    zone_scores,
)
from aanplant.stock.rootstocks import Rootstocks, rootstocks
from aanplant.stock.site_demands import ZoneDemands, demands_of

__all__ = [
    "CRITERIA",
    "LIMITS",
    "STATES",
    "Held",
    "RootstockChoice",
    "Turn",
    "choose_rootstock",
    "rank_stocks",
]

LEAST_JUDGED = 0.9
"""Part of the area whose lime must be known before stocks are ranked (judgement)."""


def choose_rootstock(
    brief: Brief, site: Site, inputs: Inputs | None = None
) -> RootstockChoice | None:
    """Set the rootstocks beside the block; pick one where ``vines.rootstock`` is "choose".

    Parameters
    ----------
    brief : Brief
        Its sections ``vines`` and ``rootstock``.
    site : Site
        Soil zones and what the land carried.
    inputs : Inputs, optional
        The estate's own facts on rootstocks.

    Returns
    -------
    RootstockChoice or None
        None where the brief leaves the rootstock empty.

    Raises
    ------
    InputError
        If the brief names a stock that no table holds.
    """
    asked = brief.vines.rootstock
    if not asked:
        return None
    known = rootstocks(inputs.rootstocks if inputs else ())
    available = tuple(
        known.named(name, "brief.toml: rootstock.available") for name in brief.rootstock.available
    )
    found = rank_stocks(brief, site, known, demands_of(site), available)
    named = "" if asked == CHOOSE else known.named(asked)
    picked = known.names[found.order[0]] if not named and found.order else ""
    spoken = {named} if named else {known.names[index] for index in found.order}
    found = replace(
        found,
        named=named,
        picked=picked,
        cautions=tuple(
            (name, text)
            for name in known.names
            if name in spoken
            for text in known.texts(name, "caution")
        ),
    )
    made = figures(brief, site, found, known)
    return replace(found, figures=made, findings=tuple(advice(brief, site, found, known)))


def rank_stocks(
    brief: Brief,
    site: Site,
    known: Rootstocks,
    zones: tuple[ZoneDemands, ...],
    available: Sequence[str] = (),
) -> RootstockChoice:
    """Judge limits, rank what is allowed and draw the doubts; no pick, no figures, no advice.

    Parameters
    ----------
    brief, site
        As for ``choose_rootstock``.
    known : Rootstocks
        The stocks.
    zones : tuple of ZoneDemands
        What each zone asks, at least one.
    available : sequence of str
        Stocks that can be had; empty for all.
    """
    states, asked, tolerance = judge_limits(brief, site, known, zones, available)
    bars = np.isin(states, (FAILS, UNKNOWN))
    allowed_in = np.logical_not(np.logical_or.reduce(bars, axis=2))
    allowed = np.logical_and.reduce(allowed_in, axis=1)
    missing, judged = _what_is_missing(site, zones)
    ratings, ranges = middle(known), doubted(known, brief.rootstock.memory_spread)
    suited, weight, need = suits(brief, zones, ratings), weights(brief), needs(brief, zones)
    if not missing and not (weight * need)[judged].any():
        missing = ("criteria",)
    scores_in = np.where(judged, zone_scores(suited, weight, need), np.nan)
    count = len(known.names)
    answer = RootstockChoice(
        stocks=known.names,
        zones=zones,
        states=states,
        asked=asked,
        tolerance=tolerance,
        allowed_in=allowed_in,
        allowed=allowed,
        weights=weight,
        needs=need,
        ratings=ranges,
        suits=suited,
        scores_in=scores_in,
        scores=np.full(count, np.nan),
        ranks_in=np.zeros((count, len(zones)), dtype=np.int64),
        ranks=np.zeros(count, dtype=np.int64),
        share_first=np.zeros(count),
        rank_range=np.zeros((count, 2), dtype=np.int64),
        missing=missing,
    )
    if missing:
        return answer
    scale = Scale(brief, zones, judged)
    scores = scale(ratings)
    share, span = draw(
        scale, ranges, allowed, draws=brief.rootstock.draws, seed=brief.rootstock.seed
    )
    in_zones = rank(np.nan_to_num(scores_in).T, (allowed_in & judged).T).T
    return replace(
        answer,
        scores=scores,
        ranks=rank(scores, allowed),
        ranks_in=in_zones,
        share_first=share,
        rank_range=span,
        turns=turns(scale, known.names, ratings, ranges, allowed),
    )


def _what_is_missing(
    site: Site, zones: Sequence[ZoneDemands]
) -> tuple[tuple[str, ...], NDArray[np.bool_]]:
    """Return ids of what must be measured first, and which zones can be judged."""
    judged = np.array([zone.lime is not None for zone in zones])
    if site.soil is None:
        return ("pits",), judged
    area_ha = np.array([zone.area_ha for zone in zones])
    if judged.any() and area_ha[judged].sum() >= LEAST_JUDGED * area_ha.sum():
        return (), judged
    without = any(not zone.pit for zone in zones)
    limey = any(zone.pit and zone.lime is None for zone in zones)
    return (("zone_pits",) if without else ()) + (("lime",) if limey else ()), judged
