"""What each number of spare vines gains and risks: vines left over, and gaps."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.stock.spares import loss_probabilities

POINTS = 48
"""Numbers of spares looked at for one curve."""


@dataclass(frozen=True)
class SparesCurve:
    """Assurance and risk by spare vines; arrays of shape (n,).

    Parameters
    ----------
    spares : ndarray of int
        Vines ordered beyond the places. [vines]
    assurance : ndarray
        Chance that all places are filled. [-]
    left_over : ndarray
        Living vines without a place, on average. [vines]
    gaps : ndarray
        Places without a vine, on average. [vines]
    """

    spares: NDArray[np.int64]
    assurance: NDArray[np.float64]
    left_over: NDArray[np.float64]
    gaps: NDArray[np.float64]

    def risk(self, vine_price: float, gap_price: float) -> NDArray[np.float64]:
        """Money at risk on both sides, on average, in the unit of the prices."""
        risk: NDArray[np.float64] = self.left_over * vine_price + self.gaps * gap_price
        return risk


def curve_at(
    spares: NDArray[np.int64],
    needed: int,
    loss_fraction: float,
    batch_correlation: float = 0.0,
    batches: int = 1,
) -> SparesCurve:
    """Work out assurance, vines left over and gaps for given numbers of spares.

    Parameters
    ----------
    spares : ndarray of int, shape (n,)
        [vines]
    needed : int
        Places to fill. [vines]
    loss_fraction, batch_correlation, batches
        As in ``order_quantity``; 0 < loss_fraction < 1.

    Returns
    -------
    SparesCurve
        Left over is E[(s - X)+] and gaps E[(X - s)+], X the losses of needed + s vines.
    """
    assurance, left_over = [], []
    for spare in spares.tolist():
        chance = loss_probabilities(
            needed + spare, spare, loss_fraction, batch_correlation, batches
        )
        assurance.append(min(1.0, float(chance.sum())))
        left_over.append(float(chance @ (spare - np.arange(chance.size))))
    left = np.array(left_over)
    # E[(X - s)+] = E[(s - X)+] - s + E[X]
    gaps = np.maximum(0.0, left - spares + (needed + spares) * loss_fraction)
    return SparesCurve(spares, np.array(assurance), left, gaps)


def cheapest_spares(
    needed: int,
    loss_fraction: float,
    *,
    vine_price: float,
    gap_price: float,
    batch_correlation: float = 0.0,
    batches: int = 1,
    most: int,
) -> int:
    """Spares from 0 to ``most`` with the least money at risk; the fewest of equal ones.

    Parameters
    ----------
    needed, loss_fraction, batch_correlation, batches
        As in ``curve_at``.
    vine_price, gap_price : float
        Of a vine left over and of a gap, in one currency.
    most : int
        Largest number looked at. [vines]

    Returns
    -------
    int
        [vines]
    """
    low, high = 0, most
    while True:
        spares = np.unique(np.linspace(low, high, 17).round().astype(np.int64))
        curve = curve_at(spares, needed, loss_fraction, batch_correlation, batches)
        best = int(curve.risk(vine_price, gap_price).argmin())
        if spares.size == high - low + 1:
            return int(spares[best])
        # The risk falls, then rises: its least lies beside the least of the coarse steps.
        low, high = int(spares[max(0, best - 1)]), int(spares[min(spares.size - 1, best + 1)])
