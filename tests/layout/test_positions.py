"""Vines, posts and anchors stand where the pattern says, each with its own number."""

from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely.geometry import box

from aanplant.layout.ends import trim_ends
from aanplant.layout.numbering import CORNERS, numbered_from
from aanplant.layout.plantable import plantable
from aanplant.layout.positions import anchors, count, place
from aanplant.layout.rows import fit
from tests.layout.ground import bearings, fields, unit_vectors

patterns = st.sampled_from(["square", "offset", "free"])
corners = st.sampled_from(sorted(CORNERS))
ROOM: dict[str, Any] = {"headland_m": 8.0, "side_margin_m": 3.0}


def along_rows(xy, bearing):
    return xy @ unit_vectors(bearing)[0]


@given(field=fields(), bearing=bearings, pattern=patterns, gap=st.floats(0.0, 2.0))
def test_every_vine_and_post_stands_on_plantable_ground(field, bearing, pattern, gap):
    rows = fit(field, bearing, 2.5, **ROOM)

    vines = place(rows, 1.2, pattern=pattern, end_gap_m=gap)

    ground = plantable(field, bearing, **ROOM).buffer(2e-6)
    for xy in (vines.xy, vines.line_posts_xy, vines.end_posts_xy):
        assert shapely.contains_xy(ground, xy[:, 0], xy[:, 1]).all()


@given(field=fields(), bearing=bearings, pattern=patterns, corner=corners)
def test_row_and_number_name_one_vine_and_numbers_have_no_gap(field, bearing, pattern, corner):
    rows = fit(field, bearing, 2.5, longest_m=40.0, cross_alley_m=5.0)

    vines = place(numbered_from(rows, corner), 1.2, pattern=pattern, end_gap_m=0.6)

    names = set(zip(vines.row.tolist(), vines.number.tolist(), strict=True))
    assert len(names) == len(vines)
    for row in np.unique(vines.row):
        of_row = vines.row == row
        np.testing.assert_array_equal(vines.number[of_row], np.arange(1, of_row.sum() + 1))
    np.testing.assert_array_equal(vines.rows.row[vines.piece], vines.row)


@given(field=fields(), bearing=bearings, corner=corners, gap=st.floats(0.0, 2.0))
def test_square_vines_lie_on_one_lattice_through_the_whole_block(field, bearing, corner, gap):
    rows = numbered_from(
        fit(field, bearing, 2.5, **ROOM, longest_m=40.0, cross_alley_m=5.0), corner
    )

    vines = place(rows, 1.2, end_gap_m=gap, phase_m=0.35)

    lattice = (along_rows(vines.xy, bearing) - 0.35) / 1.2
    np.testing.assert_allclose(lattice, np.round(lattice), atol=1e-7)
    np.testing.assert_allclose(
        vines.xy @ unit_vectors(bearing)[1], rows.across_m[vines.piece], atol=1e-7
    )


@given(field=fields(), bearing=bearings)
def test_offset_vines_of_odd_lines_stand_half_way_between(field, bearing):
    rows = fit(field, bearing, 2.5, **ROOM)

    vines = place(rows, 1.2, pattern="offset")

    lattice = along_rows(vines.xy, bearing) / 1.2 - (rows.line[vines.piece] % 2) / 2.0
    np.testing.assert_allclose(lattice, np.round(lattice), atol=1e-7)


@given(field=fields(), bearing=bearings, pattern=patterns, gap=st.floats(0.0, 2.0), corner=corners)
def test_end_posts_stand_the_end_gap_outside_the_end_vines(field, bearing, pattern, gap, corner):
    rows = numbered_from(fit(field, bearing, 2.5, **ROOM), corner)

    vines = place(rows, 1.2, pattern=pattern, end_gap_m=gap)

    assume(len(vines))
    first = np.flatnonzero(np.diff(vines.piece, prepend=-1))
    last = np.append(first[1:], len(vines)) - 1
    start, end = vines.end_posts_xy[::2], vines.end_posts_xy[1::2]
    assert (vines.end_posts_is_start == np.tile([True, False], len(start))).all()
    np.testing.assert_allclose(np.linalg.norm(vines.xy[first] - start, axis=1), gap, atol=1e-7)
    beyond = np.linalg.norm(vines.xy[last] - end, axis=1)
    if pattern == "free":
        assert ((beyond >= gap - 1e-6) & (beyond < gap + 1.2)).all()
        held = vines.end_posts_piece[::2]
        np.testing.assert_allclose(start, rows.start_xy[held], atol=1e-9)
        np.testing.assert_allclose(end, rows.end_xy[held], atol=1e-9)
    else:
        np.testing.assert_allclose(beyond, gap, atol=1e-7)
    set_length = vines.row_length_m[vines.end_posts_piece[::2]]
    np.testing.assert_allclose(set_length, np.linalg.norm(end - start, axis=1), atol=1e-7)


@given(field=fields(), bearing=bearings, gap=st.floats(0.0, 2.0))
def test_no_lattice_point_that_has_its_end_gap_is_left_out(field, bearing, gap):
    rows = fit(field, bearing, 2.5, **ROOM)

    vines = place(rows, 1.2, end_gap_m=gap)

    held = vines.end_posts_piece[::2]
    spare = rows.length_m[held] - vines.row_length_m[held]
    assert (spare < 2 * 1.2 + 1e-6).all()
    start = np.linalg.norm(vines.end_posts_xy[::2] - rows.start_xy[held], axis=1)
    assert (start < 1.2 + 1e-6).all()
    bare = rows.length_m[vines.bare_pieces]
    assert (bare < 1.2 + 2 * gap).all()


@given(field=fields(), bearing=bearings, every=st.integers(1, 9), corner=corners)
def test_line_posts_stand_half_way_and_line_up_across_the_block(field, bearing, every, corner):
    rows = numbered_from(fit(field, bearing, 2.5, **ROOM), corner)

    vines = place(rows, 1.2, end_gap_m=0.6, post_every=every)

    index = along_rows(vines.line_posts_xy, bearing) / 1.2 - 0.5
    np.testing.assert_allclose(index, np.round(index), atol=1e-7)
    assert (np.round(index).astype(int) % every == 0).all()
    lattice = np.round(along_rows(vines.xy, bearing) / 1.2).astype(int)
    after = lattice[(lattice % every == 0)]
    last = np.zeros(len(rows), int) - 10**9
    np.maximum.at(last, vines.piece, lattice)
    expected = np.count_nonzero(after < last[vines.piece[lattice % every == 0]])
    assert len(vines.line_posts_xy) == expected


def test_free_line_posts_are_counted_from_the_start_of_the_row():
    rows = numbered_from(fit(box(0, 0, 5, 30.7), 0.0, 2.5, offset_m=1.0), "north-west")

    vines = place(rows, 1.0, pattern="free", end_gap_m=0.5, post_every=4)

    # 30 vines from 30.2 down to 0.7... posts after vines 4, 8, ... 28.
    first = vines.line_posts_xy[vines.line_posts_piece == 0][:, 1]
    np.testing.assert_allclose(first, 30.7 - 0.5 - 3.5 - 4.0 * np.arange(7))


@given(field=fields(), bearing=bearings, pattern=patterns, gap=st.floats(0.0, 2.0))
def test_counting_gives_what_placing_gives(field, bearing, pattern, gap):
    rows = fit(field, bearing, 2.5, **ROOM)

    vines = place(rows, 1.2, pattern=pattern, end_gap_m=gap, phase_m=0.2)

    counted = count(rows, 1.2, pattern=pattern, end_gap_m=gap, phase_m=0.2)
    np.testing.assert_array_equal(counted, vines.vines)
    np.testing.assert_array_equal(np.bincount(vines.piece, minlength=len(rows)), counted)


@given(field=fields(), bearing=bearings, corner=corners)
def test_anchors_stand_in_line_beyond_end_posts_inside_the_field(field, bearing, corner):
    rows = numbered_from(fit(field, bearing, 2.5, headland_m=9.5, side_margin_m=3.0), corner)
    vines = place(rows, 1.2, end_gap_m=0.6)

    xy = anchors(vines, 1.5)

    away = xy - vines.end_posts_xy
    np.testing.assert_allclose(np.linalg.norm(away, axis=1), 1.5, atol=1e-9)
    inward = vines.end_posts_xy.reshape(-1, 2, 2)[:, ::-1].reshape(-1, 2) - vines.end_posts_xy
    cross = away[:, 0] * inward[:, 1] - away[:, 1] * inward[:, 0]
    np.testing.assert_allclose(cross, 0.0, atol=1e-6)
    assert ((away * inward).sum(axis=1) <= 0).all()
    ahead = xy + 8.0 * vines.end_posts_outward_xy
    assert shapely.covers(
        field.buffer(1e-6), shapely.linestrings(np.stack([xy, ahead], axis=1))
    ).all()


# --- ground on which nothing stands ---------------------------------------------------------


@given(
    field=fields(),
    bearing=bearings,
    pattern=patterns,
    corner=corners,
    at=st.floats(-60.0, 60.0),
    width=st.floats(0.5, 9.0),
    turn=st.floats(0.0, 180.0),
)
def test_nothing_stands_over_a_pipe_and_all_else_stays(
    *, field, bearing, pattern, corner, at, width, turn
):
    strip = shapely.affinity.rotate(box(-400, at, 400, at + width), turn, origin=(0, 0))
    rows = numbered_from(fit(field, bearing, 2.5, **ROOM), corner)

    vines = place(rows, 1.2, pattern=pattern, end_gap_m=0.6, skip=strip, anchor_distance_m=1.5)

    inside = strip.buffer(-1e-6)
    for xy in (vines.xy, vines.line_posts_xy, vines.end_posts_xy, anchors(vines, 1.5)):
        assert not shapely.contains_xy(inside, xy[:, 0], xy[:, 1]).any()
    every = place(rows, 1.2, pattern=pattern, end_gap_m=0.6)
    assert vines.left_out == len(every) - len(vines)
    names = set(zip(vines.row.tolist(), vines.number.tolist(), strict=True))
    assert len(names) == len(vines)
    if pattern != "free":
        # Away from the strip and the ends it moves, nothing changes.
        far = shapely.distance(strip, shapely.points(every.xy)) > 1.5 + 0.6 + 1.2
        kept = {tuple(xy) for xy in np.round(vines.xy, 5)}
        assert {tuple(xy) for xy in np.round(every.xy[far], 5)} <= kept


def test_a_row_runs_on_over_a_pipe_and_its_numbers_go_on():
    rows = fit(box(0, 0, 5, 30), 0.0, 2.5, offset_m=1.0)

    vines = place(rows, 1.0, end_gap_m=0.5, skip=box(-5, 10.5, 20, 14.5))

    first = vines.row == 1
    np.testing.assert_allclose(vines.xy[first][:, 1], [*range(1, 11), *range(15, 30)], atol=1e-9)
    np.testing.assert_array_equal(vines.number[first], np.arange(1, 26))
    assert len(vines.end_posts_xy) == 2 * len(rows)
    assert vines.left_out == 4 * len(rows)


@pytest.mark.parametrize("pattern", ["square", "free"])
def test_a_row_that_would_end_over_a_pipe_ends_before_it(pattern):
    rows = fit(box(0, 0, 5, 30), 0.0, 2.5, offset_m=1.0)

    vines = place(
        rows, 1.0, pattern=pattern, end_gap_m=0.5,
        skip=box(-5, 28, 20, 30.2), anchor_distance_m=1.5,
    )  # fmt: skip

    # Neither the post nor the anchor 1.5 m further may stand between 28 and 30.2 m.
    np.testing.assert_allclose(vines.end_posts_xy[1::2, 1], 26.5, atol=1e-9)


@given(field=fields(), bearing=bearings, corner=corners, at=st.floats(-60.0, 60.0))
def test_trimmed_ends_are_clear_and_trimmed_no_more_than_needed(field, bearing, corner, at):
    strip = box(-400, at, 400, at + 3.0)
    rows = numbered_from(fit(field, bearing, 2.5, **ROOM), corner)

    trimmed = trim_ends(rows, strip, 1.5)

    inside = strip.buffer(-1e-6)
    for ends, heading in ((trimmed.start_xy, -1.0), (trimmed.end_xy, 1.0)):
        anchor = ends + heading * 1.5 * trimmed.heading_xy
        for xy in (ends, anchor):
            assert not shapely.contains_xy(inside, xy[:, 0], xy[:, 1]).any()
    shorter = rows.length_m.sum() - trimmed.length_m.sum()
    taken = shapely.intersection(rows.lines(), strip.buffer(1.5 + 3.0))
    assert 0.0 <= shorter <= shapely.length(taken).sum() + 1e-6


def test_trimming_leaves_rows_alone_that_end_elsewhere():
    rows = fit(box(0, 0, 50, 30), 0.0, 2.5, offset_m=1.0)

    trimmed = trim_ends(rows, box(0, 10, 50, 12), 1.5)

    np.testing.assert_array_equal(trimmed.end_xy, rows.end_xy)
    np.testing.assert_array_equal(trimmed.row, rows.row)


# --- limits ---------------------------------------------------------------------------------


def test_a_piece_that_holds_no_vine_has_no_posts():
    rows = fit(shapely.union_all([box(0, 0, 5, 30), box(5, 0, 9, 0.8)]), 0.0, 2.5, offset_m=1.0)

    vines = place(rows, 1.2, end_gap_m=0.6)

    np.testing.assert_array_equal(rows.line[vines.bare_pieces], [2, 3])
    assert len(vines.end_posts_xy) == 4
    assert (vines.row_length_m[vines.bare_pieces] == 0.0).all()


@pytest.mark.parametrize(
    "kwargs",
    [
        {"vine_spacing_m": 0.0},
        {"vine_spacing_m": 1.2, "end_gap_m": -0.1},
        {"vine_spacing_m": 1.2, "pattern": "round"},
        {"vine_spacing_m": 1.2, "post_every": 0},
    ],
)
def test_a_pattern_that_means_nothing_is_refused(kwargs):
    rows = fit(box(0, 0, 5, 30), 0.0, 2.5)

    with pytest.raises(ValueError, match="got"):
        place(rows, **kwargs)
