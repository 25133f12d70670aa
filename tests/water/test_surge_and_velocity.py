"""The blow of stopped water, speeds in pipes, and laterals flushed through their open ends."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.water.friction import STANDARD_GRAVITY_M_S2
from aanplant.water.network import solve
from aanplant.water.surge import (
    POLYETHYLENE_MODULUS_PA,
    PVC_MODULUS_PA,
    SurgeCheck,
    slowest_sudden_closure_s,
    surge_head_m,
    wave_speed_m_s,
)
from aanplant.water.velocity import (
    FASTEST_M_S,
    FLUSHING_M_S,
    flow_at_velocity_m3_s,
    open_ends,
    velocity_m_s,
)
from tests.water.networks import comb, lateral

NOTES = "Our note on drip hydraulics, section 4: Joukowsky and Korteweg, computed apart"
LITRES_PER_HOUR, M3_PER_HOUR = 3.6e6, 3600.0
PIPES = {
    # modulus, bore mm, wall mm: wave m/s, head a m/s, at 1.5 m/s, 2L/a over 600 m
    "PVC-U 110, 3.2 mm": (PVC_MODULUS_PA, 103.6, 3.2, 298.4, 30.43, 45.6, 4.02),
    "PVC-U 110, 4.8 mm": (PVC_MODULUS_PA, 100.4, 4.8, 367.2, 37.45, 56.2, 3.27),
    "PVC-U 110, 6.3 mm": (PVC_MODULUS_PA, 97.4, 6.3, 422.6, 43.09, 64.6, 2.84),
    "PE100 110, 6.6 mm": (POLYETHYLENE_MODULUS_PA, 96.8, 6.6, 257.4, 26.25, 39.4, 4.66),
    "PE100 63, 5.8 mm": (POLYETHYLENE_MODULUS_PA, 51.4, 5.8, 327.9, 33.43, 50.2, 3.66),
}


@pytest.mark.published(source=NOTES, quantity="blow of stopped water", unit="m")
@pytest.mark.parametrize("pipe", PIPES)
def test_stopped_water_strikes_as_worked_out_apart(published, pipe):
    modulus, bore, wall, speed, one, fast, back = PIPES[pipe]

    wave = wave_speed_m_s(bore / 1000.0, wall / 1000.0, modulus)

    published.equal(wave, printed=speed, tolerance=0.05, label=f"{pipe}, wave, m/s")
    published.equal(surge_head_m(1.0, wave), printed=one, tolerance=0.005, label=f"{pipe}, 1 m/s")
    published.equal(surge_head_m(1.5, wave), printed=fast, tolerance=0.05, label=f"{pipe}, 1.5 m/s")
    there_and_back = slowest_sudden_closure_s(600.0, wave)
    published.equal(there_and_back, printed=back, tolerance=0.005, label=f"{pipe}, 600 m, s")


def test_a_class_may_bear_the_work_and_not_the_blow():
    check = SurgeCheck(working_m=45.0, surge_m=45.6, class_m=60.0)

    assert check.total_m == pytest.approx(90.6)
    assert check.over_m == pytest.approx(30.6)
    assert not check.holds
    assert SurgeCheck(working_m=43.0, surge_m=10.0, class_m=60.0).holds


@given(st.floats(0.0, 30.0), st.floats(0.01, 20.0))
def test_a_slower_valve_never_strikes_harder(closes_s, longer_s):
    wave = wave_speed_m_s(0.1036, 0.0032, PVC_MODULUS_PA)

    quick, slow = (
        surge_head_m(1.5, wave, length_m=600.0, closure_s=time)
        for time in (closes_s, closes_s + longer_s)
    )

    assert slow <= quick
    assert quick <= surge_head_m(1.5, wave)


def test_a_slow_valve_only_has_to_slow_the_water():
    wave = wave_speed_m_s(0.1036, 0.0032, PVC_MODULUS_PA)

    head = surge_head_m(1.5, wave, length_m=600.0, closure_s=30.0)

    # Michaud: 2 L dV / (g t).
    assert head == pytest.approx(2 * 600.0 * 1.5 / (STANDARD_GRAVITY_M_S2 * 30.0))


def test_a_pipe_without_a_wall_is_refused():
    with pytest.raises(ValueError, match="bore_m and wall_m must be above 0"):
        wave_speed_m_s(0.1, 0.0, PVC_MODULUS_PA)


@pytest.mark.published(
    source="Univ. California ANR, Maintenance of Microirrigation Systems: 1 gpm in 5/8 in, 2 gpm "
    "in 7/8 in for 1 ft/s",
    quantity="flow that flushes a lateral",
    unit="gpm",
)
def test_a_lateral_is_flushed_by_the_printed_flow(published):
    gallon_a_minute = 3.785411784e-3 / 60.0
    for bore_mm, printed, exact in ((15.9, 1.0, 0.959), (22.2, 2.0, 1.870)):
        ours = flow_at_velocity_m3_s(bore_mm / 1000.0, 0.3048) / gallon_a_minute
        published.equal(ours, printed=printed, tolerance=0.5, label=f"{bore_mm} mm")
        # At 0.3048 m/s; the note has it for these bores to three digits.
        published.equal(ours, printed=exact, tolerance=0.0006, label=f"{bore_mm} mm, exact")


@pytest.mark.published(
    source="Our note on drip hydraulics, section 4: computed apart", quantity="flow", unit="L/h"
)
def test_flows_at_the_limits_of_speed_are_those_worked_out_apart(published):
    for bore_mm, printed in ((13.6, 156.9), (14.2, 171.0), (17.6, 262.7), (20.6, 360.0)):
        ours = flow_at_velocity_m3_s(bore_mm / 1000.0, FLUSHING_M_S) * LITRES_PER_HOUR
        published.equal(ours, printed=printed, tolerance=0.05, label=f"{bore_mm} mm at 0.3 m/s")
    for bore_mm, printed in (
        (47.0, 9.4),
        (59.2, 14.9),
        (70.6, 21.1),
        (84.6, 30.4),
        (103.4, 45.3),
        (117.6, 58.7),
        (131.8, 73.7),
        (150.6, 96.2),
        (188.2, 150.2),
        (235.4, 235.0),
    ):
        ours = flow_at_velocity_m3_s(bore_mm / 1000.0, FASTEST_M_S) * M3_PER_HOUR
        published.equal(
            ours, printed=printed, tolerance=0.05, label=f"{bore_mm} mm at 1.5 m/s, m3/h"
        )


@given(st.floats(0.005, 0.5), st.floats(0.01, 5.0))
def test_speed_and_flow_are_each_others_inverse(bore, speed):
    assert velocity_m_s(flow_at_velocity_m3_s(bore, speed), bore) == pytest.approx(speed)


def test_an_open_end_spends_its_head_on_speed():
    pipe = lateral(emitters=50, source_m=12.0)
    opened = open_ends([50], pipe.diameter_m, pipe.coefficient, pipe.exponent)

    flows = solve(*pipe.arguments[:4], opened.coefficient, opened.exponent, pipe.source_m)

    speed = flows.velocity_m_s[50]
    assert speed > FLUSHING_M_S
    assert flows.pressure_m[50] == pytest.approx(speed**2 / (2 * STANDARD_GRAVITY_M_S2), rel=1e-6)
    assert pipe.coefficient[50] == pipe.coefficient[49]  # the network is left as it was


def test_fewer_open_laterals_wash_each_cleaner():
    block = comb([80] * 12, slope_x=0.0, slope_y=0.0, bores=(0.045,), source_m=12.0)
    ends = np.arange(1, 13) * 81

    def slowest(number):
        opened = open_ends(ends[-number:], block.diameter_m, block.coefficient, block.exponent)
        flows = solve(*block.arguments[:4], opened.coefficient, opened.exponent, block.source_m)
        return flows.velocity_m_s[ends[-number:]].min()

    assert slowest(1) > slowest(3) > slowest(12)
