"""The pump: where its curve meets the system, and what head it has over for a set."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.errors import InputError

Values = NDArray[np.float64]

SECONDS_PER_HOUR = 3600.0


@dataclass(frozen=True)
class PumpCurve:
    """What a pump gives, through the points its maker states.

    Parameters
    ----------
    flow_m3_s : tuple of float
        Rising. [m3/s]
    head_m : tuple of float
        Not rising. [m]
    where : str
        What to name when the curve doesn't serve.
    """

    flow_m3_s: tuple[float, ...]
    head_m: tuple[float, ...]
    where: str = "pump.curve"

    def __post_init__(self) -> None:
        """Refuse what is no falling curve."""
        flow, head = np.asarray(self.flow_m3_s), np.asarray(self.head_m)
        if flow.size != head.size or flow.size < 2:  # noqa: PLR2004 - a line needs two points
            raise ValueError("a pump curve needs two points or more, a head for each flow")
        if np.any(np.diff(flow) <= 0.0) or np.any(np.diff(head) > 0.0) or flow[0] < 0.0:
            raise ValueError("flows of a pump curve must rise from 0 or more, heads must not")

    @cached_property
    def _through(self) -> Callable[[ArrayLike], Values]:
        from scipy.interpolate import PchipInterpolator  # noqa: PLC0415 - heavy

        if len(self.flow_m3_s) > 2:  # noqa: PLR2004 - two points make a line
            return PchipInterpolator(self.flow_m3_s, self.head_m)  # type: ignore[no-any-return]
        return lambda flow: np.interp(np.asarray(flow, np.float64), self.flow_m3_s, self.head_m)

    def head(self, flow_m3_s: ArrayLike) -> Values:
        """Return the head at flows within the curve: smooth, never rising; nan outside. [m]."""
        flow = np.asarray(flow_m3_s, np.float64)
        inside = (flow >= self.flow_m3_s[0]) & (flow <= self.flow_m3_s[-1])
        return np.where(inside, self._through(np.clip(flow, *self.ends)), np.nan)

    def flow_with(self, head_m: float) -> float | None:
        """Return the largest flow at which the pump gives a head; None where it never does. [m3/s].

        Parameters
        ----------
        head_m : float
            [m]
        """
        from scipy.optimize import brentq  # noqa: PLC0415 - heavy

        first, last = self.ends
        if self.head_m[0] < head_m:
            return None
        if self.head_m[-1] >= head_m:
            return last
        return float(brentq(lambda flow: float(self.head(flow)) - head_m, first, last, xtol=1e-12))

    @property
    def ends(self) -> tuple[float, float]:
        """First and last flow of the curve. [m3/s]."""
        return self.flow_m3_s[0], self.flow_m3_s[-1]


def curve_of(points: Sequence[tuple[float, float]]) -> PumpCurve:
    """Make a curve from points of (flow in m3/h, head in m), as the brief gives them."""
    return PumpCurve(
        tuple(flow / SECONDS_PER_HOUR for flow, _ in points), tuple(head for _, head in points)
    )


@dataclass(frozen=True, slots=True)
class DutyPoint:
    """Where pump and system agree.

    Parameters
    ----------
    flow_m3_s : float
        [m3/s]
    head_m : float
        [m]
    """

    flow_m3_s: float
    head_m: float


def duty_point(curve: PumpCurve, system_head_m: Callable[[float], float]) -> DutyPoint:
    """Find where a pump's curve meets the curve of a system.

    Parameters
    ----------
    curve : PumpCurve
        Of the pump.
    system_head_m : callable
        Head the system asks at a flow in m3/s; it must not fall as the flow grows. [m]

    Raises
    ------
    InputError
        If they don't meet within the pump's curve; says by how much head it is missed, at
        which flow, and what would help.
    """
    from scipy.optimize import brentq  # noqa: PLC0415 - heavy

    def spare(flow: float) -> float:
        return float(curve.head(flow)) - system_head_m(flow)

    first, last = curve.ends
    if spare(first) < 0.0:
        raise InputError(
            curve.where,
            f"a pump that gives {float(curve.head(first)):.4g} m at {_m3_h(first)}, where the "
            f"system asks for {system_head_m(first):.4g} m: {-spare(first):.3g} m short, and more "
            "at every larger flow",
            f"a pump with {-spare(first):.3g} m more head, or a system that asks for less: a "
            "lower emitter pressure or larger pipes",
        )
    if spare(last) > 0.0:
        raise InputError(
            curve.where,
            f"a pump that still gives {float(curve.head(last)):.4g} m at the end of its curve, "
            f"{_m3_h(last)}, where the system asks for only {system_head_m(last):.4g} m: "
            f"{spare(last):.3g} m too much",
            "the rest of the curve, a smaller pump, larger sets, or a regulating valve that takes "
            f"{spare(last):.3g} m",
        )
    flow = float(brentq(spare, first, last, xtol=1e-12, rtol=1e-12))
    return DutyPoint(flow, float(curve.head(flow)))


def spare_head_m(curve: PumpCurve, flow_m3_s: float, head_m: float) -> float:
    """Return the head a pump has over at a set's flow, for its regulating valve to take. [m].

    Raises
    ------
    InputError
        If the flow is outside the curve, or the pump gives too little head; says by how much.
    """
    first, last = curve.ends
    if not first <= flow_m3_s <= last:
        beyond = max(first - flow_m3_s, flow_m3_s - last)
        raise InputError(
            curve.where,
            f"{_m3_h(first)} to {_m3_h(last)}, and a set that asks for {_m3_h(flow_m3_s)}, "
            f"{_m3_h(beyond)} outside it",
            "a curve that covers the flow of every set, or sets of another size",
        )
    spare = float(curve.head(flow_m3_s)) - head_m
    if spare < 0.0:
        raise InputError(
            curve.where,
            f"{float(curve.head(flow_m3_s)):.4g} m at {_m3_h(flow_m3_s)}, {-spare:.3g} m less "
            f"than the {head_m:.4g} m that the set asks for",
            f"a pump with {-spare:.3g} m more head at that flow, smaller sets or larger pipes",
        )
    return spare


def _m3_h(flow_m3_s: float) -> str:
    return f"{flow_m3_s * SECONDS_PER_HOUR:.4g} m3/h"
