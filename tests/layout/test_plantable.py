"""The plantable outline is the field eroded by an ellipse, for every bearing and outline."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import Polygon, box

from aanplant.layout.plantable import ARC_ERROR_M, HeadlandRule, plantable
from aanplant.layout.rows import fit
from tests.layout.ground import bearings, fields, unit_vectors

FIELD = Polygon([(0, 0), (120, -20), (200, 60), (150, 90), (160, 180), (60, 140), (-20, 170)])


@pytest.mark.parametrize(
    ("headland", "margin", "area"),
    [
        (8.0, 3.0, (100 - 6) * (60 - 16)),
        (8.0, 0.0, 100 * (60 - 16)),
        (0.0, 3.0, (100 - 6) * 60),
        (0.0, 0.0, 100 * 60),
        (35.0, 3.0, 0.0),
    ],
)
def test_a_rectangle_loses_headlands_and_margins(headland, margin, area):
    ground = plantable(box(0, 0, 100, 60), 0.0, headland_m=headland, side_margin_m=margin)

    assert ground.area == pytest.approx(area, abs=1e-3)


@given(
    field=fields(),
    bearing=bearings,
    room=st.sampled_from([(8.0, 3.0), (3.0, 8.0), (8.0, 0.01), (0.02, 5.0)]),
)
def test_a_point_is_plantable_when_the_ellipse_around_it_lies_in_the_field(field, bearing, room):
    along, across = unit_vectors(bearing)
    around = np.linspace(0.0, 2.0 * np.pi, 720)
    ellipse = np.outer(np.sin(around), across) * room[1] + np.outer(np.cos(around), along) * room[0]
    corners = shapely.get_coordinates(field)
    x, y = np.meshgrid(
        *(np.linspace(*limits, 15) for limits in zip(corners.min(0), corners.max(0), strict=True))
    )
    points = np.stack([x.ravel(), y.ravel()], axis=1)

    ground = plantable(field, bearing, headland_m=room[0], side_margin_m=room[1])

    ellipses = shapely.polygons(points[:, None, :] + ellipse)
    inside = shapely.contains_xy(ground, *points.T)
    clear = shapely.distance(ground.boundary, shapely.points(points)) > 4 * ARC_ERROR_M
    expected = shapely.covers(field, ellipses)
    np.testing.assert_array_equal(inside[clear], expected[clear])


@given(field=fields(), bearing=bearings)
def test_a_hair_of_margin_is_as_good_as_none(field, bearing):
    bare = plantable(field, bearing, headland_m=8.0, side_margin_m=0.0)
    hair = plantable(field, bearing, headland_m=8.0, side_margin_m=1e-4)

    assert bare.symmetric_difference(hair).area <= 0.01 * field.length


@given(field=fields(holes=False), bearing=bearings, step=st.floats(-0.02, 0.02))
def test_turning_the_rows_a_little_moves_the_outline_a_little(field, bearing, step):
    # Where the ellipse turns by an angle, no point of it moves further than headland x angle.
    reach = 8.0 * np.radians(abs(step)) * 1.5 + ARC_ERROR_M + 1e-5

    before = plantable(field, bearing, headland_m=8.0, side_margin_m=3.0)
    after = plantable(field, bearing + step, headland_m=8.0 + reach, side_margin_m=3.0 + reach)

    assert shapely.covers(before, after)


@given(
    bearing=bearings,
    noise=st.lists(st.floats(-0.007, 0.007), min_size=28, max_size=28),
)
def test_a_centimetre_of_noise_in_the_outline_moves_the_plantable_outline_as_little(bearing, noise):
    ring = shapely.get_coordinates(FIELD.segmentize(60.0))[:-1]
    shaken = Polygon(
        ring + np.array(noise[: 2 * len(ring)] + [0.0] * max(2 * len(ring) - 28, 0)).reshape(-1, 2)
    )

    # An ellipse of 8 and 3 m and a centimetre around it fit into one larger by 1.5 cm.
    outer = plantable(FIELD, bearing, headland_m=8.0, side_margin_m=3.0)
    inner = plantable(shaken, bearing, headland_m=8.017, side_margin_m=3.017)

    assert shapely.covers(outer, inner)


@given(field=fields(), bearing=bearings)
def test_no_point_is_nearer_the_edge_than_the_lesser_distance(field, bearing):
    ground = plantable(field, bearing, headland_m=8.0, side_margin_m=3.0)

    assert ground.is_valid
    if not ground.is_empty:
        assert shapely.distance(field.boundary, ground) >= 3.0 - ARC_ERROR_M - 1e-5


# --- square to the edge -------------------------------------------------------------------


def test_square_to_the_edge_keeps_the_side_margin_beside_the_rows():
    ground = plantable(
        box(0, 0, 100, 60), 0.0, headland_m=8.0, side_margin_m=3.0, rule="square to the edge"
    )

    assert ground.symmetric_difference(box(3, 8, 97, 52)).area < 1e-3


@pytest.mark.parametrize(
    ("edge_angle", "room"), [(30.0, 8.0), (60.0, 8.0), (10.0, 3 + 5 * 0.34730)]
)
def test_square_to_the_edge_measures_at_right_angles_to_a_slanting_edge(edge_angle, room):
    half_plane = affinity.rotate(box(-500, -200, 500, 0), 90.0 - edge_angle, origin=(0, 0))

    ground = plantable(
        half_plane, 0.0, headland_m=8.0, side_margin_m=3.0, rule="square to the edge"
    )

    # The top edge of the box, turned to its angle with the rows.
    middle = affinity.rotate(shapely.Point(0, 0), 90.0 - edge_angle, origin=(0, 0))
    assert ground.distance(middle) == pytest.approx(room, abs=0.005)


@given(field=fields(holes=False), bearing=bearings)
def test_rows_square_to_the_edge_lie_in_the_outline_and_fill_it(field, bearing):
    rule: HeadlandRule = "square to the edge"

    rows = fit(
        field, bearing, 2.5, headland_m=8.0, side_margin_m=3.0, offset_m=0.3, headland_rule=rule
    )
    ground = plantable(field, bearing, headland_m=8.0, side_margin_m=3.0, rule=rule)
    again = fit(ground, bearing, 2.5, offset_m=0.3)

    assert shapely.covers(ground.buffer(2e-6), rows.lines()).all()
    surplus = again.length_m.sum() - rows.length_m.sum()
    assert -0.001 <= surplus <= 0.04 * (len(again) + 2)


def test_square_to_the_edge_a_headland_below_the_margin_gives_the_margin():
    ground = plantable(
        box(0, 0, 100, 60), 0.0, headland_m=2.0, side_margin_m=5.0, rule="square to the edge"
    )

    assert ground.symmetric_difference(box(5, 5, 95, 55)).area < 1e-3


@pytest.mark.parametrize(
    ("kwargs", "message"),
    [
        ({"headland_m": -1.0, "side_margin_m": 0.0}, "0 or more"),
        ({"headland_m": 1.0, "side_margin_m": float("nan")}, "0 or more"),
        ({"headland_m": 1.0, "side_margin_m": 1.0, "rule": "as you like"}, "unknown"),
    ],
)
def test_room_that_means_nothing_is_refused(kwargs, message):
    with pytest.raises(ValueError, match=message):
        plantable(FIELD, 0.0, **kwargs)
