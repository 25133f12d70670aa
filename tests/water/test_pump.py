"""Duty point, suction and power beside worked cases; a pump that doesn't serve is refused."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.brief.reading import parse_brief
from aanplant.errors import InputError
from aanplant.water import pump_power, suction
from aanplant.water.pump import PumpCurve, curve_of, duty_point, spare_head_m

HOUR = 3600.0
SMALLEST = '[block]\nboundary = "b"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'
# 58 - 0.012 Q2, in m and m3/h.
POINTS = [(q, 58 - 0.012 * q**2) for q in np.linspace(0, 60, 241)]


def system(static_m=22.0, factor=0.030):
    return lambda flow_m3_s: static_m + factor * (flow_m3_s * HOUR) ** 2


@pytest.mark.published(
    source="pump 58 - 0.012 Q2, system 22 + 0.030 Q2 (m, m3/h), worked by hand",
    quantity="duty point",
    unit="m3/h, m",
)
def test_duty_point(published):
    duty = duty_point(curve_of(POINTS), system())

    published.equal(duty.flow_m3_s * HOUR, printed=29.2770, tolerance=5e-5, label="flow")
    published.equal(duty.head_m, printed=47.7143, tolerance=5e-5, label="head")


@given(st.floats(0, 40), st.floats(0.02, 0.1), st.floats(1.0, 1.5))
def test_a_heavier_system_gets_less_water(static_m, factor, more):
    light = duty_point(curve_of(POINTS), system(static_m, factor))
    heavy = duty_point(curve_of(POINTS), system(static_m, factor * more))

    assert heavy.flow_m3_s <= light.flow_m3_s * (1 + 1e-9)
    assert light.head_m == pytest.approx(system(static_m, factor)(light.flow_m3_s), abs=1e-6)


def test_a_pump_too_weak_is_refused_with_what_it_lacks():
    with pytest.raises(InputError, match=r"58 m at 0 m3/h.*asks for 65 m: 7 m short") as told:
        duty_point(curve_of(POINTS), system(static_m=65.0))

    assert told.value.where == "pump.curve"
    assert "7 m more head" in told.value.expected


def test_a_pump_too_strong_is_refused_with_what_is_over():
    with pytest.raises(
        InputError, match=r"14.8 m at the end of its curve, 60 m3/h.*9.2 m too much"
    ):
        duty_point(curve_of(POINTS), system(static_m=2.0, factor=0.001))


def test_spare_head_at_a_set_and_a_set_outside_the_curve():
    curve = curve_of(POINTS)

    assert spare_head_m(curve, 20 / HOUR, 40.0) == pytest.approx(58 - 4.8 - 40, abs=1e-3)
    with pytest.raises(InputError, match=r"53.2 m at 20 m3/h, 6.8 m less than the 60 m"):
        spare_head_m(curve, 20 / HOUR, 60.0)
    with pytest.raises(InputError, match=r"asks for 70 m3/h, 10 m3/h outside it"):
        spare_head_m(curve, 70 / HOUR, 10.0)


def test_the_curve_goes_through_its_points_and_never_rises():
    curve = curve_of([(0, 50), (10, 49), (20, 40), (30, 20)])
    flow = np.linspace(0, 30 / HOUR, 200)

    heads = curve.head(flow)

    assert curve.head(np.array(curve.flow_m3_s)) == pytest.approx(curve.head_m)
    assert np.all(np.diff(heads) <= 1e-9)
    assert np.isnan(curve.head(31 / HOUR))
    assert float(curve_of([(0, 50), (10, 40)]).head(5 / HOUR)) == pytest.approx(45)


@pytest.mark.parametrize(
    ("flow", "head"), [((0.0,), (5.0,)), ((0.0, 0.0), (5.0, 4.0)), ((0.0, 1.0), (5.0, 6.0))]
)
def test_what_is_no_falling_curve_is_refused(flow, head):
    with pytest.raises(ValueError, match="pump curve"):
        PumpCurve(flow, head)


@pytest.mark.parametrize(
    ("curve", "told"),
    [
        ("[[0, 50]]", "one point of pump.curve; expected at least two"),
        ("[[10, 50], [5, 40]]", "5 m3/h after 10 m3/h; expected flows that rise"),
        ("[[0, 40], [5, 50]]", "rises from 40 to 50 m between 0 and 5 m3/h"),
    ],
)
def test_a_curve_in_the_brief_must_fall(curve, told):
    with pytest.raises(InputError, match=told):
        parse_brief(f"{SMALLEST}[pump]\ncurve = {curve}\n", "brief.toml")


@pytest.mark.published(
    source="P = rho g Q H/eta, 26.667 m3/h at 45 m, 0.70 and 0.90, worked by hand",
    quantity="power of a pump",
    unit="kW",
)
def test_power_of_a_pump(published):
    found = pump_power.power(80 / 3 / HOUR, 45.0, 0.70, 0.90)

    published.equal(found.hydraulic_kw, printed=3.2630, tolerance=5e-5, label="in the water")
    published.equal(found.shaft_kw, printed=4.6614, tolerance=5e-5, label="at the shaft")
    published.equal(found.input_kw, printed=5.1794, tolerance=5e-5, label="at the meter")
    published.equal(found.kwh_per_m3, printed=0.1942, tolerance=5e-5, label="kWh/m3")
    # The handbook form Q H/(367 eta) rounds the weight of water.
    published.equal(found.shaft_kw, printed=4.6711, tolerance=0.01, label="Q H/(367 eta)")


@pytest.mark.published(
    source="one metre of head at 26.667 m3/h for 1000 h, worked by hand",
    quantity="energy of a metre of head",
    unit="kWh",
)
def test_energy_of_a_metre_of_head(published):
    one = pump_power.power(80 / 3 / HOUR, 1.0, 0.70, 0.90)

    published.equal(1000 * one.input_kw, printed=115.10, tolerance=0.005)


def test_an_efficiency_above_one_is_refused():
    with pytest.raises(ValueError, match="at most 1"):
        pump_power.power(0.01, 45.0, 1.2, 0.9)


@pytest.mark.published(
    source="(Pa - Pv)/(rho g) - zs - hf at 20 degrees, lift 3 m, loss 0.8 m, worked by hand",
    quantity="suction head there is",
    unit="m",
)
@pytest.mark.parametrize(("height_m", "printed"), [(0, 6.3120), (300, 5.9491), (1000, 5.1422)])
def test_suction_head(published, height_m, printed):
    ours = float(suction.suction_head_m(height_m, 3.0, 0.8))

    # The vapour pressure of FAO-56, 2.338 kPa, is 0.001 kPa or 0.1 mm below the case's.
    published.equal(ours, printed=printed, tolerance=1.5e-4, label=f"{height_m} m above the sea")


@pytest.mark.published(
    source="table of suction lift by height, on a public page on pumps; US standard atmosphere",
    quantity="air pressure",
    unit="m of water",
)
@pytest.mark.parametrize(("height_m", "printed"), [(500, 9.74), (1000, 9.17)])
def test_air_pressure_in_metres_of_water(published, height_m, printed):
    metres = float(suction.air_pressure_kpa(height_m)) / 9.80665

    # The page reckons with a water of its own; a digit of its last place is allowed.
    published.equal(metres, printed=printed, tolerance=0.01, label=f"{height_m} m above the sea")


@pytest.mark.published(
    source="table of suction lift by height, on a public page on pumps",
    quantity="suction lift that can be counted on",
    unit="m",
)
def test_practical_suction_lift(published):
    published.equal(suction.practical_lift_m(0), printed=6.7, tolerance=1e-9, label="at the sea")
    published.equal(suction.practical_lift_m(805), printed=6.1, tolerance=1e-9, label="at 805 m")


@given(st.floats(0, 3000), st.floats(0, 3000), st.floats(5, 40), st.floats(5, 40))
def test_height_and_warmth_take_suction_head(height_m, other_m, water_c, other_c):
    low, high = sorted((height_m, other_m))
    cool, warm = sorted((water_c, other_c))

    assert suction.suction_head_m(high, 0, 0, cool) <= suction.suction_head_m(low, 0, 0, cool)
    assert suction.suction_head_m(low, 0, 0, warm) <= suction.suction_head_m(low, 0, 0, cool)


def test_too_little_suction_head_and_too_high_a_lift_are_told():
    short = suction.suction_breaches(3.2, 3.0, 2.0, 0.0)
    high = suction.suction_breaches(5.0, None, 7.0, 0.0)

    assert [(one.kind, one.value, one.limit) for one in short] == [("suction_head_short", 3.2, 3.5)]
    assert [(one.kind, one.value, one.limit) for one in high] == [("suction_lift_high", 7.0, 6.7)]
    assert suction.suction_breaches(5.0, 3.0, 2.0, 0.0) == ()


@pytest.mark.published(
    source="design norms of the South African Irrigation Institute: a dirty filter takes at most "
    "40 kPa",
    quantity="head of a pump",
    unit="m",
)
def test_head_of_a_pump_counts_a_dirty_filter_and_a_margin_on_friction(published):
    works = parse_brief(SMALLEST, "brief.toml").head_works
    head = pump_power.pump_head(
        12.0, 15.0, 5.0, friction_margin=0.10, dirty_filter_kpa=works.dirty_filter, fittings_m=2.0
    )

    published.equal(works.dirty_filter, printed=40, tolerance=0, label="dirty filter, kPa")
    published.equal(head.filter_m, printed=4.086, tolerance=5e-4, label="dirty filter")
    assert head.total_m == pytest.approx(12 + 15 + 5 + 0.5 + 40 / 9.78900 + 2, abs=1e-3)
