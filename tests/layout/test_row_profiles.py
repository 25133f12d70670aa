"""Rows on a slope: grades, length along the ground, and spacing held along it."""

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, box

from aanplant.layout.pegged_lines import BaseLine, Tie
from aanplant.layout.positions import place
from aanplant.layout.row_profiles import row_profiles, row_slopes
from aanplant.layout.rows import fit
from aanplant.layout.setting_out import set_out
from tests.site.hills import plane, terrain_on

FIELD = box(-80.0, -60.0, 90.0, 70.0)


def hill(xy):
    """A smooth hill, 40 m high."""
    return 300.0 + 40.0 * np.exp(-(np.asarray(xy) ** 2).sum(axis=1) / 80.0**2)


def slopes_of(rows, positions, terrain):
    return row_slopes(row_profiles(rows, terrain), positions.row_start_m, positions.row_length_m)


@pytest.mark.published(
    source="arithmetic: slope 20 %, downhill 300 deg", quantity="grade of a row laid out", unit="%"
)
@pytest.mark.parametrize(
    ("bearing", "along", "across"), [(0.0, 10.00, 17.32), (165.0, 14.14, 14.14)]
)
def test_rows_on_a_plane_have_the_grade_of_their_bearing(published, bearing, along, across):
    downhill = np.radians(300.0)
    terrain = terrain_on(lambda xy: plane(xy, -0.2 * np.sin(downhill), -0.2 * np.cos(downhill)))
    rows = fit(FIELD, bearing, 2.5)
    positions = place(rows, 1.2)

    slopes = slopes_of(rows, positions, terrain)

    held = positions.row_length_m > 12
    for name, values, printed in (
        ("along", slopes.grade_percent, along),
        ("mean along", slopes.mean_grade_percent, along),
        ("across", slopes.across_percent, across),
    ):
        assert np.ptp(np.abs(values[held])) < 1e-6
        published.equal(
            abs(values[held][0]), printed=printed, tolerance=0.005, label=f"{name} {bearing:g}"
        )


def test_downhill_grades_are_below_nought_and_a_fall_to_the_right_above():
    terrain = terrain_on(lambda xy: plane(xy, -0.10, -0.05))  # falls to the east and north
    rows = fit(FIELD, 0.0, 2.5)  # northward

    slopes = slopes_of(rows, place(rows, 1.2), terrain)

    assert slopes.mean_grade_percent == pytest.approx(-5.0)
    assert slopes.across_percent == pytest.approx(10.0)


@pytest.mark.published(
    source="arithmetic: 200 m at 15 %: 2.24 m more along the ground",
    quantity="length of a row the plan does not show",
    unit="m",
)
def test_length_along_the_ground_of_a_row_of_200_m(published):
    terrain = terrain_on(lambda xy: plane(xy, 0.0, 0.15), cell=5.0)
    rows = fit(box(-2.0, -100.0, 2.0, 100.0), 0.0, 4.0)

    slopes = slopes_of(rows, place(rows, 1.2, pattern="free"), terrain)

    published.equal(slopes.ground_m[0] - 200.0, printed=2.24, tolerance=0.005)


@settings(max_examples=25)
@given(st.floats(0.0, 179.0), st.floats(0.5, 3.0), st.floats(0.0, 2.0))
def test_vines_spaced_along_the_ground_are_so_and_none_is_missing(bearing, spacing, gap):
    terrain = terrain_on(hill)
    rows = fit(FIELD, bearing, 5.0, shortest_m=10.0)
    profiles = row_profiles(rows, terrain)

    positions = place(
        rows, spacing, pattern="free", end_gap_m=gap, post_every=4, along_ground=profiles
    )

    starts = positions.end_posts_xy[::2]
    first = np.searchsorted(positions.piece, np.unique(positions.piece))
    for piece, begin in zip(np.unique(positions.piece), first, strict=True):
        own = np.flatnonzero(positions.piece == piece)
        walked = np.hypot(*(positions.xy[own] - rows.start_xy[piece]).T)
        # Rows have some 5 m between samples at most; the ground between them is straight.
        ground = profiles.ground_at(np.full(len(own), piece), walked)
        assert np.diff(ground) == pytest.approx(spacing, abs=1e-6)
        assert ground[0] == pytest.approx(gap, abs=1e-6)
        whole = profiles.ground_at(np.array([piece]), rows.length_m[[piece]])[0]
        room = whole - gap - ground[-1]
        assert -1e-6 <= room < spacing + 1e-6
        fine = terrain.profile([rows.start_xy[piece], rows.end_xy[piece]], step_m=0.25)
        assert whole == pytest.approx(fine.ground_m[-1], rel=2e-3)
        assert begin == own[0]
    posts = profiles.ground_at(
        positions.line_posts_piece,
        np.hypot(*(positions.line_posts_xy - rows.start_xy[positions.line_posts_piece]).T),
    )
    # Mid-way after every fourth vine.
    assert ((posts - gap) / spacing) % 4 == pytest.approx(3.5, abs=1e-4)
    assert len(starts) == len(np.unique(positions.piece))


def test_on_level_ground_spacing_along_the_ground_changes_nothing():
    terrain = terrain_on(lambda xy: plane(xy, 0.0, 0.0))
    rows = fit(FIELD, 33.0, 2.5)
    skip = Point(0.0, 0.0).buffer(9.0)

    flat, ground = (
        place(
            rows, 1.2, pattern="free", end_gap_m=0.6, skip=skip, anchor_distance_m=1.5,
            along_ground=profiles,
        )
        for profiles in (None, row_profiles(rows, terrain))
    )  # fmt: skip

    assert ground.xy == pytest.approx(flat.xy, abs=1e-6)
    assert ground.line_posts_xy == pytest.approx(flat.line_posts_xy, abs=1e-6)
    assert ground.left_out == flat.left_out


def test_steeper_rows_hold_more_vines_when_spaced_along_the_ground():
    rows = fit(box(-2.0, -100.0, 2.0, 100.0), 0.0, 4.0)
    terrain = terrain_on(lambda xy: plane(xy, 0.0, 0.2))

    on_plan = place(rows, 1.0, pattern="free")
    on_ground = place(rows, 1.0, pattern="free", along_ground=row_profiles(rows, terrain))

    assert (len(on_plan), len(on_ground)) == (201, 204)  # 200 m x 1.0198 = 203.96 m


def test_rows_beyond_the_heights_are_told_as_unknown_and_lie_level():
    terrain = terrain_on(plane, half=50.0)
    rows = fit(FIELD, 0.0, 2.5)
    positions = place(rows, 1.2)

    slopes = slopes_of(rows, positions, terrain)

    outside = np.abs(rows.across_m) > 50.0
    assert np.isnan(slopes.grade_percent[outside]).all()
    assert slopes.ground_m[outside] == pytest.approx(positions.row_length_m[outside])


def test_spacing_along_the_ground_needs_rows_that_begin_anew():
    rows = fit(FIELD, 0.0, 2.5)

    with pytest.raises(ValueError, match="needs the pattern 'free'"):
        place(rows, 1.2, along_ground=row_profiles(rows, terrain_on(plane)))


def test_tape_distances_follow_the_ground_where_vines_do():
    rows = fit(FIELD, 0.0, 5.0)
    positions = place(
        rows, 1.5, pattern="free", end_gap_m=0.5, along_ground=row_profiles(rows, terrain_on(hill))
    )
    side = BaseLine(
        np.array([-80.0, -60.0]), np.array([90.0, -60.0]), Tie(0, 1, 0.0, 170.0),
        Tie(1, 0, 0.0, 170.0), 0.0, 170.0, 90.0, 100.0,
    )  # fmt: skip

    runs = set_out(side, rows, positions).vines

    assert len(runs.piece) == len(rows)  # one run a row
    assert runs.step_m == pytest.approx(1.5, abs=1e-6)
    assert runs.first_m == pytest.approx(0.5, abs=1e-6)
    assert runs.last_m == pytest.approx(0.5 + 1.5 * (runs.count - 1), abs=1e-6)


def test_an_empty_block_has_no_slopes():
    rows = fit(FIELD, 0.0, 2.5, shortest_m=1000.0)
    positions = place(rows, 1.2)

    slopes = slopes_of(rows, positions, terrain_on(plane))

    assert all(len(getattr(slopes, item.name)) == 0 for item in dataclasses.fields(slopes))
