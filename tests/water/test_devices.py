"""What sits on the pipes stands where air gathers, dirt settles and hands must reach."""

import numpy as np

from aanplant.water.system import LATERAL, MAINLINE, NO_SET, SUBMAIN
from tests.water.blocks import block, ground, rectangle


def laid(height, **sections):
    made = block(rectangle(80, 100), terrain=ground(height), **sections)
    route = [(-60, -200), (-60, 80)]
    return made.system((-60, -200), drawn=route)


def test_air_valves_stand_on_summits_and_drains_in_hollows():
    # The drawn way climbs a ridge at y = -130 and dips at y = -70.
    system = laid(lambda x, y: 300.0 + 3.0 * np.sin((y + 160.0) * np.pi / 60.0) + 0.0 * x)

    air = system.xy[system.devices.of("air valve")]
    drains = system.xy[system.devices.of("drain")]
    on_route = np.isclose(air[:, 0], -60.0)
    assert np.abs(air[on_route, 1] + 130.0).min() <= 10.0
    on_route = np.isclose(drains[:, 0], -60.0)
    assert np.abs(drains[on_route, 1] + 70.0).min() <= 10.0


def test_a_mainline_that_only_climbs_has_air_valves_at_its_two_ends():
    system = laid(lambda x, y: 300.0 + 0.03 * y + 0.0 * x)

    air = system.devices.of("air valve")
    assert air[0] == 0
    trunk = np.flatnonzero((system.kind <= MAINLINE) & (system.set_of == NO_SET))
    assert len(air) == 2
    assert system.z_m[air[1]] == system.z_m[trunk].max()
    assert not len(system.devices.of("drain"))


def test_a_ripple_of_a_hand_holds_no_air():
    system = laid(lambda x, y: 300.0 + 0.1 * np.sin(y * np.pi / 30.0) + 0.0 * x)

    assert system.devices.of("air valve").tolist() == [0]


def test_every_submain_has_valve_vacuum_break_flush_valves_and_gauges():
    made = block(
        rectangle(150, 220),
        terrain=ground(lambda x, y: 300.0 + 0.02 * x + 0.03 * y),
        rows={"longest": 110},
        water={"flow_available": 10},
    )

    system = made.system((-100, -130))

    np.testing.assert_array_equal(system.devices.of("valve"), system.submains.valve)
    behind = system.devices.of("vacuum break")
    np.testing.assert_array_equal(system.parent[behind], system.submains.valve)
    flush = system.devices.of("flush valve")
    fed = np.zeros(len(system), bool)
    fed[system.parent[system.pipes(SUBMAIN)]] = True
    assert (system.kind[flush] == SUBMAIN).all()
    assert not fed[flush].any()
    gauges = system.devices.of("pressure point")
    assert set(behind) <= set(gauges)
    assert set(flush) <= set(gauges)
    for number in range(len(system.sets)):
        own = system.pipes(LATERAL)[system.set_of[system.pipes(LATERAL)] == number]
        highest = system.z_m[own].max()
        drips = gauges[(system.kind[gauges] == LATERAL) & (system.set_of[gauges] == number)]
        assert system.z_m[drips].max() == highest
