"""Choose among the row directions of a block, by what the manager gives weight to."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from aanplant.layout.direction import Sweep

TENTHS = 10.0
SAME = 1e-9
"""Difference below which two values are the same."""
_WITHOUT_WEIGHTS = {"machine_time_h": 1.0}


def pareto(sweep: Sweep, *, among: NDArray[np.bool_] | None = None) -> NDArray[np.bool_]:
    """Find bearings that no other beats: as good in all that counts and better in one thing.

    Shape (n_bearings,). Only bearings that may be chosen count, see ``Sweep.is_open``: those past
    a limit neither are on the trade-off nor keep another from it. What counts is
    ``Sweep.weighed``. Where criteria are weighed they are compared in tenths of their range (or
    of their ``step``, if that is more): things that change evenly with the bearing, as slope and
    light do, would else leave none beaten. ``among``, shape (n_bearings,), may narrow the choice.
    """
    criteria = sweep.weighed
    good = np.stack([criterion.good for criterion in criteria], axis=1)
    if sweep.weights is not None:
        tenth = np.maximum(np.ptp(good, axis=0), [item.step for item in criteria]) / TENTHS
        good = np.floor(good / np.where(tenth > 0.0, tenth, 1.0) + SAME)
    # Axis 0 is the bearing judged, axis 1 the one that may beat it, axis 2 the criterion.
    at_least = np.all(good[None, :, :] >= good[:, None, :], axis=2)
    more = np.any(good[None, :, :] > good[:, None, :], axis=2)
    among = sweep.is_open if among is None else among
    beaten = np.any(at_least & more & among[None, :], axis=1)
    return np.asarray(~beaten & among, dtype=np.bool_)


def candidates(sweep: Sweep, *, vines_within: float | None = None) -> NDArray[np.bool_]:
    """Find bearings that no other beats and whose vines are within a share of the most.

    The most vines are those of the bearings that may be chosen, see ``Sweep.is_open``.
    """
    within = sweep.vines_within if vines_within is None else vines_within
    enough = sweep.vines >= (1.0 - within) * sweep.vines[sweep.is_open].max()
    both = pareto(sweep) & enough
    # In tenths even the bearing with most vines may be beaten by one with too few.
    return np.asarray(both if both.any() else pareto(sweep, among=sweep.is_open & enough))


def shortfalls(
    sweep: Sweep,
    *,
    vines_within: float | None = None,
    weights: Mapping[str, float] | None = None,
) -> NDArray[np.float64]:
    """Weighted shortfall of every bearing in every criterion, (n_bearings, n_criteria). [-].

    How far a criterion is from its best among the candidates, as a share of its range
    among them (or of its ``step``, if that is more), times its weight. A bearing that is
    no candidate can have less than none.

    Raises
    ------
    ValueError
        If the sweep is empty or a weight names no criterion.
    """
    if not len(sweep):
        raise ValueError("there are no bearings to choose from")
    weights = _WITHOUT_WEIGHTS if weights is None else weights
    criteria = sweep.criteria
    names = [criterion.name for criterion in criteria]
    unknown = set(weights) - set(names)
    if unknown:
        raise ValueError(f"no criterion {', '.join(sorted(unknown))}; there are {', '.join(names)}")
    among = candidates(sweep, vines_within=vines_within)
    good = np.stack([criterion.good for criterion in criteria], axis=1)
    best, span = good[among].max(axis=0), np.ptp(good[among], axis=0)
    scale = np.maximum(span, [criterion.step for criterion in criteria])
    is_same = span <= SAME * np.abs(best)
    share = (best - good) / np.where(is_same, np.inf, scale)
    return np.asarray(share * [weights.get(name, 0.0) for name in names])


def recommend(
    sweep: Sweep,
    *,
    vines_within: float | None = None,
    weights: Mapping[str, float] | None = None,
) -> int:
    """Index of the bearing to take: of the candidates the one with the least shortfall.

    Candidates are the bearings within all limits (or nearest to them, where none is) that no
    other such bearing beats and whose vines are within
    ``vines_within`` of the most; of equals the smallest bearing is taken.

    Parameters
    ----------
    sweep : Sweep
        Directions compared.
    vines_within : float, optional
        Share of the most vines that may be given up; the sweep's when left out. [-]
    weights : mapping of str to float, optional
        Weight of each criterion that counts, by name; the sweep's when left out, or machine
        time alone where it has none either. (Vines hardly differ from one direction to the
        next; row ends, turns and short rows do.)

    Raises
    ------
    ValueError
        If the sweep is empty or a weight names no criterion.
    """
    weights = sweep.weights if weights is None else weights
    total = shortfalls(sweep, vines_within=vines_within, weights=weights).sum(axis=1)
    among = np.flatnonzero(candidates(sweep, vines_within=vines_within))
    level = among[total[among] <= total[among].min() + SAME]
    return int(level[np.argmin(sweep.bearing_deg[level])])
