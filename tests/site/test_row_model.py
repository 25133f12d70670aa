"""Rows take the light that geometry says: check values, limits, laws."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.site.row_model import fruit_sky_share, lit_depth_m, wall_sky_share
from aanplant.site.sun import row_interception

ROW = {"row_width_m": 2.5, "canopy_height_m": 1.2, "canopy_width_m": 0.5}
elevations = st.floats(0.5, 90.0)
azimuths = st.floats(0.0, 360.0)
row_bearings = st.floats(0.0, 179.9)


@st.composite
def hedges(draw):
    """Row width, canopy height and canopy width that make a hedge."""
    width = draw(st.floats(1.0, 4.0))
    return {
        "row_width_m": width,
        "canopy_height_m": draw(st.floats(0.2, 2.5)),
        "canopy_width_m": width * draw(st.floats(0.05, 1.0)),
    }


def by_rays(elevation_deg, apart_deg, row, leaf_area_index, rays=4000):
    """The porous share by following evenly spaced rays in small steps."""
    height, thick, width = row["canopy_height_m"], row["canopy_width_m"], row["row_width_m"]
    tilt = abs(np.sin(np.radians(apart_deg))) / np.tan(np.radians(elevation_deg))
    enter = (np.arange(rays) + 0.5) / rays * width
    down = (np.arange(2000) + 0.5) / 2000 * height
    inside = ((enter[:, None] + tilt * down) % width < thick).mean(axis=1) * height
    density = leaf_area_index * width / (height * thick)
    way = inside / np.sin(np.radians(elevation_deg))
    return 1.0 - np.exp(-0.5 * density * way).mean()


CHECKS = [
    (90, 90, 0.20000, 0.19530),
    (60, 90, 0.47713, 0.35136),
    (45, 90, 0.68000, 0.48812),
    (30, 90, 1.00000, 0.74188),
    (45, 0, 0.20000, 0.199005),
    (45, 45, 0.53941, 0.41091),
]


@pytest.mark.published(
    source="hedgerow geometry, height 1.2, width 0.5, rows 2.5 m, leaf area index 1.5, reckoned"
    " beforehand from the formula, no outside print",
    quantity="share of direct light taken by rows", unit="",
)  # fmt: skip
@pytest.mark.parametrize(("elevation", "apart", "solid", "porous"), CHECKS)
def test_check_values_of_the_row_model(published, elevation, apart, solid, porous):
    label = f"sun {elevation}° high, {apart}° off the row"

    published.equal(
        row_interception(elevation, apart, bearing_deg=0.0, **ROW),
        printed=solid, tolerance=5e-6, label=f"solid, {label}",
    )  # fmt: skip
    published.equal(
        row_interception(elevation, apart, bearing_deg=0.0, leaf_area_index=1.5, **ROW),
        printed=porous, tolerance=5e-6, label=f"leafy, {label}",
    )  # fmt: skip


@pytest.mark.published(
    source="Beer's law (Monsi and Saeki 1953)", quantity="share of direct light, limits", unit=""
)
def test_limits_of_the_leafy_hedge(published):
    leafy = {"bearing_deg": 0.0, "leaf_area_index": 1.5}

    published.equal(
        row_interception(90.0, 10.0, **leafy, **ROW),
        printed=0.195296, tolerance=5e-7, label="sun overhead",
    )  # fmt: skip
    published.equal(
        row_interception(45.0, 0.0, **leafy, **ROW),
        printed=0.199005, tolerance=5e-7, label="along the row",
    )  # fmt: skip
    closed = {**ROW, "canopy_width_m": 2.5}
    published.equal(
        row_interception(45.0, 70.0, **leafy, **closed),
        printed=0.653773, tolerance=5e-7, label="closed canopy",
    )  # fmt: skip


@pytest.mark.published(
    source="shade of a wall on the next, height 1.2, width 0.5, rows 2.5 m (geometry)",
    quantity="lit depth of a wall", unit="m",
)  # fmt: skip
def test_a_neighbour_shades_the_foot_of_a_wall(published):
    low = np.radians(20.0)
    first = np.radians(30.964)

    published.equal(
        lit_depth_m(np.sin(low), np.cos(low), 2.5, 0.5), printed=0.7279, tolerance=5e-5, label="20°"
    )
    published.equal(
        lit_depth_m(np.sin(first), np.cos(first), 2.5, 0.5), printed=1.2, tolerance=5e-5,
        label="first touch at 30.964°",
    )  # fmt: skip


@given(elevation=st.floats(3.0, 89.0), apart=st.floats(1.0, 90.0), row=hedges(),
       leaves=st.floats(0.2, 6.0))  # fmt: skip
def test_the_exact_mean_is_that_of_many_rays(elevation, apart, row, leaves):
    ours = row_interception(elevation, apart, bearing_deg=0.0, leaf_area_index=leaves, **row)

    assert ours == pytest.approx(by_rays(elevation, apart, row, leaves, 400), abs=0.01)


@given(elevation=elevations, azimuth=azimuths, bearing=row_bearings, row=hedges(),
       leaves=st.floats(0.0, 20.0))  # fmt: skip
def test_leaves_never_take_more_than_a_solid_hedge(elevation, azimuth, bearing, row, leaves):
    solid = row_interception(elevation, azimuth, bearing_deg=bearing, **row)
    leafy = row_interception(elevation, azimuth, bearing_deg=bearing, leaf_area_index=leaves, **row)

    # Rays along the row are reckoned with a tilt of 1e-7.
    assert -1e-9 <= leafy <= solid + 1e-6
    assert solid <= 1.0


@given(elevation=elevations, azimuth=azimuths, bearing=row_bearings, row=hedges())
def test_very_dense_leaves_are_a_solid_hedge(elevation, azimuth, bearing, row):
    solid = row_interception(elevation, azimuth, bearing_deg=bearing, **row)
    dense = row_interception(elevation, azimuth, bearing_deg=bearing, leaf_area_index=1e6, **row)

    assert dense == pytest.approx(solid, abs=1e-3)


@given(elevation=elevations, azimuth=azimuths, bearing=row_bearings, row=hedges(),
       leaves=st.sampled_from([None, 0.5, 1.5, 4.0]))  # fmt: skip
def test_a_row_has_no_head_and_tail_and_east_mirrors_west(elevation, azimuth, bearing, row, leaves):
    def share(azimuth, bearing):
        return row_interception(
            elevation, azimuth, bearing_deg=bearing, leaf_area_index=leaves, **row
        )

    ours = share(azimuth, bearing)

    assert share(azimuth, bearing + 180.0) == pytest.approx(ours, abs=1e-7)
    assert share(azimuth + 180.0, bearing) == pytest.approx(ours, abs=1e-7)
    assert share(-azimuth, -bearing) == pytest.approx(ours, abs=1e-7)
    assert share(180.0 - azimuth, 180.0 - bearing) == pytest.approx(ours, abs=1e-7)


def test_a_sun_below_the_horizon_is_not_taken():
    down = [0.0, -10.0]

    assert row_interception(down, 90.0, bearing_deg=0.0, **ROW).tolist() == [0.0, 0.0]
    assert row_interception(down, 90.0, bearing_deg=0.0, leaf_area_index=1.5, **ROW).tolist() == [
        0.0,
        0.0,
    ]


def test_results_take_the_shape_of_what_is_given():
    sun = np.full((4, 5), 40.0)

    shares = row_interception(
        sun, 30.0, bearing_deg=np.arange(3.0)[:, None, None], leaf_area_index=1.5, **ROW
    )

    assert shares.shape == (3, 4, 5)


def test_a_hedge_that_is_none_is_refused():
    for wrong in ({"canopy_height_m": 0.0}, {"canopy_width_m": -1.0}, {"canopy_width_m": 3.0}):
        with pytest.raises(ValueError, match="hedge"):
            row_interception(40.0, 0.0, bearing_deg=0.0, **{**ROW, **wrong})


@given(row=hedges())
def test_walls_and_ground_share_the_sky_between_them(row):
    width, height, thick = row["row_width_m"], row["canopy_height_m"], row["canopy_width_m"]
    alley = width - thick

    # Crossed strings: what comes into the alley from above falls on its floor or its walls.
    floor = np.hypot(alley, height) - height
    walls = 2.0 * height * wall_sky_share(width, height, thick)

    assert floor + walls == pytest.approx(alley, abs=1e-9)


def test_the_sky_on_a_wall_is_the_mean_over_its_depths():
    depths = (np.arange(2000) + 0.5) / 2000 * 1.2

    mean = fruit_sky_share(2.5, 0.5, depths).mean()

    assert wall_sky_share(2.5, 1.2, 0.5) == pytest.approx(mean, abs=1e-6)
    assert fruit_sky_share(2.5, 0.5, 0.0) == 0.5
