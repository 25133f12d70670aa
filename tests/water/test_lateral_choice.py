"""Dripper line no wider than even watering asks for."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.water.emitters import EmitterLaw
from aanplant.water.lateral_bores import LateralLines, tabulate
from aanplant.water.lateral_choice import LateralLimits, LateralTooLong, choose_bore
from aanplant.water.network import solve

TWO_LITRES = 2.0 / 3.6e6
PLAIN = EmitterLaw(TWO_LITRES, 10.0, 0.5)
KEEPING = EmitterLaw(
    TWO_LITRES, 10.0, 0.0, is_compensating=True, lowest_head_m=5.0, highest_head_m=40.0
)
BORES = (0.0136, 0.0142, 0.0176, 0.0206)
TENTH = LateralLimits(flow_variation=0.10)


def lines(*drippers, slope=0.0):
    """Laterals of so many drippers 0.6 m apart, the first at 0.3 m."""
    along = np.concatenate([0.3 + 0.6 * np.arange(count) for count in drippers])
    step = np.concatenate([np.append(0.3, np.full(count - 1, 0.6)) for count in drippers])
    return LateralLines(np.repeat(np.arange(len(drippers)), drippers), step, slope * along)


@pytest.mark.published(
    source="lateral of 200 drippers solved exactly, worked by Newton's method",
    quantity="inlet head for a mean of 2 L/h",
    unit="m",
)
@pytest.mark.parametrize(
    ("slope", "inlet", "least", "most"),
    [
        (0.0, 11.74199, 9.40449, 11.72544),
        (-0.01, 11.15322, 9.66665, 11.13967),
        (0.01, 12.33643, 8.83378, 12.31687),
    ],
)
def test_inlet_of_a_single_lateral(published, slope, inlet, least, most):
    found = tabulate(lines(200, slope=slope), [0.0142], PLAIN)

    about = f"slope {slope:.0%}"
    published.equal(found.inlet_m[0, 0], printed=inlet, tolerance=5e-6, label=f"{about}, inlet")
    published.equal(found.least_m[0, 0], printed=least, tolerance=5e-6, label=f"{about}, least")
    published.equal(found.most_m[0, 0], printed=most, tolerance=5e-6, label=f"{about}, greatest")


@pytest.mark.published(
    source="longest flat lateral for flows within 10 %, worked by Newton's method",
    quantity="bore chosen for the longest lateral and for one dripper more",
    unit="mm",
)
@pytest.mark.parametrize(
    ("litres", "drippers", "bore_mm", "next_mm"),
    [
        (2.0, 182, 13.6, 14.2),
        (1.6, 210, 13.6, 14.2),
        (2.0, 196, 14.2, 17.6),
        (1.6, 226, 14.2, 17.6),
        (2.0, 284, 17.6, 20.6),
        (1.6, 327, 17.6, 20.6),
    ],
)
def test_bore_of_the_longest_laterals(published, litres, drippers, bore_mm, next_mm):
    law = EmitterLaw(litres / 3.6e6, 10.0, 0.5)

    for count, printed in ((drippers, bore_mm), (drippers + 1, next_mm)):
        found = choose_bore(lines(count), BORES, law, TENTH)

        published.equal(
            found.bore_m * 1e3,
            printed=printed,
            tolerance=0.05,
            label=f"{litres:g} L/h, {count} drippers",
        )


@pytest.mark.parametrize(("litres", "longest_m"), [(2.0, 223.5), (1.6, 257.7)])
def test_a_lateral_too_long_for_any_line_is_told_how_long_it_may_be(litres, longest_m):
    law = EmitterLaw(litres / 3.6e6, 10.0, 0.5)

    with pytest.raises(LateralTooLong) as refused:
        choose_bore(lines(300, 500), BORES, law, TENTH, name="laterals of row 7")

    assert refused.value.where == "water: laterals of row 7"
    assert "in the widest line, 20.6 mm" in refused.value.found
    assert f"laterals of at most {int(longest_m)} m" in refused.value.expected
    assert refused.value.lateral == 1
    assert refused.value.longest_m == pytest.approx(longest_m, abs=0.05)


def test_every_lateral_must_be_even_not_the_first_alone():
    together = choose_bore(lines(100, 260, 150), BORES, PLAIN, TENTH)

    assert together.bore_m == 0.0176
    assert together.table.variation.shape == (3, 1)
    assert choose_bore(lines(100), BORES, PLAIN, TENTH).bore_m == 0.0136


@given(
    st.lists(st.integers(1, 120), min_size=1, max_size=3),
    st.sampled_from([-0.02, 0.0, 0.02]),
    st.sampled_from([0.2, 0.5, 1.0]),
)
def test_mean_flows_are_nominal_whatever_the_lateral(drippers, slope, exponent):
    law = EmitterLaw(TWO_LITRES, 10.0, exponent)

    table = tabulate(lines(*drippers, slope=slope), BORES, law)

    for place, count in enumerate(drippers):
        own = lines(count, slope=slope)
        flows = solve(
            np.arange(-1, count).clip(0),
            np.append(0.0, own.step_m),
            BORES[1],
            np.append(0.0, own.rise_m),
            np.append(0.0, np.full(count, law.coefficient)),
            exponent,
            table.inlet_m[place, 1],
        )
        flow = flows.emitter_flow_m3_s[1:]
        assert flow.mean() == pytest.approx(TWO_LITRES, rel=1e-6)
        assert 1.0 - flow.min() / flow.max() == pytest.approx(table.variation[place, 1], abs=1e-6)


@pytest.mark.parametrize("slope", [-0.03, 0.0, 0.03])
def test_drippers_that_keep_their_flow_need_just_their_least_pressure(slope):
    own = lines(200, slope=slope)
    table = tabulate(own, BORES, KEEPING, local_loss=0.2)

    flows = solve(
        np.arange(-1, 200).clip(0),
        np.append(0.0, own.step_m),
        BORES[1],
        np.append(0.0, own.rise_m),
        np.append(0.0, np.full(200, KEEPING.as_node.coefficient)),
        KEEPING.as_node.exponent,
        table.inlet_m[0, 1],
        local_loss=0.2,
        regulation_start_m=5.0,
        regulation_end_m=40.0,
    )
    pressure = flows.pressure_m[1:]
    assert pressure.min() == pytest.approx(5.0, abs=1e-6)
    assert pressure.max() == pytest.approx(table.most_m[0, 1], abs=1e-6)
    assert flows.emitter_flow_m3_s[1:] == pytest.approx(TWO_LITRES, rel=1e-6)


def test_drippers_that_keep_their_flow_are_limited_by_the_pressure_there_is():
    long = lines(400)
    free = choose_bore(long, BORES, KEEPING, TENTH)
    short_of_pressure = LateralLimits(0.10, most_pressure_m=12.0)

    found = choose_bore(long, BORES, KEEPING, short_of_pressure)

    assert free.bore_m == 0.0136
    assert found.bore_m > free.bore_m
    assert found.table.inlet_m[0, 0] <= 12.0


def test_what_is_no_lateral_is_refused():
    with pytest.raises(ValueError, match="bore above 0"):
        tabulate(lines(5), [0.0], PLAIN)
    with pytest.raises(ValueError, match="numbered from 0"):
        LateralLines(np.array([0, 2]), np.ones(2), np.zeros(2))
    with pytest.raises(ValueError, match="no bores"):
        choose_bore(lines(5), [], PLAIN, TENTH)
    with pytest.raises(ValueError, match="must say that it compensates"):
        tabulate(lines(5), BORES, EmitterLaw(TWO_LITRES, 10.0, 0.0))
