"""How much water a dripper gives at a pressure, and how much drippers differ."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.brief import Brief
from aanplant.errors import InputError
from aanplant.tables import rows

Values = NDArray[np.float64]

WATER_N_M3 = 998.2 * 9.80665
"""Weight of water at 20 °C."""
KPA_PER_M = WATER_N_M3 / 1000.0
LITRES_PER_HOUR = 1.0 / 3.6e6
"""One L/h. [m3/s]"""
STARVED_EXPONENT = 0.5
"""Below and above its range a pressure-compensating dripper is taken as a plain orifice."""
KEEPS_FLOW = 0.01
"""Up to this exponent the flow tells nothing of the pressure."""


@dataclass(frozen=True, slots=True)
class EmitterNode:
    """A dripper's law as ``network.solve`` takes it.

    Parameters
    ----------
    coefficient : float
        k of q = k h^x. [m3/s/m^x]
    exponent : float
        x. [-]
    regulation_start_m, regulation_end_m : float
        Heads between which the flow stays level; infinite where it does not. [m]
    """

    coefficient: float
    exponent: float
    regulation_start_m: float
    regulation_end_m: float


@dataclass(frozen=True, slots=True)
class EmitterLaw:
    """The flow law of a dripper, q = k h^x.

    Parameters
    ----------
    flow_m3_s : float
        At ``head_m``. [m3/s]
    head_m : float
        Pressure for which the flow is stated. [m]
    exponent : float
        From 0, pressure-compensating, to 1, laminar. [-]
    variation : float
        Coefficient of variation among new drippers at one pressure. [-]
    is_compensating : bool
        Whether it is made to regulate.
    lowest_head_m, highest_head_m : float
        Range it is made for. [m]
    passage_m : float or None
        Narrowest passage; None when it isn't known. [m]
    source : str
        Source id of what the brief leaves open.
    """

    flow_m3_s: float
    head_m: float
    exponent: float
    variation: float = 0.0
    is_compensating: bool = False
    lowest_head_m: float = 0.0
    highest_head_m: float = math.inf
    passage_m: float | None = None
    source: str = "brief"

    def __post_init__(self) -> None:
        """Refuse a law that no dripper has."""
        _check_exponent(self.exponent)
        if self.flow_m3_s <= 0.0 or self.head_m <= 0.0:
            raise ValueError("a dripper's flow and pressure must be above 0")
        if not 0.0 <= self.lowest_head_m < self.highest_head_m:
            raise ValueError("the range of a dripper must start at 0 or more and end above that")
        if self.keeps_flow and self.lowest_head_m == 0.0:
            raise ValueError("a dripper that keeps its flow needs a pressure at which that starts")

    @property
    def coefficient(self) -> float:
        """Return k of q = k h^x. [m3/s/m^x]."""
        return float(self.flow_m3_s / self.head_m**self.exponent)

    @property
    def keeps_flow(self) -> bool:
        """Whether its flow is level from ``lowest_head_m`` to ``highest_head_m``.

        Outside that range it is taken as a plain orifice.
        """
        return self.is_compensating and self.exponent <= KEEPS_FLOW

    @property
    def as_node(self) -> "EmitterNode":
        """Return the law as the network takes it."""
        if not self.keeps_flow:
            return EmitterNode(self.coefficient, self.exponent, math.inf, math.inf)
        opening = self.flow_m3_s / self.lowest_head_m**STARVED_EXPONENT
        return EmitterNode(opening, STARVED_EXPONENT, self.lowest_head_m, self.highest_head_m)

    def flow(self, head_m: ArrayLike) -> Values:
        """Return the flow at a pressure head; nothing flows at or below 0. [m3/s].

        Parameters
        ----------
        head_m : array_like
            Pressure in the line at the dripper. [m]
        """
        head = np.maximum(np.asarray(head_m, np.float64), 0.0)
        if not self.keeps_flow:
            return np.asarray(self.coefficient * head**self.exponent * (head > 0.0))
        kept = np.clip(head, self.lowest_head_m, self.highest_head_m)
        return np.asarray(self.flow_m3_s * (head / kept) ** STARVED_EXPONENT)

    def head(self, flow_m3_s: ArrayLike) -> Values:
        """Return the head at which a dripper gives a flow. [m].

        Raises
        ------
        ValueError
            If the dripper keeps its flow, so that the flow tells nothing of the pressure.
        """
        if self.keeps_flow or self.exponent == 0.0:
            raise ValueError("a dripper that keeps its flow has no pressure of its own for it")
        return np.asarray((np.asarray(flow_m3_s, np.float64) / self.coefficient) ** (
            1.0 / self.exponent
        ))  # fmt: skip


def exponent_between(
    flow: float, head: float, second_flow: float, second_head: float, *, where: str = "dripper"
) -> float:
    """Find the exponent from flows at two pressures, ln(q1/q2)/ln(h1/h2). [-].

    Parameters
    ----------
    flow, second_flow : float
        In one unit.
    head, second_head : float
        In one unit.
    where : str
        What to name when they are no dripper's.

    Raises
    ------
    InputError
        If the pressures are equal, a number is not above 0, or the exponent is not
        from 0 to 1.
    """
    if min(flow, head, second_flow, second_head) <= 0.0 or math.isclose(head, second_head):
        raise InputError(
            where,
            f"{flow:g} at {head:g} and {second_flow:g} at {second_head:g}",
            "flows and pressures above 0, at two pressures that differ",
        )
    exponent = math.log(flow / second_flow) / math.log(head / second_head)
    try:
        _check_exponent(exponent)
    except ValueError:
        # What a dripper of the nearest sound exponent would give at the second pressure.
        bound = min(max(exponent, 0.0), 1.0)
        low, high = sorted((flow, flow * (second_head / head)))
        raise InputError(
            where,
            f"{flow:g} at {head:g} and {second_flow:g} at {second_head:g}, "
            f"an exponent of {exponent:.2f}, {abs(exponent - bound):.2f} outside 0 to 1",
            f"an exponent from 0 to 1, so from {low:g} to {high:g} at {second_head:g}",
        ) from None
    return exponent


def law_of(brief: Brief) -> EmitterLaw:
    """Return the law of the brief's dripper.

    What the brief writes stands; then the named row of the table of drippers; then the
    table's row of the same kind whose flow is nearest.

    Raises
    ------
    InputError
        If there is no such row, half of a second point is given, the exponent of two
        points is not from 0 to 1, or the range of regulation runs backwards.
    """
    given = brief.water.emitter
    row = _row_of(brief)
    flow_lph = given.flow
    if given.product and not brief.is_given("water.emitter.flow"):
        flow_lph = float(row["flow_lph"])
    compensating = given.pressure_compensating
    if given.product and not brief.is_given("water.emitter.pressure_compensating"):
        compensating = row["pressure_compensating"] == "yes"
    pressure = _or_row(given.pressure, row["pressure_kpa"])
    lowest = _or_row(given.lowest_pressure, row["lowest_kpa"])
    highest = _or_row(given.highest_pressure, row["highest_kpa"])
    if lowest >= highest:
        raise InputError(
            "brief.toml: water.emitter",
            f"lowest_pressure {lowest:g} kPa and highest_pressure {highest:g} kPa",
            "a range that ends above its start",
        )
    return EmitterLaw(
        flow_lph * LITRES_PER_HOUR,
        pressure / KPA_PER_M,
        _exponent(brief, flow_lph, pressure, float(row["exponent"])),
        _or_row(given.variation, row["variation"]),
        compensating,
        lowest / KPA_PER_M,
        highest / KPA_PER_M,
        _or_row(given.passage, row["passage_mm"]) / 1000.0,
        row["source"],
    )


def _row_of(brief: Brief) -> dict[str, str]:
    table = [dict(row) for row in rows("emitters.csv")]
    given = brief.water.emitter
    if given.product:
        found = next((row for row in table if row["name"] == given.product), None)
        if found is None:
            names = ", ".join(row["name"] for row in table)
            raise InputError(
                "brief.toml: water.emitter.product", repr(given.product), f"one of {names}"
            )
        return found
    kind = "yes" if given.pressure_compensating else "no"
    alike = [row for row in table if row["pressure_compensating"] == kind]
    return min(alike, key=lambda row: abs(float(row["flow_lph"]) - given.flow))


def _or_row(given: float | None, printed: str) -> float:
    return float(printed) if given is None else given


def _exponent(brief: Brief, flow_lph: float, pressure_kpa: float, otherwise: float) -> float:
    given = brief.water.emitter
    if given.exponent is not None:
        return given.exponent
    if given.second_flow is None and given.second_pressure is None:
        return otherwise
    if given.second_flow is None or given.second_pressure is None:
        missing = "second_flow" if given.second_flow is None else "second_pressure"
        raise InputError(
            f"brief.toml: water.emitter.{missing}",
            "nothing",
            "both second_flow and second_pressure, or neither",
        )
    return exponent_between(
        flow_lph,
        pressure_kpa,
        given.second_flow,
        given.second_pressure,
        where="brief.toml: water.emitter.second_flow",
    )


def _check_exponent(exponent: float) -> None:
    if not 0.0 <= exponent <= 1.0:
        raise ValueError(f"exponent must be from 0 to 1, got {exponent:.3g}")
