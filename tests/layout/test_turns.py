"""Lengths and depths of turns, and what they cost in time."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from aanplant.layout.turns import (
    Machine,
    field_efficiency,
    fishtail_turn,
    fitting,
    omega_turn,
    pass_time_s,
    path,
    possible,
    u_turn,
)

EVALUATED = "turn of circles and straights (Dubins), formula evaluated apart from this program"
radii = st.floats(2.0, 6.0)
steps = st.floats(1.5, 15.0)


@pytest.mark.published(
    source="Pythagoras: side circles 2r from the bulb's centre, on paper",
    quantity="omega turn, radius 5 m, alleys 6 m apart, depth",
    unit="m",
)
def test_the_depth_of_an_omega_turn_with_whole_numbers(published):
    # r + w/2 = 8 and 2r = 10 make a triangle of 6, 8, 10: the bulb's centre lies 6 m out.
    published.equal(omega_turn(5.0, 6.0).depth_m, printed=11.0, tolerance=1e-9)


@pytest.mark.published(source=EVALUATED, quantity="length of a headland turn", unit="m")
@pytest.mark.parametrize(
    ("turn", "radius", "step", "printed"),
    [
        (omega_turn, 3.5, 2.5, 22.545),
        (fishtail_turn, 3.5, 2.5, 15.496),
        (omega_turn, 3.5, 5.0, 18.571),
        (u_turn, 3.5, 7.0, 10.996),
        (u_turn, 3.5, 7.5, 11.496),
        (omega_turn, 4.0, 2.5, 26.246),
    ],
)
def test_lengths_of_turns(published, turn, radius, step, printed):
    made = turn(radius, step)

    published.equal(
        made.length_m, printed=printed, tolerance=0.0005,
        label=f"{made.kind}, radius {radius} m, step {step} m",
    )  # fmt: skip


@pytest.mark.published(source=EVALUATED, quantity="depth of an omega turn", unit="m")
@pytest.mark.parametrize(
    ("radius", "step", "printed"), [(3.5, 2.5, 8.642), (3.5, 5.0, 7.106), (4.0, 2.5, 10.036)]
)
def test_depths_of_omega_turns(published, radius, step, printed):
    published.equal(
        omega_turn(radius, step).depth_m, printed=printed, tolerance=0.0005,
        label=f"radius {radius} m, step {step} m",
    )  # fmt: skip


@pytest.mark.published(
    source=EVALUATED, quantity="field efficiency, 6 km/h in rows, 4 km/h in an omega", unit="-"
)
@pytest.mark.parametrize(("row_m", "printed"), [(200.0, 0.8554), (100.0, 0.7473)])
def test_field_efficiency_of_long_and_short_rows(published, row_m, printed):
    efficiency = field_efficiency(row_m, omega_turn(3.5, 2.5), Machine())

    published.equal(efficiency, printed=printed, tolerance=0.00005, label=f"rows of {row_m:g} m")


@given(radius=radii, step=steps)
def test_the_path_drawn_has_the_length_and_depth_of_the_formula(radius, step):
    for turn in possible(radius, step):
        way = path(turn, radius, step)

        assert shapely.length(shapely.linestrings(way)) == pytest.approx(turn.length_m, rel=1e-3)
        assert way[:, 1].max() == pytest.approx(turn.depth_m, rel=2e-3)
        assert np.abs(way[:, 0]).max() <= turn.half_extent_m + 1e-9
        assert way[:, 1].min() >= -1e-9
        np.testing.assert_allclose(way[[0, -1]], [[-step / 2, 0], [step / 2, 0]], atol=1e-9)


@given(radius=radii, step=steps)
def test_the_machine_leaves_and_enters_the_alleys_straight(radius, step):
    for turn in possible(radius, step):
        way = path(turn, radius, step)

        leaving, entering = way[1] - way[0], way[-1] - way[-2]
        assert np.arctan2(abs(leaving[0]), leaving[1]) < np.radians(2.6)
        assert np.arctan2(abs(entering[0]), -entering[1]) < np.radians(2.6)


@given(radius=radii)
def test_all_turns_are_a_half_circle_where_alleys_are_two_radii_apart(radius):
    half_circle = np.pi * radius

    for turn in (u_turn, omega_turn, fishtail_turn):
        made = turn(radius, 2.0 * radius)
        assert made.length_m == pytest.approx(half_circle)
        assert made.depth_m == pytest.approx(radius, abs=1e-6)


@pytest.mark.parametrize(
    ("step", "room", "kind"),
    [
        (2.5, 9.6, "omega"),
        (2.5, 9.5, "fishtail"),
        (2.5, 4.3, None),
        (7.5, 4.5, "u"),
        (7.5, 4.3, None),
    ],
)
def test_the_best_turn_is_one_without_stops_where_there_is_room(step, room, kind):
    turn = fitting(3.5, step, room_m=room, machine_width_m=1.8)

    assert (turn.kind if turn else None) == kind


def test_time_is_rows_and_turns_and_stops():
    turn = fishtail_turn(3.5, 2.5)

    time_s = pass_time_s(1000.0, 10, turn, row_speed_m_s=2.0, turn_speed_m_s=1.0, stop_s=4.0)

    assert time_s == pytest.approx(500.0 + 10 * (turn.length_m + 8.0))


@pytest.mark.parametrize(
    ("turn", "radius", "step"),
    [(u_turn, 3.5, 6.9), (omega_turn, 3.5, 7.1), (fishtail_turn, 3.5, 7.1), (omega_turn, 0.0, 2.5)],
)
def test_a_turn_that_cannot_be_made_is_refused(turn, radius, step):
    with pytest.raises(ValueError, match="got"):
        turn(radius, step)
