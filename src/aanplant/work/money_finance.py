"""What a loan does to the money of a block: what the owner puts in and takes out."""

from dataclasses import dataclass
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import Brief
from aanplant.work.cash_model import CashModel, price_levels
from aanplant.work.loan import LoanYear, loan_schedule
from aanplant.work.money_lines import exact, to_cent


@dataclass(frozen=True, slots=True)
class Financing:
    """A loan and what it leaves to the owner.

    Parameters
    ----------
    amount : Decimal
        Drawn in the year of planting, a share of the cost of establishment. [currency]
    schedule : tuple of LoanYear
        From the year after planting; empty without a loan.
    owner_flows : ndarray, shape (years,)
        Of the block with the loan, in the terms of the basis. [currency]
    """

    amount: Decimal
    schedule: tuple[LoanYear, ...]
    owner_flows: NDArray[np.float64]


def finance(brief: Brief, model: CashModel, flows: NDArray[np.float64]) -> Financing:
    """Lay the loan over the flows of the block.

    The bank counts in money of the day: amount and instalments are nominal whatever the
    basis, and are brought to money of today where it is real.

    Parameters
    ----------
    brief : Brief
        Its ``[money]``.
    model : CashModel
        Of the block.
    flows : ndarray, shape (years,)
        Of the block without a loan, in the terms of the basis. [currency]
    """
    rules, early = brief.money, len(model.before)
    levels = price_levels(model, len(flows))
    spent = float(model.before.sum() + model.establishment.sum())
    amount = to_cent(exact(rules.loan_share) * Decimal(repr(spent)))
    if not amount:
        return Financing(amount, (), flows)
    schedule = loan_schedule(amount, exact(rules.loan_rate), rules.loan_years, rules.loan_grace)
    loan = np.zeros(len(flows))
    loan[early] = float(amount)
    for one in schedule:
        loan[early + one.year] -= float(one.paid)
    if model.basis == "real":
        loan /= levels
    return Financing(amount, schedule, flows + loan)
