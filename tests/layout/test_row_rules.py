"""Bearings are counted once for the same ground and rules, and can be stopped meanwhile."""

import dataclasses

import pytest
from shapely.geometry import Point, Polygon

from aanplant.errors import Cancelled
from aanplant.layout.lattice import Lattice
from aanplant.layout.row_rules import BEARINGS, RowRules, counted
from aanplant.layout.turns import Machine

RULES = RowRules(
    ground=Polygon([(-40, -30), (45, -35), (50, 30), (-30, 40)]),
    skip=Point().buffer(0),
    terrain=None,
    row_width_m=2.5,
    lattice=Lattice(1.2, "square", 0.6, 0.0),
    headland_m=7.0,
    side_margin_m=2.0,
    headland_rule="along the row",
    shortest_m=10.0,
    longest_m=None,
    cross_alley_m=5.0,
    anchor_distance_m=1.5,
    corner="north-west",
    machine=Machine(),
)


def counted_with(rules):
    told: list[float] = []
    found = counted(rules, told.append)
    return found, told


def test_the_same_ground_and_rules_are_counted_once():
    rules = dataclasses.replace(RULES, headland_m=7.25)

    first, told = counted_with(rules)
    again, told_again = counted_with(dataclasses.replace(rules, ground=Polygon(rules.ground)))

    assert again is first
    assert (len(told), told[-1], told_again) == (BEARINGS, 1.0, [])


def test_another_rule_or_another_ground_is_counted_anew():
    first, _ = counted_with(RULES)

    wider, _ = counted_with(dataclasses.replace(RULES, row_width_m=3.0))
    smaller, _ = counted_with(dataclasses.replace(RULES, ground=RULES.ground.buffer(-5.0)))

    assert wider.sweep.vines.max() < first.sweep.vines.max()
    assert smaller.sweep.vines.max() < first.sweep.vines.max()


def test_counting_stops_at_once_and_keeps_nothing_half_done():
    rules = dataclasses.replace(RULES, headland_m=8.5)

    def overtaken(done):
        if done > 0.1:
            raise Cancelled

    with pytest.raises(Cancelled):
        counted(rules, overtaken)

    found, told = counted_with(rules)
    assert len(told) == BEARINGS == len(found.sweep)


def test_rows_are_laid_once_at_a_bearing():
    found, _ = counted_with(RULES)

    rows, measured = found.laid_at(RULES, 30.0)

    assert found.laid_at(RULES, 30.0)[0] is rows
    assert (rows.bearing_deg, measured) == (30.0, {})
