"""How many vines of a delivery to look over, and whether to accept it."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import betainc, betaincinv, gammaln

from aanplant import tables
from aanplant.stock.intervals import clopper_pearson, wilson

Judgement = Literal["accept", "refuse", "look at more"]
_LARGEST_ACCEPTED = 400
_ROUNDING = 1e-9
"""A chance of 5 in 100 worked out by logarithms is seldom that to the last digit."""


@dataclass(frozen=True, slots=True)
class SamplingPlan:
    """Look over ``sample`` vines of a lot, and accept it when at most ``accept`` are bad.

    Parameters
    ----------
    lot, sample, accept : int
        Vines delivered, vines looked over, bad vines still accepted. [vines]
    producer_risk, consumer_risk : float
        Chance that a good batch is refused, and that a bad one is accepted. [-]
    """

    lot: int
    sample: int
    accept: int
    producer_risk: float
    consumer_risk: float


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the sample of a delivery says.

    Parameters
    ----------
    judgement : {"accept", "refuse", "look at more"}
        ``look at more``: too few were checked to accept.
    share : float
        Bad vines in the sample over vines checked. [-]
    wilson, clopper_pearson : tuple of float
        95 % intervals for the share of bad vines; the sample taken as small beside the lot. [-]
    """

    judgement: Judgement
    share: float
    wilson: tuple[float, float]
    clopper_pearson: tuple[float, float]


def acceptance_probability(
    lot: int, bad: ArrayLike, sample: int, accept: int
) -> NDArray[np.float64]:
    """Chance that a lot is accepted: at most ``accept`` bad vines among those drawn.

    Parameters
    ----------
    lot : int
        Vines delivered. [vines]
    bad : array_like of int
        Bad vines in the lot. [vines]
    sample, accept : int
        Vines drawn without putting back, and bad vines still accepted. [vines]

    Returns
    -------
    ndarray
        In the shape of ``bad``: the hypergeometric distribution. [-]

    Raises
    ------
    ValueError
        If more are drawn, or bad, than were delivered, or a number is negative.

    References
    ----------
    .. [1] Johnson, Kemp, Kotz (2005), Univariate Discrete Distributions, ch. 6.
    """
    bads = np.asarray(bad, dtype=np.float64)
    if not 0 <= sample <= lot or accept < 0 or (bads < 0).any() or (bads > lot).any():
        raise ValueError(f"expected 0 <= sample, bad <= lot and accept >= 0, got lot {lot}")
    found: NDArray[np.float64] = np.arange(
        min(accept, sample) + 1, dtype=np.float64
    )  # last axis: bad vines drawn
    there = bads[..., None]
    possible = (found <= there) & (sample - found <= lot - there)
    with np.errstate(invalid="ignore"):
        logs = _ways(there, found) + _ways(lot - there, sample - found) - _ways(lot, sample)
    chances = np.where(possible, np.exp(np.where(possible, logs, 0.0)), 0.0)
    total: NDArray[np.float64] = np.minimum(1.0, chances.sum(axis=-1))
    return total


def _ways(of: ArrayLike, taken: ArrayLike) -> NDArray[np.float64]:
    """Logarithm of the number of ways to take some of many."""
    all_of, some = np.asarray(of, dtype=np.float64), np.asarray(taken, dtype=np.float64)
    ways: NDArray[np.float64] = (
        gammaln(all_of + 1.0) - gammaln(some + 1.0) - gammaln(all_of - some + 1.0)
    )
    return ways


def acceptance_of_endless_lot(bad_share: float, sample: int, accept: int) -> float:
    """Chance of acceptance where the sample is small beside the lot (binomial). [-].

    Parameters
    ----------
    bad_share : float
        Share of bad vines, 0 to 1. [-]
    sample, accept : int
        As in ``acceptance_probability``.
    """
    if accept >= sample:
        return 1.0
    return float(betainc(sample - accept, accept + 1, 1.0 - bad_share))


def bad_share_accepted_with(probability: float, sample: int, accept: int) -> float:
    """Share of bad vines at which a large lot is accepted with a probability. [-].

    Parameters
    ----------
    probability : float
        0 < probability < 1. [-]
    sample, accept : int
        As in ``acceptance_probability``, ``accept`` below ``sample``.
    """
    return float(betaincinv(accept + 1, sample - accept, 1.0 - probability))


def plan_for(
    lot: int, sample: int, accept: int, *, good_share: float, bad_share: float
) -> SamplingPlan:
    """Work out both risks of looking over ``sample`` vines and accepting ``accept`` bad ones.

    Parameters
    ----------
    lot, sample, accept : int
        As in ``acceptance_probability``.
    good_share, bad_share : float
        Share of bad vines in a good and in a bad batch; whole vines of the lot, a good batch
        rounded up and a bad one down, so that neither risk is told too small. [-]
    """
    good, bad = _whole(lot, good_share, bad_share)
    at_good, at_bad = acceptance_probability(lot, [good, bad], sample, accept).tolist()
    return SamplingPlan(lot, sample, accept, 1.0 - at_good, at_bad)


def _whole(lot: int, good_share: float, bad_share: float) -> tuple[int, int]:
    slack = 1e-9  # 0.07 x 100 is a little over 7
    good = int(np.ceil(good_share * lot - slack))
    return good, int(np.floor(bad_share * lot + slack))


def smallest_plan(
    lot: int,
    *,
    good_share: float,
    bad_share: float,
    producer_risk: float = 0.05,
    consumer_risk: float = 0.10,
) -> SamplingPlan:
    """Fewest vines to look over that hold both risks.

    Parameters
    ----------
    lot : int
        Vines delivered. [vines]
    good_share, bad_share : float
        Share of bad vines in a batch that should be accepted, and in one that should be
        refused, good_share < bad_share. [-]
    producer_risk, consumer_risk : float
        Largest chance that a good batch is refused, and that a bad one is accepted. [-]

    Returns
    -------
    SamplingPlan
        The whole lot where no sample tells the two apart.

    Raises
    ------
    ValueError
        If a share or risk is outside its range, or there is no lot.
    """
    if lot < 1 or not 0 <= good_share < bad_share < 1:
        raise ValueError(
            f"expected lot >= 1 and 0 <= good < bad < 1, got {good_share}, {bad_share}"
        )
    if not (0 < producer_risk < 1 and 0 < consumer_risk < 1):
        raise ValueError("risks must be in (0, 1)")
    good, bad = _whole(lot, good_share, bad_share)
    for accept in range(min(_LARGEST_ACCEPTED, lot)):
        sample = _smallest_sample(lot, bad, accept, consumer_risk)
        if sample is None:
            break
        plan = plan_for(lot, sample, accept, good_share=good_share, bad_share=bad_share)
        if plan.producer_risk <= producer_risk:
            return plan
    return plan_for(lot, lot, good, good_share=good_share, bad_share=bad_share)


def _smallest_sample(lot: int, bad: int, accept: int, risk: float) -> int | None:
    """Smallest sample in which a bad batch passes with at most ``risk``; None for no sample."""
    low, high = accept, lot
    if bad <= accept:
        return None
    while high - low > 1:
        middle = (low + high) // 2
        if acceptance_probability(lot, bad, middle, accept) <= risk + _ROUNDING:
            high = middle
        else:
            low = middle
    return high


def standard_plan(lot: int, quality_limit: str) -> tuple[int, int] | None:
    """Sample and acceptance number of ISO 2859-1, recalled from memory.

    Single sampling, normal inspection, general level II.

    Parameters
    ----------
    lot : int
        Vines delivered. [vines]
    quality_limit : str
        Acceptance quality limit in percent, as the table writes it: 1.0, 2.5 or 4.0.

    Returns
    -------
    tuple of int or None
        Vines to look over and bad vines still accepted; None for lots outside the table.

    Raises
    ------
    ValueError
        If the limit is not in the table.
    """
    lines = tables.rows("sampling_plans.csv")
    limits = sorted({line["quality_limit_pct"] for line in lines})
    if quality_limit not in limits:
        raise ValueError(f"quality_limit must be one of {limits}, got {quality_limit!r}")
    for line in lines:
        fits = int(line["lot_from"]) <= lot <= int(line["lot_to"])
        if fits and line["quality_limit_pct"] == quality_limit:
            return int(line["sample"]), int(line["accept"])
    return None


def sample_to_find_one(bad_share: float, assurance: float = 0.95, *, lot: int | None = None) -> int:
    """Vines to look over so that at least one bad one is found.

    Parameters
    ----------
    bad_share : float
        Share of bad vines, 0 < bad_share < 1. [-]
    assurance : float
        Chance of finding one, 0 < assurance < 1. [-]
    lot : int, optional
        Vines delivered; endless when left out. [vines]

    Raises
    ------
    ValueError
        If an argument is outside its range, or the lot holds no whole bad vine.
    """
    if not (0 < bad_share < 1 and 0 < assurance < 1):
        raise ValueError(f"shares must be in (0, 1), got {bad_share} and {assurance}")
    if lot is None:
        return int(np.ceil(np.log1p(-assurance) / np.log1p(-bad_share) - 1e-9))
    bad = round(bad_share * lot)
    if bad < 1:
        raise ValueError(f"a lot of {lot} holds no bad vine at a share of {bad_share}")
    return _smallest_sample(lot, bad, 0, 1.0 - assurance) or lot


def judge(checked: int, bad: int, plan: SamplingPlan) -> Verdict:
    """Say what the sample of a delivery means.

    Parameters
    ----------
    checked, bad : int
        Vines looked over and bad ones among them. [vines]
    plan : SamplingPlan
        By which the delivery is judged.

    Returns
    -------
    Verdict
        Refused as soon as more are bad than the plan accepts; accepted only when as many
        were checked as the plan asks.

    Raises
    ------
    ValueError
        If the counts do not fit one another.
    """
    intervals = wilson(bad, checked), clopper_pearson(bad, checked)
    judgement: Judgement = "accept"
    if bad > plan.accept:
        judgement = "refuse"
    elif checked < plan.sample:
        judgement = "look at more"
    return Verdict(judgement, bad / checked, *intervals)
