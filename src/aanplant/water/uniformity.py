"""How evenly drippers water, by design and by measurement."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.errors import InputError
from aanplant.tables import rows
from aanplant.water.emitters import KEEPS_FLOW, EmitterLaw

Values = NDArray[np.float64]

LOW_QUARTER_DEVIATIONS = 1.27
"""The lowest quarter of a normal distribution lies this many deviations below the mean on
average; exactly 1.2711."""
SUBUNIT_FACTOR = 2.5
"""Allowable head of a subunit for that from the mean to the lowest (Keller and Karmeli)."""
WIDE_SPACING_M = 4.0
"""Drippers of a point source this far apart make a wide one."""
EVEN_GROUND_SLOPE = 0.02
QUARTER = 0.25
PERCENT = 100.0


def flow_variation(flow: ArrayLike) -> float:
    """Return (largest - smallest)/largest flow. [-].

    Parameters
    ----------
    flow : array_like, shape (n,)
        Of drippers, in any unit.
    """
    flows = _flows(flow)
    largest = float(flows.max())
    return (largest - float(flows.min())) / largest


def flow_variation_from_head(head_variation: ArrayLike, exponent: float) -> Values:
    """Return the flow variation that a variation of head makes, 1 - (1 - H)^x. [-]."""
    return np.asarray(1.0 - (1.0 - np.asarray(head_variation, np.float64)) ** exponent)


def head_variation_for(variation: float, exponent: float) -> float:
    """Return the variation of head, of the largest, that keeps a flow variation. [-].

    A dripper that keeps its flow allows any, 1.
    """
    return 1.0 if exponent <= KEEPS_FLOW else 1.0 - (1.0 - variation) ** (1.0 / exponent)


def emission_uniformity(
    least_flow: ArrayLike,
    mean_flow: ArrayLike,
    variation: float,
    emitters_per_plant: float = 1.0,
) -> Values:
    """Return the design emission uniformity. [%].

    EU = 100 (1 - 1.27 v/sqrt(e)) qmin/qmean

    Parameters
    ----------
    least_flow, mean_flow : array_like
        By pressure alone, in one unit.
    variation : float
        Coefficient of variation among new drippers. [-]
    emitters_per_plant : float
        Drippers that water one plant together. [-]

    References
    ----------
    .. [1] Keller, Karmeli (1974), Trickle irrigation design parameters, Trans. ASAE 17: 678-684.
    """
    made = _made_factor(variation, emitters_per_plant)
    return np.asarray(PERCENT * made * np.asarray(least_flow) / np.asarray(mean_flow))


@dataclass(frozen=True, slots=True)
class AllowableHead:
    """How much pressure may vary in a subunit.

    Parameters
    ----------
    least_flow_m3_s : float
        Flow of the least dripper that keeps the uniformity. [m3/s]
    least_head_m : float
        Pressure at which the dripper gives it. [m]
    subunit_m : float
        Difference of head within laterals and submain together. [m]
    """

    least_flow_m3_s: float
    least_head_m: float
    subunit_m: float


def allowable_head(
    law: EmitterLaw, uniformity_pct: float, emitters_per_plant: float = 1.0
) -> AllowableHead:
    """Find by how much the pressure may vary in a subunit for a wanted uniformity.

    dH = 2.5 (Ha - Hn) with Hn = Ha (qn/qa)^(1/x) and qn from the emission uniformity. A
    dripper that keeps its flow allows its whole range of regulation; no compensating one may
    fall below the start of that range.

    Parameters
    ----------
    law : EmitterLaw
        Of the dripper; its stated pressure is the mean one of the subunit.
    uniformity_pct : float
        Emission uniformity wanted. [%]
    emitters_per_plant : float
        Drippers that water one plant together. [-]

    Raises
    ------
    InputError
        If drippers differ so much from one another that no pressure gives the uniformity;
        says what can be reached.

    References
    ----------
    .. [1] Keller, Karmeli (1974), Trickle irrigation design parameters, Trans. ASAE 17: 678-684.
    """
    best_pct = PERCENT * _made_factor(law.variation, emitters_per_plant)
    if uniformity_pct > best_pct:
        raise InputError(
            "brief.toml: uniformity.emission",
            f"{uniformity_pct:g} %, {uniformity_pct - best_pct:.1f} points more than drippers with "
            f"a variation of {law.variation:g}, {emitters_per_plant:g} a vine, can give",
            f"at most {best_pct:.1f} %, more drippers a vine, or drippers that differ less",
        )
    share = uniformity_pct / best_pct
    if law.keeps_flow:
        least_head = law.lowest_head_m
        least_flow = law.flow_m3_s
    else:
        least_head = law.head_m * share ** (1.0 / max(law.exponent, KEEPS_FLOW))
        if law.is_compensating:
            least_head = max(least_head, law.lowest_head_m)
        least_flow = float(law.flow(least_head))
    subunit = SUBUNIT_FACTOR * (law.head_m - least_head)
    if law.keeps_flow:
        subunit = law.highest_head_m - law.lowest_head_m
    return AllowableHead(least_flow, least_head, subunit)


def coefficient_of_variation(values: ArrayLike, *, of_all: bool = False) -> float:
    """Return deviation over mean. [-].

    Parameters
    ----------
    values : array_like, shape (n,)
        A sample, or all there are.
    of_all : bool
        Divides the squares by n rather than by n - 1.
    """
    numbers = _flows(values)
    return float(np.std(numbers, ddof=0 if of_all else 1) / numbers.mean())


def combined_variation(
    head_variation: float, exponent: float, variation: float, emitters_per_plant: float = 1.0
) -> float:
    """Return the coefficient of variation of flow, sqrt(x2 Vh2 + v2/e). [-].

    Parameters
    ----------
    head_variation : float
        Coefficient of variation of the pressure heads. [-]
    exponent : float
        Of the dripper. [-]
    variation : float
        Coefficient of variation among drippers. [-]
    emitters_per_plant : float
        Drippers that water one plant together. [-]

    References
    ----------
    .. [1] Bralts, Wu, Gitlin (1981), Manufacturing variation and drip irrigation uniformity,
       Trans. ASAE 24: 113-119, from memory.
    """
    return math.sqrt((exponent * head_variation) ** 2 + variation**2 / emitters_per_plant)


def statistical_uniformity(coefficient: float) -> float:
    """Return Us = 100 (1 - Vq). [%]."""
    return PERCENT * (1.0 - coefficient)


def emission_from_statistical(uniformity_pct: ArrayLike) -> Values:
    """Return the emission uniformity that goes with a statistical one. [%].

    EU = 100 - 1.27 (100 - Us), exact for a normal distribution.
    """
    return np.asarray(PERCENT - LOW_QUARTER_DEVIATIONS * (PERCENT - np.asarray(uniformity_pct)))


def low_quarter_uniformity(flow: ArrayLike, weight: ArrayLike | None = None) -> float:
    """Return the mean of the lowest quarter over the mean of all. [%].

    Where a quarter of the drippers is no whole number, the last one counts in part: of
    18 drippers, the four lowest and half the fifth. So the answer never jumps with the count.

    Parameters
    ----------
    flow : array_like, shape (n,)
        Of drippers, in any unit.
    weight : array_like, shape (n,), optional
        Drippers each flow stands for; one each when left out.

    References
    ----------
    .. [1] Merriam, Keller (1978), Farm irrigation system evaluation, Utah State University.
    """
    flows = _flows(flow)
    weights = np.ones_like(flows) if weight is None else np.asarray(weight, np.float64)
    order = np.argsort(flows, kind="stable")
    flows, weights = flows[order], weights[order]
    quarter = QUARTER * weights.sum()
    before = np.cumsum(weights) - weights
    # How much of each dripper lies in the lowest quarter.
    counted = np.clip(quarter - before, 0.0, weights)
    mean = float((flows * weights).sum() / weights.sum())
    return PERCENT * float((flows * counted).sum()) / float(quarter) / mean


def christiansen_uniformity(flow: ArrayLike) -> float:
    """Return Christiansen's coefficient, 100 (1 - mean deviation/mean). [%]."""
    flows = _flows(flow)
    return PERCENT * float(1.0 - np.abs(flows - flows.mean()).mean() / flows.mean())


@dataclass(frozen=True, slots=True)
class Target:
    """Emission uniformity to design for.

    Parameters
    ----------
    kind, ground : str
        Row of the table.
    low_pct, high_pct : float
        Range. [%]
    source : str
        Source id.
    """

    kind: str
    ground: str
    low_pct: float
    high_pct: float
    source: str


def target(spacing_m: float, slope: float, *, is_line_source: bool = False) -> Target:
    """Return the range of emission uniformity that a design should reach.

    Parameters
    ----------
    spacing_m : float
        Between point sources along the line. [m]
    slope : float
        Of the ground, 0.02 or more counting as steep. [-]
    is_line_source : bool
        Whether the wetted places run together into a strip from closely set outlets.
    """
    point = "wide point source" if spacing_m > WIDE_SPACING_M else "close point source"
    kind = "line source" if is_line_source else point
    ground = "even" if slope < EVEN_GROUND_SLOPE else "steep or undulating"
    row = next(
        row
        for row in rows("uniformity_targets.csv")
        if row["kind"] == kind and row["ground"] == ground
    )
    return Target(kind, ground, float(row["low_pct"]), float(row["high_pct"]), row["source"])


def _made_factor(variation: float, emitters_per_plant: float) -> float:
    return 1.0 - LOW_QUARTER_DEVIATIONS * variation / math.sqrt(emitters_per_plant)


def _flows(flow: ArrayLike) -> Values:
    flows = np.asarray(flow, np.float64).ravel()
    if flows.size == 0 or not np.all(np.isfinite(flows)) or np.any(flows < 0.0) or not flows.any():
        raise ValueError("flows must be some finite numbers, none below 0 and not all 0")
    return flows
