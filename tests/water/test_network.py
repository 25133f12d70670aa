"""Pressure and flow of every dripper: block B1, its laws, what is refused."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.water.network import solve
from tests.water.networks import (
    AS_EPANET,
    EPANET_LITRES,
    LITRES_PER_HOUR,
    block_b1,
    comb,
    epanet,
    lateral,
)

NOTES = "Our note on drip hydraulics, section 7: block B1 computed apart with numpy and numba"
BRINK_M = 1e-6
"""Pressure so near none that an emitter may be held to run or to be dry."""


def litres_per_hour(network, flows):
    return flows.emitter_flow_m3_s[network.emits] * LITRES_PER_HOUR


@pytest.mark.published(source=NOTES, quantity="emitter flow of block B1", unit="L/h")
def test_block_b1_with_the_constants_of_epanet(published):
    block = block_b1()

    flows = solve(*block.arguments, **AS_EPANET)

    flow = litres_per_hour(block, flows)
    joint = flows.head_m[~block.emits][-1]
    low = np.sort(flow)[: flow.size // 4].mean()
    published.equal(flow.sum(), printed=40155.241, tolerance=0.0005, label="total")
    published.equal(flow.min(), printed=1.655092, tolerance=5e-7, label="least")
    published.equal(flow.mean(), printed=2.007762, tolerance=5e-7, label="mean")
    published.equal(flow.max(), printed=2.443324, tolerance=5e-7, label="most")
    published.equal(100 * low / flow.mean(), printed=87.6329, tolerance=5e-5, label="DUlq, %")
    published.equal(joint, printed=12.13186, tolerance=5e-6, label="head at the end, m")
    published.equal(flow[0], printed=2.443324, tolerance=5e-7, label="lateral 1, first")
    published.equal(flow[199], printed=2.314778, tolerance=5e-7, label="lateral 1, last")
    published.equal(flow[-200], printed=1.791662, tolerance=5e-7, label="lateral 100, first")
    published.equal(flow[-1], printed=1.757843, tolerance=5e-7, label="lateral 100, last")
    pressure = flows.pressure_m[block.emits]
    published.equal(pressure.min(), printed=6.84833, tolerance=5e-6, label="least pressure, m")
    published.equal(pressure.max(), printed=14.92458, tolerance=5e-6, label="most pressure, m")


@pytest.mark.published(source=NOTES, quantity="emitter flow of block B1", unit="L/h")
def test_block_b1_in_water_of_20_degrees(published):
    block = block_b1()

    flow = litres_per_hour(block, solve(*block.arguments))

    published.equal(flow.sum(), printed=40172.527, tolerance=0.0005, label="total, 20 degrees")
    published.equal(flow.min(), printed=1.656328, tolerance=5e-7, label="least, 20 degrees")
    published.equal(flow.max(), printed=2.443333, tolerance=5e-7, label="most, 20 degrees")


def test_block_b1_agrees_with_epanet_flow_by_flow():
    block = block_b1()
    theirs, head = epanet(block)
    in_its_litres = block.but(coefficient=block.coefficient / EPANET_LITRES)

    ours = solve(*block.arguments, **AS_EPANET)
    closer = solve(*in_its_litres.arguments, **AS_EPANET)

    some = block.emits
    np.testing.assert_allclose(ours.emitter_flow_m3_s[some], theirs[some], rtol=5e-6)
    # With EPANET's own litre only the engine's own accuracy is left.
    np.testing.assert_allclose(
        closer.emitter_flow_m3_s[some] * EPANET_LITRES, theirs[some], rtol=2e-9
    )
    np.testing.assert_allclose(closer.head_m, head, atol=1e-7)


def test_the_nodes_may_be_numbered_in_any_order_that_flows_down():
    block = comb([30, 4, 22, 17], slope_x=0.02, slope_y=-0.01, bores=(0.05, 0.04))
    generator = np.random.default_rng(3)
    turn = np.argsort(depth(block.parent) + generator.uniform(0, 0.9, block.parent.size))
    place = np.argsort(turn)
    mixed = block.but(
        parent=place[block.parent[turn]],
        length_m=block.length_m[turn],
        diameter_m=block.diameter_m[turn],
        elevation_m=block.elevation_m[turn],
        coefficient=block.coefficient[turn],
    )

    plain, other = solve(*block.arguments), solve(*mixed.arguments)

    np.testing.assert_allclose(other.head_m, plain.head_m[turn], rtol=1e-11)
    np.testing.assert_allclose(other.pipe_flow_m3_s, plain.pipe_flow_m3_s[turn], rtol=1e-9)


def depth(parent):
    deep = np.zeros(parent.size)
    for node in range(1, parent.size):
        deep[node] = deep[parent[node]] + 1
    return deep


@st.composite
def networks(draw):
    """Trees of any shape, steep or flat, generous or starved, most with an emitter."""
    nodes = draw(st.integers(2, 60))
    seed = draw(st.integers(0, 2**32 - 1))
    random = np.random.default_rng(seed)
    straight = draw(st.floats(0.0, 1.0))
    parent = np.array(
        [
            -1 if i == 0 else i - 1 if random.random() < straight else int(random.integers(0, i))
            for i in range(nodes)
        ]
    )
    coefficient = random.uniform(0.2, 3.0, nodes) * 1e-6 * (random.random(nodes) < 0.8)
    coefficient[0] = 0.0
    return lateral().but(
        parent=parent,
        length_m=random.uniform(0.05, 60.0, nodes),
        diameter_m=random.uniform(0.008, 0.1, nodes),
        elevation_m=draw(st.sampled_from([0.0, 0.1, 1.0, 8.0])) * random.normal(0.0, 1.0, nodes),
        coefficient=coefficient,
        exponent=draw(st.floats(0.02, 1.0)),
        source_m=draw(st.floats(-5.0, 40.0)),
        local_loss=random.uniform(0.0, 2.0, nodes),
    )


@given(networks(), st.sampled_from(["darcy-weisbach", "hazen-williams", "blasius"]))
def test_what_enters_a_node_leaves_it(network, friction):
    flows = solve(*network.arguments, local_loss=network.local_loss, friction=friction)

    left = flows.emitter_flow_m3_s.copy()
    np.add.at(left, network.parent[1:], flows.pipe_flow_m3_s[1:])
    np.testing.assert_allclose(left[1:], flows.pipe_flow_m3_s[1:], rtol=1e-9, atol=1e-20)
    np.testing.assert_allclose(left[0], flows.emitter_flow_m3_s.sum(), rtol=1e-9, atol=1e-20)


@given(networks())
def test_every_emitter_follows_its_law_or_runs_dry(network):
    flows = solve(*network.arguments, local_loss=network.local_loss)

    runs = network.emits & ~flows.starved
    pressure, flow = flows.pressure_m[runs], flows.emitter_flow_m3_s[runs]
    law = network.coefficient[runs] * np.maximum(pressure, 0.0) ** network.exponent
    needed = (flow / network.coefficient[runs]) ** (1.0 / network.exponent)
    # At the brink of running dry the flow says little of the pressure, and the other way round.
    assert ((np.abs(flow - law) <= 1e-7 * law) | (np.abs(needed - pressure) <= BRINK_M)).all()
    assert (flows.pressure_m[flows.starved] <= BRINK_M).all()
    assert (flows.emitter_flow_m3_s[flows.starved] == 0.0).all()


@given(networks(), st.floats(2.0, 8.0), st.floats(0.0, 20.0), st.randoms(use_true_random=False))
def test_emitters_that_regulate_hold_their_flow(network, start_m, range_m, dice):
    holds = np.array([dice.random() < 0.7 for _ in network.parent])
    start = np.where(holds, start_m, np.inf)
    end = np.where(holds, start_m + range_m, np.inf)

    flows = solve(*network.arguments, regulation_start_m=start, regulation_end_m=end)

    level = network.coefficient * start_m**network.exponent
    inside = holds & (flows.pressure_m > start_m + BRINK_M)
    inside &= flows.pressure_m < start_m + range_m - BRINK_M
    np.testing.assert_allclose(flows.emitter_flow_m3_s[inside], level[inside], rtol=1e-12)
    above = holds & (flows.pressure_m >= start_m + range_m)
    assert (flows.emitter_flow_m3_s[above] >= level[above] * (1.0 - 1e-9)).all()
    below = holds & (flows.pressure_m <= start_m)
    assert (flows.emitter_flow_m3_s[below] <= level[below] * (1.0 + 1e-9)).all()


def test_an_exponent_of_nought_gives_one_flow_at_any_pressure():
    line = lateral(0.02, emitters=60, source_m=14.0)
    constant = line.but(coefficient=np.where(line.emits, 5e-7, 0.0), exponent=0.0)

    flows = solve(*constant.arguments)

    np.testing.assert_allclose(flows.emitter_flow_m3_s[1:], 5e-7, rtol=1e-12)
    np.testing.assert_allclose(flows.pipe_flow_m3_s[0], 60 * 5e-7, rtol=1e-12)


def test_emitters_of_several_kinds_share_a_network():
    line = lateral(emitters=40, source_m=12.0)
    kinds = np.where(np.arange(41) % 2, 0.5, 0.8)

    flows = solve(*line.but(exponent=kinds).arguments)

    law = line.coefficient * flows.pressure_m**kinds
    np.testing.assert_allclose(flows.emitter_flow_m3_s[1:], law[1:], rtol=1e-9)


def test_a_source_below_all_emitters_gives_nothing():
    line = lateral(emitters=5, source_m=-1.0)

    flows = solve(*line.arguments)

    assert flows.starved[1:].all()
    assert not flows.pipe_flow_m3_s.any()
    np.testing.assert_allclose(flows.pressure_m, -1.0)


def test_a_source_with_hardly_any_head_gives_hardly_any_flow():
    line = lateral(emitters=5, source_m=1e-310)

    assert solve(*line.arguments).emitter_flow_m3_s.max() < 1e-12


@given(networks(), st.floats(0.01, 10.0))
def test_more_pressure_at_the_inlet_never_lowers_a_flow(network, more_m):
    low = solve(*network.arguments, local_loss=network.local_loss)
    high = solve(
        *network.but(source_m=network.source_m + more_m).arguments, local_loss=network.local_loss
    )

    at_brink = np.abs(low.pressure_m) <= BRINK_M
    slack = 1e-9 * low.emitter_flow_m3_s + at_brink * network.coefficient
    assert (high.emitter_flow_m3_s >= low.emitter_flow_m3_s - slack).all()
    assert (high.head_m >= low.head_m - BRINK_M).all()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"diameter_m": 0.0}, "diameter_m must be above 0"),
        ({"length_m": -1.0}, "length_m must be at least 0"),
        ({"elevation_m": np.nan}, "elevation_m must be known"),
        ({"coefficient": -1e-6}, "emitter_coefficient must be at least 0"),
        ({"exponent": 1.2}, "emitter_exponent must be between 0 and 1"),
        ({"source_m": np.nan}, "source_head_m must be a finite number"),
        ({"local_loss": -1.0}, "local_loss must be at least 0"),
        ({"parent": np.array([-1, 0, 2, 1])}, "parent of node 2 must lie in 0 to 1, got 2"),
        ({"parent": np.array([0.0, 1.0])}, "parent must be a list of whole numbers"),
    ],
)
def test_what_is_no_network_is_refused(change, words):
    network = lateral(emitters=3).but(**change)

    with pytest.raises(ValueError, match=words):
        solve(*network.arguments, local_loss=network.local_loss)


def test_unknown_friction_and_upside_down_regulation_are_refused():
    line = lateral(emitters=3)

    with pytest.raises(ValueError, match="friction must be one of"):
        solve(*line.arguments, friction="manning")
    with pytest.raises(ValueError, match="from a pressure above 0 to a higher one"):
        solve(*line.arguments, regulation_start_m=10.0, regulation_end_m=5.0)
