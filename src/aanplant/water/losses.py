"""Head lost in every pipe of a network at the flows of the moment, and how fast it grows."""

from collections.abc import Callable
from typing import Literal, get_args

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.water.friction import (
    BLASIUS_COEFFICIENT,
    HAZEN_WILLIAMS_FLOW_POWER,
    HAZEN_WILLIAMS_PLASTIC,
    LAMINAR_BELOW,
    darcy_weisbach,
    hazen_williams_per_flow,
)

FrictionModel = Literal["darcy-weisbach", "hazen-williams", "blasius"]
Floats = NDArray[np.float64]
Loss = Callable[[Floats, int], tuple[Floats, Floats]]
"""From flows and the step of the solution to losses and their slopes."""
_LEAST_SLOPE_S_M2 = 1e-3
"""Slope given to a pipe that loses next to nothing, so that the equations stay well scaled."""
_SETTLED = 8
"""Step from which a pipe on the brink of turbulence keeps its regime."""


def losses(
    length_m: ArrayLike,
    diameter_m: Floats,
    local_loss: ArrayLike,
    *,
    friction: FrictionModel,
    roughness_m: ArrayLike,
    gravity: float,
    viscosity_m2_s: float,
    hazen_williams: ArrayLike = HAZEN_WILLIAMS_PLASTIC,
    blasius: float = BLASIUS_COEFFICIENT,
) -> Loss:
    """Law of the losses of pipes.

    Parameters
    ----------
    length_m, diameter_m : array_like, shape (n,)
        Length and bore. [m]
    local_loss : array_like, shape (n,)
        Sum of the coefficients K of bends, tees, barbs: ``K V^2 / 2g``. [-]
    friction : {"darcy-weisbach", "hazen-williams", "blasius"}
        Formula; Blasius above Re 2000, ``64 / Re`` below.
    roughness_m : array_like, shape (n,)
        Of the wall, read by Darcy-Weisbach. [m]
    gravity, viscosity_m2_s : float
        [m/s2], [m2/s]
    hazen_williams, blasius : array_like, float
        Coefficients of those formulas. [-]

    Returns
    -------
    callable
        ``(flow_m3_s, step) -> (loss_m, slope_s_m2)``.
    """
    length = np.asarray(length_m, np.float64)
    laminar = 2.0 * viscosity_m2_s * length / (np.pi * gravity * diameter_m**4)
    local = 8.0 * np.asarray(local_loss, np.float64) / (gravity * np.pi**2 * diameter_m**4)
    per_flow = 4.0 / (np.pi * diameter_m * viscosity_m2_s)
    if friction == "darcy-weisbach":
        law = _darcy_weisbach(laminar, per_flow, np.asarray(roughness_m) / diameter_m)
    elif friction == "hazen-williams":
        law = _hazen_williams(hazen_williams_per_flow(diameter_m, length, hazen_williams))
    elif friction == "blasius":
        law = _blasius(laminar, per_flow, blasius)
    else:
        raise ValueError(f"friction must be one of {get_args(FrictionModel)}, got {friction!r}")
    return _with_local(law, local)


def _with_local(law: Loss, local: Floats) -> Loss:
    has_local = bool(local.any())

    def at(flow: Floats, step: int) -> tuple[Floats, Floats]:
        loss, slope = law(flow, step)
        if has_local:
            each = local * flow
            loss, slope = loss + each * flow, slope + 2.0 * each
        return loss, np.maximum(slope, _LEAST_SLOPE_S_M2)

    return at


def _darcy_weisbach(laminar: Floats, per_flow: Floats, relative_roughness: Floats) -> Loss:
    def at(flow: Floats, step: int) -> tuple[Floats, Floats]:  # noqa: ARG001 - smooth at every step
        product, turn = darcy_weisbach(per_flow * flow, relative_roughness)
        per_unit = laminar * product
        return per_unit * flow, per_unit * (2.0 + turn)

    return at


def _hazen_williams(per_flow: Floats) -> Loss:
    def at(flow: Floats, step: int) -> tuple[Floats, Floats]:  # noqa: ARG001 - smooth at every step
        each = per_flow * flow ** (HAZEN_WILLIAMS_FLOW_POWER - 1.0)
        return each * flow, HAZEN_WILLIAMS_FLOW_POWER * each

    return at


def _blasius(laminar: Floats, per_flow: Floats, coefficient: float) -> Loss:
    turbulent = np.zeros(per_flow.shape, dtype=np.bool_)

    def at(flow: Floats, step: int) -> tuple[Floats, Floats]:
        reynolds = per_flow * flow
        if step < _SETTLED:  # the factor leaps at the brink: later on, none may cross it
            turbulent[:] = reynolds > LAMINAR_BELOW
        product = np.where(turbulent, coefficient * reynolds**0.75, 64.0)
        per_unit = laminar * product
        return per_unit * flow, per_unit * np.where(turbulent, 1.75, 1.0)

    return at
