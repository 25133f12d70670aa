"""The wires of a trellis: which they are, and how their pull changes with load and warmth."""

import re
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

Role = Literal["cordon", "fruit", "foliage", "support"]
LOAD_BEARING: frozenset[Role] = frozenset({"cordon", "fruit", "support"})
"""Roles of wires that carry crop and canopy; foliage wires only hold shoots upright."""
_MOST_STEPS, _CLOSE_ENOUGH = 60, 1e-14


@dataclass(frozen=True, slots=True)
class WireLine:
    """One kind of wire along every row.

    Parameters
    ----------
    name : str
        What it carries.
    height_m : float
        Above the ground. [m]
    diameter_mm : float
        Of a strand. [mm]
    grade : str
        ``mild`` or ``high strain``; any other is reckoned as the weakest.
    strands : int
        Wires side by side; a movable pair counts two.
    origin, source : str
        Where the line comes from: ``brief:trellis.wires`` or the table, and its source id.
    role : {"cordon", "fruit", "foliage", "support"}
        All but foliage wires carry the crop.
    movable : bool
        Whether the strands are lifted with the shoots.
    offset_m : float
        From the middle plane of the row; half the strands on either side. [m]
    tension_n : float, optional
        Asked for each strand at installation; None to choose. [N]
    """

    name: str
    height_m: float
    diameter_mm: float
    grade: str
    strands: int
    origin: str
    source: str
    role: Role = "foliage"
    movable: bool = False
    offset_m: float = 0.0
    tension_n: float | None = None

    @property
    def item(self) -> str:
        """Code of the wire in orders and prices, such as ``wire-2.24-high-strain``."""
        grade = re.sub(r"[^a-z0-9]+", "-", self.grade.lower()).strip("-") or "unknown"
        return f"wire-{self.diameter_mm:g}-{grade}"

    @property
    def carries_crop(self) -> bool:
        """Whether crop and canopy hang on it."""
        return self.role in LOAD_BEARING


def change_of_state(  # noqa: PLR0917 - the arguments of the formula, in its order
    tension_n: ArrayLike,
    span_m: ArrayLike,
    load_before_n_m: ArrayLike,
    load_after_n_m: ArrayLike,
    axial_stiffness_n: ArrayLike,
    expansion_per_k: ArrayLike,
    temperature_change_k: ArrayLike,
) -> NDArray[np.float64]:
    """Pull in a wire after its load or its temperature has changed, its ends held fast.

    Equal level spans, parabolic sag, elastic wire: the root T2 > 0 of

        T2 - T1 + (w1 L)^2 EA / (24 T1^2) - (w2 L)^2 EA / (24 T2^2) + EA alpha dtheta = 0,

    that is of the cubic T2^3 + a T2^2 - b = 0, which has one. Newton's method runs down to
    it from a bound above. All arguments broadcast against one another.

    Parameters
    ----------
    tension_n : array_like
        Pull before, above 0. [N]
    span_m : array_like
        Post to post, above 0. [m]
    load_before_n_m, load_after_n_m : array_like
        Weight on the wire, its own included, 0 or more. [N/m]
    axial_stiffness_n : array_like
        Modulus by area of the strand, above 0. [N]
    expansion_per_k : array_like
        Thermal expansion of the wire. [1/K]
    temperature_change_k : array_like
        After less before. [K]

    Returns
    -------
    ndarray
        Pull after, in the shape of the arguments together; 0 in a wire without weight
        that has gone slack. [N]

    Raises
    ------
    ValueError
        If pull, span or stiffness is not above 0, or a load is negative or not a number.

    Notes
    -----
    Real ends give way and real wires creep, so under load this is an upper bound.
    """
    before, span, first, second, stiffness, expansion, warmer = (
        np.asarray(value, np.float64)
        for value in (
            tension_n,
            span_m,
            load_before_n_m,
            load_after_n_m,
            axial_stiffness_n,
            expansion_per_k,
            temperature_change_k,
        )
    )
    for name, value in (("tension_n", before), ("span_m", span), ("axial_stiffness_n", stiffness)):
        if not (value > 0.0).all():
            raise ValueError(f"{name} must be above 0, got {value.min()}")
    for name, value in (("load_before_n_m", first), ("load_after_n_m", second)):
        if not (value >= 0.0).all():
            raise ValueError(f"{name} must be 0 or more, got {value.min()}")
    a = stiffness * ((first * span / before) ** 2 / 24.0 + expansion * warmer) - before
    b = stiffness * (second * span) ** 2 / 24.0
    a, b = np.broadcast_arrays(a, b)
    return _positive_root(a, b)


def _positive_root(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.float64]:
    """Root above 0 of t^3 + a t^2 - b, for b >= 0; max(-a, 0) where b is 0."""
    # Never below the root: for a < 0, t^2 (t + a) >= (cbrt b)^3 = b; for a > 0 either term alone.
    low = np.maximum(-a, 0.0)
    falling = np.divide(b, a, out=np.full(a.shape, np.inf), where=a > 0.0)
    root = low + np.minimum(np.cbrt(b), np.sqrt(falling))
    for _ in range(_MOST_STEPS):
        slope = root * (3.0 * root + 2.0 * a)
        step = np.divide(
            root * root * (root + a) - b, slope, out=np.zeros(a.shape), where=slope > 0.0
        )
        root = np.maximum(root - step, low)
        if not (np.abs(step) > _CLOSE_ENOUGH * root).any():
            break
    return np.asarray(root)
