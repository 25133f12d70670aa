"""Whole blocks of contour rows: which base line is taken, how steep rows run, what is said."""

import dataclasses

import numpy as np
import pytest
import shapely

from aanplant.brief import Brief
from aanplant.errors import InputError
from aanplant.inputs import Inputs, Outline
from aanplant.layout import lay_out
from aanplant.layout.chord_offsets import base_row_offsets
from aanplant.layout.contour_grade import row_grades
from aanplant.layout.contours import contour_lines, longest_across
from aanplant.layout.positions import place
from aanplant.layout.rows import fit
from aanplant.messages import sentence
from aanplant.site import survey
from aanplant.site.frame import Frame
from aanplant.site.terrain import Terrain
from aanplant.stock import choose

FRAME = Frame(19.302, -33.612)
CORNERS = np.array([[-90, -70], [100, -80], [95, 75], [-85, 70]])


def ground(height, *, step=2.0, reach=160.0):
    """A terrain whose heights are a formula of x and y."""
    at = np.arange(-reach, reach + step, step)
    x, y = np.meshgrid(at, at)
    z = height(x, y)
    return Terrain(at, at, z, float(np.nanmean(z)))


def laid_out(terrain=None, *, line=None, pattern="free", **rows):
    """Lay out a field of about three hectares."""
    brief = Brief.model_validate(
        {
            "block": {"name": "Helling", "boundary": "b.geojson"},
            "vines": {"row_width": 2.5, "vine_spacing": 1.2, "pattern": pattern},
            "rows": {"course": "contour", **rows},
        }
    )
    ring = FRAME.to_lonlat(np.vstack([CORNERS, CORNERS[:1]]))
    site = survey(brief, Inputs(Outline("b.geojson", "polygon", (ring,))))
    shift = np.asarray(site.boundary.centroid.coords[0]) - CORNERS.mean(axis=0)
    site = dataclasses.replace(
        site, terrain=terrain, base_line=None if line is None else np.asarray(line) + 0.0 * shift
    )
    return lay_out(brief, site, choose(brief, site)), site


def messages_of(layout):
    return {finding.message for finding in layout.findings}


def test_on_a_plane_hillside_contour_rows_are_the_straight_rows_across_it():
    layout, site = laid_out(ground(lambda x, y: 300.0 + 0.2 * y + 0.1 * x), base_height=301.0)

    # Contours of the plane run where 2 y + x is constant: bearing 90 + atan(1 / 2).
    bearing = 90.0 + np.degrees(np.arctan(0.5))
    assert layout.bearing_deg == pytest.approx(bearing, abs=0.01)
    right = np.array([np.cos(np.radians(bearing)), -np.sin(np.radians(bearing))])
    straight = fit(
        site.field, bearing, 2.5, offset_m=float(np.array([0.0, 5.0]) @ right),
        headland_m=9.5, side_margin_m=3.0, shortest_m=20.0, longest_m=200.0, cross_alley_m=9.0,
    )  # fmt: skip
    assert len(layout.positions) == len(place(straight, 1.2, pattern="free", end_gap_m=0.6))
    assert layout.rows.length_m.sum() == pytest.approx(straight.length_m.sum(), abs=0.1)
    assert np.isinf(layout.course.smallest_radius_m).all()
    assert np.nanmax(layout.course.grades.steepest_percent) < 1e-6
    assert not len(layout.course.folds)


def test_on_a_cone_rows_are_circles_about_its_top():
    top = np.array([0.0, -150.0])

    layout, _ = laid_out(
        ground(lambda x, y: 400.0 - 0.25 * np.hypot(x - top[0], y - top[1])), smoothing=0.2
    )

    radius = np.hypot(*(layout.rows.paths.xy - top).T)
    per_row = np.split(radius, layout.rows.paths.first[1:-1])
    # 0.2 m of smoothing on the base line and the chords of the grid's contours.
    assert max(np.ptp(one) for one in per_row) < 0.7
    assert np.nanmax(layout.course.grades.steepest_percent) < 4.0
    figures = {figure.key: figure for figure in layout.figures}
    assert figures["layout.base_height"].value == layout.course.base_height_m
    assert figures["layout.rows_steep"].value == 0
    assert 0.02 < figures["layout.side_load"].value < 0.2
    turn = figures["layout.side_load"].inputs[0].value
    assert figures["layout.side_load"].value == pytest.approx(2 * np.sin(np.radians(turn) / 2))
    assert {"layout.contour_chosen", "layout.contour_side_load", "layout.contour_turns"} <= (
        messages_of(layout)
    )
    assert all(sentence(finding) for finding in layout.findings)


@pytest.mark.published(
    source="references C2: grade along a row = S cos(R - A), slope 20 %, aspect 300°",
    quantity="grade along straight rows on a plane",
    unit="%",
)
@pytest.mark.parametrize(("bearing", "printed"), [(0.0, 10.0), (345.0, 14.14)])
def test_grade_along_rows_on_a_plane(published, bearing, printed):
    aspect = np.radians(300.0)
    terrain = ground(lambda x, y: -0.2 * (np.sin(aspect) * x + np.cos(aspect) * y))
    rows = fit(shapely.box(-60, -60, 60, 60), bearing, 2.5, offset_m=0.0)

    grades = row_grades(rows, terrain, steepest_percent=None, has_cover=False)

    published.equal(
        float(np.nanmax(grades.steepest_percent)), printed=printed, tolerance=0.005,
        label=f"row bearing {bearing:g}°",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("steepest", "has_cover", "slope", "is_over"),
    [
        # USDA NRCS standard 331: the smaller of half the hill slope and 4 %, 10 % with cover.
        (None, False, 0.06, True),  # they climb 4.2 %, half of 6 % is 3 %
        (None, False, 0.2, True),
        (None, True, 0.2, True),
        (None, True, 0.13, True),
        (20.0, False, 0.2, False),
        (14.0, False, 0.2, True),
    ],
)
def test_rows_aslant_a_plane_are_held_to_their_limit(steepest, has_cover, slope, is_over):
    terrain = ground(lambda _, y: slope * y)
    rows = fit(shapely.box(-60, -60, 60, 60), 45.0, 2.5, offset_m=0.0)

    grades = row_grades(rows, terrain, steepest_percent=steepest, has_cover=has_cover)

    assert grades.is_over.all() == is_over
    np.testing.assert_allclose(grades.mean_percent, 100.0 * slope * np.sqrt(0.5), rtol=1e-6)
    over = rows.length_m if is_over else np.zeros(len(rows))
    np.testing.assert_allclose(grades.over_m, over)


@pytest.mark.parametrize(("bearing", "is_over"), [(80.0, False), (68.0, False), (65.0, True)])
def test_half_the_slope_of_the_hill_is_the_limit_on_gentle_ground_and_four_percent_above(
    bearing, is_over
):
    # Grade 10 cos(bearing) %: 1.7, 3.7 and 4.2 %; half the slope would allow 5 %.
    terrain = ground(lambda _, y: 0.1 * y)
    rows = fit(shapely.box(-60, -60, 60, 60), bearing, 2.5, offset_m=0.0)

    grades = row_grades(rows, terrain, steepest_percent=None, has_cover=False)

    assert grades.is_over.any() == is_over


def test_unknown_heights_give_no_grade():
    terrain = ground(lambda x, y: np.where(x > 0.0, np.nan, 0.2 * y))
    rows = fit(shapely.box(-60, -60, 60, 60), 0.0, 2.5, offset_m=0.0)

    grades = row_grades(rows, terrain, steepest_percent=None, has_cover=False)

    east = rows.across_m > 2.0
    assert np.isnan(grades.steepest_percent[east]).all()
    assert not grades.is_over[east].any()
    np.testing.assert_allclose(grades.steepest_percent[rows.across_m < -2.0], 20.0)


def test_rows_that_twist_with_the_ground_are_told_to_need_a_new_base_line():
    # A fan: the slope turns from south to south-east, so rows beside one contour climb.
    layout, _ = laid_out(ground(lambda x, y: 300.0 + 0.25 * y + 0.0012 * x * y), base_height=300.0)

    assert layout.course.grades.is_over.any()
    assert "layout.contour_steep" in messages_of(layout)
    said = next(f for f in layout.findings if f.message == "layout.contour_steep")
    assert "new base line" in sentence(said)
    assert said.place is not None


def test_a_drawn_line_needs_no_heights_and_says_that_grades_are_not_known():
    x = np.linspace(-150.0, 150.0, 60)
    line = np.column_stack([x, 20.0 * np.cos(x / 80.0) - 20.0])

    layout, _ = laid_out(line=line, pattern="square", bearing=20, base_line="drawn.geojson")

    assert layout.course.grades is None
    assert {
        "layout.contour_drawn", "layout.contour_no_heights", "layout.contour_pattern",
        "layout.contour_bearing", "layout.contour_turns", "layout.contour_setting_out",
    } <= messages_of(layout)  # fmt: skip
    assert layout.sweep is None
    assert "layout.turns_failing" not in {figure.key for figure in layout.figures}
    assert (layout.turns.room_ahead_m >= 8.0).all()


def test_rows_stay_on_the_ground_that_is_drawn_as_theirs():
    layout, _ = laid_out(
        ground(lambda x, y: 400.0 - 0.25 * np.hypot(x, y + 150.0)), longest=80, cross_alley=6
    )

    assert shapely.covers(layout.plantable.buffer(0.02), layout.rows.lines()).all()
    assert len(layout.rows.alleys)
    at_alley = layout.rows.at_alley
    assert at_alley.any()


def test_offsets_from_the_string_give_the_base_row_back():
    layout, _ = laid_out(ground(lambda x, y: 400.0 - 0.25 * np.hypot(x, y + 150.0)))
    positions = layout.positions

    found = base_row_offsets(positions)

    assert len(np.unique(found.piece)) == (layout.rows.line == 0).sum()
    for piece in np.unique(found.piece):
        own = found.piece == piece
        start, end = positions.end_posts_xy[positions.end_posts_piece == piece]
        along = (end - start) / np.hypot(*(end - start))
        right = np.array([along[1], -along[0]])
        xy = start + found.station_m[own, None] * along + found.offset_m[own, None] * right
        away = shapely.distance(layout.rows.lines()[piece], shapely.points(xy))
        assert away.max() < 1e-6
        assert found.offset_m[own][[0, -1]] == pytest.approx([0.0, 0.0], abs=1e-9)


def test_a_base_line_for_straight_rows_is_said_to_be_unused():
    line = {"line": [[-120, 0], [130, 5]], "course": "straight", "bearing": 90}

    drawn, _ = laid_out(base_line="line.gpx", **line)
    height, _ = laid_out(course="straight", bearing=90, base_height=301)
    neither, _ = laid_out(course="straight", bearing=90)

    said = [f for f in drawn.findings if f.message == "layout.base_line_unused"]
    assert [finding.level for finding in said] == ["care"]
    assert "rows.base_line = line.gpx is not used" in sentence(said[0])
    assert "layout.base_line_unused" in messages_of(height)
    assert "layout.base_line_unused" not in messages_of(neither)


def test_straight_rows_have_no_offsets():
    rows = fit(shapely.box(0, 0, 100, 60), 20.0, 2.5, offset_m=0.0)

    assert not len(base_row_offsets(place(rows, 1.2)).piece)


def test_contours_of_a_plane_lie_at_their_height():
    terrain = ground(lambda x, y: 300.0 + 0.2 * y + 0.1 * x)

    (line,) = contour_lines(terrain, 305.0)

    np.testing.assert_allclose(terrain.height(line), 305.0, atol=1e-9)


def test_a_contour_around_a_knoll_in_the_field_is_no_base_line():
    knoll = ground(lambda x, y: 300.0 - 0.2 * np.hypot(x, y))

    assert longest_across(contour_lines(knoll, 296.0), shapely.box(-80, -70, 80, 70)) is None


@pytest.mark.parametrize(
    ("terrain", "rows", "where"),
    [
        (None, {}, "rows.course"),
        (None, {"base_height": 300}, "rows.course"),
        (ground(lambda _, y: 0.2 * y), {"base_height": 300}, "rows.base_height"),
        (ground(lambda x, y: -0.2 * np.hypot(x, y)), {}, "rows.base_height"),
    ],
    ids=["no heights", "no heights for a height", "another height", "a knoll"],
)
def test_a_base_line_that_is_not_to_be_had_is_refused(terrain, rows, where):
    if where == "rows.base_height" and not rows:
        terrain = ground(lambda x, y: np.where(np.hypot(x, y) < 60, -0.2 * np.hypot(x, y), np.nan))

    with pytest.raises(InputError, match=where):
        laid_out(terrain, **rows)


def test_a_drawn_line_and_a_height_together_are_refused():
    with pytest.raises(ValueError, match="one of them"):
        laid_out(line=[[-100.0, 0.0], [100.0, 0.0]], base_line="drawn.geojson", base_height=300)


@pytest.mark.parametrize("height", [-500, 9000, "high"])
def test_a_height_no_field_lies_at_is_refused(height):
    with pytest.raises(ValueError, match="choose"):
        laid_out(base_height=height)


def test_a_drawn_line_outside_the_field_is_refused():
    with pytest.raises(InputError, match="outside the field"):
        laid_out(line=[[500.0, 500.0], [600.0, 500.0]], base_line="drawn.geojson")
