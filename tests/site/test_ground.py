"""The ground of a whole block: its figures, and what they lead the manager to be told."""

import dataclasses
import re
from functools import partial
from pathlib import Path

import numpy as np
import pytest

from aanplant import messages
from aanplant.brief import parse_brief
from aanplant.errors import InputError
from aanplant.files import open_block, read_inputs
from aanplant.inputs import Inputs, Outline
from aanplant.plan import make_plan
from aanplant.site import survey
from tests.site.hills import FRAME, field, lattice, plane, spots_on

EXAMPLE = Path(__file__).parents[2] / "examples" / "lowquince" / "blocks" / "kiepersol"
BRIEF = """
[block]
boundary = "boundary.gpx"
heights = "spots.csv"
[vines]
row_width = 2.5
vine_spacing = 1.2
pattern = "free"
"""


def surveyed(height, *, brief="", xy=None, **given):
    points = lattice(260.0, 10.0) if xy is None else xy
    inputs = Inputs(
        Outline("boundary.gpx", "polygon", (FRAME.to_lonlat(np.array(field().exterior.coords)),)),
        heights=spots_on(height, points, **given),
    )
    return survey(parse_brief(BRIEF + brief, "brief.toml"), inputs)


def figure(site, key):
    return next(working for working in site.figures if working.key == key)


def told(site):
    return {finding.message: finding for finding in site.findings}


def test_figures_of_a_plane_are_those_of_the_plane():
    site = surveyed(partial(plane, east=-0.09, north=0.12, height=500.0))

    # The plane was made in a frame at height 0: 500 m up its metres are longer.
    slope = 15.0 / (1.0 + 500.0 / 6_371_000.0)
    assert figure(site, "site.slope_mean").value == pytest.approx(slope, abs=1e-4)
    assert figure(site, "site.slope_steepest").value == pytest.approx(slope, abs=1e-4)
    assert figure(site, "site.aspect").value == pytest.approx(
        np.degrees(np.arctan2(0.09, -0.12)), abs=0.01
    )
    assert figure(site, "site.height_mean").value == pytest.approx(500.0, abs=0.05)
    assert figure(site, "site.height_min").value == pytest.approx(479.0, abs=0.6)
    assert figure(site, "site.surface_factor").value == pytest.approx(np.hypot(1, 0.15), abs=1e-4)
    shares = [w.value for w in site.figures if w.key.startswith("site.slope_share.")]
    assert sum(shares) == pytest.approx(100.0)
    assert "site.no_heights" not in told(site)


def test_the_frame_lies_at_the_height_of_the_block_so_that_areas_are_on_the_ground():
    high = surveyed(partial(plane, height=1500.0))
    low = surveyed(partial(plane, height=0.0))

    assert high.frame.height_m == pytest.approx(1500.0, abs=0.1)
    ratio = figure(high, "site.area").value / figure(low, "site.area").value
    assert ratio == pytest.approx((1 + 1500.0 / 6_371_000.0) ** 2, rel=1e-6)
    ellipsoid = [figure(site, "site.area_ellipsoid").value for site in (high, low)]
    assert ellipsoid[0] == pytest.approx(ellipsoid[1], rel=1e-6)


def test_level_ground_has_no_direction_and_no_warning():
    site = surveyed(partial(plane, east=0.001, north=0.0))

    assert figure(site, "site.aspect").value == "level"
    assert not {"site.erosion", "site.slope_hazard", "site.slope_law"} & set(told(site))


def test_steep_ground_warns_of_soil_machines_and_law_with_how_sure_that_is():
    site = surveyed(partial(plane, east=0.22, north=0.0))
    found = told(site)

    assert found["site.erosion"].level == "care"
    assert found["site.slope_hazard"].level == "care"
    law = messages.sentence(found["site.slope_law"])
    assert "20\u202f%" in law
    assert "certainty: published" in law
    assert "Verify" in law


def test_listed_soils_have_their_own_limit_from_memory():
    ordinary = surveyed(partial(plane, east=0.14, north=0.0))
    listed = surveyed(partial(plane, east=0.14, north=0.0), brief="[ground]\nlisted_soil = true\n")

    assert "site.slope_law" not in told(ordinary)
    assert "certainty: memory" in messages.sentence(told(listed)["site.slope_law"])


def test_a_hollow_is_told_with_its_place_and_depth():
    def hollow(xy):
        return plane(xy, 0.02, 0.0) - 2.0 * np.exp(-((xy[:, 0] - 30) ** 2 + xy[:, 1] ** 2) / 625.0)

    site = surveyed(hollow)

    finding = told(site)["site.hollow"]
    assert finding.place == pytest.approx((30.0, 0.0), abs=6.0)
    along = np.linspace(-30.0, 30.0, 5000)
    line = 0.02 * along - 2.0 * np.exp(-((along - 30.0) ** 2) / 625.0)
    depth = line[: line.argmin()].max() - line.min()
    assert site.ground.low_places[0].depth_m == pytest.approx(depth, abs=0.1)
    assert figure(site, "site.hollow_area").value * 1e4 == pytest.approx(
        site.ground.low_places[0].area_m2
    )
    assert "site.hollow" not in told(surveyed(plane))


def test_water_that_gathers_is_told_where_it_runs():
    def valley(xy):
        return 300.0 + 0.05 * xy[:, 1] + 0.1 * np.abs(xy[:, 0])

    found = told(surveyed(valley))["site.water_gathers"]

    assert abs(found.place[0]) < 6.0
    assert found.place[1] < -90.0


def test_a_part_without_heights_is_told_with_its_share_and_a_place():
    points = lattice(260.0, 10.0)
    site = surveyed(plane, xy=points[points[:, 0] < 41.0])
    finding = told(site)["site.heights_missing"]

    assert finding.values["share"][0] == pytest.approx(30.0, abs=3.0)
    assert finding.place[0] > 40.0
    assert figure(site, "site.height_max").value < plane(np.array([[45.0, -100.0]]))[0] + 0.5


@pytest.mark.parametrize(("edge_m", "share"), [(-95.0, 2.5), (-20.0, 40.0)])
def test_heights_over_less_than_half_the_field_are_refused_with_their_share(edge_m, share):
    points = lattice(260.0, 5.0)

    with pytest.raises(InputError, match="% of the ground where rows may stand") as error:
        surveyed(plane, xy=points[points[:, 0] <= edge_m])

    assert float(re.findall(r"over ([0-9.]+) %", str(error.value))[0]) == pytest.approx(
        share, abs=1.0
    )


def test_a_share_of_steep_ground_counts_only_ground_with_a_height():
    points = lattice(260.0, 10.0)
    site = surveyed(partial(plane, east=0.08, north=0.0), xy=points[points[:, 0] < 41.0])

    known = figure(site, "site.height_share").value
    eroding = told(site)["site.erosion"].values["share"][0]

    assert known == pytest.approx(70.0, abs=3.0)
    assert eroding == pytest.approx(known, abs=0.6)  # the whole block would be a guess


def test_heights_that_make_an_impossible_slope_are_refused():
    with pytest.raises(InputError, match="mean slope of 130 %"):
        surveyed(partial(plane, east=1.3, north=0.0))


def test_widely_spaced_heights_and_steep_spots_are_told():
    coarse = told(surveyed(plane, xy=lattice(300.0, 60.0)))
    bank = told(surveyed(lambda xy: plane(xy) + np.where(np.hypot(*xy.T) < 2, 25.0, 0.0)))

    assert "site.heights_coarse" in coarse
    assert bank["site.heights_steep_spot"].place == pytest.approx((0.0, 0.0), abs=12.0)


@pytest.fixture(scope="module")
def example():
    block = open_block(EXAMPLE)
    return block, read_inputs(block)


def test_the_example_hillside_shows_its_slope_and_every_vine_has_a_height(example):
    block, inputs = example
    plan = make_plan(block.brief, inputs, until="layout")

    assert 8.0 < plan.figures.value("site.slope_mean") < 14.0
    assert 110.0 < plan.figures.value("site.aspect") < 160.0
    assert plan.site.terrain is not None
    z = plan.site.terrain.height(plan.layout.positions.xy)
    assert np.isfinite(z).all()
    assert plan.figures.value("site.height_min") - 1 < z.min() < z.max() < 332.0
    assert plan.figures.value("layout.ground_difference") == pytest.approx(
        plan.figures.value("layout.row_length_ground") - plan.figures.value("layout.row_length")
    )
    assert plan.figures.value("layout.ground_difference") > 0


def test_rows_straight_down_the_example_warn_and_spacing_along_the_ground_is_held(example):
    block, inputs = example
    vines = block.brief.vines.model_copy(update={"pattern": "free"})
    rows = block.brief.rows.model_copy(update={"bearing": 135.0, "spacing_along": "ground"})
    brief = block.brief.model_copy(update={"vines": vines, "rows": rows})

    plan = make_plan(brief, inputs, until="layout")
    without = make_plan(brief, dataclasses.replace(inputs, heights=None), until="layout")

    found = {finding.message: messages.sentence(finding) for finding in plan.findings}
    assert "10\u202f%" in found["layout.row_grade"]
    assert "along the ground" in found["layout.spaced_on_ground"]
    assert len(plan.layout.positions) > len(without.layout.positions)
    assert "layout.ground_unknown" in {finding.message for finding in without.findings}


def test_without_heights_nothing_is_said_of_slopes(example):
    block, inputs = example
    plan = make_plan(
        parse_brief(BRIEF.replace('heights = "spots.csv"\n', ""), "brief.toml"),
        dataclasses.replace(inputs, heights=None),
        until="layout",
    )

    assert "site.slope_mean" not in plan.figures
    assert "layout.row_grade_mean" not in plan.figures
    assert "site.no_heights" in {finding.message for finding in plan.findings}
    assert block.brief.block.heights
