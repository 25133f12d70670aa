"""Numbers begin at the corner asked for, and stay when the ground hardly changes."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely.geometry import MultiPolygon, Polygon, box

from aanplant.layout.numbering import CORNERS, numbered_from
from aanplant.layout.positions import place
from aanplant.layout.rows import fit
from tests.layout.ground import bearings, fields, in_order, unit_vectors

corners = st.sampled_from(sorted(CORNERS))
FIELD = Polygon([(0, 0), (120, -20), (200, 60), (150, 90), (160, 180), (60, 140), (-20, 170)])


@pytest.mark.parametrize(
    ("bearing", "corner", "first_vine"),
    [
        (0.0, "north-west", (1.0, 99.0)),
        (0.0, "north-east", (58.5, 99.0)),
        (0.0, "south-west", (1.0, 1.0)),
        (0.0, "south-east", (58.5, 1.0)),
        (90.0, "north-west", (1.0, 99.0)),
        (90.0, "south-east", (59.0, 1.5)),
        (180.0, "north-east", (58.5, 99.0)),
    ],
)
def test_the_first_vine_stands_at_the_corner(bearing, corner, first_vine):
    rows = numbered_from(fit(box(0, 0, 60, 100), bearing, 2.5, offset_m=1.0), corner)

    vines = place(rows, 1.0, pattern="free", end_gap_m=1.0)

    assert (vines.row[0], vines.number[0]) == (1, 1)
    np.testing.assert_allclose(vines.xy[0], first_vine, atol=2.5)


@given(field=fields(), bearing=bearings, corner=corners)
def test_row_one_and_the_starts_lie_towards_the_corner(field, bearing, corner):
    along, across = unit_vectors(bearing)
    towards = np.array(CORNERS[corner]) / np.sqrt(2.0)
    assume(min(abs(along @ towards), abs(across @ towards)) > 0.02)

    rows = numbered_from(fit(field, bearing, 2.5, headland_m=8.0, side_margin_m=3.0), corner)

    assume(len(rows))
    nearness = rows.across_m * (across @ towards)
    assert (rows.row[np.argsort(-nearness, kind="stable")] == np.sort(rows.row)).all()
    assert ((rows.start_xy - rows.end_xy) @ towards > 0).all()


@given(field=fields(), bearing=bearings, corner=corners, again=corners)
def test_numbering_moves_no_row_and_no_vine(field, bearing, corner, again):
    rows = fit(field, bearing, 2.5, headland_m=8.0, side_margin_m=3.0)

    numbered = numbered_from(numbered_from(rows, again), corner)

    direct = numbered_from(rows, corner)
    np.testing.assert_array_equal(numbered.row, direct.row)
    np.testing.assert_array_equal(numbered.start_xy, direct.start_xy)
    vines, plain = place(numbered, 1.2, end_gap_m=0.6), place(rows, 1.2, end_gap_m=0.6)
    np.testing.assert_allclose(in_order(vines.xy), in_order(plain.xy), atol=1e-9)
    np.testing.assert_allclose(
        in_order(vines.line_posts_xy), in_order(plain.line_posts_xy), atol=1e-9
    )


@given(field=fields(), bearing=bearings, corner=corners)
def test_numbers_grow_along_rows_and_parts(field, bearing, corner):
    rows = numbered_from(fit(field, bearing, 2.5, longest_m=30.0, cross_alley_m=4.0), corner)

    assume(len(rows))
    order = np.lexsort((rows.part, rows.row))
    np.testing.assert_array_equal(order, np.arange(len(rows)))
    sign = 1.0 if rows.runs_with_bearing else -1.0
    same_row = np.diff(rows.row) == 0
    assert (sign * np.diff(rows.along_start_m)[same_row] > 0).all()
    assert rows.row[0] == 1


@pytest.mark.parametrize("tie", [45.0, 135.0])
@given(step=st.floats(-0.9, 0.9), corner=corners)
def test_rows_half_way_between_corners_keep_their_numbers(tie, step, corner):
    exact = numbered_from(fit(FIELD, tie, 2.5, offset_m=0.3), corner)
    nearly = numbered_from(fit(FIELD, tie + step, 2.5, offset_m=0.3), corner)

    towards_start = exact.start_xy[0] - exact.end_xy[0]
    assert towards_start @ (nearly.start_xy[0] - nearly.end_xy[0]) > 0
    assert (exact.across_m[-1] > exact.across_m[0]) == (nearly.across_m[-1] > nearly.across_m[0])


@given(
    noise=st.lists(st.floats(-0.007, 0.007), min_size=14, max_size=14),
    bearing=st.sampled_from([0.0, 23.0, 45.0, 90.0, 135.0]),
    corner=corners,
)
def test_a_centimetre_of_noise_changes_no_row_number(noise, bearing, corner):
    shaken = Polygon(np.array(FIELD.exterior.coords)[:-1] + np.array(noise).reshape(-1, 2))

    rows = numbered_from(fit(FIELD, bearing, 2.5, offset_m=0.9, shortest_m=20.0), corner)
    noisy = numbered_from(fit(shaken, bearing, 2.5, offset_m=0.9, shortest_m=20.0), corner)

    np.testing.assert_array_equal(rows.row, noisy.row)
    np.testing.assert_array_equal(rows.line, noisy.line)


def test_lines_without_a_row_are_counted():
    pieces = MultiPolygon([box(0, 0, 10, 50), box(20, 0, 30, 50)])

    rows = numbered_from(fit(pieces, 0.0, 2.5, offset_m=1.0), "south-east")

    np.testing.assert_array_equal(rows.row, [1, 2, 3, 4, 9, 10, 11, 12])


def test_no_rows_can_be_numbered():
    assert len(numbered_from(fit(box(0, 0, 1, 1), 0.0, 2.5, headland_m=5.0), "south-east")) == 0


def test_an_unknown_corner_is_refused():
    with pytest.raises(ValueError, match="corner"):
        numbered_from(fit(FIELD, 0.0, 2.5), "north")
