"""Heights, gradients and profiles of a grid, and the grid made of what was read."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import box

from aanplant.errors import InputError
from aanplant.heights import HeightModel, Heights
from aanplant.site.frame import Frame
from aanplant.site.heights import grid_heights, samples
from aanplant.site.terrain import Terrain
from tests.site.hills import FRAME, field, lattice, model_on, plane, spots_on, terrain_on


def hill(xy):
    """A smooth hill, 40 m high."""
    return 300.0 + 40.0 * np.exp(-(np.asarray(xy) ** 2).sum(axis=1) / 150.0**2)


@settings(max_examples=30)
@given(st.floats(-0.4, 0.4), st.floats(-0.4, 0.4), st.integers(0, 2**32 - 1))
def test_spot_heights_on_a_plane_give_that_plane_everywhere_between_them(east, north, seed):
    random = np.random.default_rng(seed)
    xy = np.concatenate([random.uniform(-200, 200, (60, 2)), lattice(200.0, 400.0)])
    points = random.uniform(-170, 170, (40, 2))

    terrain = grid_heights(spots_on(lambda at: plane(at, east, north), xy), FRAME, field())

    assert terrain.height(points) == pytest.approx(plane(points, east, north), abs=1e-6)
    assert terrain.gradient(points) == pytest.approx(np.tile([east, north], (40, 1)), abs=1e-6)
    assert terrain.mean_height_m == pytest.approx(300.0, abs=0.01)


def test_a_model_on_a_plane_gives_that_plane_in_the_blocks_own_grid():
    terrain = grid_heights(model_on(plane), FRAME, field())
    points = np.random.default_rng(1).uniform(-150, 150, (100, 2))

    # Bilinear in a grid turned by a degree: exact but for the turn's own curvature.
    assert terrain.height(points) == pytest.approx(plane(points), abs=1e-4)
    assert terrain.cell_x_m == pytest.approx(5.0, abs=0.1)


def test_a_fine_model_is_averaged_to_what_a_machine_stands_on():
    rough = np.random.default_rng(2)

    terrain = grid_heights(
        model_on(
            lambda xy: plane(xy) + rough.normal(0, 0.1, len(xy)), rows=600, columns=600, cell=0.5
        ),
        FRAME,
        field(60.0),
    )

    points = np.random.default_rng(3).uniform(-60, 60, (500, 2))
    off = terrain.height(points) - plane(points)
    assert terrain.cell_x_m == pytest.approx(2.0, abs=0.1)
    assert off.std() < 0.04
    assert abs(off.mean()) < 0.005


@pytest.mark.parametrize("turn_deg", [0, 17, 90, 200])
def test_a_hill_keeps_its_shape_whichever_way_its_spots_are_turned(turn_deg):
    angle = np.radians(turn_deg)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    terrain = grid_heights(spots_on(hill, lattice(220.0, 8.0) @ turn.T), FRAME, field())
    points = np.random.default_rng(4).uniform(-100, 100, (300, 2))

    gradient = terrain.gradient(points)

    away = points / np.hypot(*points.T)[:, None]
    downhill = -(gradient * away).sum(axis=1)
    far = np.hypot(*points.T)
    expected = 40.0 * 2.0 * far / 150.0**2 * np.exp(-(far**2) / 150.0**2)
    assert terrain.height(points) == pytest.approx(hill(points), abs=0.06)
    assert downhill == pytest.approx(expected, abs=0.012)


def test_contours_of_a_cone_give_the_cone_back():
    turn = np.linspace(0, 2 * np.pi, 90)[:-1]
    rings = [np.column_stack([r * np.cos(turn), r * np.sin(turn)]) for r in range(20, 301, 20)]
    xy = np.concatenate(rings)
    heights = Heights(
        "contours.gpkg", "contour lines", FRAME.to_lonlat(xy), 400 - 0.1 * np.hypot(*xy.T)
    )

    terrain = grid_heights(heights, FRAME, field())

    points = np.random.default_rng(5).uniform(-100, 100, (200, 2))
    points = points[np.hypot(*points.T) > 20]
    assert terrain.height(points) == pytest.approx(400 - 0.1 * np.hypot(*points.T), abs=0.1)


def test_nothing_is_guessed_outside_the_data_or_in_a_hole():
    around = lattice(100.0, 10.0)
    terrain = grid_heights(spots_on(plane, around[around[:, 0] < 5.0]), FRAME, field())
    holed = grid_heights(
        model_on(lambda xy: np.where(np.hypot(*xy.T) < 30, np.nan, plane(xy))), FRAME, field()
    )

    assert np.isnan(terrain.height([(60.0, 0.0), (5000.0, 0.0)])).all()
    assert np.isfinite(terrain.height([(-60.0, 0.0)])).all()
    assert np.isnan(holed.height([(0.0, 0.0)])).all()
    assert np.isfinite(holed.height([(50.0, 0.0)])).all()


def test_heights_at_nodes_beside_a_hole_are_known():
    terrain = terrain_on(plane, half=10.0, cell=5.0)
    terrain.z_m[2, 3] = np.nan

    assert terrain.height([(0.0, 0.0), (0.0, 5.0)]) == pytest.approx(plane([(0, 0), (0, 5)]))
    assert np.isnan(terrain.height([(0.5, 0.0), (5.0, 0.0)])).all()


def test_one_reading_gives_the_heights_and_slopes_of_two():
    at = np.arange(0.0, 60.0, 5.0)
    x, y = np.meshgrid(at, at)
    z = 100.0 + np.sin(x / 9.0) * np.cos(y / 7.0)
    z[3, 4] = np.nan
    terrain = Terrain(at, at, z, 100.0)
    xy = np.random.default_rng(3).uniform(-8.0, 64.0, (500, 2))  # some outside, some in the hole

    height, east, north = terrain.surface(xy)

    assert 0 < np.isnan(height).sum() < len(xy)
    np.testing.assert_array_equal(height, terrain.height(xy))
    np.testing.assert_array_equal(np.column_stack([east, north]), terrain.gradient(xy))


def test_a_profile_holds_the_corners_of_its_line_and_both_distances():
    terrain = terrain_on(plane)

    profile = terrain.profile([(0.0, 0.0), (30.0, 0.0), (30.0, 40.0)], step_m=7.0)

    assert profile.plan_m[-1] == pytest.approx(70.0)
    assert (np.diff(profile.plan_m) > 0).all()
    assert np.diff(profile.plan_m).max() <= 7.0 + 1e-9
    assert 30.0 in profile.plan_m
    expected = 30.0 * np.hypot(1, 0.1) + 40.0 * np.hypot(1, 0.05)
    assert profile.ground_m[-1] == pytest.approx(expected)
    assert profile.z_m == pytest.approx(plane(profile.xy))


@given(st.floats(0.0, 0.5), st.floats(0.0, 360.0))
def test_ground_is_never_shorter_than_the_plan(slope, aspect):
    angle = np.radians(aspect)
    terrain = terrain_on(
        lambda xy: plane(xy, slope * np.sin(angle), slope * np.cos(angle)), cell=10.0
    )

    profile = terrain.profile([(-100.0, -50.0), (90.0, 60.0)])

    assert (profile.ground_m >= profile.plan_m - 1e-9).all()
    assert profile.ground_m[-1] <= profile.plan_m[-1] * np.hypot(1.0, slope) + 1e-9


def test_the_frame_at_height_holds_the_same_ground():
    flat = Frame(19.3, -33.6)
    high = Frame(19.3, -33.6, 500.0)
    heights = spots_on(hill, lattice(200.0, 10.0))
    points = np.array([(10.0, 20.0), (-80.0, 33.0)])

    scaled = grid_heights(heights, flat, field()).scaled(high.scale)

    assert scaled.height(high.from_lonlat(flat.to_lonlat(points))) == pytest.approx(
        grid_heights(heights, flat, field()).height(points)
    )


def test_spots_on_one_line_are_refused():
    line = np.column_stack([np.linspace(-100, 100, 40), np.linspace(-50, 55, 40)])

    with pytest.raises(InputError, match="40 heights that all lie on one line"):
        grid_heights(spots_on(plane, line), FRAME, field())


def test_three_spots_are_too_few():
    with pytest.raises(InputError, match="3 places with a height"):
        grid_heights(spots_on(plane, [(0, 0), (50, 0), (0, 50)]), FRAME, field())


def test_spots_of_another_place_are_refused_with_the_distance():
    with pytest.raises(InputError, match=r"another place: their middle lies 5\.0 km"):
        grid_heights(spots_on(plane, lattice() + np.array([3000.0, 4000.0])), FRAME, field())


def test_spots_beside_the_block_are_refused():
    beside = lattice(60.0, 20.0) + np.array([180.0, 0.0])

    with pytest.raises(InputError, match="no height inside the block"):
        grid_heights(spots_on(plane, beside), FRAME, field())


def test_a_place_with_two_heights_is_refused_and_one_said_twice_counts_once():
    xy = np.concatenate([lattice(), [(0.0, 0.0)]])
    twice = spots_on(plane, xy)
    unlike = Heights(twice.where, twice.kind, twice.lonlat, np.append(twice.z_m[:-1], 309.0))

    assert grid_heights(twice, FRAME, field()).height([(0.0, 0.0)]) == pytest.approx(300.0)
    with pytest.raises(InputError, match=r"two heights, 300\.00 m and 309\.00 m"):
        grid_heights(unlike, FRAME, field())


def test_a_model_turned_by_its_grid_lands_in_its_place():
    """A Lo grid counts west and south: columns run against x."""
    from pyproj import Transformer

    to_grid = Transformer.from_crs("EPSG:4326", "EPSG:2048", always_xy=True)
    west, south = to_grid.transform(FRAME.longitude_deg, FRAME.latitude_deg)
    cell, count = 5.0, 100
    left, top = -west - count * cell / 2, -south + count * cell / 2  # negated, as drawings hold it
    x, y = np.meshgrid(
        left + (np.arange(count) + 0.5) * cell, top - (np.arange(count) + 0.5) * cell
    )
    back = Transformer.from_crs("EPSG:2048", FRAME.crs, always_xy=True)
    z = hill(np.column_stack(back.transform(-x.ravel(), -y.ravel()))).reshape(count, count)
    to_cell = (1 / cell, 0.0, -left / cell - 0.5, 0.0, -1 / cell, top / cell - 0.5)
    model = HeightModel(z, "EPSG:2048", to_cell, -1.0)
    heights = Heights("lo.tif", "height model", np.empty((0, 2)), np.empty(0), model=model)

    terrain = grid_heights(heights, FRAME, field())

    points = np.random.default_rng(6).uniform(-90, 90, (100, 2))
    # The hill bends; each of two interpolations over 5 m cuts off up to 2 cm.
    assert terrain.height(points) == pytest.approx(hill(points), abs=0.05)


@pytest.mark.parametrize("size", [3.0, 60.0, 4000.0])
def test_samples_fill_a_field_evenly_however_large(size):
    points = samples(box(0.0, 0.0, size, size / 2))

    assert 400 <= len(points) <= 25_000
    assert points.mean(axis=0) == pytest.approx((size / 2, size / 4), rel=0.02)
