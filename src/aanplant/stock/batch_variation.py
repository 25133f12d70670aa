"""How far the losses of one delivery batch differ from another's, from past records."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.stock.intervals import wilson

SEED = 20270801
"""Fixed, so that the same records give the same interval."""
DRAWS = 4000
FEWEST = 2


@dataclass(frozen=True, slots=True)
class BatchVariation:
    """What past batches say.

    Parameters
    ----------
    batches, vines, dead : int
        Batches, vines in them, and those that died.
    loss_fraction : float
        Dead over vines. [-]
    dispersion : float
        Variance between batches over that of independent losses; 1 for chance alone. [-]
    correlation : float
        Of the losses of two vines of one batch, 0 where the dispersion is below 1. [-]
    low, high : float
        95 % interval of the correlation. [-]
    size : float
        Vines in a batch, as the formula weighs batches of different size. [vines]
    """

    batches: int
    vines: int
    dead: int
    loss_fraction: float
    dispersion: float
    correlation: float
    low: float
    high: float
    size: float

    def loss_interval(self, confidence: float = 0.95) -> tuple[float, float]:
        """Interval of the loss: Wilson's, of as many vines as the batches are worth. [-].

        Vines of a batch share their fate, so they count for fewer: vines / dispersion.
        """
        worth = max(1, round(self.vines / max(1.0, self.dispersion)))
        return wilson(round(self.loss_fraction * worth), worth, confidence)


def fit_batches(
    vines: ArrayLike, dead: ArrayLike, *, draws: int = DRAWS, seed: int = SEED
) -> BatchVariation:
    """Fit the correlation within a batch by moments.

    With the loss p of all batches, D = sum((dead - n p)^2 / (n p (1 - p))) / (k - 1) and
    rho = (D - 1) / (m - 1), where m is the batch size; for batches of different size
    m = (N - sum(n^2) / N) / (k - 1). The interval is a parametric bootstrap: batches of the
    same sizes are drawn from the fitted distribution and fitted again.

    Parameters
    ----------
    vines, dead : array_like of int, shape (k,)
        Of each batch.
    draws, seed : int
        Of the bootstrap.

    Returns
    -------
    BatchVariation

    Raises
    ------
    ValueError
        With fewer than two batches, batches of a single vine, or where none or all died,
        since nothing can then be told of their variation.

    References
    ----------
    .. [1] Johnson, Kemp, Kotz (2005), Univariate Discrete Distributions, ch. 6.
    """
    n = np.asarray(vines, dtype=np.float64)
    x = np.asarray(dead, dtype=np.float64)
    if n.shape != x.shape or n.ndim != 1 or (x < 0).any() or (x > n).any() or (n < 1).any():
        raise ValueError("vines and dead must be counts of the same batches, dead <= vines")
    if len(n) < FEWEST:
        told = "1 batch" if len(n) == 1 else f"{len(n)} batches"
        raise ValueError(f"{told}: variation needs at least {FEWEST}")
    size = _size(n)
    if size <= 1.0:
        raise ValueError("batches of one vine tell nothing of their variation")
    loss = float(x.sum() / n.sum())
    if loss in {0.0, 1.0}:
        raise ValueError(f"{int(x.sum())} dead of {int(n.sum())}: no variation can be told")
    dispersion = float(_dispersion(n, x))
    correlation = _correlation(dispersion, size)
    low, high = _interval(n, loss, correlation, draws, np.random.default_rng(seed))
    return BatchVariation(
        len(n), int(n.sum()), int(x.sum()), loss, dispersion, correlation, low, high, size
    )


def _size(n: NDArray[np.float64]) -> float:
    return float((n.sum() - (n * n).sum() / n.sum()) / (n.size - 1))


def _dispersion(n: NDArray[np.float64], x: NDArray[np.float64]) -> NDArray[np.float64]:
    """Index of dispersion over the last axis; nan where none or all died."""
    p = x.sum(axis=-1, keepdims=True) / n.sum()
    with np.errstate(invalid="ignore", divide="ignore"):
        parts = (x - n * p) ** 2 / (n * p * (1.0 - p))
    index: NDArray[np.float64] = parts.sum(axis=-1) / (n.size - 1)
    return index


def _correlation(dispersion: float, size: float) -> float:
    return float(min(max(0.0, (dispersion - 1.0) / (size - 1.0)), 0.999))


def _interval(
    n: NDArray[np.float64],
    loss: float,
    correlation: float,
    draws: int,
    random: np.random.Generator,
) -> tuple[float, float]:
    shape = (draws, n.size)
    rate: float | NDArray[np.float64] = loss
    if correlation > 0:
        spread = 1.0 / correlation - 1.0
        rate = random.beta(loss * spread, (1.0 - loss) * spread, shape)
    again = random.binomial(n.astype(np.int64), rate, shape).astype(np.float64)
    index = np.nan_to_num(_dispersion(n, again), nan=1.0)
    fitted = np.clip((index - 1.0) / (_size(n) - 1.0), 0.0, 0.999)
    low, high = np.quantile(fitted, (0.025, 0.975)).tolist()
    return low, high
