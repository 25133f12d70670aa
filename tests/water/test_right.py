"""A year's need beside the water right, the store, the canal and the flow."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.water.right import against_right, check_flow, months_of, store_for_turns


def need(*by_year, month=1):
    """Need of one age, all in one month, one number a year."""
    table = np.zeros((12, len(by_year), 1))
    table[month - 1, :, 0] = by_year
    return table


def kinds(check):
    return [one.kind for one in check.shortages]


@pytest.mark.parametrize(
    ("text", "months"),
    [
        ("Sep-Apr", [1, 2, 3, 4, 9, 10, 11, 12]),
        ("September - April", [1, 2, 3, 4, 9, 10, 11, 12]),
        ("Oct-Nov, Jan", [1, 10, 11]),
        ("", list(range(1, 13))),
    ],
)
def test_months_of_the_right_are_read(text, months):
    assert (np.flatnonzero(months_of(text)) + 1).tolist() == months


def test_a_month_that_is_none_is_refused():
    with pytest.raises(ValueError, match="sommer"):
        months_of("Sommer")


def test_enough_water_says_nothing():
    check = against_right(need(800.0, 900.0), right_m3=1000.0)

    assert check.probability.tolist() == [1.0]
    assert check.shortages == ()
    assert check.worst_m3.tolist() == [0.0]


def test_what_other_blocks_take_is_not_there():
    check = against_right(need(800.0, 900.0), right_m3=1000.0, committed_m3=150.0)

    assert check.left_m3 == 850.0
    assert check.probability.tolist() == [0.5]
    assert check.worst_m3.tolist() == [50.0]
    assert kinds(check) == ["right_short"]


def test_a_store_makes_up_what_the_right_lacks():
    check = against_right(need(800.0, 900.0), right_m3=850.0, storage_m3=60.0)

    assert check.probability.tolist() == [1.0]
    assert kinds(check) == []


def test_outside_the_months_of_the_right_only_the_store_gives():
    months = months_of("Sep-Apr")
    dry = against_right(need(50.0, month=6), right_m3=1000.0, is_month=months)
    stored = against_right(need(50.0, month=6), right_m3=1000.0, is_month=months, storage_m3=60.0)

    assert kinds(dry) == ["outside_months"]
    assert dry.probability.tolist() == [0.0]
    assert kinds(stored) == []


def test_years_of_short_supply_lower_the_chance():
    check = against_right(need(800.0, 400.0), right_m3=1000.0, short_years=0.2, short_supply=0.5)

    assert check.probability[0] == pytest.approx(0.8 * 1.0 + 0.2 * 0.5)


def test_no_right_and_a_right_that_is_taken_are_told_apart():
    assert kinds(against_right(need(800.0), right_m3=0.0)) == ["no_right"]
    assert kinds(against_right(need(800.0), right_m3=500.0, committed_m3=500.0)) == ["right_taken"]


def test_a_dry_decade_is_the_thirstiest_ten_years_on_end():
    years = [500.0] * 8 + [900.0] * 10 + [500.0] * 8

    check = against_right(need(*years), right_m3=800.0)

    assert check.decade_m3.tolist() == [900.0]
    assert check.decade_suffices.tolist() == [0.0]
    assert np.isnan(against_right(need(500.0), right_m3=800.0).decade_m3).all()


def test_the_first_age_that_is_short_is_named():
    table = np.zeros((12, 3, 3))
    table[0] = [300.0, 700.0, 1200.0]

    check = against_right(table, right_m3=600.0)

    (shortage,) = check.shortages
    assert (shortage.kind, shortage.age) == ("right_short", 2)
    assert (shortage.value, shortage.limit) == (1200.0, 600.0)


def test_a_negative_volume_is_refused():
    with pytest.raises(ValueError, match="negative"):
        against_right(need(1.0), right_m3=-1.0)


@given(
    st.lists(st.floats(0.0, 2000.0), min_size=1, max_size=12),
    st.floats(0.0, 2000.0),
    st.floats(0.0, 500.0),
    st.floats(0.0, 500.0),
)
def test_more_right_never_makes_a_year_shorter(years, right, more, stored):
    less = against_right(need(*years), right_m3=right, storage_m3=stored)
    larger = against_right(need(*years), right_m3=right + more, storage_m3=stored)

    assert larger.probability[0] >= less.probability[0]
    assert larger.worst_m3[0] <= less.worst_m3[0]


@pytest.mark.published(
    source="by hand: 10 m3 a day, a turn of 100 m3 every seven days",
    quantity="store between the turns of a canal",
    unit="m3",
)
def test_a_store_carries_the_block_from_turn_to_turn(published):
    daily = np.full((70, 1), 10.0)
    published.equal(
        store_for_turns(daily, every_days=7, turn_m3=100.0)[0],
        printed=70.0, tolerance=0.0, label="turns that suffice",
    )  # fmt: skip
    published.equal(
        store_for_turns(daily, every_days=7, turn_m3=60.0)[0],
        printed=160.0, tolerance=0.0, label="turns of 60 m3, ten weeks",
    )  # fmt: skip


def test_a_peak_day_that_is_too_long_is_told_with_the_flow_it_wants():
    hours, short = check_flow(np.array([200.0, 1000.0]), flow_m3_h=40.0, hours_a_day=20.0)

    assert hours.tolist() == [5.0, 25.0]
    assert (short[0].kind, short[0].age, short[0].value) == ("flow_short", 2, 50.0)
    with pytest.raises(ValueError, match="flow_m3_h"):
        check_flow(np.array([1.0]), flow_m3_h=-1.0, hours_a_day=20.0)


def test_a_source_that_gives_nothing_is_told_as_too_little():
    hours, short = check_flow(np.array([0.0, 100.0]), flow_m3_h=0.0, hours_a_day=20.0)

    assert hours.tolist() == [0.0, np.inf]
    assert (short[0].kind, short[0].value, short[0].limit) == ("flow_short", 5.0, 0.0)
