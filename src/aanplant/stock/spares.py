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
    losses = loss_probabilities(ordered, allowed, loss_fraction, batch_correlation, batches)
    return float(min(1.0, losses.sum()))


def loss_probabilities(
    ordered: int,
    most: int,
    loss_fraction: float,
    batch_correlation: float = 0.0,
    batches: int = 1,
) -> NDArray[np.float64]:
    """Probabilities that 0, 1, ... up to ``most`` of the ordered vines die.

    Parameters
    ----------
    ordered, most : int
        Vines ordered, and the largest number of losses looked at. [vines]
    loss_fraction, batch_correlation, batches
        As in ``order_quantity``; 0 < loss_fraction.

    Returns
    -------
    ndarray, shape (min(ordered, most) + 1,)
        [-]
    """
    most = min(most, ordered)
    if batch_correlation == 0:
        return _binomial(ordered, most, loss_fraction)
    small, larger = divmod(ordered, batches)  # as even as they can be: ``larger`` of one more
    parts = [(small, batches - larger), (small + 1, larger)]
    ones = [
        (_loss_probabilities(size, min(most, size), loss_fraction, batch_correlation), count)
        for size, count in parts
        if count
    ]
    if batches == 1:
        return ones[0][0]
    # A sum of batches is a product of transforms; long enough that nothing wraps around.
    length = 1 << int(sum((len(one) - 1) * count for one, count in ones)).bit_length()
    transform = np.ones(length // 2 + 1, dtype=np.complex128)
    for one, count in ones:
        transform *= np.fft.rfft(one, length) ** count
    losses: NDArray[np.float64] = np.maximum(np.fft.irfft(transform, length)[: most + 1], 0.0)
    return losses


def _binomial(ordered: int, most: int, loss_fraction: float) -> NDArray[np.float64]:
    lost = np.arange(most + 1, dtype=np.float64)
    ways = gammaln(ordered + 1.0) - gammaln(lost + 1.0) - gammaln(ordered - lost + 1.0)
    probabilities: NDArray[np.float64] = np.exp(
        ways + lost * np.log(loss_fraction) + (ordered - lost) * np.log1p(-loss_fraction)
    )
    return probabilities


def _loss_probabilities(
    size: int, most: int, loss_fraction: float, correlation: float
) -> NDArray[np.float64]:
    """Beta-binomial probabilities of 0 to ``most`` losses in one batch."""
    lost = np.arange(most + 1, dtype=np.float64)
    spread = 1.0 / correlation - 1.0
    a, b = loss_fraction * spread, (1.0 - loss_fraction) * spread
    ways = gammaln(size + 1.0) - gammaln(lost + 1.0) - gammaln(size - lost + 1.0)
    probabilities: NDArray[np.float64] = np.exp(
        ways + betaln(lost + a, size - lost + b) - betaln(a, b)
    )
    return probabilities
