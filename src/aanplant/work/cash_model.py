"""The money of a block year by year as arrays, so that thousands of futures run at once."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.work.budget import discount_factors

Floats = NDArray[np.float64]
REPLACED_LAG = 1
"""Years a vine planted in the place of a lost one stays behind."""


@dataclass(frozen=True)
class CashModel:
    """What a block costs and brings in, in money of today.

    Parameters
    ----------
    before : ndarray, shape (years before planting,)
        Cost of establishment of each year before the year of planting. [currency]
    establishment : ndarray, shape (horizon + 1,)
        All costs of the year of planting; nothing after it. [currency]
    upkeep : ndarray, shape (horizon + 1,)
        Costs of later years that don't hang on the crop. [currency]
    crop_share : ndarray, shape (horizon + 1,)
        Crop of each year from planting as a share of the full one. [-]
    full_crop_t : float
        Crop of the grown block in a year. [t]
    price, harvest_cost : float
        Of a tonne. [currency/t]
    salvage : float
        Income at the end of the last year. [currency]
    gap_cost : float
        Replanting of the whole block, were all of it a gap. [currency]
    gap_lag : int
        Years a place stays behind for which no spare vine was there. [years]
    basis : str
        real or nominal.
    rate, inflation : float
        A year. [-]
    """

    before: Floats
    establishment: Floats
    upkeep: Floats
    crop_share: Floats
    full_crop_t: float
    price: float
    harvest_cost: float
    salvage: float
    gap_cost: float
    gap_lag: int
    basis: str
    rate: float
    inflation: float

    @property
    def first_year(self) -> int:
        """Year of the first flow, counted from the year of planting."""
        return -len(self.before)

    @property
    def horizon(self) -> int:
        """Last year, counted from the year of planting."""
        return len(self.crop_share) - 1


def crop_shares(
    model: CashModel, replaced: ArrayLike = 0.0, gaps: ArrayLike = 0.0
) -> NDArray[np.float64]:
    """Crop of each year as a share of the full one, with vines that came later.

    Parameters
    ----------
    model : CashModel
        Of the block.
    replaced, gaps : array_like, shape (n,) or ()
        Share of the places whose vine died and was replaced by a spare, and of those for
        which no spare was there. [-]

    Returns
    -------
    ndarray, shape (n, horizon + 1)
        [-]
    """
    late = np.atleast_1d(np.asarray(replaced, np.float64))[:, None]
    gone = np.atleast_1d(np.asarray(gaps, np.float64))[:, None]
    shares: Floats = (
        (1.0 - late - gone) * model.crop_share
        + late * _behind(model.crop_share, REPLACED_LAG)
        + gone * _behind(model.crop_share, model.gap_lag)
    )
    return shares


def _behind(shares: Floats, years: int) -> Floats:
    """Shares of vines that were planted some years later."""
    return np.concatenate(
        [np.zeros(min(years, len(shares))), shares[: max(0, len(shares) - years)]]
    )


def net_flows(
    model: CashModel,
    *,
    price: ArrayLike = 1.0,
    yields: ArrayLike = 1.0,
    establishment: ArrayLike = 1.0,
    upkeep: ArrayLike = 1.0,
    replaced: ArrayLike = 0.0,
    gaps: ArrayLike = 0.0,
    delay: ArrayLike = 0,
    most_delay: int = 1,
) -> NDArray[np.float64]:
    """Income less cost of every year, for many futures at once.

    Parameters
    ----------
    model : CashModel
        As planned.
    price, yields : array_like, shape (n, horizon + 1), (n, 1) or ()
        Times the planned ones, by year from planting. [-]
    establishment, upkeep : array_like, shape (n,) or ()
        Times the planned costs. [-]
    replaced, gaps : array_like, shape (n,) or ()
        Shares of the places, as in ``crop_shares``. [-]
    delay : array_like of int, shape (n,) or ()
        Years by which planting and all behind it come later; the money spent before
        stays where it is. [years]
    most_delay : int
        Largest delay. [years]

    Returns
    -------
    ndarray, shape (n, years before + horizon + 1 + most_delay)
        In money of today, or with the inflation of each year where the basis is nominal;
        the first column is the first year. [currency]
    """
    tonnes = model.full_crop_t * np.asarray(yields, np.float64) * crop_shares(model, replaced, gaps)
    income = tonnes * (model.price * np.asarray(price, np.float64) - model.harvest_cost)
    spent = np.atleast_1d(np.asarray(establishment, np.float64))[:, None]
    kept = np.atleast_1d(np.asarray(upkeep, np.float64))[:, None]
    net = income - spent * model.establishment - kept * model.upkeep
    net[:, -1] += model.salvage
    net[:, 1] -= np.atleast_1d(np.asarray(gaps, np.float64)) * model.gap_cost
    late = np.broadcast_to(np.asarray(delay), net.shape[:1])
    early = len(model.before)
    flows = np.zeros((len(net), early + net.shape[1] + most_delay))
    flows[:, :early] = -spent * model.before
    for years in range(most_delay + 1):
        these = late == years
        flows[these, early + years : early + years + net.shape[1]] = net[these]
    if model.basis == "nominal":
        flows *= price_levels(model, flows.shape[1])
    return flows


def price_levels(model: CashModel, years: int) -> NDArray[np.float64]:
    """Prices of each year beside those of the year of planting, from the first year, (years,)."""
    return 1.0 / discount_factors(model.inflation, years, model.first_year)


def present_values(flows: Floats, model: CashModel) -> NDArray[np.float64]:
    """Net present value of each future in the year of planting, in money of today, shape (n,).

    The year of planting stands fast, so that a small sum spent a year before all others moves
    nothing but itself. Prices are as given in that year, whatever the basis.

    Parameters
    ----------
    flows : ndarray, shape (n, years)
        As ``net_flows`` returns them. [currency]
    model : CashModel
        Of the block: its rate and first year.
    """
    values: Floats = flows @ discount_factors(model.rate, flows.shape[1], model.first_year)
    return values
