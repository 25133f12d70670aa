"""Every internal rate of return, none missed and none invented."""

import math
from fractions import Fraction
from itertools import pairwise

import numpy as np
import numpy_financial
import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from aanplant.work.budget import internal_rates_of_return, net_present_value


@pytest.mark.published(
    source="documentation example of a numerical library, recalled from memory",
    quantity="internal rate of return", unit="%",
)  # fmt: skip
def test_the_rate_of_five_years(published):
    (rate,) = internal_rates_of_return([-100, 39, 59, 55, 20])

    published.equal(100 * rate, printed=28.0948, tolerance=0.00005)


@pytest.mark.published(
    source="example of a spreadsheet's manual, recalled from memory",
    quantity="internal rate of return", unit="%",
)  # fmt: skip
def test_the_rate_of_a_small_business(published):
    (rate,) = internal_rates_of_return([-70_000, 12_000, 15_000, 18_000, 21_000, 26_000])

    published.equal(100 * rate, printed=8.6631, tolerance=0.00005)


@pytest.mark.published(
    source="worked in exact arithmetic for this check", quantity="internal rate of return", unit="%"
)
def test_the_rate_of_twenty_years(published):
    (rate,) = internal_rates_of_return([-200, -50, -40, 20, 60, *[80] * 16])

    published.equal(100 * rate, printed=17.1739, tolerance=0.00005)


def with_rates(rates, scale=1.0):
    """Flows that are worth nothing at just these rates: a product of (x - 1/(1+rate))."""
    flows = [Fraction(1)]
    for rate in rates:
        up = 1 + Fraction(rate)
        # (1 + rate) x - 1
        flows = [
            (up * flows[at - 1] if at else 0) - (flows[at] if at < len(flows) else 0)
            for at in range(len(flows) + 1)
        ]
    return [float(flow * Fraction(scale)) for flow in flows]


def test_flows_that_change_their_sign_twice_have_two_rates():
    # The classic: 10 % and 20 % both make it worth nothing.
    rates = internal_rates_of_return([-1000, 2300, -1320])

    assert rates == pytest.approx((0.10, 0.20), abs=1e-12)


# Quarters of eighths of a percent have few binary digits: the flows hold their roots exactly.
exact_rates = st.integers(-112, 512).map(lambda part: part / 128)


@given(st.lists(exact_rates, min_size=1, max_size=5, unique=True))
def test_every_rate_is_found_and_no_other(rates):
    found = internal_rates_of_return(with_rates(rates))

    assert found == pytest.approx(sorted(rates), rel=1e-12, abs=1e-12)


@given(exact_rates, exact_rates)
@example(0.0, 1.0)
def test_a_rate_that_is_only_touched_counts_once(twice, once):
    assume(twice != once)

    found = internal_rates_of_return(with_rates([twice, twice, once]))

    assert found == pytest.approx(sorted({twice, once}), rel=1e-12, abs=1e-12)


@given(
    st.lists(st.floats(1.0, 1e6), min_size=1, max_size=8),
    st.lists(st.floats(1.0, 1e6), min_size=1, max_size=30),
)
def test_costs_before_incomes_have_one_rate_at_which_they_are_worth_nothing(costs, incomes):
    flows = [*(-cost for cost in costs), *incomes]

    (rate,) = internal_rates_of_return(flows)

    size = np.abs(flows) @ (1 + rate) ** -np.arange(len(flows), dtype=float)
    assert abs(net_present_value(flows, rate)) <= 1e-9 * size


@given(st.floats(10.0, 1e6), st.lists(st.floats(1.0, 1e5), min_size=2, max_size=25))
def test_the_rate_agrees_with_an_independent_library(cost, incomes):
    flows = [-cost, *incomes]
    beside = float(numpy_financial.irr(flows))
    assume(math.isfinite(beside))

    (rate,) = internal_rates_of_return(flows)

    assert rate == pytest.approx(beside, rel=1e-6, abs=1e-9)


@given(st.lists(st.integers(-50, 50).map(float), min_size=2, max_size=14))
def test_the_rates_agree_with_the_roots_of_the_companion_matrix(flows):
    assume(flows[0] and flows[-1])
    roots = np.roots(flows)  # of u = 1 + rate, the highest power first
    positive = sorted(roots[(abs(roots.imag) < 1e-9) & (roots.real > 1e-9)].real - 1.0)
    assume(all(abs(root.imag) < 1e-9 or abs(root.imag) > 1e-4 for root in roots))
    assume(all(high - low > 1e-4 for low, high in pairwise(positive)))

    assert internal_rates_of_return(flows) == pytest.approx(positive, rel=1e-5, abs=1e-6)


@pytest.mark.parametrize("flows", [[], [0.0], [0, 0, 0], [-5], [1, 2, 3], [-1, -2, 0], [1, -2, 3]])
def test_without_a_cost_an_income_or_a_crossing_there_is_no_rate(flows):
    assert internal_rates_of_return(flows) == ()


def test_years_without_money_before_and_after_change_nothing():
    assert internal_rates_of_return([0, 0, -100, 110, 0]) == pytest.approx((0.10,), abs=1e-12)


def test_a_long_flow_with_many_changes_is_solved_in_a_moment():
    random = np.random.default_rng(4)
    flows = random.normal(0, 1e5, 61)

    for rate in internal_rates_of_return(flows):
        size = np.abs(flows) @ (1 + rate) ** -np.arange(61.0)
        assert abs(net_present_value(flows, rate)) < 1e-9 * size


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_a_flow_that_is_no_number_is_refused(bad):
    with pytest.raises(ValueError, match="finite"):
        internal_rates_of_return([-1.0, bad])
