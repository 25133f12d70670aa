"""The water of a whole block, from weather or normals, through seasons to the first weeks."""

import numpy as np
import pytest

from aanplant.brief import parse_brief
from aanplant.errors import InputError
from aanplant.water.balance import Days, run
from aanplant.water.demand import vine_demand
from aanplant.water.first_season import first_season, planting_day
from aanplant.water.needs import water_needs, wetted_ground
from aanplant.water.rooting import by_age, rooted_across, rooted_share, rooted_soils
from aanplant.water.season import hand_on, root_ground, season_balance
from aanplant.water.watering import NoWatering
from aanplant.water.years import PLACES, WaterYears, mean_year

ET0 = (220, 180, 160, 100, 65, 45, 50, 70, 100, 145, 180, 215)
RAIN = (10, 10, 15, 35, 80, 100, 90, 80, 45, 25, 15, 10)
BRIEF = """
[block]
boundary = "b.gpx"
[vines]
row_width = 2.5
vine_spacing = 1.2
"""


def brief(more=""):
    return parse_brief(BRIEF + more, "brief.toml")


def years(count=6, seed=3):
    """Years of made-up weather about the normals, the first of them whole."""
    normal = mean_year(ET0, RAIN, is_south=True)
    noise = np.random.default_rng(seed)
    shape = (PLACES, count)
    et0 = normal.et0_mm * noise.uniform(0.7, 1.3, shape)
    rain = normal.rain_mm * noise.uniform(0.0, 2.0, shape)
    return WaterYears(
        np.arange(2001, 2001 + count), et0, rain, np.full(shape, 2.5), np.full(shape, 40.0),
        np.broadcast_to(normal.is_day, shape), is_south=True,
    )  # fmt: skip


def soils(asked, ages=4):
    depth = by_age(asked.demand.root_depth_by_year, ages)
    return rooted_soils((), depth, water_held_mm_m=asked.demand.water_held, area_ha=2.0)


def balance_of(asked, weather):
    return season_balance(asked, weather, vine_demand(asked, weather), soils(asked), wetted=0.32)


def test_a_mean_year_keeps_the_sums_of_its_months():
    normal = mean_year(ET0, RAIN, is_south=True)

    for month in range(1, 13):
        here = normal.month == month
        assert normal.et0_mm[here].sum() == pytest.approx(ET0[month - 1])
        assert normal.rain_mm[here].sum() == pytest.approx(RAIN[month - 1])
    assert normal.place("05-01") == 0
    assert mean_year(ET0, RAIN, is_south=False).place("11-01") == 0


def test_roots_fill_squares_then_strips_then_all_the_ground():
    found = rooted_share([0.6, 1.2, 2.0, 4.0], row_width_m=2.5, vine_spacing_m=1.2)

    assert found.tolist() == pytest.approx([0.12, 0.48, 0.8, 1.0])
    assert rooted_across([0.6, 4.0], row_width_m=2.5).tolist() == [0.24, 1.0]


def test_demand_grows_with_the_vines():
    asked, weather = brief(), years()

    found = vine_demand(asked, weather)

    assert (np.diff(found.peak_at(0.9)) > 0).all()
    litres = found.litres_per_vine(found.peak_at(0.9))
    assert 0.3 < litres[0] < 1.0  # an Ontario ministry note: 0.5 to 1 L a day in hot weeks
    assert found.use_mm[: weather.place("09-10")].sum() == 0.0


def test_watering_by_deficit_leaves_no_stress_and_none_leaves_much():
    weather = years()

    watered = balance_of(brief(), weather)
    dry = balance_of(
        brief("[watering]\nrule='calendar'\nby_month=[0,0,0,0,0,0,0,0,0,0,0,0]\n"), weather
    )

    assert watered.stress_days.max() == 0
    assert dry.irrigation_mm.max() == 0
    assert (dry.stress_days[:, 2:] > 30).all()
    assert (dry.transpiration_mm <= dry.wish_mm + 1e-9).all()


def test_months_add_up_to_the_season_and_losses_to_what_is_drawn():
    weather = years()

    found = balance_of(brief("[watering]\nlosses = 0.1\nefficiency = 0.8\n"), weather)

    assert found.by_month_mm.sum(axis=0) == pytest.approx(found.irrigation_mm)
    drawn = found.irrigation_mm[:, :, 0] * 10.0 * 2.0 / (0.8 * 0.9)
    assert found.drawn_m3 == pytest.approx(drawn)
    assert found.drawn_by_month_m3.sum(axis=0) == pytest.approx(found.drawn_m3)


def test_a_calendar_gives_what_is_written_each_month():
    rule = "[watering]\nrule='calendar'\ninterval=5\nby_month=[60,50,40,0,0,0,0,0,0,20,40,60]\n"

    found = balance_of(brief(rule), years())

    assert found.by_month_mm[:, 0, 3, 0] == pytest.approx(
        [60, 50, 40, 0, 0, 0, 0, 0, 0, 20, 40, 60]
    )


def test_years_hand_on_their_soil_water_as_one_run_through_the_record():
    asked, weather = brief(), years(4)
    demand = vine_demand(asked, weather)
    days, zone = root_ground(asked, weather, demand, soils(asked), wetted=0.32)
    side_by_side, passes = hand_on(days, zone, NoWatering(), weather)

    whole = [
        np.concatenate(
            [np.broadcast_to(one, (PLACES, 4, *one.shape[2:]))[:, year] for year in range(4)]
        )
        for one in (days.et0_mm, days.rain_mm, days.basal, days.upper, days.cover)
    ]
    start = side_by_side.start
    after = run(
        Days(*whole),
        zone,
        NoWatering(),
        start_mm=start.root_zone_mm[0],
        top_start_mm=start.top_soil_mm[0],
    )

    assert passes > 1
    assert after.end.root_zone_mm == pytest.approx(side_by_side.end.root_zone_mm[-1], abs=0.5)


def first_of(asked, weather=None):
    weather = years() if weather is None else weather
    demand = vine_demand(asked, weather)
    return first_season(
        asked, weather, demand, soils(asked), vines=1000, wetted=0.32, vine_flow_lph=4.6
    )


def test_the_first_season_begins_on_the_day_of_planting_with_its_water():
    found = first_of(brief("[first_season]\nplanted = '08-15'\n"))

    assert found.week[:3] == ("08-15", "08-22", "08-29")
    assert found.planting_m3 == pytest.approx(5.0)
    assert found.planting_hours == pytest.approx(5.0 / 4.6)
    assert found.litres[0].max() <= found.litres[20].max()
    assert found.volume_m3 == pytest.approx(found.litres[:, 0])  # 1000 vines, 1000 litres


def test_a_season_takes_less_than_its_weeks_add_up_to_as_not_every_week_is_dry():
    found = first_of(brief())
    weeks = np.quantile(found.by_year_m3, 0.8, axis=1)

    assert found.season_m3(0.8) < weeks.sum()
    assert found.volume_m3.sum() == pytest.approx(weeks.sum(), rel=0.1)
    assert found.total_m3(0.8) == pytest.approx(found.season_m3(0.8) + found.planting_m3)


def test_months_of_a_season_are_parts_of_it():
    found = first_of(brief())
    early = np.arange(len(found.week)) < 20

    assert found.season_m3(0.5, early) < found.season_m3(0.5)


def test_a_tanker_brings_less_water_to_the_vine_itself_in_full_loads():
    by_line = first_of(brief())
    by_hose = first_of(brief("[first_season]\nby = 'tanker'\ntanker = 3000\n"))

    assert by_hose.total_m3(0.9) < by_line.total_m3(0.9)
    assert by_hose.planting_trips == 2
    assert (by_hose.trips * 3000.0 >= by_hose.volume_m3 * 1000.0 - 1e-6).all()
    each = by_hose.litres / np.maximum(by_hose.waterings, 1)
    assert each.max() <= 6.0 + 1e-9
    assert np.isnan(by_hose.hours_each).all()


def test_the_day_of_planting_is_that_of_the_work_unless_given():
    assert planting_day(brief("[work]\nplanting = '2027-07'\n"), is_south=True) == "07-01"
    assert planting_day(brief(), is_south=True) == "08-01"
    assert planting_day(brief(), is_south=False) == "02-01"


class Nowhere:
    """A site without weather, soil or anything else."""

    climate = None
    soil = None

    class frame:  # noqa: N801 - as the site has it
        latitude_deg = -33.6


def needs_of(more):
    return water_needs(
        brief(more), Nowhere(), area_ha=2.0, vines=6600, wetted=0.32, vine_flow_lph=4.6
    )


NORMALS = f"[demand]\net0_by_month = {list(ET0)}\nrain_by_month = {list(RAIN)}\n"


def test_normals_stand_in_for_weather():
    found = needs_of(NORMALS + "[water]\nwater_right = 20000\nflow_available = 20\n")

    assert found.years.is_normal
    assert (np.diff(found.peak_mm) > 0).all()
    assert found.right.probability.tolist() == [1.0] * 4
    assert found.shortages == ()
    brought = found.peak_litres * 6600 / 1000.0
    assert brought == pytest.approx(found.peak_m3_d * 0.95)
    assert found.set_hours == pytest.approx(found.peak_litres / 4.6)


def test_no_weather_and_no_normals_give_nothing():
    assert needs_of("") is None


def test_too_little_of_everything_is_told():
    found = needs_of(
        NORMALS + "[water]\nwater_right = 500\nflow_available = 1\nright_months = 'Sep-Apr'\n"
        "[watering]\nturn_every = 7\nturn_hours = 10\n"
    )

    assert {one.kind for one in found.shortages} == {"right_short", "flow_short", "store_short"}
    assert found.turn_store_m3[-1] > 100.0


def test_a_measured_strip_stands_before_the_table():
    assert wetted_ground(brief(), 0.8) == pytest.approx(0.32)
    assert wetted_ground(brief("[demand]\nwetted_width = '1 m'\n"), 0.8) == pytest.approx(0.4)


def test_months_that_are_none_are_a_slip_in_the_brief():
    with pytest.raises(InputError, match="right_months"):
        needs_of(NORMALS + "[water]\nwater_right = 500\nright_months = 'summer'\n")


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ("[demand]\net0_by_month = [1, 2]\n", "12"),
        (f"[demand]\net0_by_month = {list(ET0)}\n", "both"),
        ("[watering]\nrule = 'calendar'\n", "by_month"),
        ("[watering]\nturn_every = 7\n", "turn_hours"),
    ],
)
def test_half_a_wish_is_refused(more, said):
    with pytest.raises(InputError, match=said):
        brief(more)


def test_water_that_no_vine_gets_is_refused():
    asked, weather = brief(), years(2)
    demand = vine_demand(asked, weather)
    with pytest.raises(ValueError, match="wetted"):
        season_balance(asked, weather, demand, soils(asked), wetted=0.0)
    with pytest.raises(ValueError, match="vine_flow_lph"):
        first_season(asked, weather, demand, soils(asked), vines=10, wetted=0.3, vine_flow_lph=0.0)
