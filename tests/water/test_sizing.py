"""Cheapest pipe sizes beside worked examples, and beside every choice on small networks."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from aanplant.water.reaches import gathered, reaches_of
from aanplant.water.shortfall import CannotBeSized
from aanplant.water.sizing import size
from aanplant.water.sizing_model import HeadForSale
from aanplant.water.taper import broken_joints, exchanged

HAIR_M = 1e-4
"""Head that the solver's own tolerance may come to."""
Y_COST = np.array([[100.0, 60.0, 40.0], [60.0, 40.0, 25.0], [60.0, 40.0, 25.0]])
Y_GRADIENT = np.array([[0.010, 0.030, 0.080], [0.008, 0.020, 0.060], [0.012, 0.030, 0.090]])


def y_network(first_m, second_m):
    """Reach 1 with the reaches 2 and 3 beyond it, losing at most so much to either end."""
    return reaches_of(
        [-1, 0, 0], [100.0, 80.0, 120.0], [2.0, 1.0, 1.0], [-np.inf, -first_m, -second_m]
    )


@pytest.mark.published(
    source="100 m of two sizes, worked by hand", quantity="cheapest sizes", unit="m, cost"
)
def test_one_reach_of_two_sizes(published):
    found = size(reaches_of([-1], [100.0], [1.0], [-2.0]), [[0.01, 0.03]], [100.0, 60.0], 0.0)

    published.equal(found.length_m[0, 0], printed=50, tolerance=1e-6, label="wide pipe")
    published.equal(found.length_m[0, 1], printed=50, tolerance=1e-6, label="narrow pipe")
    published.equal(found.cost, printed=8000, tolerance=1e-4, label="cost")


@pytest.mark.published(
    source="Y-shaped network, by grid of 0.1 mm over the head at the fork",
    quantity="cheapest sizes",
    unit="m, cost",
)
@pytest.mark.parametrize(
    ("limits", "lengths", "cost", "whole"),
    [
        ((4.0, 6.0), [30, 70, 0, 0, 80, 0, 0, 120, 0], 15200, 18000),
        ((4.4, 5.4), [10, 90, 0, 0, 80, 0, 55.5556, 64.4444, 0], 15511.1111, 18000),
        ((5.0, 6.6), [0, 100, 0, 0, 70, 10, 0, 120, 0], 13850, 14000),
        ((3.6, 6.6), [2, 98, 0, 80, 0, 0, 0, 119.3333, 0.6667], 15670, 18000),
    ],
)
def test_y_shaped_network(published, limits, lengths, cost, whole):
    found = size(y_network(*limits), Y_GRADIENT, Y_COST, 0.0)
    of_one_size = size(y_network(*limits), Y_GRADIENT, Y_COST, 0.0, whole_reaches=True)

    about = f"loss {limits[0]:g} and {limits[1]:g} m"
    for place, printed in enumerate(lengths):
        reach, option = divmod(place, 3)
        published.equal(
            found.length_m[reach, option],
            printed=printed,
            tolerance=5e-5,
            label=f"{about}, reach {reach + 1}, size {option + 1}",
        )
    published.equal(found.cost, printed=cost, tolerance=5e-5, label=f"{about}, cost")
    published.equal(of_one_size.cost, printed=whole, tolerance=1e-4, label=f"{about}, whole")


BORE_M = np.array([59.2, 70.4, 84.6, 103.6, 131.8]) / 1e3
PRICE = np.array([28.0, 40.0, 57.0, 85.0, 138.0])


def hazen_williams(flow_m3_s, bore_m):
    return 10.667 * np.asarray(flow_m3_s) ** 1.852 / (150.0**1.852 * bore_m**4.8704)


@pytest.mark.published(
    source="manifold of 100 outlets in four quarters, worked by linear programme",
    quantity="cheapest sizes of a manifold",
    unit="m, cost, 1/m",
)
def test_manifold_of_four_quarters(published):
    flow = 40.0 / 3600.0 * (1.0 - np.arange(100) / 100.0)
    gradient = hazen_williams(flow[:, None], BORE_M).reshape(4, 25, -1).mean(axis=1)
    at_inlet = flow[::25]
    slow = at_inlet[:, None] / (np.pi / 4.0 * BORE_M**2) <= 1.5
    line = reaches_of([-1, 0, 1, 2], [62.5] * 4, at_inlet, [-np.inf] * 3 + [-2.5])

    found = size(line, gradient, PRICE, 0.0, allowed=slow)

    for quarter, printed in enumerate([0.011850, 0.006414, 0.002560, 0.000425]):
        published.equal(
            gradient[quarter, 3],
            printed=printed,
            tolerance=5e-7,
            label=f"gradient, quarter {quarter + 1}",
        )
    printed_m = {(0, 3): 62.5, (1, 3): 13.96042, (1, 2): 48.53958, (2, 2): 62.5, (3, 0): 62.5}
    for quarter, option in itertools.product(range(4), range(5)):
        published.equal(
            found.length_m[quarter, option],
            printed=printed_m.get((quarter, option), 0),
            tolerance=5e-6,
            label=f"quarter {quarter + 1}, {BORE_M[option] * 1e3:g} mm",
        )
    published.equal(found.cost, printed=14578.3917, tolerance=5e-5, label="cost")
    # Printed as "about 2 595".
    published.equal(found.price_of_head[0], printed=2595, tolerance=0.5, label="price of head")
    assert broken_joints(line, found.length_m, np.arange(5)) == []


# Small networks, every choice tried.


@st.composite
def networks(draw, reaches=3, sets=2, options=3):
    """A small tree of pipes with a few sets, sizes in order, and a source that is just enough."""
    count = draw(st.integers(1, reaches))
    parent = [-1] + [draw(st.integers(-1, reach - 1)) for reach in range(1, count)]
    length = [draw(st.integers(10, 200)) for _ in parent]
    n_sets = draw(st.integers(1, sets))
    taken = np.array(
        [[draw(st.sampled_from([0.0, 0.002, 0.005])) for _ in parent] for _ in range(n_sets)]
    )
    taken[:, -1] += 0.001  # so that no set is idle
    flow = gathered(parent, taken)
    height = np.array([[draw(st.integers(-3, 3)) for _ in parent]] * n_sets, float)
    least = np.where(taken > 0.0, height + 10.0, -np.inf)
    line = reaches_of(parent, length, flow, least)
    bore = np.sort([draw(st.sampled_from([40, 47, 59, 70, 84, 103])) for _ in range(options)]) / 1e3
    bore += np.arange(options) * 1e-3
    cost = np.cumsum([draw(st.integers(1, 60)) for _ in range(options)]).astype(float)
    gradient = hazen_williams(line.flow_m3_s[:, None], bore)
    widest = gradient[:, -1] * line.length_m[line.reach]
    head = np.zeros(len(widest))
    for use, up in enumerate(line.up):
        head[use] = widest[use] + (head[up] if up >= 0 else 0.0)
    needed = float(np.max(line.least_head_m + head))
    spare = draw(st.sampled_from([0.0, 0.05, 0.5, 3.0, 50.0]))
    return line, gradient, cost, needed + spare


def whole_choices(line, gradient, cost, source_m, *, tapers):
    """Cost of every choice of one size a reach that leaves head enough."""
    count, options = len(line.parent), len(cost)
    for choice in itertools.product(range(options), repeat=count):
        if tapers and any(
            up >= 0 and choice[reach] > choice[up] for reach, up in enumerate(line.parent)
        ):
            continue
        head = np.empty(len(line.reach))
        for use, (reach, up) in enumerate(zip(line.reach, line.up, strict=True)):
            before = head[up] if up >= 0 else source_m
            head[use] = before - gradient[use, choice[reach]] * line.length_m[reach]
        if np.all(head >= line.least_head_m - 1e-9):
            yield sum(cost[one] * line.length_m[reach] for reach, one in enumerate(choice))


def cheapest_pairs(line, gradient, cost, source_m, *, tapers):
    """Cheapest split of every choice of two sizes a reach, each choice solved by itself."""
    count, options = len(line.parent), len(cost)
    pairs = [(low, high) for low in range(options) for high in range(low, options)]
    best = math.inf
    for choice in itertools.product(pairs, repeat=count):
        if tapers and any(
            up >= 0 and choice[reach][1] > choice[up][0] for reach, up in enumerate(line.parent)
        ):
            continue
        low, high = (np.array([pair[end] for pair in choice]) for end in (0, 1))
        # Wide metres of each reach are all that is left to choose.
        paths, limits = [], []
        for use, least in enumerate(line.least_head_m):
            if np.isinf(least):
                continue
            row, spare, at = np.zeros(count), source_m - least, use
            while at >= 0:
                reach = line.reach[at]
                narrow, wide = gradient[at, low[reach]], gradient[at, high[reach]]
                row[reach] = wide - narrow
                spare -= narrow * line.length_m[reach]
                at = line.up[at]
            paths.append(row)
            limits.append(spare + 1e-9)
        found = linprog(
            cost[high] - cost[low],
            A_ub=paths,
            b_ub=limits,
            bounds=[(0, metres) for metres in line.length_m],
        )
        if found.status == 0:
            best = min(best, found.fun + float(cost[low] @ line.length_m))
    return best


def assert_keeps_the_limits(line, gradient, found, source_m):
    """Reckon the heads anew from the lengths, by hand."""
    np.testing.assert_allclose(found.length_m.sum(axis=1), line.length_m, rtol=1e-9)
    assert found.length_m.min() >= 0.0
    assert (found.length_m > 0.0).sum(axis=1).max() <= 2
    for use, least in enumerate(line.least_head_m):
        head, at = source_m, use
        while at >= 0:
            head -= gradient[at] @ found.length_m[line.reach[at]]
            at = line.up[at]
        assert head >= least - HAIR_M
        assert head == pytest.approx(found.head_m[use], abs=1e-9)


@given(networks())
@settings(max_examples=50)  # every choice of two sizes a reach is a programme of its own
def test_sizes_are_the_cheapest_of_all_and_keep_every_limit(network):
    line, gradient, cost, source_m = network

    found = size(line, gradient, cost, source_m)

    assert_keeps_the_limits(line, gradient, found, source_m)
    best = cheapest_pairs(line, gradient, cost, source_m, tapers=False)
    assert found.cost == pytest.approx(best, rel=1e-4)


@given(networks())
@settings(max_examples=50)  # every choice of two sizes a reach is a programme of its own
def test_tapered_sizes_are_the_cheapest_of_all_that_taper(network):
    line, gradient, cost, source_m = network
    order = np.arange(len(cost))

    found = size(line, gradient, cost, source_m, rank=order)

    assert_keeps_the_limits(line, gradient, found, source_m)
    assert broken_joints(line, found.length_m, order) == []
    best = cheapest_pairs(line, gradient, cost, source_m, tapers=True)
    assert found.cost == pytest.approx(best, rel=1e-4)


@pytest.mark.parametrize("ranks", [(0, 1, 2), (0, 0, 1), (0, 1, 1)])
@given(network=networks(reaches=4, sets=3), data=st.data())
def test_the_widest_size_of_each_reach_tapers_and_costs_no_more_than_it_says(ranks, network, data):
    """Also where two classes share a size, and not every class is allowed in every reach."""
    line, gradient, cost, source_m = network
    order = np.array(ranks)
    largest = order == order.max()
    may = np.array(
        [[bool(big) or data.draw(st.booleans()) for big in largest] for _ in line.parent]
    )

    try:
        exact = size(line, gradient, cost, source_m, rank=order, allowed=may)
    except CannotBeSized:
        with pytest.raises(CannotBeSized):
            size(line, gradient, cost, source_m, rank=order, allowed=may, widest=True)
        return
    found = size(line, gradient, cost, source_m, rank=order, allowed=may, widest=True)

    assert_keeps_the_limits(line, gradient, found, source_m)
    assert (found.length_m > 0.0).sum(axis=1).max() == 1
    assert not (found.length_m[~may] > 0.0).any()
    assert broken_joints(line, found.length_m, order) == []
    assert found.widening >= 0.0
    assert found.cost - found.widening <= exact.cost * (1.0 + 1e-6)


@pytest.mark.parametrize("tapers", [False, True])
@given(network=networks(reaches=4, sets=3))
def test_whole_reaches_are_the_cheapest_of_all_choices(tapers, network):
    line, gradient, cost, source_m = network
    order = np.arange(len(cost)) if tapers else None

    found = size(line, gradient, cost, source_m, rank=order, whole_reaches=True)

    assert_keeps_the_limits(line, gradient, found, source_m)
    assert (found.length_m > 0.0).sum(axis=1).max() == 1
    best = min(whole_choices(line, gradient, cost, source_m, tapers=tapers))
    assert found.cost == pytest.approx(best, rel=1e-9)


@given(networks())
def test_more_head_never_costs_more_and_its_price_is_a_bound(network):
    line, gradient, cost, source_m = network

    now = size(line, gradient, cost, source_m)
    later = size(line, gradient, cost, source_m + 0.25)

    assert later.cost <= now.cost * (1.0 + 1e-6)


@pytest.mark.parametrize("price", [1.0, 400.0, 3000.0])
def test_head_is_bought_as_long_as_it_saves_more_than_it_costs(price):
    line = y_network(4.0, 6.0)
    tried = [
        size(line, Y_GRADIENT, Y_COST, head).cost + price * head
        for head in np.linspace(0.0, 30.0, 601)
    ]

    found = size(line, Y_GRADIENT, Y_COST, 0.0, pump=HeadForSale(0.0, 30.0, price))

    assert found.total_cost <= min(tried) + 1e-6
    assert found.total_cost == pytest.approx(min(tried), rel=2e-3)
    assert found.head_cost == pytest.approx(price * found.pump_head_m)


def test_a_mainline_is_sized_for_the_set_that_needs_most_and_a_set_that_rests_asks_nothing():
    flow = [[0.010, 0.010, 0.0], [0.004, 0.0, 0.004]]
    least = [[-np.inf, 8.0, -np.inf], [-np.inf, -np.inf, 8.0]]
    line = reaches_of([-1, 0, 0], [200.0, 50.0, 50.0], flow, least)
    gradient = hazen_williams(line.flow_m3_s[:, None], BORE_M)

    both = size(line, gradient, PRICE, 12.0)
    first = reaches_of([-1, 0], [200.0, 50.0], flow[0][:2], least[0][:2])
    alone = size(first, hazen_williams(first.flow_m3_s[:, None], BORE_M), PRICE, 12.0)

    assert both.length_m[:2] == pytest.approx(alone.length_m, abs=1e-3)
    assert both.price_of_head[1] == pytest.approx(0.0, abs=1e-6)
    assert both.price_of_head[0] > 0.0


@given(networks(), st.floats(0.01, 20.0))
@settings(max_examples=50)
def test_what_a_refusal_asks_for_is_enough_and_no_less_is(network, missing_m):
    line, gradient, cost, source_m = network
    widest = gradient[:, -1:]
    low_m = source_m - missing_m
    try:
        size(line, widest, cost[-1:], low_m, gradient_of=hazen_williams)
    except CannotBeSized as error:
        short = error.shortfall
    else:
        return  # there was that much to spare

    size(line, widest, cost[-1:], low_m + short.more_head_m)
    with pytest.raises(CannotBeSized):
        size(line, widest, cost[-1:], low_m + 0.99 * short.more_head_m)
    if not math.isnan(short.least_bore_m):
        for share, is_enough in ((1.001, True), (0.99, False)):
            bore = hazen_williams(line.flow_m3_s[:, None], short.least_bore_m * share)
            wider = np.minimum(widest, bore)
            if is_enough:
                size(line, wider, cost[-1:], low_m)
            else:
                with pytest.raises(CannotBeSized):
                    size(line, wider, cost[-1:], low_m)


def test_missing_head_is_refused_with_the_place_the_amount_and_what_would_do():
    line = reaches_of(
        [-1, 0], [300.0, 100.0], [0.01, 0.01], [-np.inf, 20.0], name=("mainline 1", "submain 4")
    )
    gradient = hazen_williams(line.flow_m3_s[:, None], BORE_M[:2])

    with pytest.raises(CannotBeSized) as refused:
        size(line, gradient, PRICE[:2], 25.0, gradient_of=hazen_williams)

    short = refused.value.shortfall
    assert (short.kind, short.reach, short.name) == ("head", 1, "submain 4")
    enough = size(line, gradient, PRICE[:2], 25.0 + short.more_head_m)
    assert enough.spare_m[1] == pytest.approx(0.0, abs=1e-6)
    bore = np.array([short.least_bore_m])
    with pytest.raises(CannotBeSized):
        size(line, hazen_williams(line.flow_m3_s[:, None], bore * 0.999), [1.0], 25.0)
    size(line, hazen_williams(line.flow_m3_s[:, None], bore), [1.0], 25.0)
    text = str(refused.value)
    assert text.startswith("water: submain 4: found ")
    assert f"{short.more_head_m:.2f} m less than the 20.00 m needed" in text
    assert f"no bore under {math.ceil(short.least_bore_m * 1e3)} mm" in text


def test_a_source_that_lies_too_low_is_told_of_head_alone():
    line = reaches_of([-1], [300.0], [0.01], [20.0])
    gradient = hazen_williams(line.flow_m3_s[:, None], BORE_M)

    with pytest.raises(CannotBeSized, match=r"m more head at the source$") as refused:
        size(line, gradient, PRICE, 19.0, gradient_of=hazen_williams)

    assert math.isnan(refused.value.shortfall.least_bore_m)


def test_sizes_that_cannot_taper_are_refused_with_the_joint():
    line = reaches_of([-1, 0], [10.0, 10.0], [0.001, 0.001], [-np.inf, 0.0], name=("a", "b"))
    gradient = hazen_williams(line.flow_m3_s[:, None], BORE_M[:2])

    with pytest.raises(CannotBeSized, match="water: b: found no sizes that grow smaller"):
        size(line, gradient, PRICE[:2], 50.0, allowed=[[True, False], [False, True]], rank=[0, 1])


@pytest.mark.parametrize(
    ("parent", "length", "flow", "least", "told"),
    [
        ([0], [1.0], [1.0], [0.0], "behind the one upstream"),
        ([-1], [-2.0], [1.0], [0.0], "length must be at least 0"),
        ([-1], [1.0], [-1.0], [0.0], "flow must be at least 0"),
        ([-1, 0], [1.0, 1.0], [0.0, 1.0], [-np.inf, 0.0], "not through the one upstream"),
        ([-1], [1.0], [0.0], [0.0], "sends no water"),
        ([-1], [1.0, 2.0], [1.0], [0.0], "1 parents, 2 lengths"),
    ],
)
def test_reaches_that_make_no_pipe_line_are_refused(parent, length, flow, least, told):
    with pytest.raises(ValueError, match=told):
        reaches_of(parent, length, flow, least)


def test_a_reach_without_length_lies_in_no_taper():
    line = reaches_of([-1, 0, 1], [10.0, 0.0, 10.0], [0.002] * 3, [-np.inf, -np.inf, 0.0])
    gradient = hazen_williams(line.flow_m3_s[:, None], BORE_M[:3])
    narrow_first = [[True, False, False], [True, False, False], [False, True, True]]

    found = size(line, gradient, PRICE[:3], 50.0, rank=[0, 1, 2])

    assert found.length_m[1].sum() == 0.0
    assert found.cost == pytest.approx(20.0 * PRICE[0])
    with pytest.raises(CannotBeSized, match="reach 3"):
        size(line, gradient, PRICE[:3], 50.0, allowed=narrow_first, rank=[0, 1, 2])


def test_wide_pipe_changes_places_with_the_narrow_pipe_that_feeds_it():
    line = reaches_of([-1, 0, 1], [30.0, 50.0, 40.0], [0.003, 0.002, 0.001], [-np.inf] * 3)
    before = np.array([[0.0, 30.0], [10.0, 40.0], [40.0, 0.0]])  # wide, narrow
    order, cost = np.array([1, 0]), np.tile([3.0, 1.0], (3, 1))

    after = exchanged(line, before, cost, np.ones((3, 2), np.bool_), order)
    bound = exchanged(line, before, cost, np.array([[0, 1], [1, 1], [1, 1]], np.bool_), order)

    np.testing.assert_allclose(after, [[30.0, 0.0], [20.0, 30.0], [0.0, 40.0]])
    np.testing.assert_allclose(bound, [[0.0, 30.0], [50.0, 0.0], [0.0, 40.0]])
    assert broken_joints(line, after, order) == []
    assert broken_joints(line, bound, order) == [1]


def test_flows_are_gathered_towards_the_source():
    taken = [[0.0, 1.0, 2.0, 4.0], [1.0, 0.0, 0.0, 0.0]]

    np.testing.assert_array_equal(
        gathered([-1, 0, 0, 1], taken), [[7.0, 5.0, 2.0, 4.0], [1.0, 0.0, 0.0, 0.0]]
    )
