"""Base lines run smoothly within their tolerance, and offsets keep their distance."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from aanplant.layout.curves import CHORD_ERROR_M, arc, chord_offset_m, smoothed


def wandering(seed):
    """A drawn line of a few hundred metres that bends to and fro."""
    random = np.random.default_rng(seed)
    heading = np.cumsum(random.normal(0.0, 0.25, 30))
    steps = 10.0 * np.stack([np.cos(heading), np.sin(heading)], axis=1)
    return np.cumsum(steps, axis=0)


@pytest.mark.published(
    source="references C2, chord of posts 6 m apart on a curve: s²/(8 R)",
    quantity="offset of a curve from the middle of its chord",
    unit="mm",
)
def test_a_curve_stands_off_its_chord_as_the_reference_says(published):
    published.equal(
        1000.0 * float(chord_offset_m(6.0, 200.0)), printed=22.5, tolerance=0.05, label="R 200 m"
    )
    published.equal(
        1000.0 * float(chord_offset_m(6.0, 50.0)), printed=90.0, tolerance=0.5, label="R 50 m"
    )


def test_vines_on_a_tight_curve_hardly_feel_their_chord():
    # references C2: vine chord error negligible, 0.08 mm at 1.2 m on R 30 (arc less chord).
    arc_less_chord_m = 1.2 - 2.0 * 30.0 * np.sin(1.2 / 60.0)

    assert 1000.0 * arc_less_chord_m == pytest.approx(0.08, abs=0.005)


@settings(max_examples=25)
@given(seed=st.integers(0, 10_000), tolerance=st.floats(0.1, 5.0))
def test_a_smoothed_line_stays_within_its_tolerance(seed, tolerance):
    line = wandering(seed)

    curve = smoothed(line, tolerance)

    away = shapely.distance(shapely.LineString(line), shapely.points(curve.xy))
    assert away.max() <= tolerance + CHORD_ERROR_M
    assert np.allclose(np.hypot(*curve.tangent_xy.T), 1.0)
    assert (np.diff(curve.chainage_m) > 0.0).all()


@settings(max_examples=25)
@given(seed=st.integers(0, 10_000))
def test_more_tolerance_makes_a_line_bend_no_more(seed):
    line = wandering(seed)

    bends = [
        np.sum(np.square(curve.curvature[1:]) * np.diff(curve.chainage_m))
        for curve in (smoothed(line, 0.2), smoothed(line, 2.0))
    ]

    assert bends[1] <= bends[0] * 1.001


def test_a_line_that_is_straight_within_the_tolerance_becomes_straight():
    x = np.linspace(0.0, 200.0, 50)

    curve = smoothed(np.column_stack([x, 0.25 * x + 0.3 * np.sin(x)]), 0.5)

    assert len(curve.xy) == 2
    np.testing.assert_allclose(
        curve.tangent_xy[0], np.array([4.0, 1.0]) / np.hypot(4, 1), atol=0.01
    )


def test_a_circle_smoothed_keeps_its_radius_away_from_its_ends():
    drawn = arc((0.0, 0.0), 100.0, 0.0, 120.0).xy

    curve = smoothed(drawn, 0.02)

    middle = (curve.chainage_m > 40.0) & (curve.chainage_m < curve.length_m - 40.0)
    np.testing.assert_allclose(curve.curvature[middle], -0.01, rtol=0.02)
    np.testing.assert_allclose(np.hypot(*curve.xy.T), 100.0, atol=0.03)


@pytest.mark.parametrize("across", [-60.0, -2.5, 0.0, 2.5, 60.0])
def test_offsets_of_a_circle_are_circles_about_the_same_centre(across):
    # Geometry: a curve that bends to the right offset to its right comes nearer the centre.
    curve = arc((7.0, -3.0), 100.0, 10.0, 200.0, reach_m=60.0)

    xy = curve.offset(across, curve.chainage_m) - [7.0, -3.0]

    np.testing.assert_allclose(np.hypot(*xy.T), 100.0 - across, atol=1e-9)
    np.testing.assert_allclose(curve.stretch(across, curve.chainage_m), 1.0 - across / 100.0)


def test_chords_stay_within_two_millimetres_of_the_curve_out_to_the_reach():
    curve = arc((0.0, 0.0), 50.0, 200.0, 10.0, reach_m=80.0)

    middles = (curve.chainage_m[1:] + curve.chainage_m[:-1]) / 2.0
    for across in (0.0, 80.0):
        away = 50.0 + across - np.hypot(*curve.offset(across, middles).T)
        assert 0.0 < away.max() <= CHORD_ERROR_M * 1.01


def test_a_curve_walked_backwards_and_run_on_is_the_same_line():
    curve = smoothed(wandering(3), 0.5)

    back = curve.reversed()
    longer = curve.extended(35.0)

    np.testing.assert_allclose(back.offset(4.0, 0.0), curve.offset(-4.0, curve.length_m))
    np.testing.assert_allclose(
        longer.offset(4.0, curve.chainage_m), curve.offset(4.0, curve.chainage_m)
    )
    assert longer.length_m == pytest.approx(curve.length_m + 70.0)
    np.testing.assert_allclose(longer.xy[0], curve.xy[0] - 35.0 * curve.tangent_xy[0])
    assert (np.diff(longer.chainage_m) > 0.0).all()


@pytest.mark.parametrize("line", [[[1.0, 2.0], [1.0, 2.0]], [[0.0, 0.0]]])
def test_a_line_without_length_is_refused(line):
    with pytest.raises(ValueError, match="apart"):
        smoothed(np.array(line), 1.0)


def test_a_tolerance_of_nothing_is_refused():
    with pytest.raises(ValueError, match="tolerance"):
        smoothed(wandering(1), 0.0)
