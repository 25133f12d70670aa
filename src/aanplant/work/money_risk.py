"""What the result hangs on: break-even, one thing moved at a time, and futures by chance."""

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aanplant.work.cash_model import CashModel, net_flows, present_values

RATE_STEP = 0.02
"""How far the discount rate is moved; common practice."""
_LOWEST = -0.99
QUANTILES = (0.05, 0.25, 0.5, 0.75, 0.95)


@dataclass(frozen=True, slots=True)
class Losses:
    """How vines are lost, by the model of the spares.

    Parameters
    ----------
    places, ordered : int
        Places to fill and vines ordered. [vines]
    loss_fraction, correlation : float
        Expected loss, and correlation of the losses of two vines of a batch. [-]
    batches : int
        Deliveries.
    """

    places: int
    ordered: int
    loss_fraction: float
    correlation: float
    batches: int

    def shares(self, lost: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Share of the places that a spare fills, and of those that stay empty, shape (n,)."""
        if not self.places:
            return np.zeros_like(lost), np.zeros_like(lost)
        spares = self.ordered - self.places
        return np.minimum(lost, spares) / self.places, np.maximum(0.0, lost - spares) / self.places

    def expected(self, times: float = 1.0) -> dict[str, NDArray[np.float64]]:
        """Shares at the expected loss, or so many times of it."""
        lost = min(1.0, times * self.loss_fraction) * self.ordered
        replaced, gaps = self.shares(np.array([lost]))
        return {"replaced": replaced, "gaps": np.minimum(gaps, 1.0 - replaced)}

    def drawn(self, random: np.random.Generator, draws: int) -> dict[str, NDArray[np.float64]]:
        """Losses by chance: each batch has a rate of its own (beta-binomial), shape (draws,)."""
        small, larger = divmod(self.ordered, self.batches)
        sizes = np.full(self.batches, small)
        sizes[:larger] += 1
        rates: Any = self.loss_fraction
        if self.correlation and 0.0 < self.loss_fraction < 1.0:
            spread = 1.0 / self.correlation - 1.0
            rates = random.beta(
                self.loss_fraction * spread,
                (1.0 - self.loss_fraction) * spread,
                (draws, self.batches),
            )
        lost = random.binomial(sizes, rates, (draws, self.batches)).sum(axis=1).astype(np.float64)
        replaced, gaps = self.shares(lost)
        return {"replaced": replaced, "gaps": np.minimum(gaps, 1.0 - replaced)}


def worth(model: CashModel, **changes: Any) -> float:  # noqa: ANN401 - as net_flows takes them
    """Net present value with some things changed. [currency]."""
    return float(present_values(net_flows(model, **changes), model)[0])


def break_even(model: CashModel, losses: Losses) -> tuple[float, float | None]:
    """Price and yield at which the block is worth nothing.

    Both stand linearly in the net present value, so that two points give the line.

    Returns
    -------
    float, float or None
        Price of a tonne [currency/t], nan where there is no crop; yield as a share of the
        full one, None where a tonne brings in no more than its harvest costs. [-]
    """
    shares = losses.expected()
    unpriced = dataclasses.replace(model, price=0.0)
    priced = dataclasses.replace(model, price=1.0)
    nothing, one = worth(unpriced, **shares), worth(priced, **shares)
    price = -nothing / (one - nothing) if one > nothing else float("nan")
    without, whole = worth(model, yields=0.0, **shares), worth(model, **shares)
    return price, -without / (whole - without) if whole > without else None


@dataclass(frozen=True, slots=True)
class Moved:
    """The result with one thing moved down and up.

    Parameters
    ----------
    name : str
        price, yield, establishment, upkeep, rate, loss or delay.
    low, high : float
        What it is moved to: times the plan's, but the rate itself and years of delay. [-]
    npv_low, npv_high : float
        Net present value at each. [currency]
    """

    name: str
    low: float
    high: float
    npv_low: float
    npv_high: float

    @property
    def width(self) -> float:
        """How far the result moves. [currency]."""
        return abs(self.npv_high - self.npv_low)


def tornado(model: CashModel, losses: Losses, sensitivity: float) -> tuple[Moved, ...]:
    """Move one thing at a time and see how far the result moves, the widest first."""
    shares = losses.expected()
    low, high = 1.0 - sensitivity, 1.0 + sensitivity
    made = [
        Moved(name, low, high, worth(model, **{key: low}, **shares),
              worth(model, **{key: high}, **shares))
        for name, key in (("price", "price"), ("yield", "yields"),
                          ("establishment", "establishment"), ("upkeep", "upkeep"))
    ]  # fmt: skip
    rates = (max(_LOWEST, round(model.rate - RATE_STEP, 6)), round(model.rate + RATE_STEP, 6))
    made.append(
        Moved("rate", *rates,
              *(worth(dataclasses.replace(model, rate=rate), **shares) for rate in rates))
    )  # fmt: skip
    whole = worth(model, **shares)
    if losses.loss_fraction:
        made.append(
            Moved(
                "loss", 0.0, 2.0, *(worth(model, **losses.expected(times)) for times in (0.0, 2.0))
            )
        )
    made.append(Moved("delay", 0.0, 1.0, whole, worth(model, delay=1, **shares)))
    return tuple(sorted(made, key=lambda one: -one.width))


@dataclass(frozen=True)
class Simulation:
    """Net present values of many futures.

    Parameters
    ----------
    npv : ndarray, shape (draws,)
        In rising order. [currency]
    seed : int
        With which they were drawn.
    """

    npv: NDArray[np.float64]
    seed: int

    @property
    def chance_of_loss(self) -> float:
        """Share of the futures that are worth less than nothing. [-]."""
        return float(np.searchsorted(self.npv, 0.0, side="left") / len(self.npv))

    @property
    def quantiles(self) -> Mapping[float, float]:
        """Net present value that so large a share of the futures stays below. [currency]."""
        values = np.quantile(self.npv, QUANTILES)
        return dict(zip(QUANTILES, values.tolist(), strict=True))


def simulate(
    model: CashModel,
    losses: Losses,
    *,
    draws: int,
    seed: int,
    price_spread: float,
    price_swing: float,
    yield_spread: float,
    yield_swing: float,
    cost_spread: float,
    delay_chance: float,
) -> Simulation:
    """Draw futures by chance: price, yield, cost, losses and delay, each on its own.

    Prices, yields and costs are lognormal about the planned ones, whose mean they keep; a
    lasting level for each future, and swings of each year about it.

    Parameters
    ----------
    model, losses
        As planned.
    draws, seed : int
        How many, and where the random numbers start.
    price_spread, price_swing, yield_spread, yield_swing, cost_spread : float
        Spreads (standard deviation over mean) of levels and of years. [-]
    delay_chance : float
        Of planting a year later. [-]

    References
    ----------
    .. [1] Hertz (1964), Risk analysis in capital investment, Harvard Business Review 42.
    """
    random = np.random.default_rng(seed)
    years = model.horizon + 1
    price = _about_one(random, price_spread, (draws, 1))
    price = price * _about_one(random, price_swing, (draws, years))
    yields = _about_one(random, yield_spread, (draws, 1))
    yields = yields * _about_one(random, yield_swing, (draws, years))
    establishment = _about_one(random, cost_spread, (draws,))
    delay = (random.random(draws) < delay_chance).astype(np.int64)
    lost = losses.drawn(random, draws)
    flows = net_flows(
        model, price=price, yields=yields, establishment=establishment, delay=delay,
        replaced=lost["replaced"], gaps=lost["gaps"],
    )  # fmt: skip
    return Simulation(np.sort(present_values(flows, model)), seed)


def _about_one(
    random: np.random.Generator, spread: float, shape: tuple[int, ...]
) -> NDArray[np.float64]:
    """Lognormal numbers of mean 1."""
    if spread == 0:
        return np.ones(shape)
    variance = np.log1p(spread**2)
    drawn: NDArray[np.float64] = random.lognormal(-variance / 2.0, np.sqrt(variance), shape)
    return drawn
