import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon

from aanplant.layout.base_line import LEAST_CROSSING_DEG, base_line
from aanplant.layout.numbering import numbered_from
from aanplant.layout.pegged_lines import corner_checks
from aanplant.layout.positions import place
from aanplant.layout.rows import fit
from aanplant.layout.setting_out import right_angle_error_deg, set_out

DECAGON = Polygon(
    [(-60, 140), (55, 155), (140, 125), (185, 40), (155, -50), (35, -95), (-85, -105),
     (-160, -70), (-168, 10), (-120, 85)]
)  # fmt: skip
RECTANGLE = Polygon([(0, 0), (120, 0), (120, 200), (0, 200)])


def laid(outline, bearing, dam=None, *, skip=None, longest=None, corner="north-west"):
    field = outline.difference(dam) if dam else outline
    rows = fit(
        field, bearing, 2.5, headland_m=8, side_margin_m=3, shortest_m=10,
        longest_m=longest, cross_alley_m=6,
    )  # fmt: skip
    rows = numbered_from(rows, corner)
    positions = place(rows, 1.2, end_gap_m=0.6, post_every=5, skip=skip, anchor_distance_m=1.5)
    base = base_line(outline, field, bearing, positions.end_posts_xy)
    return rows, positions, base, set_out(base, rows, positions)


def taped(out):
    """Every post and vine, from the pegs and the taped distances alone."""
    a, b, c, d = out.base.pegs_xy
    on_ab = a + out.on_ab_m[:, None] * (b - a) / np.hypot(*(b - a))
    on_dc = d + out.on_dc_m[:, None] * (c - d) / np.hypot(*(c - d))
    string = (on_dc - on_ab) / np.hypot(*(on_dc - on_ab).T)[:, None]
    starts = on_ab + out.start_m[:, None] * string
    ends = on_ab + out.end_m[:, None] * string
    heading = (ends - starts) / np.hypot(*(ends - starts).T)[:, None]

    def along(runs):
        index = np.searchsorted(out.piece, runs.piece)
        columns = zip(index, runs.first_m, runs.last_m, runs.count, strict=True)
        return np.concatenate(
            [
                starts[at] + np.linspace(first, last, count)[:, None] * heading[at]
                for at, first, last, count in columns
            ]
        )

    return starts, ends, along(out.vines), along(out.line_posts)


@given(
    bearing=st.floats(0.0, 179.9),
    corner=st.sampled_from(["north-west", "south-east", "north-east", "south-west"]),
    longest=st.sampled_from([None, 90.0]),
    things=st.booleans(),
)
def test_every_position_is_found_again_from_the_taped_distances(bearing, corner, longest, things):
    dam = Point(80, -20).buffer(20) if things else None
    skip = Polygon([(-200, 30), (200, 60), (200, 70), (-200, 40)]) if things else None
    _, positions, _, out = laid(DECAGON, bearing, dam, skip=skip, longest=longest, corner=corner)

    starts, ends, vines, posts = taped(out)

    is_start = positions.end_posts_is_start
    assert np.abs(starts - positions.end_posts_xy[is_start]).max() < 1e-3
    assert np.abs(ends - positions.end_posts_xy[~is_start]).max() < 1e-3
    assert np.abs(vines - positions.xy).max() < 1e-3
    assert np.abs(posts - positions.line_posts_xy).max() < 1e-3


@given(bearing=st.floats(0.0, 179.9))
def test_end_posts_by_right_angles_are_the_same_end_posts(bearing):
    _, positions, base, out = laid(DECAGON, bearing)

    origin = base.pegs_xy[0]
    found = (
        origin
        + out.end_foot_m[:, None] * base.along_xy
        + out.end_offset_m[:, None] * base.inward_xy
    )

    assert np.abs(found - positions.end_posts_xy[~positions.end_posts_is_start]).max() < 1e-3


@given(bearing=st.floats(0.0, 179.9), scale=st.floats(0.3, 4.0))
def test_pegs_are_a_rectangle_in_or_near_the_block_that_rows_cross_well(bearing, scale):
    outline = Polygon(np.asarray(DECAGON.exterior.coords) * scale)

    _, _, base, _ = laid(outline, bearing)

    a, b, c, d = base.pegs_xy
    assert np.hypot(*(c - a)) == pytest.approx(np.hypot(*(d - b)))
    assert np.hypot(*(c - a)) == pytest.approx(base.diagonal_m(base.length_m))
    assert np.hypot(*(d - a)) == pytest.approx(base.depth_m)
    assert LEAST_CROSSING_DEG <= base.crossing_deg <= 180 - LEAST_CROSSING_DEG
    assert all(outline.buffer(6.0).contains(Point(peg)) for peg in base.pegs_xy)
    assert np.diff(base.bays_m).max() <= 60.0


@pytest.mark.parametrize("corner", ["north-west", "south-east"])
def test_a_block_with_a_side_across_its_rows_is_set_out_from_that_side(corner):
    rows, _, base, _ = laid(RECTANGLE, 0.0, corner=corner)

    ring = np.asarray(RECTANGLE.exterior.coords)[:-1]

    assert len(rows) > 0
    assert base.is_side
    assert np.allclose(base.p_xy, ring[base.p_tie.corner])
    assert np.allclose(base.q_xy, ring[base.q_tie.corner])
    assert base.crossing_deg == pytest.approx(90.0)


@given(bearing=st.floats(0.0, 179.9))
def test_ends_of_the_line_are_found_by_taping_along_sides_from_named_corners(bearing):
    _, _, base, _ = laid(DECAGON, bearing)

    ring = np.asarray(DECAGON.exterior.coords)[:-1]

    for end, tie in ((base.p_xy, base.p_tie), (base.q_xy, base.q_tie)):
        start, towards = ring[tie.corner], ring[tie.towards]
        side = towards - start
        assert np.hypot(*side) == pytest.approx(tie.side_m)
        assert np.allclose(start + tie.distance_m * side / np.hypot(*side), end, atol=1e-3)
        assert 0.0 <= tie.distance_m <= tie.side_m


def test_corners_are_proved_from_both_ends():
    _, _, base, _ = laid(RECTANGLE, 0.0)

    checks = corner_checks(base, np.asarray(RECTANGLE.exterior.coords)[:-1])

    assert len(checks) == 2
    assert sorted(round(near) for _, near, _ in checks) == sorted(
        round(far) for _, _, far in checks
    )


def test_an_outline_walked_clockwise_gives_the_same_pegs():
    outline = Polygon([(0, 0), (140, 0), (120, 200), (0, 200)])
    reversed_outline = Polygon(np.asarray(outline.exterior.coords)[::-1])

    _, _, base, _ = laid(outline, 0.0)
    _, _, other, _ = laid(reversed_outline, 0.0)

    assert {tuple(peg) for peg in base.pegs_xy.round(6)} == {
        tuple(peg) for peg in other.pegs_xy.round(6)
    }


def test_a_block_that_a_dam_fills_still_has_a_line():
    dam = Point(60, 100).buffer(45)

    _, positions, base, out = laid(RECTANGLE, 45.0, dam)

    _, _, vines, _ = taped(out)
    assert base.length_m > 10.0
    assert np.abs(vines - positions.xy).max() < 1e-3


@pytest.mark.published(
    source="arithmetic on a right triangle: angle error = c × error of c / (a b), no source needed",
    quantity="error of a right angle from 10 mm on the long side",
    unit="deg",
)
def test_error_of_a_triangle_laid_out_by_tape(published):
    published.equal(
        right_angle_error_deg(3, 4, 5, 0.01), printed=0.2387, tolerance=5e-5, label="3-4-5 m"
    )
    published.equal(
        right_angle_error_deg(30, 40, 50, 0.01), printed=0.0239, tolerance=5e-5, label="30-40-50 m"
    )


@pytest.mark.published(
    source="arithmetic on a right triangle: angle error = c × error of c / (a b), no source needed",
    quantity="offset at 200 m from 10 mm on the long side of a right triangle",
    unit="m",
)
def test_offset_at_the_end_of_a_row_set_out_by_a_triangle(published):
    for sides, printed in (((3, 4, 5), 0.833), ((30, 40, 50), 0.083)):
        offset = 200 * np.radians(right_angle_error_deg(*sides, 0.01))
        published.equal(
            offset, printed=printed, tolerance=5e-4, label="-".join(map(str, sides)) + " m"
        )


@given(scale=st.floats(0.5, 30.0), error=st.floats(-0.02, 0.02))
def test_error_of_the_angle_agrees_with_the_cosine_rule(scale, error):
    a, b, c = 3 * scale, 4 * scale, 5 * scale

    exact = np.degrees(np.arccos((a * a + b * b - (c + error) ** 2) / (2 * a * b))) - 90

    assert right_angle_error_deg(a, b, c, error) == pytest.approx(exact, rel=0.05, abs=1e-9)


def test_sides_of_no_right_triangle_are_refused():
    with pytest.raises(ValueError, match="right triangle"):
        right_angle_error_deg(3, 4, 6, 0.01)
