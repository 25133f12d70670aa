"""The delivery test of a block, set by set: what was caught, beside the designed system."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.errors import InputError
from aanplant.inputs import CaughtVolume
from aanplant.layout.positions import Positions
from aanplant.water.delivery_test import DeliveryTest, delivery_test, places_to_measure
from aanplant.water.designed import DesignedSystem

Values = NDArray[np.float64]
Whole = NDArray[np.int64]

FAR_ENDS = -0.5
"""Rank correlation of a place's share of its design with its distance from the source, at or
below which the far ends are taken to be low (practice)."""
LOW_AS_A_WHOLE = 0.90
"""Mean share of the design below which a whole set is low (practice)."""


@dataclass(frozen=True)
class SetDelivery:
    """What was caught in one set, shapes (n,).

    Parameters
    ----------
    number : int
        Set, from 0.
    row, vine : ndarray of int
        Places, as their vines are numbered.
    node : ndarray of int
        Their drippers in the system.
    distance_m : ndarray
        From the source along the pipes. [m]
    design_m3_s : ndarray
        Designed flow at the same drippers; the nominal one where it has no pressure. [m3/s]
    test : DeliveryTest
        What the volumes say.
    design_pct : float
        Emission uniformity of the design of the whole set. [%]
    cause : str
        ``pressure`` where far ends are low, ``clogging`` where low places lie anywhere,
        ``supply`` where the set is low as a whole, "" where nothing is wrong.
    """

    number: int
    row: Whole
    vine: Whole
    node: Whole
    distance_m: Values
    design_m3_s: Values
    test: DeliveryTest
    design_pct: float
    cause: str

    @property
    def short_pct(self) -> float:
        """By how much the uniformity measured lies below the design's. [%]."""
        return self.design_pct - self.test.low_quarter_pct

    @property
    def mean_share(self) -> float:
        """Mean flow over the mean designed at the same places. [-]."""
        return float(self.test.flow_m3_s.mean() / self.design_m3_s.mean())


def measured_sets(
    made: DesignedSystem, positions: Positions, caught: tuple[CaughtVolume, ...]
) -> tuple[SetDelivery, ...]:
    """Judge every set of which volumes were caught.

    Parameters
    ----------
    made : DesignedSystem
        As designed.
    positions : Positions
        The vines.
    caught : tuple of CaughtVolume
        At least four in each set that is named.

    Raises
    ------
    InputError
        If a line names a set, row or vine that isn't there, or too few were measured.
    """
    vine_at = {
        place: at
        for at, place in enumerate(
            zip(positions.row.tolist(), positions.number.tolist(), strict=True)
        )
    }
    own_nodes = np.flatnonzero(made.system.is_emitter)
    first_of = dict(
        zip(made.system.vine[own_nodes][::-1].tolist(), own_nodes[::-1].tolist(), strict=True)
    )
    by_set: dict[int, list[tuple[CaughtVolume, int]]] = {}
    for one in caught:
        node = _node(made, one, vine_at, first_of)
        by_set.setdefault(one.set_number - 1, []).append((one, node))
    return tuple(_judged(made, number, by_set[number]) for number in sorted(by_set))


def places_of_sets(made: DesignedSystem) -> tuple[tuple[int, int], ...]:
    """Choose where to measure: set (from 0) and node of each dripper, four on four laterals."""
    laterals, found = made.system.laterals, []
    for number in range(len(made.system.sets)):
        own = np.flatnonzero(laterals.set_of == number)
        own = own[np.argsort(_distance(made, laterals.inlet[own]), kind="stable")]
        chosen = places_to_measure(laterals.emitters[own])
        found += [
            (number, int(node)) for node in laterals.first[own[chosen.lateral]] + chosen.dripper
        ]
    return tuple(found)


def _node(
    made: DesignedSystem,
    one: CaughtVolume,
    vine_at: dict[tuple[int, int], int],
    first_of: dict[int, int],
) -> int:
    count = len(made.system.sets)
    if one.set_number > count:
        raise InputError(f"{one.where}: set", f"set {one.set_number}", f"1 to {count}")
    at = vine_at.get((one.row, one.vine))
    if at is None or at not in first_of:
        raise InputError(
            one.where, f"row {one.row}, vine {one.vine}", "a vine of the plan with a dripper"
        )
    true = int(made.system.vine_set[at]) + 1
    if true != one.set_number:
        raise InputError(
            f"{one.where}: set",
            f"set {one.set_number} for row {one.row}, vine {one.vine}",
            f"set {true}, which waters it",
        )
    return first_of[at]


def _judged(
    made: DesignedSystem, number: int, lines: list[tuple[CaughtVolume, int]]
) -> SetDelivery:
    caught, nodes = [one for one, _ in lines], np.array([node for _, node in lines], np.int64)
    designed = made.emitter_flow_m3_s[nodes]
    design = np.where(designed > 0.0, designed, made.law.flow_m3_s)
    test = delivery_test(
        [one.volume_ml for one in caught],
        [one.seconds for one in caught],
        design_m3_s=design,
        exponent=made.law.exponent,
        where=f"{caught[0].where.partition(':')[0]}: set {number + 1}",
    )
    distance = _distance(made, nodes)
    return SetDelivery(
        number=number,
        row=np.array([one.row for one in caught], np.int64),
        vine=np.array([one.vine for one in caught], np.int64),
        node=nodes,
        distance_m=distance,
        design_m3_s=design,
        test=test,
        design_pct=float(made.runs.emission_pct[number]),
        cause=_cause(test, distance, float(made.runs.emission_pct[number])),
    )


def _cause(test: DeliveryTest, distance_m: Values, design_pct: float) -> str:
    share = test.share_of_design
    if test.low_quarter_pct < design_pct:
        return "pressure" if _rank_correlation(share, distance_m) <= FAR_ENDS else "clogging"
    return "supply" if share.mean() < LOW_AS_A_WHOLE else ""


def _rank_correlation(one: Values, other: Values) -> float:
    """Spearman's rank correlation, ties at their mean rank; 0 where one never changes."""
    if np.ptp(one) == 0.0 or np.ptp(other) == 0.0:
        return 0.0
    found = float(np.corrcoef(_ranks(one), _ranks(other))[0, 1])
    return found if math.isfinite(found) else 0.0


def _ranks(values: Values) -> Values:
    _, at, counts = np.unique(values, return_inverse=True, return_counts=True)
    return np.asarray((np.cumsum(counts) - (counts - 1) / 2.0)[at])


def _distance(made: DesignedSystem, nodes: Whole) -> Values:
    """Way of the water from the source to each node. [m]."""
    system, found = made.system, []
    for start in nodes.tolist():
        at, metres = start, 0.0
        while at > 0:
            metres += float(system.length_m[at])
            at = int(system.parent[at])
        found.append(metres)
    return np.array(found)
