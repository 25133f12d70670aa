"""Ends of rows as the brief asks for them: what holds, what does not, and its mend."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.brief.ends import EndRules
from aanplant.brief.reading import parse_brief
from aanplant.errors import InputError
from aanplant.trellis.end_design import design_ends, printed_longest_m
from aanplant.trellis.end_mends import least_distance_m
from aanplant.trellis.end_parts import EndPost
from aanplant.trellis.ends import RowPull, tie_back

HEIGHT_M = (0.75, 1.05, 1.35, 1.70)
STRANDS = (1, 2, 2, 2)
WORKED_N = np.array([1500.0, 500.0, 500.0, 500.0])


def designed(rules=None, share=(1.0,), *, distance=1.7, length=100.0, post_above=2.1, **keys):
    """Ends of rows whose wires pull the given shares of worked case W."""
    tension = np.multiply.outer(share, WORKED_N)
    return design_ends(
        rules or EndRules(**{"helix_diameter": 150, **keys}),
        tension,
        HEIGHT_M,
        STRANDS,
        anchor_distance_m=distance,
        row_length_m=np.broadcast_to(length, len(share)),
        post=EndPost(post_above, 0.9, 34.0, 2.2),
    )


def test_a_helix_of_150_mm_barely_holds_the_worked_case():
    ends = designed()

    assert ends.use == pytest.approx([3642.5 / 3976.0], abs=0.0005)
    assert ends.pull_held_n == pytest.approx([4500.0 * 3976.0 / 3642.5], abs=1.0)
    assert ends.breaches == ()


def test_a_helix_of_100_mm_does_not_and_the_next_that_does_is_named():
    ends = designed(helix_diameter=100, share=(0.2, 1.0, 0.8))

    assert [round(float(use), 2) for use in ends.use] == [0.41, 2.06, 1.65]
    assert ends.mend_helix_mm.tolist() == [100.0, 150.0, 150.0]
    [breach] = ends.breaches
    assert (breach.kind, breach.part, breach.row) == ("end_overloaded", "anchor", 1)
    assert breach.value == pytest.approx(2.06, abs=0.005)


def test_where_no_helix_of_the_trade_holds_none_is_named():
    assert np.isnan(designed(share=(10.0,), ground="sand").mend_helix_mm[0])


def test_short_rows_get_lighter_anchors_only_where_allowed_and_where_these_hold():
    share, length = (0.4, 0.4, 1.0), np.array([50.0, 120.0, 50.0])

    allowed = designed(share=share, length=length, lighter_short_rows=True)
    not_asked = designed(share=share, length=length)

    assert allowed.is_lighter.tolist() == [True, False, False]
    assert allowed.helix_mm.tolist() == [100.0, 150.0, 150.0]
    assert allowed.use.max() <= 1.0
    assert not not_asked.is_lighter.any()


@pytest.mark.published(
    source="trellis slides, Iowa State University (2002): 600 ft and 250 ft",
    quantity="longest row of a tied end",
    unit="m",
)
def test_the_longest_rows_of_printed_practice(published):
    longest = printed_longest_m("tie-back", [150.0, 100.0])

    published.equal(longest[0], printed=183, tolerance=0.5, label="helix of 6 in")
    published.equal(longest[1], printed=76, tolerance=0.5, label="helix of 4 in")
    assert longest[0] == pytest.approx(600 * 0.3048, abs=0.5)
    assert longest[1] == pytest.approx(250 * 0.3048, abs=0.5)


def test_no_longest_row_is_invented_where_none_is_printed():
    assert np.isnan(printed_longest_m("tie-back", [75.0, np.nan])).all()
    assert np.isnan(printed_longest_m("h-brace", [np.nan])).all()


def test_length_alone_changes_nothing_between_fixed_ends():
    ends = designed(share=(1.0, 1.0), length=np.array([30.0, 300.0]))

    assert ends.use[0] == ends.use[1]


def test_a_braced_end_is_held_by_its_rail_and_by_its_post_in_the_ground():
    ends = designed(assembly="h-brace", post_distance=3.0)

    assert [part.part for part in ends.parts] == ["rail", "post pull-out", "end post"]
    assert ends.parts[1].use == pytest.approx([5225.0 / 3.0 * 2.0 / 8800.0])
    assert ends.breaches == ()


def test_a_post_dug_in_and_rammed_is_drawn_out():
    ends = designed(assembly="h-brace", post_pull_out=0.9)

    assert [breach.part for breach in ends.breaches] == ["post pull-out"]


@pytest.mark.published(
    source="a conservation fencing handbook from the United Kingdom, quoting tests in New Zealand",
    quantity="pull that draws a driven post out",
    unit="kgf",
)
def test_what_draws_a_driven_post(published):
    # The key is rounded to 0.1 kN, and so to 10 kgf.
    published.equal(EndRules().post_pull_out * 1e3 / 9.80665, printed=900, tolerance=5)


def test_a_thin_strut_bows_and_its_block_gives():
    ends = designed(assembly="strut", strut_diameter=50, block_depth=0.4, block_width=0.4)

    by_part = {part.part: part for part in ends.parts}
    assert by_part["strut"].load == pytest.approx([4668.5], abs=0.05)
    assert {breach.part for breach in ends.breaches} == {"strut", "block"}


def test_a_deadman_is_drawn_and_lifted():
    ends = designed(anchor="deadman", anchor_depth=0.9)

    horizontal, lift, _ = ends.parts
    assert horizontal.holds == pytest.approx([22000.0], abs=50.0)
    assert lift.load == pytest.approx([3073.5], abs=0.05)
    assert ends.breaches == ()


def test_a_deadman_too_near_its_post_is_told():
    ends = designed(anchor="deadman", anchor_depth=1.2, distance=1.2)

    assert [breach.kind for breach in ends.breaches] == ["deadman_near"]


def test_a_plate_holds_by_its_area():
    assert designed(anchor="plate").use[0] < designed().use[0]


def test_a_tie_above_the_post_and_a_brace_too_short_are_told():
    assert [b.kind for b in designed(post_above=1.5).breaches] == ["held_above_post"]
    short = designed(assembly="h-brace", rail_height=1.5, post_distance=2.5)
    assert [(b.kind, b.limit) for b in short.breaches] == [("brace_short", 3.0)]


def test_rows_without_tension_use_nothing():
    ends = designed(share=(0.0,))

    assert ends.use.tolist() == [0.0]
    assert np.isinf(ends.pull_held_n).all()


def test_a_block_without_rows_has_no_ends_to_fail():
    assert designed(share=(), helix_diameter=50).breaches == ()


def test_a_tie_back_without_room_for_its_anchor_is_refused():
    with pytest.raises(ValueError, match="anchor_distance_m"):
        designed(distance=0.0)


def test_ten_thousand_rows_are_checked_at_once():
    ends = designed(share=np.linspace(0.1, 2.0, 10_000))

    assert ends.use.shape == ends.foot.use.shape == (10_000,)
    assert np.all(np.diff(ends.use) > 0.0)


def test_a_thin_end_post_is_bent_too_far():
    ends = designed(post_diameter=75)

    assert [breach.part for breach in ends.breaches] == ["end post"]
    assert ends.parts[-1].unit == "N m"


def test_the_ground_at_the_foot_is_compared_but_never_a_breach():
    clay, sand = designed(), designed(ground="sand", helix_diameter=300)

    assert clay.foot.load == pytest.approx(clay.held.foot_shear_n)
    assert clay.foot.use[0] < 1.0 < sand.foot.use[0]
    assert "foot" not in {breach.part for breach in sand.breaches}


def test_an_anchor_moved_out_to_its_mend_just_holds():
    near = designed(distance=1.2)
    assert [breach.part for breach in near.breaches] == ["anchor"]

    mended = designed(distance=float(near.mend_distance_m[0]))

    assert near.mend_distance_m[0] > 1.2
    assert mended.use == pytest.approx([1.0])


@given(st.floats(100.0, 8000.0), st.floats(0.5, 2.5), st.floats(0.3, 4.0), st.floats(0.0, 45.0))
def test_the_least_distance_of_an_anchor_is_the_inverse_of_its_tie(moment, height, distance, lean):
    pull = RowPull(np.array([4500.0]), np.array([moment]))
    tie_n = tie_back(pull, height, distance, lean).tie_n

    least = least_distance_m(pull, height, tie_n * 1.001, lean)

    assert least <= distance * (1.0 + 1e-9)
    assert tie_back(pull, height, least, lean).tie_n == pytest.approx(tie_n * 1.001)


def test_no_distance_is_named_where_none_holds():
    assert np.isnan(least_distance_m(RowPull(np.array([1.0]), np.array([10.0])), 1.7, 5.0))


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("lean = 60", "between 0 and 45 deg"),
        ('anchor_depth = "12 m"', "between 0.2 and 4 m"),
        ('cohesion = "2 m"', "kPa"),
        ("factor_of_safety = 0", "between 1 and 6"),
        ('assembly = "tie"', "tie-back"),
        ("helix = 150", "helix_diameter"),
    ],
)
def test_an_end_that_can_t_be_is_refused_by_its_key(line, expected):
    text = '[block]\nboundary = "b"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n[ends]\n'

    with pytest.raises(InputError) as refused:
        parse_brief(text + line, "brief.toml")

    assert refused.value.where == f"brief.toml: ends.{line.split()[0]}"
    assert expected in refused.value.expected
