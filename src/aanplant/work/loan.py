"""A loan paid back in yearly instalments, to the cent."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class LoanYear:
    """What one year of a loan asks.

    Parameters
    ----------
    year : int
        From 1, the year after the loan is drawn.
    interest, capital : Decimal
        Paid at the end of the year. [currency]
    owed : Decimal
        Left after it. [currency]
    """

    year: int
    interest: Decimal
    capital: Decimal
    owed: Decimal

    @property
    def paid(self) -> Decimal:
        """Interest and capital together. [currency]."""
        return self.interest + self.capital


def loan_schedule(
    amount: Decimal, rate: Decimal, years: int, grace_years: int = 0
) -> tuple[LoanYear, ...]:
    """Pay a loan back by level instalments, after years in which interest alone is paid.

    The level instalment is ``amount × rate / (1 - (1 + rate)**-n)`` over the years after the
    grace, rounded to the cent; the last one clears what is owed to the cent.

    Parameters
    ----------
    amount : Decimal
        Drawn. [currency]
    rate : Decimal
        Interest a year, as the bank states it, not negative. [-]
    years : int
        Until it is paid back, grace included. [years]
    grace_years : int
        Years in which interest alone is paid, fewer than ``years``. [years]

    Returns
    -------
    tuple of LoanYear
        One a year.

    Raises
    ------
    ValueError
        If the amount or rate is negative, or no year is left to pay back.
    """
    if amount < 0 or rate < 0:
        raise ValueError(f"amount and rate must not be negative, got {amount} and {rate}")
    if not 0 <= grace_years < years:
        raise ValueError(f"of {years} years, {grace_years} cannot be years of grace")
    level = _instalment(amount, rate, years - grace_years)
    owed, schedule = amount, []
    for year in range(1, years + 1):
        interest = _to_cent(owed * rate)
        capital = Decimal(0)
        if year == years:
            capital = owed
        elif year > grace_years:
            capital = min(owed, max(Decimal(0), level - interest))
        owed -= capital
        schedule.append(LoanYear(year, interest, capital, owed))
    return tuple(schedule)


def total_interest(schedule: Sequence[LoanYear]) -> Decimal:
    """All interest paid on a loan. [currency]."""
    return sum((year.interest for year in schedule), Decimal(0))


def _instalment(amount: Decimal, rate: Decimal, years: int) -> Decimal:
    if rate == 0:
        return _to_cent(amount / years)
    return _to_cent(amount * rate / (1 - (1 + rate) ** -years))


def _to_cent(amount: Decimal) -> Decimal:
    return amount.quantize(CENT, ROUND_HALF_UP)
