"""The site report: its chapters with and without data, in both hemispheres, and its drawings."""

import re
import time
import xml.etree.ElementTree as ET
from datetime import UTC, datetime

import numpy as np
import pytest
from pypdf import PdfReader

from aanplant.messages import fill, word
from aanplant.report.climate_charts import frost_curve, heat_years, monthly_climate
from aanplant.report.height_profile import height_profile, sides
from aanplant.report.light_chart import light_by_bearing, light_curves
from aanplant.report.planting_chart import planting_calendar
from aanplant.report.site_report import write_site_report
from aanplant.report.slope_map import slope_map
from aanplant.report.soil_columns import soil_columns
from aanplant.report.soil_map import zone_map
from tests.report import blocks, sites
from tests.report.test_sheet import HOSTILE

CHAPTERS = ("ground", "soil", "preparation", "history", "weather", "window", "sun")
MISSING = {
    "heights": ("heights",),
    "pits": ("pits", "no_preparation"),
    "weather": ("weather", "window"),
}


def written(plan, folder, **options):
    path = folder / "site-report.pdf"
    write_site_report(plan, path, made=options.pop("made", blocks.MADE), **options)
    return path


def text_of(path):
    text = "\n".join(page.extract_text() for page in PdfReader(path).pages)
    return re.sub(r"\s+", " ", text.replace("\u202f", " ").replace("\u2060", ""))


def points_of(drawing, name):
    found = re.findall(rf'class="{name}" d="([^"]+)"', drawing.svg(alone=True))
    return [np.array(re.findall(r"([-\d.]+) ([-\d.]+)", shape), dtype=float) for shape in found]


@pytest.fixture(scope="module")
def southern():
    return sites.southern()


@pytest.mark.parametrize("site", ["southern", "northern"])
def test_every_chapter_and_figure_stands_in_the_report(site, tmp_path):
    plan = getattr(sites, site)()

    path = written(plan, tmp_path)

    text = text_of(path)
    for chapter in CHAPTERS:
        assert word(f"site_report.chapter.{chapter}") in text
    for caption in ("slope_map", "height_profile", "zone_map", "columns", "monthly", "heat",
                    "frost", "planting", "light"):  # fmt: skip
        assert word(f"site_report.caption.{caption}")[:40] in text
    assert not any(word(f"site_report.missing.{name}")[:40] in text
                   for names in MISSING.values() for name in names)  # fmt: skip
    pages = len(PdfReader(path).pages)
    assert 6 <= pages <= 14
    assert f"{pages} / {pages}" in text
    assert path.stat().st_size < 3_000_000


@pytest.mark.parametrize("lacking", sites.ALL)
def test_a_chapter_without_data_names_the_file_that_would_fill_it(lacking, tmp_path):
    plan = sites.planned(known=tuple(name for name in sites.ALL if name != lacking))

    text = text_of(written(plan, tmp_path))

    for name, sentences in MISSING.items():
        for sentence in sentences:
            assert (word(f"site_report.missing.{sentence}") in text) == (name == lacking)


def test_a_site_of_which_nothing_is_known_takes_few_pages_and_none_is_empty(tmp_path):
    path = written(sites.planned(known=()), tmp_path)

    pages = PdfReader(path).pages
    assert len(pages) <= 5
    assert all(len(page.extract_text()) > 300 for page in pages)


def test_a_plan_that_ends_with_the_layout_has_its_report(tmp_path):
    path = written(sites.planned(until="layout"), tmp_path)

    assert word("site_report.missing.no_preparation") in text_of(path)


def test_weather_of_few_years_gives_no_frost_and_says_so(tmp_path):
    text = text_of(written(sites.planned(years=3), tmp_path))

    assert fill("site_report.missing.springs", springs=5) in text
    assert word("site_report.caption.frost")[:40] not in text


def test_every_finding_of_the_site_stands_in_it(southern, tmp_path):
    text = text_of(written(southern, tmp_path))

    told = [item for item in southern.findings if item.stage == "site"]
    levels = {level: sum(item.level == level for item in southern.findings)
              for level in ("stop", "care", "note")}  # fmt: skip
    assert len(re.findall(r"\b(?:Stop|Care|Note)\. ", text)) >= len(told)
    assert fill("site_report.counts", **levels) in text


def test_imperial_readers_get_feet_acres_and_inches(southern, tmp_path):
    text = text_of(written(southern, tmp_path, system="imperial"))

    area = float(southern.figures.value("site.area")) / 0.40468564224
    assert f"{area:.4g} acre" in text or f"{area:.3g} acre" in text
    assert re.search(r"lowest height in the block 9\d\d(\.\d)? ft", text)
    assert "in a month" in text


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_is_only_ever_text(name, tmp_path):
    plan = sites.planned(name=name, pit=name)

    path = written(plan, tmp_path)

    assert len(PdfReader(path).pages) > 5
    for drawing in (zone_map(plan), soil_columns(plan)):
        root = ET.fromstring(drawing.svg(alone=True))  # noqa: S314 - drawn just now, must be sound
        tags = {element.tag.rpartition("}")[2] for element in root.iter()}
        assert tags <= {"svg", "title", "style", "rect", "path", "circle", "text", "clipPath", "g"}


def test_the_same_plan_at_the_same_time_gives_the_same_bytes_and_its_date(southern, tmp_path):
    first = written(southern, tmp_path).read_bytes()
    path = written(southern, tmp_path)
    again = path.read_bytes()

    made = PdfReader(path).metadata.creation_date
    assert first == again
    assert (made.year, made.month, made.day) == (2026, 11, 25)
    assert "25 Nov 2026" in text_of(path)
    later = written(southern, tmp_path, made=datetime(2027, 3, 2, tzinfo=UTC))
    assert "2 Mar 2027" in text_of(later)


def test_the_report_takes_little_time(southern, tmp_path):
    written(southern, tmp_path)  # typefaces are read once

    start = time.perf_counter()
    written(southern, tmp_path)

    assert time.perf_counter() - start < 1.5


def test_the_profile_ends_at_the_heights_of_the_ground_and_is_drawn_to_one_scale(southern):
    drawn = height_profile(southern)

    down, row = sides(southern)
    profile = points_of(drawn, "profile")
    for side, points in zip((down, row), profile, strict=True):
        assert side.z_m[[0, -1]] == pytest.approx(
            southern.site.terrain.height(_ends(southern, side)), abs=0.02
        )
        assert (side.ground_m >= side.plan_m - 1e-9).all()
        # Everywhere on paper the same millimetres a metre, across and up.
        across = np.ptp(points[:, 0]) / side.plan_m[-1]
        up = np.ptp(points[:, 1]) / np.ptp(side.z_m)
        assert across == pytest.approx(np.ptp(profile[0][:, 0]) / down.plan_m[-1], rel=1e-3)
        assert up / across == pytest.approx(
            np.ptp(profile[0][:, 1]) / np.ptp(down.z_m) * down.plan_m[-1]
            / np.ptp(profile[0][:, 0]), rel=1e-2
        )  # fmt: skip
    assert down.z_m[0] > down.z_m[-1]


def _ends(plan, side):
    if side.title.startswith("Row"):
        piece = int(np.nanargmax(np.abs(plan.layout.slopes.grade_percent)))
        return np.array([plan.layout.rows.start_xy[piece], plan.layout.rows.end_xy[piece]])
    aspect = np.radians(plan.site.ground.aspect_deg)
    way = np.array([np.sin(aspect), np.cos(aspect)])
    middle = np.asarray(plan.site.boundary.centroid.coords[0])
    reach = np.array([-500.0, 500.0])[:, None] * way + middle
    from shapely.geometry import LineString

    inside = LineString(reach).intersection(plan.site.boundary)
    return np.asarray(inside.coords)[[0, -1]]


def test_the_slope_map_tints_each_class_as_much_as_the_block_has_of_it(southern):
    from shapely import union_all

    from aanplant.report import block_map
    from aanplant.report.slope_map import class_areas, grid_around

    view = block_map.inset(southern.site)
    areas = class_areas(grid_around(southern.site.terrain, view))

    shares = [area.intersection(southern.site.field).area / southern.site.field.area
              for area in areas]  # fmt: skip
    assert shares == pytest.approx(southern.site.ground.class_shares.tolist(), abs=0.02)
    assert union_all(areas).buffer(0.1).covers(southern.site.field)


def test_the_slope_map_labels_contours_and_marks_the_hollow(southern):
    svg = slope_map(southern).svg(alone=True).replace("\u202f", " ")

    heights = {int(text) for text in re.findall(r">(\d+) m<", svg)}
    assert len(heights) >= 3
    assert all(height % min(np.diff(sorted(heights))) == 0 for height in heights)
    assert 'class="low-place"' in svg
    assert 'class="steepest"' in svg


def test_the_zone_map_names_every_zone_with_potential_and_water(southern):
    svg = zone_map(southern).svg(alone=True).replace("\u202f", " ")

    for zone in southern.site.soil.zones:
        assert f">{zone.name}<" in svg
        assert f">{zone.available_water_mm:.3g} mm water<" in svg
    assert len(points_of(zone_map(southern), "pit")) >= len(southern.site.soil.profiles)


def test_columns_of_soil_show_depths_in_proportion(southern):
    svg = soil_columns(southern).svg(alone=True)

    assert ">rock<" in svg
    assert 'class="stones"' in svg
    assert ">0.7\u202fm<" in svg or ">0.7 m<" in svg


@pytest.mark.parametrize("site", ["southern", "northern"])
def test_frost_grows_rarer_through_the_spring(site):
    record = getattr(sites, site)().site.climate.record

    drawn = frost_curve(record)

    (own,) = points_of(drawn, "frost-own")
    assert (np.diff(own[:, 0]) >= -1e-9).all()
    assert (np.diff(own[:, 1]) >= -1e-9).all()  # y runs down the paper
    spring = "1 Sep" if site == "southern" else "1 Mar"
    assert f">{spring}<" in drawn.svg(alone=True)
    assert f"of {record.frost.years} springs" in drawn.svg(alone=True)


def test_heat_of_every_season_is_drawn_with_trend_and_classes(southern):
    record = southern.site.climate.record

    drawn = heat_years(record.table)

    (seasons,) = points_of(drawn, "seasons")
    heat = record.table.columns["degree_days_oct_apr"]
    known = heat[~np.isnan(heat)]
    assert len(seasons) == len(known)
    assert np.corrcoef(seasons[:, 1], known)[0, 1] == pytest.approx(-1.0, abs=1e-5)
    assert len(points_of(drawn, "band")) == 1
    assert re.search(r">region I[ab]?I*V?<", drawn.svg(alone=True))


@pytest.mark.parametrize(("site", "first"), [("southern", "Jul"), ("northern", "Jan")])
def test_the_mean_year_begins_after_midwinter(site, first):
    record = getattr(sites, site)().site.climate.record

    drawn = monthly_climate(record)

    names = re.findall(
        r">(Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)<", drawn.svg(alone=True)
    )
    assert len(names) == 12
    assert names[0] == first
    assert len(points_of(drawn, "rain")) == 12


def test_the_planting_calendar_stands_in_the_order_of_the_season(southern):
    record = southern.site.climate.record

    svg = planting_calendar(record).svg(alone=True)

    assert word("site_report.planting.bud_break") in svg
    assert word("site_report.planting.delivery") in svg


@pytest.mark.parametrize("site", ["southern", "northern"])
def test_the_chart_of_light_marks_the_bearing_taken_on_its_curve(site):
    plan = getattr(sites, site)()

    bearing, season, load = light_curves(plan)

    light = plan.layout.sunlight
    assert np.interp(30.0, bearing, season) == pytest.approx(
        100.0 * light.season_share[0], rel=0.02
    )
    assert np.interp(30.0, bearing, load) == pytest.approx(light.afternoon_load_mj_m2[0], rel=0.05)
    assert (season[0], load[0]) == (season[-1], load[-1])
    assert ">30°: " in light_by_bearing(plan).svg(alone=True)
