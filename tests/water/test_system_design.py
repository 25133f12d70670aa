"""The whole drip system: counts by hand, water that adds up, a set beside EPANET, refusals."""

import dataclasses

import numpy as np
import pytest

from aanplant.brief import Brief
from aanplant.errors import InputError
from aanplant.water.design import design
from aanplant.water.emitters import KPA_PER_M
from aanplant.water.network import solve
from aanplant.water.pipe_choice import gradient_of
from aanplant.water.set_network import network_of
from aanplant.water.system import LATERAL, MAINLINE, SUBMAIN
from aanplant.water.system_design import design_system
from aanplant.water.system_runs import solve_set
from tests.water.blocks import LITRES, block, ground, rectangle
from tests.water.networks import AS_EPANET, Network, epanet

HILL = ground(lambda x, y: 300.0 + 0.06 * y + 0.02 * x + 2.0 * np.sin(x / 40.0))
GENTLE = ground(lambda x, y: 300.0 + 0.012 * y + 0.02 * x)
PLAIN = {
    "flow": 2.0,
    "spacing": 0.6,
    "pressure_compensating": False,
    "exponent": 0.5,
    "pressure": 98.0,
    "variation": 0.03,
}
SOURCE = (-90.0, -80.0)


def designed(made, *, height=None, prices=()):
    source = made.source(SOURCE, height)
    return design_system(made.brief, made.site, made.stock, made.layout, source, None, prices)


def small(**sections):
    water = {"flow_available": 4, **sections.pop("water", {})}
    terrain = GENTLE if water.get("emitter") is PLAIN else HILL
    return block(rectangle(100, 100), terrain=terrain, water=water, **sections)


@pytest.fixture(scope="module")
def made():
    return small()


@pytest.fixture(scope="module")
def system(made):
    return designed(made)


def found(system, message):
    return [one for one in system.findings if one.message == message]


def test_sets_drippers_and_flows_are_those_counted_by_hand(made, system):
    positions = made.layout.positions
    figures = {one.key: one.value for one in system.figures}

    # Rows of one length: every row has a dripper each 0.6 m from its first to its last vine's.
    per_row = np.bincount(system.system.laterals.piece, system.system.laterals.emitters)
    total = int(per_row.sum())
    flow_m3_h = total * 2.0 / 1000.0
    assert figures["water.system_drippers"] == total == int(system.system.is_emitter.sum())
    assert abs(total - 2 * len(positions)) <= 2 * len(positions.rows)
    assert len(system.runs) == int(np.ceil(flow_m3_h / 4.0)) == figures["water.sets"]
    assert figures["water.set_flow"] == pytest.approx(
        system.system.sets.emitters.max() * 2.0 / 1000.0
    )


def test_water_adds_up_at_every_node_of_every_set(system):
    for number in range(len(system.runs)):
        network = network_of(system.system, number)
        bore = np.array([pipe.bore_m for pipe in system.pipes])[system.pipe][network.nodes]
        flows = solve_set(network, system.law, bore, float(system.runs.source_head_m[number]))
        out = np.zeros(len(network.nodes))
        np.add.at(out, network.parent[1:], flows.pipe_flow_m3_s[1:])
        out += flows.emitter_flow_m3_s
        np.testing.assert_allclose(out[1:], flows.pipe_flow_m3_s[1:], rtol=1e-9, atol=1e-15)
        assert flows.emitter_flow_m3_s.sum() == pytest.approx(
            system.runs.flow_m3_s[number], rel=1e-9
        )


@pytest.mark.parametrize("emitter", [LITRES, PLAIN], ids=["regulating", "plain"])
def test_limits_are_kept_in_every_set(emitter):
    made = small(water={"emitter": emitter})
    system = designed(made)

    assert system.runs.starved.sum() == 0
    assert system.runs.velocity_m_s.max() <= made.brief.pipes.velocity * (1 + 1e-9)
    assert (system.runs.emission_pct >= made.brief.uniformity.emission).all()
    # Pipes never grow downstream within mainline or submain.
    bore = np.array([pipe.bore_m for pipe in system.pipes])[system.pipe]
    laid = system.system
    for kind in (MAINLINE, SUBMAIN):
        own = np.flatnonzero((laid.kind == kind) & (laid.kind[laid.parent] == kind))
        assert (bore[own] <= bore[laid.parent[own]] + 1e-12).all()
    # Each piece of pipe is in the lists once.
    lengths = system.metres
    assert sum(lengths["mainline"].values()) == pytest.approx(laid.total_length_m(MAINLINE))
    assert sum(lengths["submain"].values()) == pytest.approx(laid.total_length_m(SUBMAIN))
    assert sum(lengths["lateral"].values()) == pytest.approx(laid.total_length_m(LATERAL))


def test_plain_drippers_give_their_flow_on_average():
    system = designed(small(water={"emitter": PLAIN}))

    np.testing.assert_allclose(system.runs.mean_flow_m3_s, 2.0 / 3.6e6, rtol=2e-4)


def test_regulating_drippers_all_give_their_flow(system):
    flow = system.emitter_flow_m3_s[system.system.is_emitter]

    np.testing.assert_allclose(flow, system.law.flow_m3_s, rtol=1e-9)
    assert system.runs.least_m.min() >= system.law.lowest_head_m * (1 - 1e-9)


def test_pipes_are_sized_so_that_regulating_drippers_keep_their_margin():
    start = small().brief.water.emitter
    assert start.lowest_pressure is None  # the table's, 50 kPa
    for margin in (0.0, 10.0, 40.0):
        system = designed(small(uniformity={"start_margin": margin}))
        figure = next(one for one in system.figures if one.key == "water.start_margin")

        assert figure.value >= margin - 0.05
        assert figure.value == pytest.approx(
            (system.runs.least_m.min() - system.law.lowest_head_m) * KPA_PER_M
        )
        assert not found(system, "system.near_start")


def test_a_weak_pump_that_eats_the_margin_is_told_by_how_much():
    strong = designed(small())
    asked = float(strong.duties.head_m.max())
    weak = asked - 3.0  # wider pipes make up for most of it, not for all
    system = designed(small(pump={"curve": [(0.0, weak + 0.1), (40.0, weak)]}))

    (told,) = found(system, "system.near_start")
    short = told.values["short"][0]
    assert told.level == "care"
    assert short == pytest.approx(
        told.values["start"][0] + told.values["margin"][0] - told.values["pressure"][0]
    )
    assert 0.05 < short < 10.0


def test_a_margin_wider_than_the_drippers_range_is_refused():
    emitter = {**LITRES, "lowest_pressure": 60.0, "highest_pressure": 100.0}
    with pytest.raises(InputError, match="start_margin") as refused:
        designed(small(water={"emitter": emitter}, uniformity={"start_margin": 50.0}))
    assert "40 kPa" in str(refused.value)


def test_nobody_takes_the_design_for_what_the_field_gives(system):
    (told,) = found(system, "system.field_uniformity")

    assert told.level == "note"
    assert told.values["low"] == (65.0, "%")
    assert told.values["high"] == (80.0, "%")
    assert told.values["design"][0] == pytest.approx(system.runs.emission_pct.min())


def test_pump_head_is_the_sum_of_its_parts_and_of_what_the_set_asks(made, system):
    """Heights, pressure, friction by hand along the way to the inlet that decides."""
    laid, duties = system.system, system.duties
    worst = duties.worst
    asked = []
    for lateral in np.flatnonzero(laid.laterals.set_of == worst):
        node, lost = int(laid.laterals.inlet[lateral]), 0.0
        while node:
            pipe = system.pipes[system.pipe[node]]
            behind = _nominal(laid, node, worst) * system.law.flow_m3_s
            lost += float(gradient_of(behind, pipe.bore_m)) * laid.length_m[node]
            node = int(laid.parent[node])
        asked.append((lost, int(lateral)))
    deepest = max(lost for lost, _ in asked)

    assert system.pump_head.total_m == pytest.approx(duties.head_m[worst], abs=1e-9)
    assert 0.0 < system.pump_head.friction_m - made.brief.pump.suction_loss <= deepest + 1e-9


def _nominal(laid, node, number):
    """Drippers of a set behind a pipe."""
    inlets = laid.laterals.inlet[laid.laterals.set_of == number]
    count = laid.laterals.emitters[laid.laterals.set_of == number]
    total = 0
    for inlet, drippers in zip(inlets.tolist(), count.tolist(), strict=True):
        at = inlet
        while at > node:
            at = int(laid.parent[at])
        total += drippers if at == node else 0
    return total


@pytest.mark.published(
    source="EPANET 2.2 through wntr, Darcy-Weisbach, the largest set of a plan, end to end",
    quantity="flow of the dripper that differs most",
    unit="%",
)
def test_a_planned_set_runs_as_in_epanet(published):
    system = designed(small(water={"emitter": PLAIN}))
    number = int(system.runs.flow_m3_s.argmax())
    network = network_of(system.system, number)
    bore = np.array([pipe.bore_m for pipe in system.pipes])[system.pipe][network.nodes]
    same = Network(
        network.parent,
        network.length_m,
        bore,
        network.elevation_m,
        np.where(network.is_emitter, system.law.coefficient, 0.0),
        system.law.exponent,
        float(system.runs.source_head_m[number]),
    )

    theirs, _ = epanet(same)

    ours = system.emitter_flow_m3_s[network.nodes]
    with_its_constants = solve(*same.arguments, **AS_EPANET).emitter_flow_m3_s
    for label, flow, tolerance in (
        # EPANET takes 32.2 ft/s2 for gravity, 0.08 % more than the standard one, and another
        # viscosity; its litre is 0.0006 % off.
        ("as planned", ours, 0.05),
        ("with EPANET's gravity and viscosity", with_its_constants, 0.0011),
    ):
        own = network.is_emitter
        worst = float(np.abs(flow[own] / theirs[own] - 1.0).max())
        published.equal(100.0 * (1.0 + worst), printed=100.0, tolerance=tolerance, label=label)


def test_without_a_source_there_is_no_system_and_the_plan_says_what_is_missing(made):
    water = design(made.brief, made.site, made.stock, made.layout)

    assert water.system is None
    assert [one.message for one in water.findings if one.message == "system.no_source"]
    assert water.drippers > 0


def test_a_source_too_low_for_the_pump_stops_and_says_by_how_much(made):
    curve = [[0, 30], [20, 25], [40, 10]]
    brief = with_keys(made.brief, pump={"curve": curve})
    low = dataclasses.replace(made, brief=brief)

    system = designed(low, height=250.0)

    (stop,) = found(system, "system.pump_short")
    assert stop.level == "stop"
    short, number = stop.values["short"][0], stop.values["set"] - 1
    assert stop.values["count"] == len(system.system.sets)
    assert number == int(system.duties.spare_m.argmin())
    assert 0.0 <= short + system.duties.spare_m[number] <= 0.01
    assert found(system, "system.starved")
    # Dry pipes are told once, not as pipes that suck, gauges or lines that are not washed.
    for message in ("system.suction", "system.worst_places", "system.flushing_slow"):
        assert not found(system, message)
    # With that much more head every set is served.
    better = [[flow, head + short] for flow, head in curve]
    served = dataclasses.replace(made, brief=with_keys(made.brief, pump={"curve": better}))
    again = designed(served, height=250.0)
    assert not found(again, "system.pump_short")
    assert not found(again, "system.starved")


def test_a_pump_with_head_enough_serves_all_sets_and_its_head_is_used_for_smaller_pipes(made):
    def with_head(last_m):
        # Both have the same head against shut valves, by which the class is chosen.
        keys = with_keys(made.brief, pump={"curve": [[0, 38], [10, last_m]]})
        return designed(dataclasses.replace(made, brief=keys))

    weak, strong = with_head(10.0), with_head(34.0)

    for served in (weak, strong):
        assert found(served, "system.pump_serves")
        assert (served.duties.spare_m >= -1e-6).all()
    assert _plastic_kg(strong) <= _plastic_kg(weak)


def _plastic_kg(system):
    return sum(
        pipe.weight_kg_m * metres
        for kind in ("mainline", "submain")
        for pipe, metres in system.metres[kind].items()
    )


def test_more_flow_asked_than_the_source_gives_stops_with_the_number_of_sets_that_works(made):
    greedy = dataclasses.replace(made, brief=with_keys(made.brief, sets={"number": 1}))

    system = designed(greedy)

    (stop,) = found(system, "system.set_above_supply")
    flow = system.system.sets.flow_m3_s.max() * 3600.0
    assert stop.level == "stop"
    assert stop.values["over"][0] == pytest.approx(flow - 4.0)
    works = dataclasses.replace(
        made, brief=with_keys(made.brief, sets={"number": stop.values["works"]})
    )
    assert not found(designed(works), "system.set_above_supply")


def test_a_source_weaker_than_one_row_is_refused_with_the_row_that_would_do(made):
    weak = dataclasses.replace(made, brief=with_keys(made.brief, water={"flow_available": 0.1}))

    with pytest.raises(InputError) as refused:
        designed(weak)

    assert "flow_available" in refused.value.where
    assert "rows.longest" in refused.value.expected


def test_no_pipe_for_so_much_pressure_is_refused():
    made = small(pump={"curve": [[0, 260], [20, 250], [40, 240]]})

    with pytest.raises(InputError) as refused:
        designed(made)

    assert "kPa" in refused.value.found


def with_keys(brief, **sections):
    data = brief.model_dump(exclude_unset=True)
    for name, keys in sections.items():
        data[name] = {**data.get(name, {}), **keys}
    return Brief.model_validate(data)


def test_the_suction_head_follows_from_the_height_of_the_pump_above_the_sea(made):
    brief = with_keys(made.brief, pump={"suction_lift": 3.0, "suction_loss": 0.8})
    system = designed(dataclasses.replace(made, brief=brief), height=1000.0)

    (figure,) = (one for one in system.figures if one.key == "water.pump.suction_head")
    given = {one.name: one.value for one in figure.inputs}

    # Standard atmosphere at 1000 m, less vapour at 20 degrees, in metres of water.
    assert figure.value == pytest.approx(5.142, abs=0.001)
    assert given["height"] == 1000.0


def test_a_public_main_is_told_the_pressure_it_must_have_and_needs_no_pump(made):
    brief = with_keys(made.brief, head_works={"source_kind": "municipal"})
    system = designed(dataclasses.replace(made, brief=brief))

    (care,) = found(system, "system.pressure_wanted")
    assert not found(system, "system.pump_wanted")
    assert not found(system, "system.suction_high")
    head = system.duties.head_m[system.duties.worst]
    assert 0.0 <= care.values["pressure"][0] - head * 9.789 < 1.01


def test_the_longest_lateral_of_every_bore_is_told(system):
    figures = {one.key: one for one in system.figures}
    bores = [one.bore_m for one in system.longest]

    assert bores == sorted(bores)
    assert system.lateral_pipe.bore_m in bores
    for one in system.longest:
        figure = figures[f"water.longest_lateral.{one.bore_m * 1000:g}"]
        assert figure.value == one.length_m
        assert one.uphill_m <= one.length_m
    chosen = next(one for one in system.longest if one.bore_m == system.lateral_pipe.bore_m)
    assert system.system.laterals.length_m.max() <= chosen.length_m
