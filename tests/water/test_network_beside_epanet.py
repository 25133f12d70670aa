"""Networks of odd shapes solved twice, by EPANET 2.2 the other time, flow by flow."""

import numpy as np
import pytest

from aanplant.water.network import solve
from tests.water.networks import (
    AS_EPANET,
    EPANET_GRAVITY,
    EPANET_LITRES,
    block_b1,
    comb,
    epanet,
    lateral,
)

EPANET_MINOR = 0.02517 / (8.0 / (np.pi**2 * 32.2))
"""Digits EPANET keeps of 8 / (pi^2 g) in its local losses, over all of them."""
START_M, END_M = 8.0, 40.0
NAMES = {"D-W": "darcy-weisbach", "H-W": "hazen-williams"}
BORES = (0.05, 0.04, 0.03)


def branched():
    """A main that forks twice, with sidings, a dead end, and a bore that widens again."""
    random = np.random.default_rng(11)
    nodes = 400
    back = random.choice([1, 1, 1, 1, 2, 9], nodes)
    parent = np.array([-1, *(max(0, i - int(back[i])) for i in range(1, nodes))])
    coefficient = random.uniform(0.5, 1.5, nodes) * 1.7e-7 * (random.random(nodes) < 0.8)
    coefficient[0] = 0.0
    return lateral().but(
        parent=parent,
        length_m=random.uniform(0.2, 6.0, nodes),
        diameter_m=random.choice([0.0136, 0.0176, 0.0206, 0.032], nodes),
        elevation_m=random.normal(0.0, 1.0, nodes),
        coefficient=coefficient,
        source_m=25.0,
    )


ODD = {
    "uneven rows": comb([200, 3, 150, 1, 80, 0, 120, 33], slope_x=0.01, slope_y=0.01, bores=BORES),
    "uphill": comb([90] * 12, slope_x=0.06, slope_y=0.05, bores=BORES, source_m=22.0),
    "downhill": comb([90] * 12, slope_x=-0.08, slope_y=-0.04, bores=BORES, source_m=9.0),
    "branched": branched(),
    "one long lateral": lateral(0.01, emitters=400, source_m=30.0),
    "submain as thin as its laterals": comb([20] * 8, slope_x=0.0, slope_y=0.0, bores=(0.0142,)),
    "exponent 0.2": comb([70] * 15, slope_x=0.02, slope_y=-0.02, bores=BORES, exponent=0.2),
    "exponent 0.35": comb([70] * 15, slope_x=0.02, slope_y=-0.02, bores=BORES, exponent=0.35),
    "exponent 0.65": comb([70] * 15, slope_x=0.02, slope_y=-0.02, bores=BORES, exponent=0.65),
    "exponent 0.8": comb([70] * 15, slope_x=0.02, slope_y=-0.02, bores=BORES, exponent=0.8),
    "laminar emitters": comb([70] * 15, slope_x=0.02, slope_y=0.0, bores=BORES, exponent=1.0),
}


def in_its_litres(network):
    return network.but(coefficient=network.coefficient / EPANET_LITRES)


def assert_beside(network, theirs, ours, rtol):
    flow = ours.emitter_flow_m3_s * EPANET_LITRES
    np.testing.assert_allclose(flow[network.emits], theirs[network.emits], rtol=rtol)


@pytest.mark.parametrize("name", ODD)
@pytest.mark.parametrize("headloss", ["D-W", "H-W"])
def test_networks_of_odd_shapes_agree_with_epanet(name, headloss):
    network = ODD[name]
    roughness = 1.5e-6 if headloss == "D-W" else 150.0
    theirs, head = epanet(network, headloss=headloss, roughness=roughness)

    ours = solve(*network.arguments, friction=NAMES[headloss], **AS_EPANET)
    closer = solve(*in_its_litres(network).arguments, friction=NAMES[headloss], **AS_EPANET)

    some = network.emits
    # Its litre alone is 5.5e-6 off, which friction of the second power may double.
    np.testing.assert_allclose(ours.emitter_flow_m3_s[some], theirs[some], rtol=1.1e-5)
    # Where a tree has dead ends, EPANET's heads miss Hazen and Williams by 3e-5 m in a pipe;
    # ours follow it to 1e-14 m.
    rough = (name, headloss) == ("branched", "H-W")
    assert_beside(network, theirs, closer, rtol=1e-5 if rough else 3e-8)
    np.testing.assert_allclose(closer.head_m, head, atol=2e-4 if rough else 1e-6)


@pytest.mark.parametrize("roughness", [1e-9, 7e-6, 1e-4])
def test_smooth_and_rough_walls_agree_with_epanet(roughness):
    network = ODD["uneven rows"]
    theirs, _ = epanet(network, roughness=roughness)

    ours = solve(*in_its_litres(network).arguments, roughness_m=roughness, **AS_EPANET)

    assert_beside(network, theirs, ours, rtol=3e-8)


def test_smooth_walls_stand_for_blasius_in_the_cross_check():
    network = ODD["uphill"]
    theirs, _ = epanet(network, roughness=1e-9)

    ours = solve(*in_its_litres(network).arguments, friction="blasius", **AS_EPANET)

    assert_beside(network, theirs, ours, rtol=1e-2)


def test_water_of_another_temperature_agrees_with_epanet():
    network = ODD["uneven rows"]
    theirs, _ = epanet(network, options="VISCOSITY 1.3")

    ours = solve(
        *in_its_litres(network).arguments,
        gravity=EPANET_GRAVITY,
        viscosity_m2_s=1.3 * AS_EPANET["viscosity_m2_s"],
    )

    assert_beside(network, theirs, ours, rtol=3e-8)


def test_local_losses_agree_with_epanet():
    network = ODD["downhill"].but(local_loss=0.8)
    theirs, _ = epanet(network)
    loss = network.local_loss * EPANET_MINOR

    ours = solve(*in_its_litres(network).arguments, local_loss=loss, **AS_EPANET)
    without = solve(*in_its_litres(network).arguments, **AS_EPANET)

    assert_beside(network, theirs, ours, rtol=3e-8)
    assert ours.emitter_flow_m3_s.sum() < 0.995 * without.emitter_flow_m3_s.sum()


@pytest.mark.parametrize("source_m", [0.7, 1.5, 3.0])
def test_starved_ends_agree_with_epanet(source_m):
    network = comb([120] * 30, slope_x=0.03, slope_y=0.02, bores=BORES, source_m=source_m)

    ours = solve(*in_its_litres(network).arguments, **AS_EPANET)

    # EPANET lets a dry emitter suck in water: it is given those that run, and must find
    # that they run and that the others have no pressure.
    running = network.but(coefficient=np.where(ours.starved, 0.0, network.coefficient))
    theirs, head = epanet(running, options="HEADERROR 1e-9\nFLOWCHANGE 1e-9")
    pressure = head - network.elevation_m
    assert 100 < ours.starved.sum() < network.emits.sum() - 100
    assert pressure[ours.starved].max() <= 1e-6
    assert pressure[running.emits].min() >= -1e-6
    np.testing.assert_allclose(ours.head_m, head, atol=1e-5)
    np.testing.assert_allclose(
        ours.emitter_flow_m3_s * EPANET_LITRES, np.where(ours.starved, 0.0, theirs), atol=3e-12
    )
    assert (theirs[running.emits] > 0).all()


def test_epanet_lets_starved_emitters_suck_where_ours_stand_dry():
    network = block_b1().but(source_m=3.0)

    theirs, _ = epanet(network)
    ours = solve(*network.arguments, **AS_EPANET)

    assert (theirs[network.emits] < 0).sum() == 3041
    assert theirs.min() * 3.6e6 == pytest.approx(-0.698, abs=0.0005)
    assert ours.emitter_flow_m3_s.min() == 0.0
    assert ours.starved.sum() >= 3041


@pytest.mark.parametrize("source_m", [9.0, 13.0, 60.0])
def test_pressure_compensating_emitters_agree_with_epanet(source_m):
    network = comb([90] * 16, slope_x=0.05, slope_y=-0.03, bores=BORES, source_m=source_m)
    level = network.coefficient * START_M**0.5

    ours = solve(
        *in_its_litres(network).arguments,
        regulation_start_m=START_M,
        regulation_end_m=np.inf,
        **AS_EPANET,
    )

    # EPANET is told which emitters regulate, as a demand; it must find enough pressure there
    # and too little at the others, which it works out by their law.
    regulates = network.emits & (ours.pressure_m >= START_M)
    held = np.where(regulates, level, 0.0)
    theirs, head = epanet(
        network.but(coefficient=np.where(regulates, 0.0, network.coefficient)), demand=held
    )
    pressure = head - network.elevation_m
    assert pressure[regulates].min() >= START_M - 1e-6
    assert (pressure[network.emits & ~regulates] < START_M + 1e-6).all()
    assert regulates.sum() > 100
    assert_beside(network, theirs, ours, rtol=3e-8)


def test_pressure_driven_demand_finds_the_same_regulating_emitters():
    network = comb([90] * 16, slope_x=0.05, slope_y=-0.03, bores=BORES, source_m=13.0)
    level = network.coefficient * START_M**0.5

    ours = solve(*network.arguments, regulation_start_m=START_M, **AS_EPANET)

    theirs, head = epanet(
        network.but(coefficient=np.zeros_like(network.coefficient)),
        demand=level,
        options="DEMAND MODEL PDA\nMINIMUM PRESSURE 0\n"
        f"REQUIRED PRESSURE {START_M}\nPRESSURE EXPONENT 0.5",
    )
    # Above the pressure required EPANET lets a demand creep by a foot in 1e8 ft3/s.
    over_ft = np.maximum(head - network.elevation_m - START_M, 0.0) / 0.3048
    creep = over_ft / 1e8 * 0.3048**3
    some = network.emits
    np.testing.assert_allclose((theirs - creep)[some], ours.emitter_flow_m3_s[some], rtol=1e-3)


def test_emitters_that_lose_hold_of_their_flow_agree_with_epanet():
    network = comb([90] * 16, slope_x=-0.2, slope_y=-0.1, bores=BORES, source_m=9.0)

    ours = solve(
        *in_its_litres(network).arguments,
        regulation_start_m=5.0,
        regulation_end_m=12.0,
        **AS_EPANET,
    )

    level = network.coefficient * 5.0**0.5
    beyond = network.emits & (ours.pressure_m > 12.0)
    regulates = network.emits & (ours.pressure_m >= 5.0) & ~beyond
    loose = np.where(beyond, level / 12.0**0.5, network.coefficient)
    theirs, head = epanet(
        network.but(coefficient=np.where(regulates, 0.0, loose)),
        demand=np.where(regulates, level, 0.0),
    )
    pressure = head - network.elevation_m
    assert regulates.sum() > 100
    assert beyond.sum() > 100
    assert pressure[beyond].min() >= 12.0 - 1e-6
    assert pressure[regulates].max() <= 12.0 + 1e-6
    assert_beside(network, theirs, ours, rtol=3e-8)
