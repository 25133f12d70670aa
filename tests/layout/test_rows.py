"""Rows keep their room, are as long as they can be, and count as a plain grid counts."""

from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import assume, example, given
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import LineString, MultiPolygon, Polygon, box

from aanplant.layout.plantable import plantable
from aanplant.layout.positions import place
from aanplant.layout.rows import OFFSET_STEPS, fit
from tests.layout.ground import (
    bearings,
    fields,
    grid_points,
    in_order,
    scaled,
    unit_vectors,
)

ROUNDING_M = 2e-6


@given(field=fields(), bearing=bearings, offset=st.floats(0.0, 2.5))
def test_vines_are_the_lattice_points_that_contains_xy_finds(field, bearing, offset):
    # shapely.contains_xy on every lattice point is the outside reference.
    points = grid_points(field, bearing, 2.5, 1.2, offset)
    doubtful = shapely.distance(field.boundary, shapely.points(points)) < ROUNDING_M
    assume(not doubtful.any())

    vines = place(fit(field, bearing, 2.5, offset_m=offset), 1.2).xy

    expected = points[shapely.contains_xy(field, points[:, 0], points[:, 1])]
    assert vines.shape == expected.shape
    np.testing.assert_allclose(in_order(vines), in_order(expected), atol=1e-9)


@given(
    field=fields(),
    bearing=bearings,
    room=st.sampled_from([(8.0, 3.0), (3.0, 8.0), (9.5, 2.0), (5.0, 5.0), (6.0, 0.4)]),
)
@example(field=box(0, 0, 100, 60), bearing=0.0, room=(8.0, 3.0))
def test_every_row_ends_where_the_ellipse_around_its_end_touches_the_edge(field, bearing, room):
    headland, margin = room

    rows = fit(field, bearing, 2.5, headland_m=headland, side_margin_m=margin, offset_m=0.7)

    assume(len(rows))
    edge = scaled(field.boundary, bearing, headland, margin)
    ends = scaled(shapely.points(np.concatenate([rows.start_xy, rows.end_xy])), bearing, *room)
    np.testing.assert_allclose(shapely.distance(edge, ends), 1.0, atol=1e-9)
    along_rows = scaled(rows.lines(), bearing, headland, margin)
    assert shapely.distance(edge, along_rows).min() >= 1.0 - 1e-9


@given(field=fields(), bearing=bearings)
def test_from_every_row_end_the_headland_lies_free_straight_ahead(field, bearing):
    rows = fit(field, bearing, 2.5, headland_m=8.0, side_margin_m=3.0)

    along, _ = unit_vectors(bearing)
    ahead = np.stack([rows.end_xy, rows.end_xy + 8.0 * along], axis=1)
    behind = np.stack([rows.start_xy, rows.start_xy - 8.0 * along], axis=1)
    ways = shapely.linestrings(np.concatenate([ahead, behind]))
    assert shapely.covers(field.buffer(ROUNDING_M), ways).all()


@given(field=fields(), bearing=bearings, headland=st.floats(3.0, 12.0))
def test_every_point_of_a_row_keeps_the_side_margin(field, bearing, headland):
    rows = fit(field, bearing, 2.5, headland_m=headland, side_margin_m=3.0)

    assert shapely.distance(field.boundary, rows.lines()).min(initial=99.0) >= 3.0 - 1e-9
    assert shapely.covers(field, rows.lines()).all()


@given(
    field=fields(),
    bearing=bearings,
    room=st.sampled_from([(8.0, 3.0), (3.0, 8.0), (8.0, 0.0), (0.0, 4.0), (0.0, 0.0)]),
)
def test_rows_fitted_into_the_plantable_outline_are_the_same_rows(field, bearing, room):
    headland, margin = room

    rows = fit(field, bearing, 2.5, headland_m=headland, side_margin_m=margin, offset_m=0.3)
    outline = plantable(field, bearing, headland_m=headland, side_margin_m=margin)
    again = fit(outline, bearing, 2.5, offset_m=0.3)

    assert shapely.covers(outline.buffer(ROUNDING_M), rows.lines()).all()
    # The outline is up to 2 mm too large at rounded corners; more where a row grazes one.
    surplus = again.length_m.sum() - rows.length_m.sum()
    assert -0.001 <= surplus <= 0.04 * (len(again) + 2)


@given(field=fields(), bearing=bearings, turn=st.floats(-180.0, 180.0))
def test_turning_field_and_bearing_together_changes_no_row(field, bearing, turn):
    kwargs: dict[str, Any] = {"headland_m": 8.0, "side_margin_m": 3.0, "offset_m": 1.0}

    rows = fit(field, bearing, 2.5, **kwargs)
    # Shapely turns anticlockwise, a bearing clockwise.
    turned = fit(affinity.rotate(field, -turn, origin=(0, 0)), bearing + turn, 2.5, **kwargs)

    assume(rows.length_m.min(initial=1.0) > 1e-3)
    np.testing.assert_array_equal(rows.line, turned.line)
    np.testing.assert_allclose(rows.length_m, turned.length_m, atol=1e-6)


def test_corners_on_a_line_count_once():
    diamond = Polygon([(-10, 0), (0, -10), (10, 0), (0, 10)])

    rows = fit(diamond, 0.0, 5.0, offset_m=0.0)

    np.testing.assert_allclose(rows.across_m, [-5.0, 0.0, 5.0])
    np.testing.assert_allclose(rows.length_m, [10.0, 20.0, 10.0])


def test_a_line_along_the_low_edge_is_inside_and_one_along_the_high_edge_is_not():
    rows = fit(box(0, 0, 10, 30), 0.0, 2.5, offset_m=0.0)

    np.testing.assert_allclose(rows.across_m, [0.0, 2.5, 5.0, 7.5])


def test_a_line_at_just_the_margin_stays():
    rows = fit(box(-50, -25, 50, 25), 0.0, 2.5, offset_m=0.0, headland_m=8.0, side_margin_m=2.5)

    np.testing.assert_allclose(rows.across_m, np.arange(-47.5, 48.0, 2.5))
    np.testing.assert_allclose(rows.length_m, 34.0)


def test_rows_do_not_stop_at_a_border_between_two_parts_of_the_field():
    halves = MultiPolygon([box(0, 0, 40, 50), box(0, 50, 40, 120)])

    rows = fit(halves, 0.0, 2.5, offset_m=1.0, headland_m=8.0)

    np.testing.assert_allclose(rows.length_m, 104.0)


def test_rows_stop_before_an_exclusion_with_the_same_room_as_at_the_edge():
    rows = fit(
        box(0, 0, 40, 200), 0.0, 2.5,
        offset_m=1.0, headland_m=8.0, side_margin_m=3.0, exclusions=[box(-5, 90, 50, 100)],
    )  # fmt: skip

    np.testing.assert_allclose(rows.along_end_m[rows.part == 1], 82.0)
    np.testing.assert_allclose(rows.along_start_m[rows.part == 2], 108.0)


@given(field=fields(), bearing=bearings)
def test_an_exclusion_is_as_good_as_a_hole(field, bearing):
    dam = affinity.translate(Polygon([(0, 0), (9, 2), (4, 8)]), 5.0, 5.0)
    kwargs: dict[str, Any] = {"headland_m": 6.0, "side_margin_m": 3.0, "offset_m": 0.0}

    beside = fit(field, bearing, 2.5, exclusions=[dam], **kwargs)
    hole = fit(field.difference(dam), bearing, 2.5, **kwargs)

    np.testing.assert_allclose(beside.length_m, hole.length_m, atol=1e-9)


@given(field=fields(), bearing=bearings, shortest=st.sampled_from([0.0, 20.0]))
def test_without_an_offset_the_rows_are_the_longest_of_twenty_trials(field, bearing, shortest):
    kwargs: dict[str, Any] = {"headland_m": 8.0, "side_margin_m": 3.0, "shortest_m": shortest}

    chosen = fit(field, bearing, 2.5, **kwargs)

    totals = [
        fit(field, bearing, 2.5, offset_m=step * 2.5 / OFFSET_STEPS, **kwargs).length_m.sum()
        for step in range(OFFSET_STEPS)
    ]
    best = np.flatnonzero(np.array(totals) >= max(totals) - 2e-6)[0]
    assert chosen.offset_m == pytest.approx(best * 2.5 / OFFSET_STEPS)
    assert chosen.length_m.sum() == pytest.approx(max(totals), abs=1e-5)


def test_of_offsets_as_good_the_smallest_is_taken():
    # 20 m hold eight rows of 2.5 m at every offset (half-open), all of the same length.
    assert fit(box(0, 0, 20, 60), 0.0, 2.5).offset_m == 0.0


@given(field=fields(), bearing=bearings, shortest=st.floats(1.0, 80.0))
def test_short_pieces_are_left_out_and_counted(field, bearing, shortest):
    every = fit(field, bearing, 2.5, offset_m=0.0)
    rows = fit(field, bearing, 2.5, offset_m=0.0, shortest_m=shortest)

    short = every.length_m < shortest
    assert rows.dropped_count == short.sum()
    assert rows.dropped_length_m == pytest.approx(every.length_m[short].sum())
    np.testing.assert_array_equal(rows.length_m, every.length_m[~short])


@given(field=fields(), bearing=bearings)
def test_row_numbers_count_lattice_lines_and_parts_count_along_them(field, bearing):
    rows = fit(field, bearing, 2.5, headland_m=8.0, side_margin_m=3.0)

    assume(len(rows))
    np.testing.assert_array_equal(rows.row, rows.line - rows.line[0] + 1)
    assert len(set(zip(rows.row.tolist(), rows.part.tolist(), strict=True))) == len(rows)
    same_row = np.diff(rows.row) == 0
    assert (np.diff(rows.part)[same_row] == 1).all()
    assert (rows.part[1:][~same_row] == 1).all()
    assert (rows.along_start_m[1:] > rows.along_end_m[:-1])[same_row].all()


@given(field=fields(), bearing=bearings, share=st.floats(0.0, 1.0))
def test_points_lie_on_rows_at_their_distance_from_the_start(field, bearing, share):
    rows = fit(field, bearing, 2.5)

    assume(len(rows))
    point = rows.point_at(np.arange(len(rows)), share * rows.length_m)

    straight = rows.start_xy + share * (rows.end_xy - rows.start_xy)
    np.testing.assert_allclose(point, straight, atol=1e-9)
    _, across = unit_vectors(bearing)
    np.testing.assert_allclose(point @ across, rows.across_m, atol=1e-9)


def test_a_field_too_narrow_for_its_headlands_holds_no_row():
    rows = fit(box(0, 0, 100, 15), 0.0, 2.5, headland_m=8.0)

    assert len(rows) == 0
    assert len(place(rows, 1.2)) == 0


@pytest.mark.parametrize(
    ("area", "kwargs", "message"),
    [
        (box(0, 0, 9, 9), {"row_width_m": 0.0}, "row_width_m"),
        (box(0, 0, 9, 9), {"headland_m": -1.0}, "headland"),
        (box(0, 0, 9, 9), {"side_margin_m": float("nan")}, "margin"),
        (box(0, 0, 9, 9), {"longest_m": 0.0}, "longest"),
        (box(0, 0, 9, 9), {"exclusions": [LineString([(0, 0), (9, 9)])]}, "buffer it first"),
        (LineString([(0, 0), (9, 9)]), {}, "polygon"),
        (Polygon([(0, 0), (9, 9), (9, 0), (0, 9)]), {}, "valid"),
    ],
)
def test_what_cannot_be_fitted_is_refused(area, kwargs, message):
    with pytest.raises(ValueError, match=message):
        fit(area, 0.0, **{"row_width_m": 2.5, **kwargs})
