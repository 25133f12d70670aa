"""Group rows into sets: no more flow than there is, one soil, few valves, even flows."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]
Whole = NDArray[np.int64]
FLOW_SLACK = 1e-9
"""A set whose flow is the limit but for rounding keeps it. [-]"""


@dataclass(frozen=True)
class SetWeights:
    """What makes a set worse, beside one more set, which counts 1.

    Parameters
    ----------
    soil : float
        For a set half of whose drippers lie outside its main soil zone, twice this half. [-]
    valve : float
        For every submain beyond the first, which needs a valve of its own. [-]
    uneven : float
        For the square of the share by which its flow leaves the mean. [-]
    """

    soil: float = 0.5
    valve: float = 0.25
    uneven: float = 1.0


def fewest_sets(flow: Values, limit: float) -> int:
    """Fewest sets of rows in their order that keep the limit.

    Parameters
    ----------
    flow : ndarray, shape (n,)
        Flow of each piece of row, in order.
    limit : float
        Largest flow of a set, in the same unit.

    Raises
    ------
    ValueError
        If one piece alone takes more.
    """
    _check(flow, limit)
    sets, run = min(len(flow), 1), 0.0
    for each in flow.tolist():
        if run + each > limit * (1.0 + FLOW_SLACK):
            sets, run = sets + 1, 0.0
        run += each
    return sets


def group(
    flow: Values,
    in_zone: Values,
    band: Whole,
    limit: float,
    *,
    number: int | None = None,
    weights: SetWeights | None = None,
) -> Whole:
    """Part a sequence of rows into sets of least total cost, by dynamic programming.

    Parameters
    ----------
    flow : ndarray, shape (n,)
        Flow of each piece of row, in the order in which sets may follow one another.
    in_zone : ndarray, shape (n, n_zones)
        Flow of each by soil zone; no columns without zones.
    band : ndarray of int, shape (n,)
        Band of each; a set has one submain for every band it takes part in.
    limit : float
        Largest flow of a set, may be infinite.
    number : int, optional
        Number of sets wanted; the cheapest number when left out.
    weights : SetWeights, optional
        What counts how much.

    Returns
    -------
    ndarray of int, shape (n,)
        Set of each piece, from 0 up.

    Raises
    ------
    ValueError
        If the limit cannot be kept, or not with that number of sets.
    """
    weights = weights or SetWeights()
    n = len(flow)
    least = fewest_sets(flow, limit)
    if number is not None and not least <= number <= n:
        raise ValueError(f"number must be {least} to {n}, got {number}")
    wanted = number or least
    cut = _best_cuts(flow, in_zone, band, limit, wanted, number, weights)
    starts = np.zeros(n, np.int64)
    starts[cut[1:]] = 1
    return np.cumsum(starts)


def _check(flow: Values, limit: float) -> None:
    if len(flow) and flow.max() > limit * (1.0 + FLOW_SLACK):
        raise ValueError(f"one row takes {flow.max():g}, more than the limit {limit:g}")


def _best_cuts(  # noqa: PLR0917 - what group was given, in its order
    flow: Values,
    in_zone: Values,
    band: Whole,
    limit: float,
    wanted: int,
    number: int | None,
    weights: SetWeights,
) -> list[int]:
    """First piece of every set; ``best[k, i]`` is the least cost of the first i pieces in k sets.

    Where any number of sets will do, one row of the table holds them all.
    """
    n = len(flow)
    total = np.concatenate([[0.0], np.cumsum(flow)])
    zones = np.concatenate([np.zeros((1, in_zone.shape[1])), np.cumsum(in_zone, axis=0)])
    changes = np.concatenate([[0], np.cumsum(np.diff(band) != 0)])
    mean = total[-1] / wanted
    rows = 1 if number is None else number + 1
    best = np.full((rows, n + 1), np.inf)
    best[0, 0] = 0.0
    came = np.zeros((rows, n + 1), np.int64)
    for end in range(1, n + 1):
        low = int(np.searchsorted(total, total[end] - limit * (1.0 + FLOW_SLACK)))
        start = np.arange(min(low, end - 1), end)
        taken = total[end] - total[start]
        cost = 1.0 + weights.uneven * (taken / mean - 1.0) ** 2
        cost += weights.valve * (changes[end - 1] - changes[start])
        if zones.shape[1]:
            main = (zones[end] - zones[start]).max(axis=1)
            cost += weights.soil * (1.0 - np.divide(main, taken, where=taken > 0, out=main * 0 + 1))
        trial = best[:, start] + cost
        choice = trial.argmin(axis=1)
        least = trial[np.arange(rows), choice]
        if number is None:
            best[0, end], came[0, end] = least[0], start[choice[0]]
        else:
            best[1:, end], came[1:, end] = least[:-1], start[choice[:-1]]
    cuts = []
    row, end = rows - 1, n
    while end > 0:
        end, row = int(came[row, end]), row if number is None else row - 1
        cuts.append(end)
    return cuts[::-1]
