"""How many vines to keep in a bed or in bags for the gaps of the first and second year."""

import numpy as np
from scipy.special import betainc

from aanplant.stock.spares import loss_probabilities, order_quantity


def vines_to_hold(
    planted: int,
    loss_fraction: float,
    assurance: float,
    *,
    loss_held: float = 0.0,
    batch_correlation: float = 0.0,
    batches: int = 1,
) -> int:
    """Fewest vines held so that those still fit fill all gaps with the assurance.

    Held vines die by themselves, whatever befalls the block.

    Parameters
    ----------
    planted : int
        Places planted. [vines]
    loss_fraction : float
        Fraction of the places that fall empty by the time, 0 <= loss_fraction < 1. [-]
    assurance : float
        0 < assurance < 1. [-]
    loss_held : float
        Fraction of the held vines lost by the time, 0 <= loss_held < 1. [-]
    batch_correlation, batches
        As in ``order_quantity``, of the vines planted.

    Returns
    -------
    int
        [vines]

    Raises
    ------
    ValueError
        If an argument is outside its range.
    """
    if not 0 <= loss_held < 1:
        raise ValueError(f"loss_held must be in [0, 1), got {loss_held}")
    # Refuses what is out of range, and bounds the search.
    most = order_quantity(planted, loss_fraction, assurance,
                          batch_correlation=batch_correlation, batches=batches)  # fmt: skip
    if most == planted:
        return 0
    high = max(1, most - planted)
    chances = loss_probabilities(planted, planted, loss_fraction, batch_correlation, batches)
    gaps = np.arange(chances.size, dtype=np.float64)

    def is_enough(held: int) -> bool:
        fit = gaps[: held + 1]  # more gaps than vines held are never filled
        filled = np.ones(fit.size)
        if loss_held:
            filled[1:] = betainc(fit[1:], held - fit[1:] + 1.0, 1.0 - loss_held)
        return bool(chances[: held + 1] @ filled >= assurance)

    low = -1
    while not is_enough(high):
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        if is_enough(middle):
            high = middle
        else:
            low = middle
    return high
