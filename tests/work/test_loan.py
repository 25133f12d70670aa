"""A loan to the cent."""

from decimal import Decimal

import numpy_financial
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.work.loan import loan_schedule, total_interest

amounts = st.decimals(1, 10_000_000, places=2)
loan_rates = st.decimals(0, "0.4", places=4)


@given(amounts, loan_rates, st.integers(1, 30), st.integers(0, 5))
def test_the_capital_paid_back_is_the_loan_to_the_cent(amount, rate, years, grace):
    schedule = loan_schedule(amount, rate, years + grace, grace)

    assert sum(year.capital for year in schedule) == amount
    assert schedule[-1].owed == 0
    assert all(year.capital == 0 for year in schedule[:grace])
    assert len(schedule) == years + grace


@given(st.decimals(1000, 10_000_000, places=2), st.decimals("0.01", "0.3", places=3),
       st.integers(2, 25))  # fmt: skip
def test_the_instalment_is_that_of_an_independent_library(amount, rate, years):
    beside = -numpy_financial.pmt(float(rate), years, float(amount))

    for year in loan_schedule(amount, rate, years)[:-1]:
        assert float(year.paid) == pytest.approx(beside, abs=0.0051)


def test_a_small_loan_by_hand():
    first, second, third = loan_schedule(Decimal(1000), Decimal("0.10"), 3, 1)

    assert [first.interest, first.capital, first.owed] == [100, 0, 1000]
    assert (second.interest, second.capital) == (Decimal("100.00"), Decimal("476.19"))
    assert [third.interest, third.capital] == [Decimal("52.38"), Decimal("523.81")]
    assert total_interest((first, second, third)) == Decimal("252.38")


@pytest.mark.parametrize(
    ("amount", "rate", "years", "grace"), [(-1, "0.1", 5, 0), (1, "-0.1", 5, 0), (1, "0.1", 5, 5)]
)
def test_a_loan_that_cannot_be_is_refused(amount, rate, years, grace):
    with pytest.raises(ValueError, match=r"negative|grace"):
        loan_schedule(Decimal(amount), Decimal(rate), years, grace)
