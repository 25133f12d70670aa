"""What is found of the rootstocks for one block: which may stand there, in which order, and why."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.stock.site_demands import ZoneDemands
from aanplant.working import Finding, Working

LIMITS = (
    "own_choice",
    "supply",
    "affinity",
    "phylloxera",
    "root_knot",
    "dagger",
    "ring",
    "phytophthora",
    "active_lime",
    "chlorosis",
    "salt",
    "waterlogging",
)
"""Limits that a stock holds or not. ``own_choice``: own roots, and stocks with a vinifera parent,
are for the manager to name, never for the program to pick."""
CRITERIA = ("vigour", "drought", "acid", "ripening")
"""What the order of the allowed stocks goes by."""
HOLDS, NEAR, UNKNOWN, FAILS, NOT_ASKED = 0, 1, 2, 3, 4
STATES = ("holds", "near", "unknown", "fails", "not asked")
"""By code: holds with its margin; holds without it; the stock's tolerance isn't known, and counts
as not held; does not hold; the ground does not ask it, or nobody measured it."""


@dataclass(frozen=True, slots=True)
class Held:
    """One limit beside one stock, where it speaks against the stock or warns.

    Parameters
    ----------
    limit, state : str
        Of ``LIMITS`` and ``STATES``.
    zone : str
        The zone that asks it; "" where the whole block does.
    asked, tolerance : float
        What the ground asks and what the stock bears, both in ``unit``; nan where it is no number
        or not known.
    unit : str
        %, dS/m, or "" for a rating or an index.
    """

    limit: str
    state: str
    zone: str
    asked: float
    tolerance: float
    unit: str


@dataclass(frozen=True, slots=True)
class Turn:
    """A doubt that would change which stock is first.

    Parameters
    ----------
    stock, criterion : str
        The cell in doubt.
    rating : float
        The end of its range that would turn the order.
    first : str
        The stock that would then be first.
    """

    stock: str
    criterion: str
    rating: float
    first: str


@dataclass(frozen=True)
class RootstockChoice:
    """Which rootstocks may stand in a block, in which order, and why.

    Axes: stocks n in the order of ``stocks``, zones z of ``zones``, limits of ``LIMITS``,
    criteria k of ``CRITERIA``.

    Parameters
    ----------
    stocks : tuple of str
        All that are known, n.
    zones : tuple of ZoneDemands
        What each soil zone asks, z; the block as one where no pit was dug.
    states : ndarray of int, shape (n, z, limits)
        Codes of ``STATES``.
    asked : ndarray, shape (z, limits)
        What the ground asks; nan where it asks nothing or it is no number.
    tolerance : ndarray, shape (n, z, limits)
        What the stock bears at the cautious end, in the same unit; nan where not known.
    allowed_in : ndarray of bool, shape (n, z)
        Whether a stock may stand in a zone.
    allowed : ndarray of bool, shape (n,)
        Whether it may stand in every zone.
    weights : ndarray, shape (k,)
        As the manager set them; 0 leaves a criterion out.
    needs : ndarray, shape (z, k)
        How much each zone asks for a criterion, 0 to 1, by which its weight is multiplied.
    ratings : ndarray, shape (n, k, 2)
        Least and greatest rating as the draws take it, doubt included.
    suits : ndarray, shape (n, z, k)
        How well each suits a zone, 0 to 1, at the middle of what the sources say.
    scores_in : ndarray, shape (n, z)
        Weighted mean of ``suits``, 0 to 1; nan in a zone that can't be judged.
    scores : ndarray, shape (n,)
        Mean over the zones by area, 0 to 1; of excluded stocks too.
    ranks_in : ndarray of int, shape (n, z)
        1 for the best of those allowed in the zone; 0 where not allowed or not ranked.
    ranks : ndarray of int, shape (n,)
        1 for the best of those allowed in all zones; 0 for the rest.
    share_first : ndarray, shape (n,)
        Part of the draws in which a stock is first; 0 for the rest.
    rank_range : ndarray of int, shape (n, 2)
        Ranks from which and to which nine draws of ten run; 0 for the rest.
    turns : tuple of Turn
        Single doubts that would put another stock first.
    missing : tuple of str
        What must be measured before anything is ranked; empty when ranked.
    named, picked : str
        The stock the brief names, and the one the program picks; "" for none.
    cautions : tuple of (str, str)
        Stock and what its sources warn of, for the allowed stocks and the named one.
    figures, findings
        What there is to say.
    """

    stocks: tuple[str, ...]
    zones: tuple[ZoneDemands, ...]
    states: NDArray[np.int64]
    asked: NDArray[np.float64]
    tolerance: NDArray[np.float64]
    allowed_in: NDArray[np.bool_]
    allowed: NDArray[np.bool_]
    weights: NDArray[np.float64]
    needs: NDArray[np.float64]
    ratings: NDArray[np.float64]
    suits: NDArray[np.float64]
    scores_in: NDArray[np.float64]
    scores: NDArray[np.float64]
    ranks_in: NDArray[np.int64]
    ranks: NDArray[np.int64]
    share_first: NDArray[np.float64]
    rank_range: NDArray[np.int64]
    turns: tuple[Turn, ...] = ()
    missing: tuple[str, ...] = ()
    named: str = ""
    picked: str = ""
    cautions: tuple[tuple[str, str], ...] = ()
    figures: tuple[Working, ...] = ()
    findings: tuple[Finding, ...] = ()

    @property
    def is_ranked(self) -> bool:
        """Whether the ground is known well enough to rank."""
        return not self.missing

    @property
    def order(self) -> tuple[int, ...]:
        """Indices of the ranked stocks, best first."""
        ranked = np.flatnonzero(self.ranks)
        return tuple(ranked[np.argsort(self.ranks[ranked])].tolist())

    def vigour_of(self, name: str) -> float:
        """Return the middle of a stock's range of vigour, 1 to 5."""
        return float(self.ratings[self.stocks.index(name), CRITERIA.index("vigour")].mean())

    def held(self, stock: int, *states: int) -> tuple[Held, ...]:
        """Limits of one stock that are in one of the states, each once, the worst zone first.

        Parameters
        ----------
        stock : int
            Index in ``stocks``.
        states : int
            Codes; ``FAILS`` and ``UNKNOWN`` when left out.
        """
        wanted = states or (FAILS, UNKNOWN)
        found = []
        for column, limit in enumerate(LIMITS):
            places = np.flatnonzero(np.isin(self.states[stock, :, column], wanted))
            if not len(places):
                continue
            asked = self.asked[places, column]
            zone = int(places[0 if np.isnan(asked).all() else int(np.nanargmax(asked))])
            found.append(
                Held(
                    limit,
                    STATES[self.states[stock, zone, column]],
                    self.zones[zone].name if limit in ZONAL else "",
                    float(self.asked[zone, column]),
                    float(self.tolerance[stock, zone, column]),
                    UNITS.get(limit, ""),
                )
            )
        return tuple(found)


ZONAL = ("active_lime", "chlorosis", "salt", "waterlogging")
"""Limits that each zone asks for itself; the rest hold for the whole block."""
UNITS = {"active_lime": "%", "salt": "dS/m"}
