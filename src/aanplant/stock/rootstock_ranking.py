"""The order of the rootstocks that a block allows, and how sure it is."""

from collections.abc import Sequence
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import CHOOSE, Brief
from aanplant.rootstock_facts import RANGES
from aanplant.stock.rootstock_answer import CRITERIA, Turn
from aanplant.stock.rootstocks import Rootstocks
from aanplant.stock.site_demands import ZoneDemands, table_value

RIPENING = {"early": 1.0, "middle": 2.0, "late": 3.0}
CONFIDENCE = (0.05, 0.95)
"""Nine draws of ten lie between."""
Array = NDArray[np.float64]
Ranks = NDArray[np.int64]


def vigour_wanted(brief: Brief, zone: ZoneDemands) -> float | None:
    """Vigour, 1 to 5, that a zone asks for; None where its potential is not known."""
    asked = brief.rootstock.vigour
    if asked != CHOOSE:
        return float(asked)
    return None if zone.potential == "unknown" else table_value("vigour", zone.potential)


def acid_need(ph_kcl: float | None) -> float | None:
    """How much bearing acid soil counts, from 0 to 1; None where pH is not known."""
    if ph_kcl is None:
        return None
    none, full = table_value("acid", "no need"), table_value("acid", "full need")
    return min(1.0, max(0.0, (none - ph_kcl) / (none - full)))


def weights(brief: Brief) -> Array:
    """Return the manager's weights, shape (k,); ripening counts only where it is asked for."""
    given = brief.rootstock.weights
    ripening = 0.0 if brief.rootstock.ripening == "any" else given.ripening
    return np.array([given.vigour, given.drought, given.acid, ripening])


def needs(brief: Brief, zones: Sequence[ZoneDemands]) -> Array:
    """Return how much each zone asks for each criterion, 0 to 1, shape (z, k)."""
    return np.array(
        [
            [float(vigour_wanted(brief, zone) is not None), 1.0, acid_need(zone.ph_kcl) or 0.0, 1.0]
            for zone in zones
        ]
    )


def middle(known: Rootstocks) -> Array:
    """Return the middle of what the sources say, shape (n, k); of all values where unknown."""
    return np.stack(
        [
            np.where(np.isnan(mean), np.mean(RANGES[name]), mean)
            for name in CRITERIA
            for mean in (known.ranges(name).mean(axis=1),)
        ],
        axis=1,
    )


def doubted(known: Rootstocks, memory_spread: float) -> Array:
    """Return the range of each rating with its doubt, shape (n, k, 2)."""
    return np.stack([known.spread(name, memory_spread) for name in CRITERIA], axis=1)


def suits(brief: Brief, zones: Sequence[ZoneDemands], ratings: Array) -> Array:
    """Return how well ratings suit each zone, 0 to 1.

    Vigour: 1 − |rating − wanted| / 4. Drought and acid: (rating − 1) / 4. Ripening:
    1 − |rating − wanted| / 2.

    Parameters
    ----------
    brief, zones
        What is wanted.
    ratings : ndarray, shape (..., k)

    Returns
    -------
    ndarray, shape (..., z, k)
    """
    wanted = np.array([vigour_wanted(brief, zone) or 3.0 for zone in zones])
    vigour, drought, acid, ripening = (ratings[..., None, column] for column in range(4))
    ripe = RIPENING.get(brief.rootstock.ripening, 2.0)
    found = (
        1.0 - np.abs(vigour - wanted) / 4.0,
        (drought - 1.0) / 4.0,
        (acid - 1.0) / 4.0,
        1.0 - np.abs(ripening - ripe) / 2.0,
    )
    return np.stack(np.broadcast_arrays(*found), axis=-1)


def zone_scores(suited: Array, weight: Array, need: Array) -> Array:
    """Return the weighted mean of what suits, shape (..., z); 0 where nothing counts."""
    counted = weight * need
    total = counted.sum(axis=1)
    return np.asarray((suited * counted).sum(axis=-1) / np.where(total > 0, total, 1.0))


def block_scores(scores_in: Array, area_ha: Array) -> Array:
    """Return the mean over the zones by area, shape (...,)."""
    return np.asarray((scores_in * area_ha).sum(axis=-1) / area_ha.sum())


def rank(scores: Array, allowed: NDArray[np.bool_]) -> Ranks:
    """Rank the allowed from 1, the highest score first; ties go to the earlier in the table.

    Parameters
    ----------
    scores : ndarray, shape (..., n)
    allowed : ndarray of bool, shape (..., n)

    Returns
    -------
    ndarray of int, shape (..., n)
        0 for the rest.
    """
    # Rounded, so that the last bits of a sum make no order.
    keyed = np.where(allowed, -np.round(scores, 9), np.inf)
    order = np.argsort(keyed, axis=-1, kind="stable")
    ranks = np.empty(keyed.shape, dtype=np.int64)
    places = np.broadcast_to(np.arange(1, keyed.shape[-1] + 1), keyed.shape)
    np.put_along_axis(ranks, order, places, axis=-1)
    return np.where(allowed, ranks, 0)


class Scale:
    """Scores ratings by what a brief and its zones want, with the zones that are judged.

    Parameters
    ----------
    brief, zones
        What is wanted.
    judged : ndarray of bool, shape (z,)
        Zones that count.
    """

    def __init__(
        self, brief: Brief, zones: Sequence[ZoneDemands], judged: NDArray[np.bool_]
    ) -> None:
        self._brief = brief
        self._zones = [zone for zone, counts in zip(zones, judged, strict=True) if counts]
        self._weights = weights(brief)
        self._needs = needs(brief, self._zones)
        self._area_ha = np.array([zone.area_ha for zone in self._zones])

    def __eq__(self, other: object) -> bool:
        """Whether another scale scores alike."""
        return isinstance(other, Scale) and self._counts == other._counts

    def __hash__(self) -> int:
        """Scales that score alike are the same one."""
        return hash(self._counts)

    @cached_property
    def _counts(self) -> tuple[object, ...]:
        """All that a score hangs on."""
        wanted = tuple(vigour_wanted(self._brief, zone) for zone in self._zones)
        arrays = (self._weights, self._needs, self._area_ha)
        return (wanted, self._brief.rootstock.ripening, *(one.tobytes() for one in arrays))

    def __call__(self, ratings: Array) -> Array:
        """Return the block's scores of ratings (..., k), shape (...,)."""
        found = suits(self._brief, self._zones, ratings)
        return block_scores(zone_scores(found, self._weights, self._needs), self._area_ha)


def draw(
    scale: Scale, ranges: Array, allowed: NDArray[np.bool_], *, draws: int, seed: int
) -> tuple[Array, Ranks]:
    """Draw every rating evenly from its range and rank anew each time.

    Parameters
    ----------
    scale : Scale
        Turns ratings into scores.
    ranges : ndarray, shape (n, k, 2)
        Least and greatest.
    allowed : ndarray of bool, shape (n,)
        Stocks that are ranked.
    draws, seed : int
        How many, and where they begin.

    Returns
    -------
    share_first : ndarray, shape (n,)
    rank_range : ndarray of int, shape (n, 2)
        Ranks between which nine draws of ten lie.
    """
    if not allowed.any():
        return np.zeros(len(allowed)), np.zeros((len(allowed), 2), dtype=np.int64)
    return _drawn(scale, ranges.tobytes(), ranges.shape, tuple(allowed.tolist()), draws, seed)


@lru_cache(maxsize=8)  # most blanks of a brief leave the draws as they are
def _drawn(  # noqa: PLR0917 - as they are kept
    scale: Scale,
    range_bytes: bytes,
    shape: tuple[int, ...],
    is_allowed: tuple[bool, ...],
    draws: int,
    seed: int,
) -> tuple[Array, Ranks]:
    count, allowed = len(is_allowed), np.array(is_allowed)
    ranges = np.frombuffer(range_bytes).reshape(shape)
    # One line of draws a cell, whatever is allowed: a stock struck out leaves the rest alone.
    parts = np.random.default_rng(seed).random((draws, *ranges.shape[:2]))
    ratings = ranges[..., 0] + parts * (ranges[..., 1] - ranges[..., 0])
    drawn = rank(scale(ratings[:, allowed]), np.ones((draws, int(allowed.sum())), dtype=bool))
    ranks = np.zeros((draws, count), dtype=np.int64)
    ranks[:, allowed] = drawn
    low, high = np.quantile(ranks, CONFIDENCE, axis=0, method="nearest")
    found = (ranks == 1).mean(axis=0), np.stack([low, high], axis=1).astype(np.int64)
    for array in found:
        array.flags.writeable = False
    return found


def turns(
    scale: Scale,
    names: Sequence[str],
    ratings: Array,
    ranges: Array,
    allowed: NDArray[np.bool_],
) -> tuple[Turn, ...]:
    """Say which single doubt would put another stock first, all else at the middle.

    Parameters
    ----------
    scale, ranges, allowed
        As for ``draw``.
    names : sequence of str
        The stocks, n.
    ratings : ndarray, shape (n, k)
        At the middle.
    """
    if not allowed.any():
        return ()
    first = int(np.argmax(rank(scale(ratings), allowed) == 1))
    cells = [
        (stock, column, end)
        for stock in np.flatnonzero(allowed).tolist()
        for column in range(len(CRITERIA))
        for end in dict.fromkeys(ranges[stock, column].tolist())
    ]
    tried = np.repeat(ratings[None], len(cells), axis=0)  # one line a cell tried
    for place, (stock, column, end) in enumerate(cells):
        tried[place, stock, column] = end
    firsts = np.argmax(rank(scale(tried), np.broadcast_to(allowed, tried.shape[:2])) == 1, axis=1)
    return tuple(
        Turn(names[stock], CRITERIA[column], end, names[now])
        for (stock, column, end), now in zip(cells, firsts.tolist(), strict=True)
        if now != first
    )
