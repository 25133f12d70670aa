"""Directions are counted as rows are fitted, and the recommended one follows the rule stated."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import Polygon, box

from aanplant.layout.direction import Criterion, Sweep, sweep
from aanplant.layout.direction_choice import pareto, recommend
from aanplant.layout.positions import count
from aanplant.layout.rows import fit
from aanplant.layout.turns import Machine, fishtail_turn, omega_turn
from tests.layout.ground import bearings, fields

ROOM: dict[str, Any] = {"headland_m": 9.5, "side_margin_m": 3.0, "shortest_m": 20.0}
TURN = omega_turn(3.5, 2.5)


@given(
    field=fields(),
    some=st.lists(bearings, min_size=1, max_size=3, unique=True),
    pattern=st.sampled_from(["square", "offset", "free"]),
    rule=st.sampled_from(["along the row", "square to the edge"]),
)
def test_a_sweep_counts_what_fitting_and_counting_give(field, some, pattern, rule):
    swept = sweep(
        field, 2.5, 1.2, bearings_deg=some, offsets=4, pattern=pattern, end_gap_m=0.6,
        headland_rule=rule, **ROOM,
    )  # fmt: skip

    for i, bearing in enumerate(some):
        tried = [
            fit(field, bearing, 2.5, offset_m=step * 0.625, headland_rule=rule, **ROOM)
            for step in range(4)
        ]
        vines = [count(rows, 1.2, pattern=pattern, end_gap_m=0.6) for rows in tried]
        best = int(np.argmax([each.sum() for each in vines]))
        held = vines[best] > 0
        assert swept.vines[i] == vines[best].sum()
        assert swept.offset_m[i] == pytest.approx(best * 0.625)
        assert swept.row_ends[i] == 2 * held.sum()
        assert swept.rows[i] == len(np.unique(tried[best].line[held]))
        mean = tried[best].length_m[held].mean() if held.any() else 0.0
        assert swept.mean_row_length_m[i] == pytest.approx(mean)
        short = tried[best].dropped_count + (tried[best].length_m < 50.0).sum()
        assert swept.short_rows[i] == short


@given(field=fields(), bearing=bearings)
def test_rows_cut_by_alleys_are_counted_nearly_as_fitted(field, bearing):
    cut: dict[str, Any] = {"longest_m": 60.0, "cross_alley_m": 8.0}

    swept = sweep(field, 2.5, 1.2, bearings_deg=[bearing], offsets=4, end_gap_m=0.6, **ROOM, **cut)

    rows = fit(field, bearing, 2.5, offset_m=float(swept.offset_m[0]), **ROOM, **cut)
    vines = count(rows, 1.2, end_gap_m=0.6).sum()
    # One set of alleys serves all offsets: a few vines a row, or one alley, may differ.
    across = np.ptp(np.unique(rows.row)) + 1 if len(rows) else 1
    assert abs(int(swept.vines[0]) - int(vines)) <= (8.0 / 1.2 + 2 * 20.0 / 1.2 + 4) * across


def test_an_exclusion_is_left_out_of_the_sweep():
    dam = box(40, 40, 60, 60)

    beside = sweep(box(0, 0, 100, 100), 2.5, 1.2, bearings_deg=[0, 30], exclusions=[dam])
    hole = sweep(box(0, 0, 100, 100).difference(dam), 2.5, 1.2, bearings_deg=[0, 30])

    np.testing.assert_array_equal(beside.vines, hole.vines)


def test_a_long_block_gets_rows_along_its_long_side():
    block = affinity.rotate(box(-150, -40, 150, 40), 25.0, origin=(0, 0))

    swept = sweep(block, 2.5, 1.2, end_gap_m=0.6, headland_m=9.5, side_margin_m=3.0)

    # The long side runs 25 degrees anticlockwise from east: 65 clockwise from north.
    assert swept.bearing_deg[recommend(swept)] == 65.0


def test_of_bearings_as_good_the_smallest_is_recommended():
    swept = sweep(box(0, 0, 100, 100), 2.5, 2.5, bearings_deg=[90, 0])

    assert swept.bearing_deg[recommend(swept)] == 0.0


def test_machine_time_is_a_pass_along_every_row_with_a_turn_after_each():
    machine = Machine(row_speed_m_s=2.0, turn_speed_m_s=1.0, stop_s=5.0)
    swept = sweep(box(0, 0, 100, 60), 2.5, 1.2, bearings_deg=[0], headland_m=8.0, machine=machine)

    # 8 m are too few for an omega of 8.64 m and half a machine: the fishtail it is.
    turn = fishtail_turn(3.5, 2.5)
    expected_s = 40 * (44.0 / 2.0 + turn.length_m / 1.0 + 2 * 5.0)
    assert swept.turn == turn
    assert swept.machine_time_h[0] == pytest.approx(expected_s / 3600.0)


# --- choosing -------------------------------------------------------------------------------


def table(vines, ends, length, time, short):
    """A sweep with the columns given."""
    columns = [np.asarray(column) for column in (vines, ends, length, time, short)]
    size = len(columns[0])
    return Sweep(
        bearing_deg=np.arange(size, dtype=float), offset_m=np.zeros(size), vines=columns[0],
        rows=columns[1], row_ends=columns[1], mean_row_length_m=columns[2].astype(float),
        machine_time_h=columns[3].astype(float), short_rows=columns[4], turn=TURN,
    )  # fmt: skip


small = st.integers(0, 3)
tables = st.integers(1, 8).flatmap(
    lambda size: st.tuples(*[st.lists(small, min_size=size, max_size=size)] * 5)
)


@given(columns=tables)
def test_just_the_bearings_that_another_beats_are_not_on_the_front(columns):
    swept = table(*columns)

    front = pareto(swept)

    good = np.stack(columns, axis=1) * [1, -1, 1, -1, -1]
    for i in range(len(swept)):
        beaten = any(
            (good[k] >= good[i]).all() and (good[k] > good[i]).any() for k in range(len(swept))
        )
        assert front[i] == (not beaten)


@given(columns=tables)
def test_the_recommended_bearing_keeps_nearly_all_vines_and_takes_least_time(columns):
    swept = table([1000 + 5 * vines for vines in columns[0]], *columns[1:])

    best = recommend(swept)

    candidates = pareto(swept) & (swept.vines >= 0.99 * swept.vines.max())
    assert candidates[best]
    assert swept.machine_time_h[best] == swept.machine_time_h[candidates].min()
    as_quick = candidates & (swept.machine_time_h == swept.machine_time_h[best])
    assert best == np.flatnonzero(as_quick)[0]


def test_fewer_vines_than_allowed_are_not_recommended_however_quick():
    swept = table([1000, 980], [10, 2], [50, 90], [9.0, 1.0], [0, 0])

    assert recommend(swept) == 0
    assert recommend(swept, vines_within=0.05) == 1


def test_a_criterion_of_another_stage_takes_part():
    swept = table([1000, 1000], [10, 8], [50, 60], [9.0, 8.0], [0, 0])
    assert pareto(swept).tolist() == [False, True]

    with_sun = swept.with_criterion(Criterion("interception", "up", np.array([0.6, 0.4])))

    assert pareto(with_sun).tolist() == [True, True]
    assert recommend(with_sun) == 1
    assert recommend(with_sun, weights={"interception": 1.0}) == 0
    assert recommend(with_sun, weights={"interception": 1.0, "machine_time_h": 3.0}) == 1


def test_a_criterion_is_refused_when_its_name_is_taken_or_a_value_is_missing():
    swept = table([1000, 1000], [10, 8], [50, 60], [9.0, 8.0], [0, 0])

    with pytest.raises(ValueError, match="already"):
        swept.with_criterion(Criterion("vines", "up", np.zeros(2)))
    with pytest.raises(ValueError, match="need 2"):
        swept.with_criterion(Criterion("slope", "down", np.zeros(3)))


def test_a_choice_that_means_nothing_is_refused():
    swept = table([1000], [10], [50], [9.0], [0])

    with pytest.raises(ValueError, match="no criterion beauty"):
        recommend(swept, weights={"beauty": 1.0})
    with pytest.raises(ValueError, match="no bearings"):
        recommend(table([], [], [], [], []))
    with pytest.raises(ValueError, match="offsets"):
        sweep(box(0, 0, 9, 9), 2.5, 1.2, offsets=0)


def test_a_block_too_small_for_a_row_is_swept_all_the_same():
    swept = sweep(Polygon([(0, 0), (9, 0), (0, 9)]), 2.5, 1.2, bearings_deg=[0, 90], **ROOM)

    assert swept.vines.tolist() == [0, 0]
    assert swept.bearing_deg[recommend(swept)] == 0.0
