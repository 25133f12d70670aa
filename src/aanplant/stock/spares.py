"""How many vines to order so that enough live."""

import numpy as np
from numpy.typing import NDArray
from scipy.special import betainc, betaln, gammaln

LARGEST_ORDER = 20
"""Orders of more times the vines needed are no answer to batches that may fail wholly."""


def order_quantity(
    vines_needed: int,
    loss_fraction: float,
    assurance: float,
    *,
    batch_correlation: float = 0.0,
    batches: int = 1,
) -> int:
    """Smallest order that leaves at least ``vines_needed`` alive.

    Spares are as likely to die as the rest. Without batch variation the order is a
    negative binomial quantile. With it the losses of each delivery batch share one
    beta-distributed rate; the batches are as even as they can be.

    Parameters
    ----------
    vines_needed : int
        Positions to fill. [vines]
    loss_fraction : float
        Expected fraction of ordered vines that die before they are established,
        0 <= loss_fraction < 1. [-]
    assurance : float
        Probability with which the order must suffice, 0 < assurance < 1. [-]
    batch_correlation : float
        Correlation of the losses of two vines of one batch (the beta-binomial's
        intra-class correlation), 0 <= batch_correlation < 1. [-]
    batches : int
        Delivery batches. [-]

    Returns
    -------
    int
        Vines to order, spares included. [vines]

    Raises
    ------
    ValueError
        If an argument is outside its range, or batches vary so much that no order of up
        to 20 times the vines needed gives the assurance.

    References
    ----------
    .. [1] Johnson, Kemp, Kotz (2005), Univariate Discrete Distributions, ch. 5 and 6.
    """
    _refuse_outside(vines_needed, loss_fraction, assurance, batch_correlation, batches)
    if vines_needed == 0 or loss_fraction == 0:
        return vines_needed
    return _smallest_order(vines_needed, loss_fraction, assurance, batch_correlation, batches)


def _refuse_outside(
    vines_needed: int,
    loss_fraction: float,
    assurance: float,
    batch_correlation: float,
    batches: int,
) -> None:
    if vines_needed < 0:
        raise ValueError(f"vines_needed must not be negative, got {vines_needed}")
    if not 0 <= loss_fraction < 1:
        raise ValueError(f"loss_fraction must be in [0, 1), got {loss_fraction}")
    if not 0 < assurance < 1:
        raise ValueError(f"assurance must be in (0, 1), got {assurance}")
    if not 0 <= batch_correlation < 1:
        raise ValueError(f"batch_correlation must be in [0, 1), got {batch_correlation}")
    if batches < 1:
        raise ValueError(f"batches must be at least 1, got {batches}")


def _smallest_order(
    needed: int, loss_fraction: float, assurance: float, correlation: float, batches: int
) -> int:
    """Search the smallest order by doubling, then halving; more vines never suffice less often."""
    low, step = needed - 1, max(1, needed // 64)
    while survival_probability(low + step, needed, loss_fraction, correlation, batches) < assurance:
        low, step = low + step, 2 * step
        if correlation and low > LARGEST_ORDER * needed:
            raise ValueError(f"no sensible order gives an assurance of {assurance}")
    high = low + step
    while high - low > 1:
        middle = (low + high) // 2
        if survival_probability(middle, needed, loss_fraction, correlation, batches) < assurance:
            low = middle
        else:
            high = middle
    return high


def survival_probability(
    ordered: int,
    needed: int,
    loss_fraction: float,
    batch_correlation: float = 0.0,
    batches: int = 1,
) -> float:
    """Probability that at least ``needed`` of ``ordered`` vines live.

    Parameters
    ----------
    ordered, needed : int
        Vines ordered, and positions to fill. [vines]
    loss_fraction, batch_correlation, batches
        As in ``order_quantity``.

    Returns
    -------
    float
        Probability, 0 to 1. [-]
    """
    allowed = ordered - needed
    if allowed < 0:
        return 0.0
    if batch_correlation == 0:
        # Survivors of independent losses: binomial tail as an incomplete beta function.
        return float(betainc(needed, allowed + 1, 1.0 - loss_fraction))
    losses = np.ones(1)
    sizes = [ordered // batches + (index < ordered % batches) for index in range(batches)]
    for size in sizes:
        one = _loss_probabilities(size, loss_fraction, batch_correlation)
        losses = np.convolve(losses, one)[: allowed + 1]
    return float(min(1.0, losses[: allowed + 1].sum()))


def _loss_probabilities(size: int, loss_fraction: float, correlation: float) -> NDArray[np.float64]:
    """Beta-binomial probabilities of 0 to ``size`` losses in one batch."""
    lost = np.arange(size + 1, dtype=np.float64)
    spread = 1.0 / correlation - 1.0
    a, b = loss_fraction * spread, (1.0 - loss_fraction) * spread
    ways = gammaln(size + 1.0) - gammaln(lost + 1.0) - gammaln(size - lost + 1.0)
    probabilities: NDArray[np.float64] = np.exp(
        ways + betaln(lost + a, size - lost + b) - betaln(a, b)
    )
    return probabilities
