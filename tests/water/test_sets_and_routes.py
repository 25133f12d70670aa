"""How sets are chosen and how pipes find their way, beside plain slow answers."""

from itertools import product

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from aanplant.water.laterals import choose_place, inlet_share, loss_of_run_m
from aanplant.water.network import solve
from aanplant.water.routes import Land, grow, length_within, way
from aanplant.water.sets import SetWeights, fewest_sets, group
from tests.layout.ground import around

NOTHING = shapely.Polygon()
WIDE = shapely.box(-1000, -1000, 1000, 1000)


def cost_of(  # noqa: PLR0917 - what group is given
    set_of, flow, in_zone, band, mean, weights
):
    """The cost that ``group`` makes least, written as its words say."""
    total = 0.0
    for number in range(set_of.max() + 1):
        own = set_of == number
        taken = flow[own].sum()
        total += 1.0 + weights.uneven * (taken / mean - 1.0) ** 2
        total += weights.valve * (len(np.unique(band[own])) - 1)
        if in_zone.shape[1]:
            total += weights.soil * (1.0 - in_zone[own].sum(axis=0).max() / taken)
    return total


@st.composite
def rows(draw):
    n = draw(st.integers(1, 9))
    flow = np.array(draw(st.lists(st.floats(0.1, 2.0), min_size=n, max_size=n)))
    zone = np.array(draw(st.lists(st.integers(0, 2), min_size=n, max_size=n)))
    band = np.sort(draw(st.lists(st.integers(0, 2), min_size=n, max_size=n)))
    in_zone = flow[:, None] * (zone[:, None] == np.arange(3))
    weights = SetWeights(*draw(st.tuples(*[st.floats(0.0, 2.0)] * 3)))
    return flow, in_zone, band, draw(st.floats(2.0, 6.0)), weights


@given(rows(), st.booleans())
def test_no_way_to_part_the_rows_beats_the_one_chosen(case, fix_number):
    flow, in_zone, band, limit, weights = case
    least = fewest_sets(flow, limit)
    number = min(least + 1, len(flow)) if fix_number else None

    chosen = group(flow, in_zone, band, limit, number=number, weights=weights)

    mean = flow.sum() / (number or least)
    costs, counts = [], []
    for cuts in product([0, 1], repeat=len(flow) - 1):
        trial = np.cumsum([0, *cuts])
        if np.bincount(trial, flow).max() > limit:
            continue
        counts.append(trial.max() + 1)
        if number is None or counts[-1] == number:
            costs.append(cost_of(trial, flow, in_zone, band, mean, weights))
    assert min(counts) == least
    assert np.bincount(chosen, flow).max() <= limit * (1 + 1e-9)
    found = cost_of(chosen, flow, in_zone, band, mean, weights)
    assert found == pytest.approx(min(costs), rel=1e-9)
    if number is not None:
        assert chosen.max() + 1 == number


def test_soil_zones_are_kept_apart_where_that_counts():
    flow = np.ones(10)
    zone = np.array([0] * 4 + [1] * 6)
    in_zone = (zone[:, None] == np.arange(2)).astype(float)
    none = np.zeros(10, int)

    apart = group(flow, in_zone, none, 6.0, weights=SetWeights(soil=5.0))
    even = group(flow, in_zone, none, 6.0, weights=SetWeights(soil=0.0))

    np.testing.assert_array_equal(apart, zone)
    np.testing.assert_array_equal(np.bincount(even), [5, 5])


def test_one_row_above_the_limit_cannot_be_parted():
    with pytest.raises(ValueError, match="more than the limit"):
        fewest_sets(np.array([1.0, 3.0]), 2.0)


@given(
    st.lists(st.floats(0.4, 1.0), min_size=5, max_size=12),
    st.lists(st.tuples(*[st.floats(-30, 30)] * 4), min_size=1, max_size=8),
)
def test_length_inside_a_shape_is_that_of_its_intersection(shares, ends):
    shape = shapely.Polygon(around(25.0 * np.array(shares), turn_deg=3.7)).difference(
        shapely.Point(1.3, 0.7).buffer(4.1)
    )
    ends = np.array(ends)

    ours = length_within(shape, ends[:, :2], ends[:, 2:])

    lines = shapely.linestrings(ends.reshape(-1, 2, 2))
    np.testing.assert_allclose(ours, shapely.length(shapely.intersection(lines, shape)), atol=1e-6)


def test_the_way_round_a_square_is_as_long_as_by_hand():
    # A square of 20 m in the way; corners are passed half a metre off.
    land = Land(WIDE, shapely.box(-10, -10, 10, 10), NOTHING)

    found = way(land, np.array([-40.0, 0.0]), np.array([40.0, 0.0]))

    assert found is not None
    by_hand = 2.0 * np.hypot(40.0 - 10.5, 10.5) + 21.0
    assert np.hypot(*np.diff(found, axis=0).T).sum() == pytest.approx(by_hand, rel=1e-9)


def test_there_is_no_way_out_of_a_closed_ring():
    ring = shapely.Point(0, 0).buffer(30).difference(shapely.Point(0, 0).buffer(20))

    assert way(Land(WIDE, ring, NOTHING), np.array([0.0, 0.0]), np.array([50.0, 0.0])) is None


def test_a_mainline_runs_between_rows_rather_than_across_them():
    planted = shapely.box(-50, -50, 50, 50)
    north = np.array([0.0, 1.0])
    ends = np.array([0.0, -60.0]), np.array([0.0, 60.0])

    along = way(Land(WIDE, NOTHING, planted, north), *ends)
    across = way(Land(WIDE, NOTHING, planted, np.array([1.0, 0.0])), *ends)

    assert len(along) == 2
    assert len(across) > 2
    assert not shapely.crosses(planted, shapely.LineString(across))


@given(
    st.lists(st.tuples(st.integers(-90, 90), st.integers(-90, 90)), min_size=2, max_size=8),
    st.integers(5, 60),
)
def test_no_pipe_of_a_mainline_runs_back_beside_the_one_that_feeds_it(places, half_m):
    dam = shapely.box(-half_m, -half_m, half_m, half_m)
    land = Land(WIDE, dam, NOTHING)
    targets = np.unique([xy for xy in places if max(map(abs, xy)) > half_m + 1], axis=0) + 0.0
    if not len(targets):
        return

    tree = grow(land, np.array([-200.0, 3.0]), targets)

    assert (tree.parent[1:] < np.arange(1, len(tree.xy))).all()
    np.testing.assert_array_equal(tree.xy[tree.target], targets)
    for node in np.flatnonzero(tree.parent > 0):
        end = tree.parent[node]
        start = tree.xy[tree.parent[end]]
        way = np.hypot(*(tree.xy[end] - start))
        assert (
            np.hypot(*(tree.xy[node] - start)) > way - 1e-5
            or land.cost(start[None], tree.xy[node][None]) == np.inf
        )


def test_a_mainline_is_tapped_at_a_turn_rather_than_run_out_and_back():
    # The nearer target stands 3 m past the gap through which the way to the other one turns.
    walls = [shapely.box(0, 1, 100, 60), shapely.box(101.5, 1, 130, 60)]
    land = Land(WIDE, shapely.MultiPolygon([*walls, shapely.box(-100, -60, 200, -1)]), NOTHING)

    tree = grow(land, np.array([-20.0, 0.0]), np.array([[104.0, 0.0], [100.7, 70.0]]))

    turn = int(tree.parent[tree.target[0]])
    length = np.hypot(*(tree.xy[1:] - tree.xy[tree.parent[1:]]).T).sum()
    assert 100.0 < tree.xy[turn, 0] < 101.5
    assert length < 121.0 + 3.1 + 70.0


def test_a_target_on_the_way_to_another_is_passed_through():
    land = Land(WIDE, NOTHING, NOTHING)
    targets = np.array([[100.0, 0.0], [50.0, 0.0], [75.0, 0.0]])

    tree = grow(land, np.zeros(2), targets)

    np.testing.assert_array_equal(tree.xy[:, 0], [0.0, 50.0, 75.0, 100.0])
    np.testing.assert_array_equal(tree.parent, [-1, 0, 1, 2])
    np.testing.assert_array_equal(tree.target, [3, 1, 2])


@pytest.mark.parametrize(
    ("grade", "longest", "expected"),
    [
        (0.05, 200.0, "row start"),
        (-0.05, 50.0, "row end"),
        (0.01, 150.0, "middle"),
        (-0.01, 150.0, "middle"),
        (0.01, 100.0, "row end"),
    ],
)
def test_water_enters_on_high_in_the_middle_or_near(grade, longest, expected):
    place = choose_place(
        grade, longest, level_grade=0.02, longest_lateral_m=120.0, nearer="row end"
    )

    assert place == expected


@given(st.floats(0.0, 5.0), st.floats(0.1, 10.0))
def test_the_inlet_of_a_row_parts_it_so_that_both_ends_have_one_pressure(fall, loss):
    share = inlet_share(fall, loss)

    assert 0.0 <= share <= 0.5
    if fall < loss:
        lower, upper = loss * (1.0 - share) ** 2.75, loss * share**2.75
        assert lower - upper == pytest.approx(fall, abs=1e-6)
    else:
        assert share == 0.0


def test_an_inlet_so_placed_evens_the_ends_of_a_solved_row():
    # 300 drippers of 2 L/h, 0.6 m apart, bore 14.2 mm, on a row that falls 1 %.
    n, spacing, bore, grade = 300, 0.6, 0.0142, 0.01
    flow = 2.0 / 3.6e6
    loss = loss_of_run_m(n * spacing, n * flow, bore)
    upper = round(inlet_share(grade * n * spacing, loss) * n)
    lower = n - upper

    parent = np.concatenate([[-1, 0], np.arange(1, upper), [0], np.arange(upper + 1, n)])
    down = np.concatenate([[0.0], -np.arange(1.0, upper + 1), np.arange(1.0, lower + 1)])
    z = -grade * spacing * down
    length = np.full(n + 1, spacing)
    coefficient = np.concatenate([[0.0], np.full(n, flow)])
    solved = solve(parent, length, bore, z, coefficient, 0.0, 12.0, friction="blasius")

    pressure = solved.head_m - z
    # One dripper to the other side turns the balance by more than a centimetre; the law of
    # Blasius with its slow last metres and single drippers by a few more.
    assert abs(pressure[upper] - pressure[-1]) < 0.08
    assert upper < 0.45 * n
