"""How a cultivar suits heat and frost, on weather made so that the answer is known."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.brief import Brief
from aanplant.inputs import CultivarFact, DailyWeather
from aanplant.site.frost import day_of_spring
from aanplant.stock.bud_frost import CAUTIOUS, CONCORD, bud_frost, limits
from aanplant.stock.ripening import heat_needed, season_heat


def weather(mean_c=20.0, *, first="2010-07-01", days=3653, nights=None):
    date = np.arange(np.datetime64(first), np.datetime64(first) + days)
    empty = np.full(days, np.nan)
    tmin = np.full(days, mean_c - 5.0) if nights is None else nights
    return DailyWeather(
        "w.csv", date, tmin, 2 * mean_c - tmin, *(empty.copy() for _ in range(9))
    )  # fmt: skip


@pytest.mark.published(
    source="Winkler regions in degree-days Fahrenheit: 2500, 3000, 3500 (a public page)",
    quantity="heat sum of a season",
    unit="°C·d",
)
@pytest.mark.parametrize(
    ("fahrenheit", "printed"), [(2500, 1388.9), (3000, 1666.7), (3500, 1944.4)]
)
def test_a_season_of_so_many_fahrenheit_degree_days(published, fahrenheit, printed):
    # April to October has 214 days whatever the year; 10 °C is 50 °F.
    mean_f = 50 + fahrenheit / 214

    heat = season_heat(weather((mean_f - 32) / 1.8), "04-01", "10-31")

    published.equal(heat.degree_days.mean(), printed=printed, tolerance=0.05)


def test_a_season_over_the_new_year_bears_the_year_of_its_harvest():
    heat = season_heat(weather(20.0), "10-01", "03-31")

    assert heat.harvest_year[0] == 2011
    assert heat.degree_days[0] == pytest.approx(182 * 10)


def test_a_season_with_too_many_days_missing_is_left_out():
    holed = weather(20.0)
    holed.tmin_c[100:130] = np.nan

    assert season_heat(holed, "10-01", "03-31").harvest_year[0] == 2012


def test_the_latest_class_has_no_upper_end():
    assert heat_needed(5, 5) == (1600, None)


@given(st.lists(st.floats(1, 5), min_size=2, max_size=2).map(sorted))
def test_a_later_class_never_needs_less_heat(pair):
    early, late = pair

    assert heat_needed(early, early)[0] <= heat_needed(late, late)[0]


def night_at(day, degrees):
    """Ten springs, each with one cold night."""
    made = weather(15.0)
    for year in range(2010, 2020):
        made.tmin_c[(made.date == np.datetime64(f"{year}-{day}"))] = degrees
    return made


@pytest.mark.parametrize(
    ("degrees", "concord", "cautious"), [(-2.3, 0, 10), (-4.0, 10, 10), (-2.0, 0, 0)]
)
def test_a_night_at_bud_break_harms_by_what_buds_bear(degrees, concord, cautious):
    day = day_of_spring("09-10", is_south=True)
    made = night_at("09-10", degrees)

    found = [
        bud_frost(made, bud_break_day=day, table=table, colder_c=0.0, is_south=True).harmed
        for table in (CONCORD, CAUTIOUS)
    ]

    assert found == [concord, cautious]


@given(st.integers(50, 120), st.floats(-8, 2), st.floats(0, 3))
def test_more_cold_never_harms_less_and_the_cautious_set_never_harms_less(day, degrees, colder):
    made = night_at("09-20", degrees)

    def harmed(table, extra):
        return bud_frost(
            made, bud_break_day=day, table=table, colder_c=extra, is_south=True
        ).harmed  # fmt: skip

    assert harmed(CONCORD, 0.0) <= harmed(CONCORD, colder)
    if day <= day_of_spring("09-20", is_south=True) + 10:
        assert harmed(CONCORD, colder) <= harmed(CAUTIOUS, colder)


def test_buds_bear_less_the_further_they_are():
    for table in (CONCORD, CAUTIOUS):
        first, limit = limits(table, 60)
        assert first < 0
        assert (np.diff(limit) >= 0).all()


def test_a_brief_may_set_the_day_by_which_it_must_be_ripe():
    brief = Brief.model_validate(
        {
            "block": {"boundary": "b.geojson"},
            "vines": {"row_width": 2.5, "vine_spacing": 1.2},
            "cultivar": {"ripe_by": "03-10"},
        }
    )

    assert brief.cultivar.ripe_by == "03-10"
    assert CultivarFact("a", "vigour", 1.0, None, "", "x").certainty == "estate"
