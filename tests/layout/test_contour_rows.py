"""Rows along a curve: concentric circles, straight rows, and never nearer than they may be."""

from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, box

from aanplant.layout.contour_rows import SPACING_ERROR_M, fit_along
from aanplant.layout.curves import arc, smoothed
from aanplant.layout.numbering import numbered_from
from aanplant.layout.positions import anchors, place
from aanplant.layout.rows import fit
from aanplant.layout.side_load import post_bends, side_load_n
from tests.layout.ground import fields

ROOM: dict[str, Any] = {"headland_m": 8.0, "side_margin_m": 3.0}
ROUND: dict[str, Any] = {"headland_m": 3.0, "side_margin_m": 3.0}
few = settings(max_examples=25)
SECTOR = (
    Point(0, 0).buffer(200, quad_segs=2000)
    .difference(Point(0, 0).buffer(100, quad_segs=2000))
    .intersection(box(0, 0, 300, 300))
)  # fmt: skip


def paths_of(rows):
    """Courses of rows that bend."""
    assert rows.paths is not None
    return rows.paths


def quarter(reach=60.0):
    return arc((0.0, 0.0), 150.0, 0.0, 90.0, reach_m=reach)


@st.composite
def winding(draw):
    """Gently bending base lines through the origin."""
    seed = draw(st.integers(0, 10_000))
    random = np.random.default_rng(seed)
    heading = draw(st.floats(0.0, 6.28)) + np.cumsum(random.normal(0.0, 0.15, 40))
    xy = np.cumsum(8.0 * np.stack([np.cos(heading), np.sin(heading)], axis=1), axis=0)
    return smoothed(xy - xy[20], 1.0, reach_m=300.0)


def test_rows_in_a_sector_are_concentric_quarter_circles():
    # Geometry: radii 200 to 100 m less what the margin takes, quarter circles r pi / 2 long.
    rows, folds = fit_along(SECTOR, quarter(), 2.5, **ROUND)

    radius = 150.0 + np.abs(rows.across_m) * np.sign(np.hypot(*rows.start_xy.T) - 150.0)
    np.testing.assert_allclose(np.hypot(*rows.start_xy.T), radius, atol=0.002)
    assert (radius.min(), radius.max()) == (105.0, 195.0)
    assert len(rows) == 37
    assert not len(folds)
    # Each end is 3 m from a side of the sector.
    length = radius * (np.pi / 2 - 2.0 * np.arcsin(3.0 / radius))
    np.testing.assert_allclose(rows.length_m, length, atol=0.005)
    on_path = np.hypot(*paths_of(rows).xy.T)
    np.testing.assert_allclose(
        on_path, np.repeat(radius, np.diff(paths_of(rows).first)), atol=0.002
    )


def test_vines_on_circles_are_counted_by_the_arc():
    rows, _ = fit_along(SECTOR, quarter(), 2.5, **ROUND)

    positions = place(rows, 1.2, pattern="free", end_gap_m=0.6, post_every=5)

    radius = np.hypot(*rows.start_xy.T)
    arc_m = radius * (np.pi / 2 - 2.0 * np.arcsin(3.0 / radius))
    np.testing.assert_array_equal(positions.vines, np.floor((arc_m - 1.2) / 1.2) + 1)
    turned = np.arctan2(*positions.xy.T)
    same_row = np.diff(positions.piece) == 0
    apart = np.abs(np.diff(turned)) * np.hypot(*positions.xy[1:].T)
    np.testing.assert_allclose(apart[same_row], 1.2, atol=1e-4)
    # Anchors stand straight ahead of the row's end: on its tangent.
    ahead = anchors(positions, 1.5)
    np.testing.assert_allclose(
        np.hypot(*ahead.T), np.hypot(np.hypot(*positions.end_posts_xy.T), 1.5), atol=1e-6
    )


@few
@given(field=fields(), slant=st.floats(-1.5, 1.5), where=st.floats(-30.0, 30.0))
def test_along_a_straight_line_rows_are_the_straight_rows(field, slant, where):
    # A plane hillside: its contours are straight lines.
    base = smoothed(np.array([[-300.0, where], [300.0, where + slant * 600.0]]), 0.1)
    straight_to = np.array([1.0, slant]) / np.hypot(1.0, slant)
    bearing = np.degrees(np.arctan2(*straight_to)) % 180.0
    across = np.array([np.cos(np.radians(bearing)), -np.sin(np.radians(bearing))])
    offset = float(base.xy[0] @ across)

    rows, folds = fit_along(
        field, base, 2.5, longest_m=60.0, cross_alley_m=6.0, shortest_m=5.0, **ROOM
    )
    straight = fit(
        field,
        bearing,
        2.5,
        offset_m=offset,
        longest_m=60.0,
        cross_alley_m=6.0,
        shortest_m=5.0,
        **ROOM,
    )

    assume(len(straight))
    assert not len(folds)
    assert len(rows) == len(straight) or abs(rows.length_m.sum() - straight.length_m.sum()) < 1.0
    if len(rows) == len(straight):
        # Both spread alleys evenly to within a millimetre.
        np.testing.assert_array_equal(rows.line, straight.line)
        np.testing.assert_allclose(rows.start_xy, straight.start_xy, atol=0.002)
        np.testing.assert_allclose(rows.end_xy, straight.end_xy, atol=0.002)
        np.testing.assert_array_equal(
            place(rows, 1.2, pattern="free", end_gap_m=0.6).vines,
            place(straight, 1.2, pattern="free", end_gap_m=0.6).vines,
        )


@few
@given(field=fields(), base=winding())
def test_every_vine_keeps_the_side_margin_and_the_headland_lies_free_ahead(field, base):
    rows, _ = fit_along(field, base, 2.5, **ROOM)
    assume(len(rows))

    positions = place(rows, 1.2, pattern="free", end_gap_m=0.6)

    # 3 mm: rows are looked at every 0.25 m, so one may graze a corner between two looks.
    assert shapely.distance(field.boundary, shapely.points(positions.xy)).min() >= 3.0 - 0.003
    assert shapely.covers(field, rows.lines()).all()
    ways = np.stack(
        [positions.end_posts_xy, positions.end_posts_xy + 8.0 * positions.end_posts_outward_xy], 1
    )
    assert shapely.covers(field.buffer(1e-4), shapely.linestrings(ways)).all()


@few
@given(field=fields(), base=winding())
def test_rows_are_whole_row_widths_from_the_line_and_no_two_come_closer(field, base):
    rows, _ = fit_along(field, base, 2.5, smallest_radius_m=15.0, **ROOM)
    assume(len(rows) > 1)

    positions = place(rows, 1.2, pattern="free", end_gap_m=0.6)

    line = shapely.LineString(base.extended(400.0).xy)
    away = shapely.distance(line, shapely.points(positions.xy))
    across = np.abs(rows.across_m[positions.piece])
    np.testing.assert_allclose(away, across, atol=SPACING_ERROR_M)
    lines = rows.lines()
    one, other = shapely.STRtree(lines).query(lines, predicate="dwithin", distance=2.5 - 0.01)
    assert (rows.line[one] == rows.line[other]).all()


@few
@given(field=fields(), base=winding(), radius=st.floats(5.0, 80.0))
def test_no_row_bends_tighter_than_the_smallest_radius(field, base, radius):
    rows, _ = fit_along(field, base, 2.5, smallest_radius_m=radius, shortest_m=5.0, **ROOM)
    assume(len(rows))

    inner = np.diff(paths_of(rows).first) > 4
    for piece in np.flatnonzero(inner):
        own = slice(paths_of(rows).first[piece] + 1, paths_of(rows).first[piece + 1] - 1)
        along, walked = paths_of(rows).tangent_xy[own], paths_of(rows).chainage_m[own]
        turn = np.arccos(np.clip((along[1:] * along[:-1]).sum(axis=1), -1.0, 1.0))
        real = np.diff(walked) > 0.05
        assert (turn[real] <= np.diff(walked)[real] / radius * 1.05 + 1e-6).all()


def test_inside_a_bend_rows_are_cut_at_the_smallest_radius_and_leave_room_to_turn():
    # A V of two straight legs joined by an arc of 40 m: inside it, rows nearer than 30 m to
    # the centre are cut, the base line and those outside go on.
    turn = arc((0.0, 0.0), 40.0, -45.0, 45.0, reach_m=80.0)
    base = turn.extended(200.0)
    field = box(-110, -110, 110, 110)

    rows, folds = fit_along(field, base, 2.5, smallest_radius_m=30.0, **ROOM)

    # It bends to the right, towards the centre, which lies at 40 m to its right.
    assert folds.across_m.min() == 12.5
    assert (folds.length_m > 0.0).all()
    near = (rows.line >= -8) & (rows.line < 5)
    assert (rows.part[near] == 1).all()
    # Outside the fold, 12.5 m row: cut where the arc begins, 8 m further on for the turn.
    first = np.flatnonzero(rows.line == 5)
    assert len(first) == 2
    ends = np.concatenate([rows.start_xy[first], rows.end_xy[first]])
    inner = np.sort(np.hypot(*ends.T))[:2]
    np.testing.assert_allclose(inner, np.hypot(27.5, 8.0), atol=0.02)


def test_alleys_cross_every_row_at_a_right_angle_and_leave_none_too_long():
    rows, _ = fit_along(SECTOR, quarter(), 2.5, longest_m=80.0, cross_alley_m=6.0, **ROOM)

    assert rows.length_m.max() <= 80.0 + 1e-3
    assert len(rows.alleys) == 3
    # Gaps between parts, along the circle: the clear width.
    after = np.flatnonzero(np.diff(rows.line) == 0)
    gap = np.hypot(*(rows.start_xy[after + 1] - rows.end_xy[after]).T)
    radius = np.hypot(*rows.start_xy[after].T)
    np.testing.assert_allclose(2.0 * radius * np.arcsin(gap / 2.0 / radius), 6.0, atol=1e-3)
    # Middles of the gaps of one alley lie on one ray from the centre.
    middle = (rows.start_xy[after + 1] + rows.end_xy[after]) / 2.0
    rays = np.degrees(np.arctan2(*middle.T))
    assert len(np.unique(np.round(rays, 3))) == 3
    assert rows.at_alley is not None
    assert rows.at_alley[after, 1].all()
    assert rows.at_alley[after + 1, 0].all()
    assert rows.at_alley.sum() == 2 * len(after)


@pytest.mark.parametrize("corner", ["north-west", "north-east", "south-west", "south-east"])
def test_numbers_begin_in_the_corner_asked_for(corner):
    rows, _ = fit_along(SECTOR, quarter(), 2.5, **ROOM)

    numbered = numbered_from(rows, corner)

    assert numbered.row[0] == 1
    np.testing.assert_allclose(
        paths_of(numbered).xy[paths_of(numbered).first[:-1]], numbered.start_xy
    )
    np.testing.assert_allclose(
        paths_of(numbered).xy[paths_of(numbered).first[1:] - 1], numbered.end_xy
    )
    np.testing.assert_allclose(paths_of(numbered).length_m, numbered.length_m)
    east = numbered.start_xy[0, 0] > numbered.end_xy[0, 0]
    outer = np.hypot(*numbered.start_xy[0]) > 150.0
    # The sector lies north-east of its centre, so its chord runs from north-west to south-east:
    # both ends of a row are level with the other two corners, and the first word decides.
    assert east == (corner in ("south-east", "south-west"))
    assert outer == (corner in ("north-east", "north-west"))


def test_end_posts_and_anchors_of_rows_that_bend_stand_clear_of_what_is_skipped():
    pipe = box(-10, 120, 25, 180)
    rows, _ = fit_along(SECTOR, quarter(), 2.5, **ROUND)

    positions = place(rows, 1.2, pattern="free", end_gap_m=0.6, skip=pipe, anchor_distance_m=1.5)

    posts = np.concatenate([positions.end_posts_xy, anchors(positions, 1.5)])
    assert not shapely.contains_xy(pipe, posts[:, 0], posts[:, 1]).any()
    assert not shapely.contains_xy(pipe, positions.xy[:, 0], positions.xy[:, 1]).any()
    assert (positions.row_start_m[positions.rows.across_m == 0.0] > 0.0).any()


def test_only_the_free_pattern_suits_rows_that_bend():
    rows, _ = fit_along(SECTOR, quarter(), 2.5, **ROOM)

    with pytest.raises(ValueError, match="free"):
        place(rows, 1.2, pattern="square")


def test_posts_on_a_circle_turn_by_the_angle_between_them():
    rows, _ = fit_along(SECTOR, quarter(), 2.5, **ROUND)

    positions = place(rows, 1.2, pattern="free", end_gap_m=0.6, post_every=5)
    bends = post_bends(positions)

    radius = np.hypot(*positions.line_posts_xy.T)
    # Posts 6 m apart but for the end spans, which are shorter.
    whole = np.isclose(bends.span_m, 6.0, atol=0.01)
    assert whole.mean() > 0.9
    # Posts stand within 2 mm of the circle, which is 3 % of their offset from a chord of 12 m.
    np.testing.assert_allclose(bends.radius_m[whole], radius[whole], rtol=0.03)
    assert (np.sign(bends.turn_deg) == np.sign(bends.turn_deg[0])).all()


@pytest.mark.published(
    source="references A6.4, side load on a curved row F = T s / R",
    quantity="side load on a line post: 4500 N, 6 m, R 200 m",
    unit="N",
)
def test_side_load_of_a_curved_row(published):
    published.equal(float(side_load_n(4500.0, 6.0, 200.0)), printed=135.0, tolerance=0.5)


def test_posts_of_straight_rows_carry_no_side_load():
    positions = place(fit(box(0, 0, 100, 60), 20.0, 2.5, offset_m=0.0), 1.2, end_gap_m=0.6)

    bends = post_bends(positions)

    assert len(bends.span_m) == len(positions.line_posts_xy)
    assert bends.load_share.max() < 1e-9
