"""A turn is said to fit only where the machine stays in the field and off the trellis."""

from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from aanplant.layout.positions import place
from aanplant.layout.rows import fit
from aanplant.layout.turning import NONE, check_turns
from tests.layout.ground import bearings, fields, unit_vectors

MACHINE: dict[str, Any] = {"machine_width_m": 1.8, "turning_radius_m": 3.5, "row_width_m": 2.5}
ANCHOR_M = 1.5


def rows_of(field, bearing=0.0, *, headland_m=9.5, **kwargs):
    rows = fit(
        field, bearing, 2.5, headland_m=headland_m + ANCHOR_M, side_margin_m=3.0, offset_m=0.5,
        **kwargs,
    )  # fmt: skip
    return place(rows, 1.2, pattern="free", end_gap_m=0.6)


@pytest.mark.parametrize(
    ("headland", "kind"),
    [(9.55, "omega"), (9.53, "fishtail"), (4.41, "fishtail"), (4.39, NONE)],
)
def test_a_square_headland_takes_the_turn_its_depth_allows(headland, kind):
    # Omega: 8.642 m and half of 1.8 m; fishtail: 3.5 m and half of 1.8 m.
    field = box(0, 0, 120, 100)
    positions = rows_of(field, headland_m=headland)

    room = check_turns(positions, field, **MACHINE, anchor_distance_m=ANCHOR_M)

    # The turn at the outermost rows may reach beyond the side margin.
    inner = np.abs(room.xy[:, 0] - 60.0) < 50.0
    assert (room.kind[inner] == kind).all()
    assert room.least_room_ahead_m == pytest.approx(headland + ANCHOR_M)
    assert room.least_room_right_angle_m == pytest.approx(headland + ANCHOR_M)


def test_every_row_with_a_neighbour_on_both_sides_has_a_turn_at_both_ends():
    field = box(0, 0, 120, 100)
    positions = rows_of(field)

    room = check_turns(positions, field, **MACHINE, anchor_distance_m=ANCHOR_M)

    assert len(room.kind) == 2 * (len(positions.rows) - 2)
    assert sum(room.count(kind) for kind in ("u", "omega", "fishtail", NONE)) == len(room.kind)
    np.testing.assert_array_equal(room.xy, positions.end_posts_xy[room.end])


@given(
    field=fields(),
    bearing=bearings,
    headland=st.floats(3.0, 14.0),
    longest=st.sampled_from([None, 60.0]),
)
def test_where_a_turn_fits_the_swept_strip_is_in_the_field_and_off_every_row(
    field, bearing, headland, longest
):
    positions = rows_of(field, bearing, headland_m=headland, longest_m=longest, cross_alley_m=9.0)

    room = check_turns(positions, field, **MACHINE, anchor_distance_m=ANCHOR_M)

    # The strip is drawn as a polygon here, a centimetre narrower for the chords in its arcs.
    strips = shapely.buffer(room.ways[room.kind != NONE], 0.9 - 0.01, cap_style="flat")
    assert shapely.covers(field, strips).all()
    anchors = positions.end_posts_xy + ANCHOR_M * positions.end_posts_outward_xy
    trellis = shapely.STRtree(shapely.linestrings(anchors.reshape(-1, 2, 2)))
    assert trellis.query(strips, predicate="intersects").size == 0


@given(field=fields(), bearing=bearings, headland=st.floats(3.0, 14.0))
def test_where_no_turn_fits_the_swept_strip_leaves_the_field_or_meets_a_row(
    field, bearing, headland
):
    positions = rows_of(field, bearing, headland_m=headland)

    room = check_turns(positions, field, **MACHINE, anchor_distance_m=ANCHOR_M)

    strips = shapely.buffer(room.ways[room.kind == NONE], 0.9 + 0.01)
    anchors = positions.end_posts_xy + ANCHOR_M * positions.end_posts_outward_xy
    trellis = shapely.union_all(shapely.linestrings(anchors.reshape(-1, 2, 2)))
    assert (~shapely.covers(field, strips) | shapely.intersects(strips, trellis)).all()


@given(field=fields(), bearing=bearings)
def test_the_way_goes_from_one_alley_beside_the_row_to_the_other(field, bearing):
    positions = rows_of(field, bearing)

    room = check_turns(positions, field, **MACHINE, anchor_distance_m=ANCHOR_M)

    _, across = unit_vectors(bearing)
    for end, way in zip(room.end, room.ways, strict=True):
        first, last = (np.array(way.coords)[[0, -1]] - positions.end_posts_xy[end]) @ across
        np.testing.assert_allclose([first, last], [-1.25, 1.25], atol=1e-9)


def test_slanting_ends_start_the_turn_beyond_the_outermost_anchor():
    slanted = Polygon([(0, 0), (120, 60), (120, 200), (0, 140)])
    # The edge climbs 1.25 m a row; straight ahead of a post lie 12.6 m.
    positions = rows_of(slanted, headland_m=9.542 + 1.25)
    square = rows_of(box(0, 0, 120, 140), headland_m=9.542 + 1.25)

    slanting = check_turns(positions, slanted, **MACHINE, anchor_distance_m=ANCHOR_M)
    straight = check_turns(square, box(0, 0, 120, 140), **MACHINE, anchor_distance_m=ANCHOR_M)

    inner = np.abs(slanting.xy[:, 0] - 60.0) < 50.0
    assert (straight.kind == "omega").all()
    # The bulb is 7 m across and the edge slants through it: it fits no longer.
    assert (slanting.kind[inner] == "fishtail").all()


def test_room_at_right_angles_to_a_slanting_edge():
    slanted = Polygon([(0, 0), (120, 60), (120, 200), (0, 140)])
    positions = rows_of(slanted)

    room = check_turns(positions, slanted, **MACHINE, anchor_distance_m=ANCHOR_M)

    inner = np.abs(positions.end_posts_xy[:, 0] - 60.0) < 40.0
    slant = np.cos(np.arctan(60 / 120))
    np.testing.assert_allclose(
        room.room_right_angle_m[inner], room.room_ahead_m[inner] * slant, atol=1e-9
    )
    assert room.least_room_right_angle_m < room.least_room_ahead_m


@pytest.mark.parametrize(
    ("alley", "kind"), [(6.0, NONE), (7.5, "fishtail"), (12.0, "fishtail"), (13.0, "omega")]
)
def test_rows_across_an_alley_are_in_the_way(alley, kind):
    # Post to post; anchors take 1.5 m of it on either side.
    field = box(0, 0, 120, 300)
    positions = rows_of(field, longest_m=150.0, cross_alley_m=alley)

    room = check_turns(positions, field, **MACHINE, anchor_distance_m=ANCHOR_M)

    at_alley = np.abs(room.xy[:, 1] - 150.0) < 20.0
    assert at_alley.any()
    assert (room.kind[at_alley] == kind).all()


def test_an_alley_with_anchors_inside_the_rows_has_more_room():
    field = box(0, 0, 120, 300)
    positions = rows_of(field, longest_m=150.0, cross_alley_m=6.0)
    at_alley = np.abs(positions.end_posts_xy[:, 1] - 150.0) < 20.0

    room = check_turns(
        positions, field, **MACHINE, anchor_distance_m=np.where(at_alley, 0.0, ANCHOR_M)
    )

    assert (room.kind[at_alley[room.end]] == "fishtail").all()


def test_wide_rows_are_turned_in_a_u():
    field = box(0, 0, 120, 100)
    positions = place(fit(field, 0.0, 7.5, headland_m=6.0, side_margin_m=3.0, offset_m=4.0), 1.2)

    room = check_turns(
        positions, field, machine_width_m=1.8, turning_radius_m=3.5, row_width_m=7.5,
        anchor_distance_m=1.5,
    )  # fmt: skip

    assert set(room.kind) == {"u"}
    assert room.depth_needed_m(room.turns[0]) == pytest.approx(4.4)


def test_places_that_fail_are_named():
    field = box(0, 0, 120, 100)
    positions = rows_of(field, headland_m=3.0)

    room = check_turns(positions, field, **MACHINE, anchor_distance_m=ANCHOR_M)

    assert room.count(NONE) == len(room.failed_xy) == len(room.kind) > 0


def test_a_block_without_rows_has_no_turns():
    field = box(0, 0, 10, 10)

    room = check_turns(rows_of(field), field, **MACHINE, anchor_distance_m=ANCHOR_M)

    assert len(room.kind) == 0
    assert room.least_room_ahead_m == np.inf


def test_a_machine_without_width_is_refused():
    field = box(0, 0, 120, 100)

    with pytest.raises(ValueError, match="width"):
        check_turns(
            rows_of(field), field, machine_width_m=0.0, turning_radius_m=3.5, row_width_m=2.5,
            anchor_distance_m=1.5,
        )  # fmt: skip
