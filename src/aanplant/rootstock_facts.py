"""What is known of a rootstock, one fact a row: the shipped table, or the user's own rows."""

from dataclasses import dataclass

RATINGS = (
    "vigour",
    "phylloxera",
    "root_knot",
    "dagger",
    "ring",
    "drought",
    "waterlogging",
    "salt",
    "acid",
    "phytophthora",
    "propagation",
)
"""From 1, very low or poor, to 5, very high or very good."""
RANGES = {
    **dict.fromkeys(RATINGS, (1.0, 5.0)),
    "ripening": (1.0, 3.0),
    "active_lime": (0.0, 100.0),
    "chlorosis": (0.0, 1000.0),
}
"""Least and greatest number; ripening 1 early, 2 middle, 3 late; active lime in %."""
TEXTS = (
    "parentage",
    "vinifera_parent",
    "synonym",
    "caution",
    "graft_fails",
    "graft_weak",
)
"""In words; ``graft_fails`` and ``graft_weak`` name a cultivar."""
ATTRIBUTES = (*RANGES, *TEXTS)
UNKNOWN = "unknown"
OWN = "estate"
"""Certainty of a fact from the estate's own table."""


@dataclass(frozen=True, slots=True)
class RootstockFact:
    """One fact about a rootstock.

    Parameters
    ----------
    rootstock, attribute : str
        Its name, and one of ``ATTRIBUTES``.
    low, high : float or None
        Range of the number; None for texts and where it is unknown.
    text : str
        The text, ``unknown``, ``uncertain``, or a remark.
    source, certainty : str
        Where it comes from, and how sure it is.
    """

    rootstock: str
    attribute: str
    low: float | None
    high: float | None
    text: str
    source: str
    certainty: str
