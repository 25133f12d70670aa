"""Net present value, annuities, real rates and accumulated cost."""

import numpy as np
import numpy_financial
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.work.budget import (
    accumulated_cost,
    annuity_factor,
    capital_recovery_factor,
    discount_factors,
    net_present_value,
    real_rate,
)

LIBRARY = "documentation example of a numerical library, recalled from memory"
money = st.floats(-1e6, 1e6, allow_nan=False)
rates = st.floats(-0.5, 1.0)


@pytest.mark.published(source=LIBRARY, quantity="net present value at 10 %", unit="currency")
def test_net_present_value_of_five_years(published):
    published.equal(net_present_value([-100, 39, 59, 55, 20], 0.10), printed=39.1975,
                    tolerance=0.00005)  # fmt: skip


@pytest.mark.published(
    source="example of a spreadsheet's manual whose first flow comes after a year, from memory",
    quantity="net present value at 10 %, all flows a year later", unit="currency",
)  # fmt: skip
def test_a_spreadsheet_discounts_the_first_flow_too(published):
    later = net_present_value([0, -10_000, 3_000, 4_200, 6_800], 0.10)

    published.equal(later, printed=1188.4434, tolerance=0.00005)


@pytest.mark.published(
    source="worked in exact arithmetic for this check",
    quantity="net present value",
    unit="currency",
)
def test_net_present_value_of_an_orchard_like_flow(published):
    flows = [-200, -50, -40, 20, 60, *[80] * 16]

    published.equal(
        net_present_value(flows, 0.08), printed=299.8702, tolerance=0.00005, label="8 %"
    )
    published.equal(net_present_value(flows, 0.0), printed=1070, tolerance=0.5, label="0 %")


@pytest.mark.published(
    source="tables of compound interest, worked in exact arithmetic for this check",
    quantity="annuity", unit="",
)  # fmt: skip
def test_annuity_and_capital_recovery(published):
    published.equal(
        annuity_factor(0.08, 20), printed=9.818147, tolerance=5e-7, label="8 %, 20 years"
    )
    published.equal(capital_recovery_factor(0.08, 20), printed=0.10185221, tolerance=5e-9,
                    label="capital recovery, 8 %, 20 years")  # fmt: skip
    published.equal(
        annuity_factor(0.06, 10), printed=7.360087, tolerance=5e-7, label="6 %, 10 years"
    )


@pytest.mark.published(
    source="Fisher's relation on 6 % nominal and 4 % inflation, exact; a regional cost page of "
    "2013 prints the loose 2.5 %", quantity="real rate", unit="%",
)  # fmt: skip
def test_the_real_rate_is_what_inflation_leaves(published):
    published.equal(100 * real_rate(0.06, 0.04), printed=1.923, tolerance=0.0005)


@pytest.mark.published(
    source="worked in exact arithmetic for this check", quantity="accumulated net cost",
    unit="currency",
)  # fmt: skip
def test_net_cost_gathers_interest(published):
    so_far = accumulated_cost([180, 45, 40], [0, 0, 25], 0.09)

    for at, printed in enumerate((180.0, 241.2, 277.908)):
        published.equal(so_far[at], printed=printed, tolerance=0.0005, label=f"year {at + 1}")


@given(st.lists(money, min_size=1, max_size=40), rates)
def test_net_present_value_agrees_with_an_independent_library(flows, rate):
    beside = numpy_financial.npv(rate, flows)
    size = np.abs(flows) @ discount_factors(rate, len(flows))

    assert net_present_value(flows, rate) == pytest.approx(beside, abs=1e-9 * max(1.0, size))


@given(
    st.lists(st.floats(1.0, 1e6), min_size=1, max_size=5),
    st.lists(st.floats(1.0, 1e6), min_size=1, max_size=30),
    st.floats(0.0, 0.5), st.floats(0.001, 0.5),
)  # fmt: skip
def test_costs_before_incomes_are_worth_less_at_a_higher_rate_while_worth_anything(
    costs, incomes, rate, more
):
    flows = [*(-cost for cost in costs), *incomes]
    worth = net_present_value(flows, rate)

    assert worth < 0 or net_present_value(flows, rate + more) < worth


@given(st.lists(money, min_size=1, max_size=40), rates)
def test_the_last_accumulated_cost_is_the_present_value_carried_forward(flows, rate):
    last = accumulated_cost([-flow for flow in flows], [0.0] * len(flows), rate)[-1]
    grown = (1 + rate) ** (len(flows) - 1)
    size = np.abs(flows) @ discount_factors(rate, len(flows)) * grown

    assert last == pytest.approx(-net_present_value(flows, rate) * grown, abs=1e-9 * max(1.0, size))


@given(st.floats(0.001, 0.5), st.integers(1, 60))
def test_the_capital_recovered_each_year_is_a_payment_of_the_independent_library(rate, years):
    beside = -numpy_financial.pmt(rate, years, 1.0)

    assert capital_recovery_factor(rate, years) == pytest.approx(beside, rel=1e-10)


def test_without_interest_an_annuity_is_its_years():
    assert annuity_factor(0.0, 12) == 12.0


@pytest.mark.parametrize(
    "reckon",
    [
        lambda: net_present_value([1.0], -1.0),
        lambda: annuity_factor(-1.5, 3),
        lambda: annuity_factor(0.1, 0),
        lambda: real_rate(0.1, -1.0),
    ],
)
def test_a_rate_of_minus_a_hundred_percent_and_no_years_are_refused(reckon):
    with pytest.raises(ValueError, match=r"-100 %|at least 1"):
        reckon()
