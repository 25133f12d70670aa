"""What money is worth over the years: net present value, annuities, real rates."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.work.rates_of_return import internal_rates_of_return

__all__ = [
    "accumulated_cost",
    "annuity_factor",
    "capital_recovery_factor",
    "discount_factors",
    "internal_rates_of_return",
    "net_present_value",
    "real_rate",
]


def net_present_value(flows: ArrayLike, rate: float) -> float:
    """Worth today of flows of money, one a year, the first of them today.

    ``NPV = sum(flow_t / (1 + rate)**t)`` with t = 0, 1, 2 …

    Parameters
    ----------
    flows : array_like, shape (years,)
        Income less cost of each year. [currency]
    rate : float
        Discount rate a year, more than -1. [-]

    Returns
    -------
    float
        [currency]

    Raises
    ------
    ValueError
        If the rate is -100 % or less.
    """
    values = np.asarray(flows, np.float64)
    return float(values @ discount_factors(rate, len(values)))


def discount_factors(rate: float, years: int, first: int = 0) -> NDArray[np.float64]:
    """Worth in year 0 of one unit of money in each of some years from the first, shape (years,).

    Raises
    ------
    ValueError
        If the rate is -100 % or less.
    """
    _refuse(rate)
    factors: NDArray[np.float64] = (1.0 + rate) ** -np.arange(
        first, first + years, dtype=np.float64
    )
    return factors


def annuity_factor(rate: float, years: int) -> float:
    """Worth today of one unit of money at the end of each year.

    ``(1 - (1 + rate)**-years) / rate``, and ``years`` at a rate of nought.

    Raises
    ------
    ValueError
        If the rate is -100 % or less, or there is no year.
    """
    _refuse(rate)
    if years < 1:
        raise ValueError(f"years must be at least 1, got {years}")
    if rate == 0:
        return float(years)
    return float(-np.expm1(-years * np.log1p(rate)) / rate)


def capital_recovery_factor(rate: float, years: int) -> float:
    """Level payment at the end of each year that pays back one unit of money with interest.

    Raises
    ------
    ValueError
        If the rate is -100 % or less, or there is no year.
    """
    return 1.0 / annuity_factor(rate, years)


def real_rate(nominal_rate: float, inflation: float) -> float:
    """Rate that is left when prices rise: ``(1 + nominal) / (1 + inflation) - 1`` (Fisher).

    Raises
    ------
    ValueError
        If either is -100 % or less.
    """
    _refuse(nominal_rate)
    _refuse(inflation)
    return (1.0 + nominal_rate) / (1.0 + inflation) - 1.0


def accumulated_cost(
    costs: Sequence[float] | NDArray[np.float64],
    incomes: Sequence[float] | NDArray[np.float64],
    rate: float,
) -> NDArray[np.float64]:
    """Net cost so far, with interest on what was still owed the year before.

    ``A_t = A_(t-1) * (1 + rate) + cost_t - income_t``; below nought the block has paid
    for itself.

    Parameters
    ----------
    costs, incomes : sequence of float, shape (years,)
        Of each year. [currency]
    rate : float
        Interest a year. [-]

    Returns
    -------
    ndarray, shape (years,)
        [currency]

    Raises
    ------
    ValueError
        If the rate is -100 % or less.
    """
    net = np.asarray(costs, np.float64) - np.asarray(incomes, np.float64)
    factors = discount_factors(rate, len(net))
    so_far: NDArray[np.float64] = np.cumsum(net * factors) / factors
    return so_far


def _refuse(rate: float) -> None:
    if not rate > -1.0:
        raise ValueError(f"a rate must be more than -100 %, got {rate}")
