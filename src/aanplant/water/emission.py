"""What a dripper gives at a pressure, and what pressure it needs for a flow."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

OPENING_HEAD_M = 0.1
"""Head over which an emitter of exponent 0 opens: none gives its full flow at no pressure."""
OPENING_EXPONENT = 0.5
"""Its exponent below that head, where it is a mere hole."""
_LEAST_HEAD_M = 1e-30
"""What a flow next to nothing is taken to need; the powers of small numbers vanish."""
_LEAST_FLOW_M3_S = 1e-100
"""Far below any drop; what is less would overflow when divided by."""
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Emission:
    """Law of every emitter: ``q = k h^x``, level between two heads where it regulates.

    Parameters
    ----------
    coefficient : ndarray, shape (n,)
        Flow at 1 m, above 0. [m3/s / m^x]
    exponent : ndarray, shape (n,), or float
        Above 0, at most 1. [-]
    start_m, end_m : ndarray, shape (n,), or None
        Heads between which the flow stays that of ``start_m``; above, it rises again
        by the same exponent. Both infinite where an emitter does not regulate. [m]
    """

    coefficient: Floats
    exponent: Floats | float
    start_m: Floats | None = None
    end_m: Floats | None = None

    def some(self, which: NDArray[np.bool_]) -> "Emission":
        """Return the emitters marked."""
        return Emission(
            self.coefficient[which],
            self.exponent if isinstance(self.exponent, float) else self.exponent[which],
            None if self.start_m is None else self.start_m[which],
            None if self.end_m is None else self.end_m[which],
        )

    def flow(self, head_m: Floats) -> Floats:
        """Flow at a head, nothing at or below none. [m3/s]."""
        head = np.maximum(head_m, 0.0)
        if self.start_m is not None and self.end_m is not None:
            with np.errstate(invalid="ignore"):
                above = np.where(head > self.end_m, head / self.end_m, 1.0)
            head = np.minimum(head, self.start_m) * above
        return np.asarray(self.coefficient * head**self.exponent)

    def tangent(self, flow_m3_s: Floats, head_m: Floats, barrier_m: float) -> tuple[Floats, Floats]:
        """Head that an emitter needs for a flow, and the flow it gains for each metre more.

        Parameters
        ----------
        flow_m3_s : ndarray, shape (n,)
            Above 0. [m3/s]
        head_m : ndarray, shape (n,)
            At the emitter: while it regulates it needs just that and gains nothing. [m]
        barrier_m : float
            Head that holds back an emitter from giving less than its flow at 1 m; it grows
            as the flow nears 0. [m]

        Returns
        -------
        needed_m, gain_m2_s : ndarray, shape (n,)
            [m], [m2/s]
        """
        flow, x = np.maximum(flow_m3_s, _LEAST_FLOW_M3_S), self.exponent
        if self.start_m is None or self.end_m is None:
            needed = np.maximum((flow / self.coefficient) ** (1.0 / x), _LEAST_HEAD_M)
            gain = x * flow / needed
        else:
            level = self.coefficient * self.start_m**x
            on_level, over = flow == level, flow > level
            with np.errstate(invalid="ignore"):
                needed = np.maximum((flow / self.coefficient) ** (1.0 / x), _LEAST_HEAD_M)
                needed = np.where(over, needed * (self.end_m / self.start_m), needed)
                nearest = np.clip(head_m, self.start_m, self.end_m)
            needed = np.where(on_level, nearest, needed)
            gain = np.where(on_level & (needed == head_m), 0.0, x * flow / needed)
        if barrier_m:
            held = barrier_m * self.coefficient / flow
            gain = gain / (1.0 + gain * held / flow)
            needed = np.where(gain > 0.0, needed - held, needed)
        return needed, gain

    def keep(self, wanted: Floats, flow_m3_s: Floats, head_m: Floats) -> Floats:
        """Stop each new flow at the level where its emitter begins or ends to regulate.

        Parameters
        ----------
        wanted, flow_m3_s, head_m : ndarray, shape (n,)
            New flow, flow before, and the head that it was found at. [m3/s], [m3/s], [m]
        """
        if self.start_m is None or self.end_m is None:
            return wanted
        level = self.coefficient * self.start_m**self.exponent
        below = (flow_m3_s < level) | ((flow_m3_s == level) & (head_m < self.start_m))
        return np.where(below, np.minimum(wanted, level), np.maximum(wanted, level))
