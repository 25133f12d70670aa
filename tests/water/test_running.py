"""When which set runs: nothing lost at pauses, and the nearest change where the day is short."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.brief import Brief
from aanplant.brief.vine_water import WateringRules, powered, powered_hours
from aanplant.brief.water_analysis import WaterAnalysis
from aanplant.inputs import Inputs, Outline
from aanplant.water.design import design
from aanplant.water.quality import judge
from aanplant.water.running_advice import time_of_day
from aanplant.water.schedule import in_turn
from aanplant.water.system import LATERAL
from aanplant.water.water_quality_advice import quality_advice
from aanplant.water.water_use import along_laterals_m
from tests.water.blocks import block, ground, rectangle
from tests.water.test_needs import ET0, RAIN

HILL = ground(lambda x, y: 300.0 + 0.06 * y + 0.02 * x)
NORMALS = {"et0_by_month": ET0, "rain_by_month": RAIN}


def watered(**sections):
    water = {"flow_available": 4, **sections.pop("water", {})}
    made = block(rectangle(100, 100), terrain=HILL, water=water, demand=NORMALS, **sections)
    inputs = Inputs(Outline("b.geojson", "polygon", ()), water_source=made.source((-90.0, -80.0)))
    return made, design(made.brief, made.site, made.stock, made.layout, inputs)


def told(water, prefix):
    return [one for one in water.findings if one.message.startswith(prefix)]


@pytest.fixture(scope="module")
def usual():
    return watered()


def test_the_peak_day_runs_every_set_for_its_hours(usual):
    _, water = usual
    running = water.running

    hours = np.bincount(
        [run.number for run in running.runs], [run.end_h - run.start_h for run in running.runs]
    )

    assert hours == pytest.approx(np.full(len(water.system.runs), running.hours_each))
    assert len(told(water, "running.")) == 1


def test_the_first_season_of_a_set_is_the_weeks_of_its_soil(usual):
    _, water = usual
    first, flow = water.use.needs.first, 4.0

    assert water.running.minutes[:, 0] == pytest.approx(60.0 * first.litres[:, 0] / flow)


@pytest.mark.parametrize(("asked", "counts"), [(0.7, 0.7), (1.0, None), (None, 0.9)])
def test_the_smaller_of_the_efficiency_and_the_evenness_counts(asked, counts):
    _, water = watered(**({} if asked is None else {"watering": {"efficiency": asked}}))
    share = next(one for one in water.figures if one.key == "water.reaching")
    even = water.system.runs.emission_pct.min() / 100.0

    assert share.value == pytest.approx(even if counts is None else min(counts, even))


def test_salty_water_must_be_given_for_leaching_too(usual):
    _, fresh = usual
    _, salty = watered(water_analysis={"conductivity": 4.8})

    more = salty.use.needs.peak_m3_d / fresh.use.needs.peak_m3_d

    assert more == pytest.approx(np.full(4, 1.0 / (1.0 - 4.8 / 24.0)))


def test_creep_counts_from_the_inlets_as_laid(usual):
    made, water = usual
    along, length = along_laterals_m(water.system.system, len(made.layout.positions))

    assert (along > 0.0).all()
    assert (along <= length + 1e-9).all()
    assert along.max() > 0.9 * length.max()


def test_a_day_too_short_says_which_hours_would_do():
    _, water = watered(watering={"hours_a_day": 2.0})
    (care,) = told(water, "running.")
    assert care.message == "running.more_hours"
    assert care.values["hours"][0] <= 24.0

    hours = care.values["hours"][0]
    _, water = watered(watering={"hours_a_day": hours})
    assert [one.message for one in told(water, "running.")] == ["running.peak_day"]


def stopped(water, message):
    (stop,) = told(water, "running.")
    assert (stop.level, stop.message) == ("stop", message)
    return stop.values


def test_more_sets_than_the_day_holds_stop_and_the_fewer_sets_named_work():
    short = {"watering": {"no_power": [["00:00", "20:00"]]}, "water": {"flow_available": 12}}

    _, water = watered(**short, sets={"number": 6})

    values = stopped(water, "running.fewer_sets")
    assert values["fewer"] < 6
    _, water = watered(**short, sets={"number": values["fewer"]})
    assert [one.message for one in told(water, "running.")] == ["running.peak_day"]
    assert water.system.system.sets.flow_m3_s.max() * 3600.0 <= values["flow"][0]


@pytest.mark.parametrize("dark", ["17:00", "20:00"])
def test_a_source_too_weak_for_the_hours_there_are_stops_and_the_one_named_works(dark):
    short = {"no_power": [["00:00", dark]]}

    _, water = watered(watering=short)

    values = stopped(water, "running.too_much")
    assert values["share"][0] < 100
    strong = {"flow_available": values["flow"][0]}
    _, water = watered(watering=short, water=strong, sets={"number": values["fewer"]})
    assert [one.message for one in told(water, "running.")] == ["running.peak_day"]
    assert not told(water, "system.set_above_supply")


def test_drippers_too_slow_for_the_hours_there_are_stop_and_those_named_work():
    short = {"no_power": [["00:00", "23:00"]]}

    _, water = watered(watering=short)

    values = stopped(water, "running.drippers_slow")
    day = f"{int(24.0 - values['hours'][0]):02d}:00"
    _, water = watered(watering={"no_power": [["00:00", day]]})
    assert [one.message for one in told(water, "running.")] == ["running.peak_day"]


def test_a_first_season_over_the_right_stops_and_what_it_lacks_is_enough():
    _, water = watered(water={"water_right": 500})

    (stop,) = told(water, "water.first_over_right")
    needed, there, short = (stop.values[name][0] for name in ("needed", "there", "short"))
    assert stop.level == "stop"
    assert there == 500
    assert stop.values["share"][0] == int(100.0 * there / needed)
    _, water = watered(water={"water_right": there + short})
    assert not told(water, "water.first_over_right")


def test_a_watering_lasts_as_long_as_the_soil_gives_easily_what_the_peak_takes(usual):
    made, water = usual
    (figure,) = (one for one in water.figures if one.key == "water.longest_interval")
    needs, demand = water.use.needs, made.brief.demand
    age = needs.thirstiest

    # mm held in the roots' depth, of that wetted and rooted, the easily had share of the rule.
    held = needs.soils[0].available_mm[age] * needs.demand.rooted[age]
    easy = made.brief.watering.trigger * demand.easy_share * held

    assert figure.value == pytest.approx(easy / needs.peak_mm[age])
    assert 0.1 < figure.value < 30.0
    _, by_turns = watered(watering={"rule": "interval", "interval": 3})
    assert all(one.key != "water.longest_interval" for one in by_turns.figures)


def test_a_mainline_over_high_ground_that_sucks_air_stops_and_the_head_named_is_enough():
    def over(height_m):
        hump = ground(lambda x, _: 300.0 + height_m * np.exp(-(((x + 70.0) / 8.0) ** 2)))
        water = {"flow_available": 20}
        made = block(rectangle(60, 60), terrain=hump, water=water, demand=NORMALS)
        inputs = Inputs(Outline("b.geojson", "polygon", ()), water_source=made.source((-110, 0)))
        return design(made.brief, made.site, made.stock, made.layout, inputs)

    high = over(20.0)

    (stop,) = told(high, "system.suction")
    assert stop.level == "stop"
    short = stop.values["short"][0]
    assert stop.values["pressure"][0] == pytest.approx(-short * 9.79, rel=1e-3)
    assert stop.place is not None
    assert stop.place[0] == pytest.approx(-70.0, abs=12.0)
    system = high.system
    pipes = system.system.kind < LATERAL
    lowest = system.pressure_m[pipes].min()
    assert lowest == pytest.approx(-short)
    # A hill no higher than the head left there is no trouble.
    assert not told(over(20.0 + lowest - 5.0), "system.suction")


def test_more_chloride_than_the_rootstock_bears_is_told():
    quality = judge(WaterAnalysis(chloride=1200))

    assert [one.message for one in quality_advice(quality, 1200, "Ramsey")].count(
        "water.chloride_over"
    ) == 1
    assert all(
        one.message != "water.chloride_over" for one in quality_advice(quality, 900, "Ramsey")
    )


@pytest.mark.parametrize(
    ("pauses", "expected"),
    [
        ((), ((0.0, 24.0),)),
        ((("17:00", "19:00"),), ((1.0, 23.0),)),
        ((("20:00", "22:00"), ("06:00", "08:30")), ((0.0, 2.0), (4.0, 12.0), (14.5, 24.0))),
    ],
)
def test_power_counts_from_the_first_opening(pauses, expected):
    rules = WateringRules(starts_at="18:00", no_power=pauses)

    found = powered(rules.starts_at, rules.no_power)
    assert np.allclose(found, expected)
    assert powered_hours(rules) == pytest.approx(sum(end - start for start, end in expected))


def test_a_day_without_power_is_refused():
    with pytest.raises(ValueError, match="hours with power"):
        Brief.model_validate(
            {
                "block": {"boundary": "b.geojson"},
                "vines": {"row_width": 2.5, "vine_spacing": 1.2},
                "watering": {"no_power": [["18:00", "06:00"], ["06:00", "18:00"]]},
            }
        )


def test_times_go_on_past_midnight():
    assert time_of_day("18:00", 7.5) == "01:30"


@given(st.integers(1, 9), st.floats(0.2, 9.0), st.floats(0.5, 20.0), st.floats(0.5, 3.0))
def test_sets_run_their_hours_in_turn_whatever_the_pauses(sets, each, pause_at, pause):
    runs = in_turn(sets, each, ((0.0, pause_at), (pause_at + pause, 24.0)), 24.0)

    hours = np.bincount([run.number for run in runs], [run.end_h - run.start_h for run in runs])
    assert hours == pytest.approx(np.full(sets, each), abs=1e-6)
    assert all(one.end_h <= two.start_h + 1e-9 for one, two in pairwise(runs))


@pytest.mark.parametrize(
    ("every", "turn", "message"),
    [(2, 40.0, "running.turn_days"), (14, 3.0, "running.turn_too_short")],
)
def test_without_a_store_the_turns_of_the_canal_bound_the_day(every, turn, message):
    _, water = watered(watering={"turn_every": every, "turn_hours": turn})
    (one,) = told(water, "running.")
    taken = len(water.system.runs) * water.running.hours_each

    assert one.message == message
    assert one.values["needed"][0] == pytest.approx(every * taken, abs=0.11)
    assert one.values["usable"] == (turn, "h")
    if message == "running.turn_too_short":
        assert one.level == "stop"
        assert one.values["short"][0] == pytest.approx(every * taken - turn, abs=0.11)


def test_a_store_as_large_as_named_brings_back_the_daily_schedule():
    turns = {"turn_every": 7, "turn_hours": 168.0}
    _, dry = watered(watering=turns)
    store = float(dry.use.needs.turn_store_m3.max())

    _, stored = watered(watering=turns, water={"storage": store * 1.001})

    assert told(dry, "running.")[0].message != "running.peak_day"
    assert [one.message for one in told(stored, "running.")] == ["running.peak_day"]


def test_hours_without_power_are_lost_on_every_day_of_a_long_turn():
    _, water = watered(
        watering={"turn_every": 7, "turn_hours": 48.0, "no_power": [["06:00", "18:00"]]}
    )
    (one,) = told(water, "running.")

    assert one.values["usable"] == (24.0, "h")
