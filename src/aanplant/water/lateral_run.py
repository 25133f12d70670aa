"""One lateral by itself: the head it needs, how far its flows differ, how long it may be."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import ArrayLike

from aanplant.water.friction import STANDARD_GRAVITY_M_S2, VISCOSITY_20_C_M2_S
from aanplant.water.losses import FrictionModel
from aanplant.water.network import POLYETHYLENE_ROUGHNESS_M, Flows, solve

FLOW_VARIATION = 0.10
"""Greatest difference of flow along a lateral over its greatest flow (Wu and Gitlin, good)."""
LONGEST_EMITTERS = 4096
"""More are not tried on one lateral."""
_HEAD_TOLERANCE_M = 1e-9
_STRIDE = 0.25
"""By which the tried length grows from one trial to the next."""


@dataclass(frozen=True, slots=True)
class Lateral:
    """A dripper line and the ground it lies on.

    Parameters
    ----------
    bore_m : float
        Inside diameter. [m]
    spacing_m : float
        Between drippers. [m]
    coefficient, exponent : float
        k and x of ``q = k h^x``. [m3/s / m^x], [-]
    first_m : float, optional
        To the first dripper; half a spacing when left out. [m]
    slope : float
        Rise along the flow, below 0 downhill. [-]
    local_loss : float
        K of each barb. [-]
    friction, roughness_m, gravity, viscosity_m2_s
        As :func:`aanplant.water.network.solve` takes them.
    """

    bore_m: float
    spacing_m: float
    coefficient: float
    exponent: float = 0.5
    first_m: float | None = None
    slope: float = 0.0
    local_loss: float = 0.0
    friction: FrictionModel = "darcy-weisbach"
    roughness_m: float = POLYETHYLENE_ROUGHNESS_M
    gravity: float = STANDARD_GRAVITY_M_S2
    viscosity_m2_s: float = VISCOSITY_20_C_M2_S

    def length_m(self, emitters: int) -> float:
        """Length from the inlet to the last dripper. [m]."""
        first = 0.5 * self.spacing_m if self.first_m is None else self.first_m
        return first + self.spacing_m * (emitters - 1)

    def run(
        self, emitters: int, inlet_head_m: float, *, elevation_m: ArrayLike | None = None
    ) -> Flows:
        """Flow and head along it; node 0 is the inlet, at height 0.

        Parameters
        ----------
        emitters : int
            Their number.
        inlet_head_m : float
            At the inlet, over height 0. [m]
        elevation_m : array_like, shape (emitters + 1,), optional
            Heights of inlet and drippers, instead of the slope. [m]
        """
        length = np.full(emitters + 1, self.spacing_m)
        length[:2] = 0.0, self.length_m(1)
        coefficient = np.full(emitters + 1, self.coefficient)
        coefficient[0] = 0.0
        return solve(
            np.arange(emitters + 1) - 1,
            length,
            self.bore_m,
            self.slope * np.cumsum(length) if elevation_m is None else elevation_m,
            coefficient,
            self.exponent,
            inlet_head_m,
            friction=self.friction,
            roughness_m=self.roughness_m,
            gravity=self.gravity,
            viscosity_m2_s=self.viscosity_m2_s,
            local_loss=self.local_loss,
        )

    def inlet_head_m(self, emitters: int, mean_flow_m3_s: float) -> float:
        """Head at the inlet with which the drippers give a mean flow. [m].

        Raises
        ------
        ValueError
            If the mean flow is not above 0.
        """
        if not mean_flow_m3_s > 0.0:
            raise ValueError(f"mean_flow_m3_s must be above 0, got {mean_flow_m3_s}")
        return _rising_root(partial(self._over_mean, emitters, mean_flow_m3_s), 1.0)

    def _over_mean(self, emitters: int, mean_flow_m3_s: float, inlet_head_m: float) -> float:
        flow = self.run(emitters, inlet_head_m).emitter_flow_m3_s[1:]
        return float(flow.mean()) / mean_flow_m3_s - 1.0

    def evenness(self, emitters: int, mean_flow_m3_s: float) -> "Evenness":
        """How far the flows differ at a mean flow."""
        head = self.inlet_head_m(emitters, mean_flow_m3_s)
        flow = self.run(emitters, head).emitter_flow_m3_s[1:]
        return Evenness(float(1.0 - flow.min() / flow.max()), int(flow.argmax()))


@dataclass(frozen=True, slots=True)
class Evenness:
    """How far the flows along a lateral differ.

    Parameters
    ----------
    variation : float
        Difference of greatest and least flow over the greatest. [-]
    most_at : int
        Dripper with the greatest flow, 0 for the first.
    """

    variation: float
    most_at: int


def longest_emitters(
    lateral: Lateral, mean_flow_m3_s: float, *, flow_variation: float = FLOW_VARIATION
) -> int:
    """Greatest number of drippers whose flows differ by no more than allowed.

    Downhill a lateral may be too uneven when short and even enough when longer, where
    friction eats what the ground gives: the greatest number that will do is returned.

    Parameters
    ----------
    lateral : Lateral
        Pipe, drippers and ground.
    mean_flow_m3_s : float
        That the drippers shall give on average. [m3/s]
    flow_variation : float
        Allowed difference over the greatest flow, above 0, below 1. [-]

    Returns
    -------
    int
        0 if not even two drippers are alike enough.
    """
    if not 0.0 < flow_variation < 1.0:
        raise ValueError(f"flow_variation must lie between 0 and 1, got {flow_variation}")

    def will_do(emitters: int) -> bool:
        return lateral.evenness(emitters, mean_flow_m3_s).variation <= flow_variation

    low = high = 0
    emitters = 2
    while emitters <= LONGEST_EMITTERS:
        found = lateral.evenness(emitters, mean_flow_m3_s)
        if found.variation <= flow_variation:
            low, high = emitters, 0
        else:
            high = high or emitters
            if found.most_at == 0:  # friction has the upper hand, and only grows
                break
        emitters += max(1, round(_STRIDE * emitters))
    while high - low > 1 and low:
        middle = (low + high) // 2
        low, high = (middle, high) if will_do(middle) else (low, middle)
    return low


def of_bore(lateral: Lateral, bore_m: float) -> Lateral:
    """Return the same lateral in pipe of another bore."""
    return replace(lateral, bore_m=bore_m)


def _rising_root(rises: Callable[[float], float], first: float) -> float:
    """Where a function that never falls crosses 0, above 0."""
    from scipy.optimize import brentq  # noqa: PLC0415 - costs a tenth of a second

    high = first
    while rises(high) < 0.0:
        high *= 2.0
    return float(brentq(rises, 0.0, high, xtol=_HEAD_TOLERANCE_M))
