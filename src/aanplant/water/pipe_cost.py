"""What pipe and head cost: a metre of pipe, its share of a year, the energy for a metre of head."""

import math
from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.errors import InputError
from aanplant.inputs import PriceLine
from aanplant.water.pipes import GRAVITY_M_S2, WATER_KG_M3, Pipe

Values = NDArray[np.float64]


def price_per_m(pipes: Iterable[Pipe], prices: Sequence[PriceLine]) -> Values:
    """Price of a metre of each pipe, nan where the list has none. [1/m].

    Parameters
    ----------
    pipes : iterable of Pipe
        Of any material.
    prices : sequence of PriceLine
        The estate's prices, for a metre.

    Raises
    ------
    InputError
        If a pipe is priced by anything but the metre.
    """
    by_item = {line.item.casefold(): line for line in prices if line.price is not None}
    found = []
    for pipe in pipes:
        line = by_item.get(pipe.item)
        if line is None or line.price is None:
            found.append(math.nan)
            continue
        if line.unit != "m":
            raise InputError(f"prices.csv: {line.item}: unit", repr(line.unit), '"m"')
        found.append(float(line.price))
    return np.array(found, np.float64)


def capital_recovery(interest: ArrayLike, years: ArrayLike) -> Values:
    """Share of a sum spent now that is paid back each year. [1/year].

    Parameters
    ----------
    interest : array_like
        Yearly interest, 0 allowed. [-]
    years : array_like
        Years over which it is paid back.

    Raises
    ------
    ValueError
        If interest is negative or a time is not above 0.
    """
    rate, time = np.asarray(interest, np.float64), np.asarray(years, np.float64)
    if np.any(rate < 0.0) or np.any(time <= 0.0):
        raise ValueError("interest must be at least 0 and years above 0")
    with np.errstate(invalid="ignore"):  # nought by nought, replaced below
        share = -rate / np.expm1(-time * np.log1p(rate))
    return np.asarray(np.where(rate == 0.0, 1.0 / time, share))


def energy_kwh_per_m(flow_m3_s: ArrayLike, hours: ArrayLike, efficiency: float) -> Values:
    """Energy that a metre of head costs, rho g Q t / efficiency. [kWh/m].

    Parameters
    ----------
    flow_m3_s : array_like
        Flow through the pump. [m3/s]
    hours : array_like
        Time it runs. [h]
    efficiency : float
        Of pump and motor together. [-]
    """
    flow = np.asarray(flow_m3_s, np.float64)
    watts = WATER_KG_M3 * GRAVITY_M_S2 * flow / efficiency
    return np.asarray(watts * np.asarray(hours, np.float64) / 1000.0)
