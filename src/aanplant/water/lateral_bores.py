"""Pressures and flows along laterals, each in every bore of dripper line."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.water.emitters import EmitterLaw
from aanplant.water.network import solve
from aanplant.water.pipe_choice import gradient_of
from aanplant.water.pipes import GRAVITY_M_S2

Values = NDArray[np.float64]
Places = NDArray[np.intp]

EVEN_ENOUGH = 1e-8
"""Share by which the mean flow may miss the nominal one when the inlet pressure is sought."""
_STEPS = 60
_LEAST_SLOPE, _MOST_SLOPE = 0.1, 10.0


@dataclass(frozen=True)
class LateralLines:
    """Laterals as rows of drippers, flat; each lateral's drippers stand from the inlet on.

    Parameters
    ----------
    lateral : ndarray of int, shape (n_drippers,)
        Lateral of each dripper: 0, 0, ... 1, 1, ...
    step_m : ndarray, shape (n_drippers,)
        Pipe from the dripper before, or the inlet. [m]
    rise_m : ndarray, shape (n_drippers,)
        Height over the inlet. [m]
    """

    lateral: Places
    step_m: Values
    rise_m: Values

    def __post_init__(self) -> None:
        """Refuse drippers out of order."""
        turns = np.diff(self.lateral, prepend=-1)
        if not (len(self.lateral) and np.isin(turns, (0, 1)).all() and turns[0] == 1):
            raise ValueError("laterals must be numbered from 0 and stand together")
        if not len(self.lateral) == len(self.step_m) == len(self.rise_m):
            raise ValueError("every dripper needs its lateral, step and rise")

    @property
    def first(self) -> Places:
        """First dripper of each lateral."""
        return np.flatnonzero(np.diff(self.lateral, prepend=-1))

    def cut(self, lateral: int, drippers: int) -> "LateralLines":
        """Return one lateral by itself, with its first drippers only."""
        own = np.flatnonzero(self.lateral == lateral)[:drippers]
        return LateralLines(np.zeros(len(own), np.intp), self.step_m[own], self.rise_m[own])


@dataclass(frozen=True)
class BoreTable:
    """Every lateral in every bore, arrays of shape (n_laterals, n_bores).

    Parameters
    ----------
    inlet_m : ndarray
        Pressure at the inlet: with it the mean flow is nominal, or the weakest
        dripper that keeps its flow just regulates. [m]
    least_m, most_m : ndarray
        Pressure of the weakest and the strongest dripper. [m]
    variation : ndarray
        Share by which the least flow lies under the greatest; 0 where all regulate. [-]
    """

    inlet_m: Values
    least_m: Values
    most_m: Values
    variation: Values


def tabulate(
    lines: LateralLines, bores_m: Sequence[float], law: EmitterLaw, *, local_loss: float = 0.0
) -> BoreTable:
    """Pressures and flows of every lateral in every bore.

    Parameters
    ----------
    lines : LateralLines
        As a rule the longest and the steepest of a block, not all of them.
    bores_m : sequence of float
        [m]
    law : EmitterLaw
        Of the drippers.
    local_loss : float
        Coefficient K of what a dripper takes up in the line, K V2/2g. [-]

    Raises
    ------
    ValueError
        If a bore is not above 0, or a dripper that does not compensate has the exponent 0.
    """
    bores = np.asarray(bores_m, np.float64)
    if not (bores > 0.0).all():
        raise ValueError("a lateral needs a bore above 0")
    if law.keeps_flow:
        return _compensating(lines, bores, law, local_loss)
    if law.exponent == 0.0:
        raise ValueError("a dripper of exponent 0 must say that it compensates")
    return _by_pressure(lines, bores, law, local_loss)


def _compensating(
    lines: LateralLines, bores: Values, law: EmitterLaw, local_loss: float
) -> BoreTable:
    """Every dripper gives its nominal flow: the losses follow without solving."""
    first = lines.first
    count = np.diff(np.append(first, len(lines.lateral)))
    along = np.arange(len(lines.lateral)) - first[lines.lateral]
    flow = (count[lines.lateral] - along)[:, np.newaxis] * law.flow_m3_s
    speed = flow / (np.pi / 4.0 * bores**2)
    lost = gradient_of(flow, bores) * lines.step_m[:, np.newaxis]
    lost += local_loss * speed**2 / (2.0 * GRAVITY_M_S2)
    total = np.cumsum(lost, axis=0)
    below = total - (total[first] - lost[first])[lines.lateral] + lines.rise_m[:, np.newaxis]
    inlet = law.lowest_head_m + np.maximum.reduceat(below, first, axis=0)
    return BoreTable(
        inlet,
        np.full_like(inlet, law.lowest_head_m),
        inlet - np.minimum.reduceat(below, first, axis=0),
        np.zeros_like(inlet),
    )


def _by_pressure(
    lines: LateralLines, bores: Values, law: EmitterLaw, local_loss: float
) -> BoreTable:
    """Find the inlet pressures with which mean flows are nominal; one network holds all."""
    drippers, sizes, first = len(lines.lateral), len(bores), lines.first
    count = np.diff(np.append(first, drippers))[:, np.newaxis]
    parent = np.arange(drippers * sizes)
    parent[(first + drippers * np.arange(sizes)[:, np.newaxis]).ravel()] = 0
    coefficient = law.flow_m3_s / law.head_m**law.exponent
    length, bore = np.tile(lines.step_m, sizes), np.repeat(bores, drippers)

    def pressures(inlet_m: Values) -> tuple[Values, Values]:
        # The source stands at 0, and every lateral lower by the pressure at its inlet.
        height = lines.rise_m[:, np.newaxis] - inlet_m[lines.lateral]
        flows = solve(
            np.append(0, parent),
            np.append(0.0, length),
            np.append(1.0, bore),
            np.append(0.0, height.T),
            np.append(0.0, np.full(drippers * sizes, coefficient)),
            law.exponent,
            0.0,
            local_loss=np.append(0.0, np.full(drippers * sizes, local_loss)),
        )
        by_dripper = (flows.pressure_m, flows.emitter_flow_m3_s)
        pressure, flow = (values[1:].reshape(sizes, drippers).T for values in by_dripper)
        return pressure, flow

    inlet = np.full((len(first), sizes), law.head_m)
    inlet_before = head_before = np.full_like(inlet, np.nan)
    for _ in range(_STEPS):
        pressure, flow = pressures(inlet)
        mean = np.add.reduceat(flow, first, axis=0) / count / law.flow_m3_s
        if np.abs(mean - 1.0).max() < EVEN_ENOUGH:
            break
        # Head of one dripper with the mean flow: it grows nearly evenly with the inlet's.
        head = law.head_m * mean ** (1.0 / law.exponent)
        with np.errstate(invalid="ignore", divide="ignore"):
            slope = (head - head_before) / (inlet - inlet_before)
        slope = np.where(np.isfinite(slope), np.clip(slope, _LEAST_SLOPE, _MOST_SLOPE), 1.0)
        inlet_before, head_before = inlet, head
        inlet = inlet + np.clip((law.head_m - head) / slope, -inlet / 2.0, 3.0 * law.head_m)
    else:
        raise ArithmeticError("the inlet pressures of the laterals do not come to rest")
    least_flow = np.minimum.reduceat(flow, first, axis=0)
    return BoreTable(
        inlet,
        np.minimum.reduceat(pressure, first, axis=0),
        np.maximum.reduceat(pressure, first, axis=0),
        np.asarray(1.0 - least_flow / np.maximum.reduceat(flow, first, axis=0)),
    )
