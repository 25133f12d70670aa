"""Head lost along a pipe that gives off its water evenly, without solving every dripper."""

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

First = Literal["full", "half"]
"""Whether the first outlet lies a whole or half a spacing from the inlet."""
_SHARE_ABOVE_MEAN, _SHARE_ABOVE_MEAN_TWO_SIZES = 0.75, 0.63
"""Of the friction, what an inlet needs over the mean head: one size of pipe, two sizes."""
_BARB_FACTOR, _BARB_POWER = 1.23, 0.51


def outlets_factor(outlets: int, exponent: float, *, first: First = "full") -> float:
    """Loss of a pipe with equal outlets over that of the same pipe carrying all to its end.

    ``F = sum(k^m, k = 1..N) / N^(m + 1)``, the sum from which Christiansen drew his formula.
    Where the first outlet lies at half a spacing, ``(2 N F - 1) / (2 N - 1)``, over the length
    that the pipe then has.

    Parameters
    ----------
    outlets : int
        Their number N, at least 1.
    exponent : float
        Power m of the flow in the formula of friction: 2, 1.852, 1.75. [-]
    first : {"full", "half"}
        Place of the first outlet.

    Returns
    -------
    float
        [-]

    References
    ----------
    .. [1] Christiansen (1942), Irrigation by sprinkling, Univ. California Bulletin 670.
    """
    _check(outlets, exponent)
    share = np.arange(1, outlets + 1) / outlets
    return _first(float((share**exponent).sum()) / outlets, outlets, first)


def inlet_head_estimate_m(
    mean_head_m: float, friction_m: float, rise_m: float, *, sizes: Literal[1, 2] = 1
) -> float:
    """Head an evenly sloping lateral needs at its inlet for a mean head at its drippers. [m].

    ``Ha + 0.75 hf + 0.5 dE``, 0.63 for 0.75 with two sizes of pipe, as the books on drip
    irrigation of Keller give it (from memory). About half a per cent above the exact
    answer on a lateral of 120 m.

    Parameters
    ----------
    mean_head_m : float
        At the drippers. [m]
    friction_m : float
        Lost over the whole lateral. [m]
    rise_m : float
        Of the ground from inlet to end, below 0 downhill. [m]
    sizes : {1, 2}
        Sizes of pipe along it.
    """
    share = _SHARE_ABOVE_MEAN if sizes == 1 else _SHARE_ABOVE_MEAN_TWO_SIZES
    return mean_head_m + share * friction_m + 0.5 * rise_m


def barb_loss(open_share: ArrayLike) -> NDArray[np.float64]:
    """Coefficient K of the loss ``K V^2 / 2g`` where the barb of a dripper narrows the pipe. [-].

    ``1.23 ((1 - r) / r)^(2 x 0.51)``, fitted between Re 6,000 and 72,000; to be given to
    :func:`aanplant.water.network.solve` as ``local_loss``.

    Parameters
    ----------
    open_share : array_like
        Open area beside the barb over that of the pipe, above 0, at most 1. [-]

    References
    ----------
    .. [1] Friction factor and local loss in small polyethylene pipes, UNESP BIOENG, paper 19;
       the definition of the obstruction from memory.
    """
    r = np.asarray(open_share, dtype=np.float64)
    if not ((r > 0.0) & (r <= 1.0)).all():
        raise ValueError("open_share must lie above 0 and be at most 1")
    return np.asarray(_BARB_FACTOR * ((1.0 - r) / r) ** (2.0 * _BARB_POWER))


def _first(whole: float, outlets: int, first: First) -> float:
    if first == "full":
        return float(whole)
    return float((2.0 * outlets * whole - 1.0) / (2.0 * outlets - 1.0))


def _check(outlets: int, exponent: float) -> None:
    if outlets < 1:
        raise ValueError(f"outlets must be at least 1, got {outlets}")
    if exponent < 1.0:
        raise ValueError(f"exponent must be at least 1, got {exponent}")
