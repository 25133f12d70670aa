"""End assemblies: their statics beside printed values, and the laws they must keep."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.trellis.end_strength import euler_load_n, post_bending_nm
from aanplant.trellis.ends import RowPull, h_brace, row_pull, strut, tie_back

OWN = "own working from the statics of docs/ends.md, vineyard reference notes A6"
TENSION_N = (1500.0, 500.0, 500.0, 500.0)
HEIGHT_M = (0.75, 1.05, 1.35, 1.70)
STRANDS = (1, 2, 2, 2)
"""Worked case W: a cordon wire and three movable pairs."""

lengths = st.floats(0.3, 4.0)
leans = st.floats(0.0, 45.0)
tensions = st.lists(st.floats(0.0, 5000.0), min_size=4, max_size=4)


@pytest.fixture
def worked():
    return row_pull(TENSION_N, HEIGHT_M, STRANDS)


@pytest.mark.published(source=OWN, quantity="pull of the wires of case W", unit="N")
def test_the_pull_of_seven_wires(published, worked):
    published.equal(worked.pull_n, printed=4500, tolerance=0.5)


@pytest.mark.published(source=OWN, quantity="moment of the wires of case W", unit="N m")
def test_the_moment_of_seven_wires(published, worked):
    published.equal(worked.moment_nm, printed=5225, tolerance=0.5)


@pytest.mark.published(source=OWN, quantity="height of the pull of case W", unit="m")
def test_the_height_of_the_pull_of_seven_wires(published, worked):
    published.equal(worked.height_m, printed=1.161, tolerance=0.0005)


TIE_BACKS = [
    (0, 1.7, 45.00, 4346.6, 3073.5, 1426.5),
    (0, 1.2, 54.78, 5329.7, 4354.2, 1426.5),
    (20, 1.7, 57.54, 3642.5, 3073.5, 2545.1),
    (30, 1.8, 64.29, 3221.7, 2902.8, 3102.4),
]


@pytest.mark.published(source=OWN, quantity="angle of the tie of a tied end post", unit="deg")
@pytest.mark.parametrize(("lean", "distance", "angle"), [row[:3] for row in TIE_BACKS])
def test_the_angle_of_a_tie(published, worked, lean, distance, angle):
    held = tie_back(worked, 1.7, distance, lean)

    published.equal(
        held.angle_deg, printed=angle, tolerance=0.005, label=f"lean {lean}, anchor {distance} m"
    )


@pytest.mark.published(source=OWN, quantity="forces of a tied end post", unit="N")
@pytest.mark.parametrize("printed", TIE_BACKS)
def test_the_forces_of_a_tied_post(published, worked, printed):
    lean, distance, _, tie, uplift, shear = printed

    held = tie_back(worked, 1.7, distance, lean)

    where = f"lean {lean}, anchor {distance} m"
    published.equal(held.tie_n, printed=tie, tolerance=0.05, label=f"tie, {where}")
    published.equal(held.uplift_n, printed=uplift, tolerance=0.05, label=f"uplift, {where}")
    published.equal(held.foot_shear_n, printed=shear, tolerance=0.05, label=f"foot, {where}")


@pytest.mark.published(source=OWN, quantity="forces of an H-brace", unit="N")
def test_the_forces_of_a_braced_pair_of_posts(published, worked):
    held = h_brace(worked, 1.5, 2.5)

    published.equal(held.rail_n, printed=3483.3, tolerance=0.05, label="rail")
    published.equal(held.wire_n, printed=4062.2, tolerance=0.05, label="wire across")
    published.equal(held.uplift_n, printed=2090.0, tolerance=0.05, label="uplift")
    published.equal(held.post_shear_n, printed=1016.7, tolerance=0.05, label="shear of the post")


@pytest.mark.published(
    source="pull of case W as 1012 lb (1 lbf = 4.44822 N), within the 1000 to 1500 lb that a "
    "factsheet of British Columbia (307.220-1) gives for braces of farm fences",
    quantity="pull on a brace",
    unit="lbf",
)
def test_the_pull_on_a_brace_in_pounds(published, worked):
    published.equal(worked.pull_n / 4.44822, printed=1012, tolerance=0.5)


@pytest.mark.published(source=OWN, quantity="forces of a strutted end post", unit="N")
def test_the_forces_of_a_strutted_post(published, worked):
    held = strut(worked, 1.3, 2.2)

    published.equal(held.axial_n, printed=4668.5, tolerance=0.05, label="strut")
    published.equal(held.block_horizontal_n, printed=4019.2, tolerance=0.05, label="block")
    published.equal(held.uplift_n, printed=2375.0, tolerance=0.05, label="uplift")


@pytest.mark.published(
    source=f"{OWN}: a strut of 2.56 m, 9 GPa", quantity="Euler load of a strut", unit="kN"
)
@pytest.mark.parametrize(("diameter", "printed"), [(80, 27.3), (100, 66.5)])
def test_the_push_at_which_a_strut_bows_out(published, diameter, printed):
    published.equal(
        euler_load_n(diameter, 2.56) / 1000.0,
        printed=printed,
        tolerance=0.05,
        label=f"{diameter} mm",
    )


@given(tensions, lengths, lengths, leans)
def test_uplift_times_anchor_distance_is_the_moment_whatever_the_lean(
    tension, height, distance, lean
):
    pull = row_pull(tension, HEIGHT_M)

    held = tie_back(pull, height, distance, lean)

    assert held.uplift_n * distance == pytest.approx(np.dot(tension, HEIGHT_M), rel=1e-12)


@given(tensions, lengths, lengths, leans)
def test_a_tied_post_and_its_anchor_are_in_balance(tension, height, distance, lean):
    pull = row_pull(tension, HEIGHT_M)

    held = tie_back(pull, height, distance, lean)

    # Along the row: wires against foot and anchor; upright: foot against anchor.
    size = 1.0 + held.tie_n
    assert held.foot_shear_n + held.anchor_horizontal_n == pytest.approx(
        pull.pull_n, abs=1e-9 * size
    )
    assert held.thrust_n == pytest.approx(held.uplift_n)
    assert np.hypot(held.uplift_n, held.anchor_horizontal_n) == pytest.approx(held.tie_n)
    # The post alone, about its foot: the tie at the height of its hold, leaning out.
    out = height * np.tan(np.radians(lean))
    turning = held.anchor_horizontal_n * height + held.uplift_n * out
    assert turning == pytest.approx(pull.moment_nm, rel=1e-9, abs=1e-9 * size)


@given(tensions, lengths, lengths)
def test_a_braced_pair_of_posts_is_in_balance(tension, height, distance):
    pull = row_pull(tension, HEIGHT_M)

    held = h_brace(pull, height, distance)

    across = held.wire_n * distance / np.hypot(distance, height)
    assert held.rail_n * height == pytest.approx(pull.moment_nm)
    assert across == pytest.approx(held.rail_n)  # the head of the second post, along the row
    assert held.post_shear_n + across == pytest.approx(pull.pull_n, abs=1e-6)
    assert held.foot_shear_n == pytest.approx(held.post_shear_n + across, abs=1e-6)
    assert held.uplift_n * distance == pytest.approx(pull.moment_nm)
    assert held.second_thrust_n == pytest.approx(held.uplift_n)


@given(tensions, lengths, lengths)
def test_a_strutted_post_is_in_balance(tension, height, distance):
    pull = row_pull(tension, HEIGHT_M)

    held = strut(pull, height, distance)

    assert held.block_horizontal_n + held.foot_shear_n == pytest.approx(pull.pull_n, abs=1e-6)
    assert held.block_thrust_n * distance == pytest.approx(pull.moment_nm)
    assert held.uplift_n == pytest.approx(held.block_thrust_n)
    assert np.hypot(held.block_horizontal_n, held.block_thrust_n) == pytest.approx(held.axial_n)


@given(tensions, st.integers(0, 3), lengths, lengths, leans)
def test_more_tension_is_never_less_force(tension, line, height, distance, lean):
    tighter = [t + (100.0 if i == line else 0.0) for i, t in enumerate(tension)]
    before, after = row_pull(tension, HEIGHT_M), row_pull(tighter, HEIGHT_M)

    for hold, kept in (
        (lambda pull: tie_back(pull, height, distance, lean), ("tie_n", "uplift_n", "thrust_n")),
        (lambda pull: h_brace(pull, height, distance), ("rail_n", "wire_n", "uplift_n")),
        (lambda pull: strut(pull, height, distance), ("axial_n", "uplift_n")),
    ):
        for name in kept:
            assert getattr(hold(after), name) > getattr(hold(before), name)


def test_an_anchor_straight_below_the_tie_leaves_all_the_pull_to_the_foot(worked):
    # A layout printed by a page of growers in the United Kingdom: the post leans by 25 degrees,
    # its anchor stands below its top.
    held = tie_back(worked, 1.7, 1.7 * np.tan(np.radians(25.0)), 25.0)

    assert held.angle_deg == pytest.approx(90.0)
    assert held.foot_shear_n == pytest.approx(worked.pull_n)
    assert held.tie_n == pytest.approx(held.uplift_n)


def test_every_row_has_its_own_forces():
    tension = np.array([TENSION_N, np.multiply(TENSION_N, 2.0), np.zeros(4)])

    pull = row_pull(tension, HEIGHT_M, STRANDS)
    held = tie_back(pull, 1.7, np.array([1.7, 1.7, 1.2]), 20.0)

    assert held.tie_n[:2] == pytest.approx([3642.5, 7285.1], abs=0.05)
    assert held.tie_n[2] == 0.0
    assert np.isnan(pull.height_m[2])


def test_a_post_bends_most_at_a_wire_or_where_it_is_held():
    # One wire of 1000 N at 1 m, held at 2 m: a beam on two supports, P L / 4.
    assert post_bending_nm([1000.0], [1.0], 2.0) == pytest.approx(500.0)
    # Held at 1 m, the wire at 1.5 m: a cantilever above the hold.
    assert post_bending_nm([1000.0], [1.5], 1.0) == pytest.approx(500.0)
    # Held where it is pulled: nothing bends.
    assert post_bending_nm([1000.0], [1.2], 1.2) == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("call", "expected"),
    [
        (lambda pull: tie_back(pull, 0.0, 1.5), "tie_height_m"),
        (lambda pull: tie_back(pull, 1.7, 0.0), "anchor_distance_m"),
        (lambda pull: tie_back(pull, 1.7, 1.5, -5.0), "lean_deg"),
        (lambda pull: tie_back(pull, 1.7, 1.5, 90.0), "lean_deg"),
        (lambda pull: h_brace(pull, 1.5, np.nan), "post_distance_m"),
        (lambda pull: strut(pull, -1.0, 2.0), "strut_height_m"),
        (lambda _: row_pull([-1.0], [1.0]), "push"),
        (lambda _: euler_load_n(0.0, 1.0), "diameter_mm"),
    ],
)
def test_an_assembly_that_can_t_be_is_refused(call, expected):
    with pytest.raises(ValueError, match=expected):
        call(RowPull(np.array([4500.0]), np.array([5225.0])))
