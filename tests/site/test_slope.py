"""Slope of the ground beside printed grids, the open height model of matplotlib, and planes."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.site.slope import (
    aspect_deg,
    class_shares,
    cross_slope_percent,
    grade_along_percent,
    ground_factor,
    horn,
    slope_classes,
    slope_deg,
    slope_percent,
    zevenbergen_thorne,
)
from tests.site.hills import model_of_matplotlib

SLOPING = [[212, 210.5, 208], [209, 207, 204.5], [207.5, 204, 201]]
STEEP = [[50, 45, 50], [30, 30, 30], [8, 10, 10]]


def middle(slope, north_on_top, cell_m):
    """Gradient at the middle of three by three heights written as on paper."""
    grid = np.array(north_on_top, dtype=float)[::-1]
    return np.array([part[1, 1] for part in slope(grid, cell_m, cell_m)])


@pytest.mark.published(
    source="3 x 3 grid worked by hand from Horn (1981); slope and aspect as xarray-spatial 0.5.3",
    quantity="slope by Horn",
    unit="-, deg",
)
def test_horns_slope_of_a_worked_grid(published):
    gradient = middle(horn, SLOPING, 10.0)

    published.equal(gradient[0], printed=-0.24375, tolerance=5e-6, label="to the east")
    published.equal(gradient[1], printed=0.30625, tolerance=5e-6, label="to the north")
    published.equal(slope_deg(gradient), printed=21.37596, tolerance=5e-6, label="steepness")
    published.equal(aspect_deg(gradient), printed=141.4831, tolerance=5e-5, label="downhill")


@pytest.mark.published(
    source="3 x 3 grid worked by hand from Zevenbergen and Thorne (1987)",
    quantity="slope by Zevenbergen and Thorne",
    unit="-, deg",
)
def test_zevenbergen_and_thornes_slope_of_a_worked_grid(published):
    gradient = middle(zevenbergen_thorne, SLOPING, 10.0)

    published.equal(gradient[0], printed=-0.225, tolerance=5e-4, label="to the east")
    published.equal(gradient[1], printed=0.325, tolerance=5e-4, label="to the north")
    published.equal(slope_deg(gradient), printed=21.56813, tolerance=5e-6, label="steepness")
    published.equal(aspect_deg(gradient), printed=145.3048, tolerance=5e-5, label="downhill")


@pytest.mark.published(
    source="3 x 3 grid printed in mapping manuals for Horn's slope, cell 5",
    quantity="slope by Horn, steep grid",
    unit="deg",
)
def test_horns_slope_of_a_steep_grid(published):
    gradient = middle(horn, STEEP, 5.0)

    published.equal(slope_deg(gradient), printed=75.25766, tolerance=5e-6, label="steepness")
    published.equal(aspect_deg(gradient), printed=180.7538, tolerance=5e-5, label="downhill")


@pytest.mark.published(
    source="height model inside matplotlib, as cells of 90 m; Horn as xarray-spatial 0.5.3",
    quantity="slope of an open height model",
    unit="deg",
)
def test_slopes_of_the_height_model_of_matplotlib(published):
    grid = model_of_matplotlib()
    inner = (slice(1, -1), slice(1, -1))
    degrees = slope_deg(np.stack([part[inner] for part in horn(grid, 90.0, 90.0)], axis=-1))
    # Rows 100 to 102 from the north, columns 100 to 102.
    piece = grid[::-1][100:103, 100:103]

    published.equal(degrees.mean(), printed=11.9377, tolerance=5e-5, label="mean")
    published.equal(np.median(degrees), printed=11.8048, tolerance=5e-5, label="median")
    published.equal(degrees.max(), printed=33.7599, tolerance=5e-5, label="steepest")
    for slope, name, steepness, downhill in (
        (horn, "Horn", 16.77239, 142.8661),
        (zevenbergen_thorne, "Zevenbergen and Thorne", 17.30480, 140.0636),
    ):
        gradient = middle(slope, piece, 90.0)
        published.equal(
            slope_deg(gradient), printed=steepness, tolerance=5e-6, label=f"{name}, one place"
        )
        published.equal(
            aspect_deg(gradient), printed=downhill, tolerance=5e-5, label=f"{name}, downhill"
        )
    assert degrees.shape == (342, 401)


@pytest.mark.published(
    source="plane z = 100 + 0.10 E - 0.05 N: arithmetic", quantity="slope of a plane", unit="deg"
)
def test_a_plane_has_its_slope_everywhere_by_both_ways_up_to_the_edge(published):
    x, y = np.meshgrid(np.arange(6) * 10.0, np.arange(5) * 10.0)
    plane = 100.0 + 0.10 * x - 0.05 * y

    for name, slope in (("Horn", horn), ("Zevenbergen and Thorne", zevenbergen_thorne)):
        gradient = np.stack(slope(plane, 10.0, 10.0), axis=-1)
        assert np.ptp(slope_deg(gradient)) < 1e-9
        published.equal(slope_deg(gradient[0, 0]), printed=6.37937, tolerance=5e-6, label=name)
        published.equal(aspect_deg(gradient[0, 0]), printed=296.5651, tolerance=5e-5, label=name)


def test_a_plane_stays_exact_beside_a_hole():
    x, y = np.meshgrid(np.arange(9) * 3.0, np.arange(7) * 2.0)
    plane = 5.0 - 0.2 * x + 0.3 * y
    plane[3, 4] = np.nan
    plane[:2, :2] = np.nan

    east, north = horn(plane, 3.0, 2.0)

    known = ~np.isnan(plane)
    assert east[known] == pytest.approx(-0.2)
    assert north[known] == pytest.approx(0.3)
    assert np.isnan(east[~known]).all()


@given(st.integers(0, 3), st.integers(0, 2**32 - 1))
def test_turning_the_ground_by_a_right_angle_turns_the_aspect_and_keeps_the_slope(turns, seed):
    ground = np.random.default_rng(seed).normal(0.0, 5.0, (3, 3))

    before = middle(horn, ground, 10.0)
    # numpy turns against the clock.
    after = middle(horn, np.rot90(ground, turns), 10.0)

    assert slope_percent(after) == pytest.approx(slope_percent(before))
    turned = (aspect_deg(before) - aspect_deg(after)) % 360.0
    assert turned == pytest.approx(90.0 * turns) or abs(turned - 360.0) < 1e-6


@pytest.mark.published(
    source="arithmetic: slope 20 %, downhill 300 deg", quantity="grade along a row", unit="%"
)
def test_grade_along_and_across_a_row(published):
    for bearing, along, across in ((0.0, 10.00, -17.32), (345.0, 14.14, 14.14)):
        published.equal(
            grade_along_percent(20.0, 300.0, bearing), printed=along, tolerance=0.005,
            label=f"along {bearing:g}",
        )  # fmt: skip
        published.equal(
            abs(cross_slope_percent(20.0, 300.0, bearing)), printed=abs(across), tolerance=0.005,
            label=f"across {bearing:g}",
        )  # fmt: skip


@pytest.mark.published(
    source="arithmetic: horizontal length x sqrt(1 + grade squared)",
    quantity="length along the ground over length on the plan",
    unit="-",
)
@pytest.mark.parametrize(
    ("grade", "factor"),
    [(0.05, 1.00125), (0.10, 1.00499), (0.15, 1.01119), (0.20, 1.01980), (0.30, 1.04403)],
)
def test_ground_is_longer_than_the_plan(published, grade, factor):
    published.equal(
        ground_factor(grade), printed=factor, tolerance=5e-6, label=f"grade {100 * grade:g} %"
    )


def test_every_slope_is_in_one_class_and_a_limit_in_the_gentler():
    shares = class_shares(np.array([0.0, 5.0, 5.1, 10.0, 14.0, 15.0, 15.1, 60.0]))

    assert shares == pytest.approx([2 / 8, 2 / 8, 2 / 8, 2 / 8])
    classes = slope_classes()
    assert classes[0].from_percent == 0.0
    assert all(low.to_percent == high.from_percent for low, high in pairwise(classes))
    assert np.isinf(classes[-1].to_percent)
    assert classes[1].label.startswith("5 to 10")
