"""Which pipes each reach may be made of, and the cheapest of them for a whole system."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.brief.pipes import PipeRules
from aanplant.inputs import PriceLine
from aanplant.water.friction import (
    STANDARD_GRAVITY_M_S2,
    VISCOSITY_20_C_M2_S,
    darcy_weisbach,
    reynolds_number,
)
from aanplant.water.pipe_cost import capital_recovery, price_per_m
from aanplant.water.pipe_limits import PipeKind, allowed_pipes, ranks_of
from aanplant.water.pipes import Pipe, pipes_of
from aanplant.water.reaches import Reaches
from aanplant.water.shortfall import CannotBeSized, Gradient
from aanplant.water.sizing import Sizes, size
from aanplant.water.sizing_model import HeadForSale

Values = NDArray[np.float64]

PLASTIC_ROUGHNESS_M = 1.5e-6
"""Of the wall of new plastic pipe."""
_SAME_COST = 1e-9


@dataclass(frozen=True)
class PipeSizing:
    """The pipes of a system.

    Parameters
    ----------
    pipes : tuple of Pipe
        All that were to choose from, along the second axis of ``sizes.length_m``.
    sizes : Sizes
        Metres of each reach in each pipe, heads, cost.
    cost_per_m : ndarray, shape (n_pipes,)
        Price of a metre, or its plastic in kg where prices are not known. [1/m]
    is_priced : bool
        Whether cost is money; else it is kilograms of plastic.
    rest_head_m : float
        Head at the source, water standing, that the classes were chosen for. [m]
    """

    pipes: tuple[Pipe, ...]
    sizes: Sizes
    cost_per_m: Values
    is_priced: bool
    rest_head_m: float

    def metres(self) -> dict[Pipe, float]:
        """Metres to buy of each pipe that is used, without waste. [m]."""
        total = self.sizes.length_m.sum(axis=0)
        return {
            pipe: float(long) for pipe, long in zip(self.pipes, total, strict=True) if long > 0.0
        }

    def pieces(self, reach: int) -> tuple[tuple[Pipe, float], ...]:
        """Pipes of a reach with their metres, the wider one first, as the water meets them."""
        row = self.sizes.length_m[reach]
        used = sorted(np.flatnonzero(row > 0.0), key=lambda place: -self.pipes[place].bore_m)
        return tuple((self.pipes[place], float(row[place])) for place in used)


def gradient_of(
    flow_m3_s: ArrayLike,
    bore_m: ArrayLike,
    *,
    roughness_m: float = PLASTIC_ROUGHNESS_M,
    viscosity_m2_s: float = VISCOSITY_20_C_M2_S,
) -> Values:
    """Head lost in a metre of pipe by Darcy and Weisbach. [-].

    Parameters
    ----------
    flow_m3_s, bore_m : array_like
        Flow above 0 [m3/s] and bore [m], broadcast.
    roughness_m : float
        Of the wall. [m]
    viscosity_m2_s : float
        Kinematic viscosity of the water. [m2/s]
    """
    flow, bore = np.asarray(flow_m3_s, np.float64), np.asarray(bore_m, np.float64)
    reynolds = reynolds_number(flow, bore, viscosity_m2_s)
    factor_by_reynolds, _ = darcy_weisbach(reynolds, roughness_m / bore)
    speed = flow / (math.pi / 4.0 * bore**2)
    loss = factor_by_reynolds / reynolds / bore * speed**2
    return np.asarray(loss / (2.0 * STANDARD_GRAVITY_M_S2))


def size_pipes(
    rules: PipeRules,
    reaches: Reaches,
    kinds: Sequence[PipeKind],
    low_m: ArrayLike,
    source_head_m: ArrayLike,
    *,
    prices: Sequence[PriceLine] = (),
    rest_head_m: float | None = None,
    pump: HeadForSale | None = None,
    friction: Gradient = gradient_of,
    widest: bool = False,
) -> PipeSizing:
    """Choose class and size of every pipe at least cost.

    Parameters
    ----------
    rules : PipeRules
        What the brief says of pipes.
    reaches : Reaches
        Mainline and submains of all sets.
    kinds : sequence of str, length n_reaches
        ``mainline`` or ``submain``.
    low_m : array_like, shape (n_reaches,)
        Height of the lowest place of each reach. [m]
    source_head_m : array_like, shape () or (n_sets,)
        Head at the source while a set runs, before the pump's. [m]
    prices : sequence of PriceLine
        Of the estate. Pipes without a price are left out; where a material has none at all,
        pipes are weighed by their plastic instead.
    rest_head_m : float, optional
        Head at the source when the water stands against closed valves: a pump's shut-off head
        with the water's height. The highest head while a set runs when left out. [m]
    pump : HeadForSale, optional
        Head that the pump may add; its price is for a year, and so is then the cost of the pipes,
        by interest and years of the brief.
    friction : callable
        Head lost in a metre by flow and bore.
    widest : bool
        Whether each reach is laid whole in the widest of its sizes; see ``sizing.size``.

    Raises
    ------
    CannotBeSized
        Where no pipe keeps velocity or pressure, or head is missing; says what would do.
    ValueError
        If pump head is to be bought and prices are not known.
    """
    pipes, cost, is_priced = _market(rules, prices)
    if pump is not None and not is_priced:
        raise ValueError("head can be weighed against pipe only where pipe has prices")
    lowest = np.asarray(low_m, np.float64)
    source = np.broadcast_to(np.asarray(source_head_m, np.float64), (reaches.n_sets,))
    bores = np.array([pipe.bore_m for pipe in pipes])
    gradient = friction(reaches.flow_m3_s[:, np.newaxis], bores)
    yearly = cost if pump is None else cost * capital_recovery(rules.interest, rules.years)

    def at(rest_m: float, to_buy: HeadForSale | None) -> PipeSizing:
        found = size(
            reaches,
            gradient,
            yearly,
            source,
            allowed=allowed_pipes(rules, reaches, pipes, kinds, rest_m - lowest),
            rank=ranks_of(pipes) if rules.taper else None,
            whole_reaches=rules.whole_reaches,
            widest=widest and not rules.whole_reaches,
            pump=to_buy,
            gradient_of=friction,
        )
        return PipeSizing(pipes, found, cost, is_priced, rest_m)

    highest = float(source.max())
    if pump is None:
        return at(highest if rest_head_m is None else max(rest_head_m, highest), None)
    if rest_head_m is not None:
        return at(rest_head_m, pump)
    ratings = {pipe.rated_head_m * rules.class_share for pipe in pipes}
    return _cheapest_head(at, pump, highest, sorted(ratings), float(lowest.min()))


def _cheapest_head(
    at: Callable[[float, HeadForSale], PipeSizing],
    pump: HeadForSale,
    highest_m: float,
    ratings_m: Sequence[float],
    lowest_m: float,
) -> PipeSizing:
    """Try the heads up to which each class serves, and come down from each while it pays.

    A lower head lets weaker classes in, which is no linear rule: for each head that the pump
    is held under the programme is solved anew, so the least of several is taken.
    """
    caps = {pump.most_m}
    caps |= {rating + lowest_m - highest_m for rating in ratings_m}
    best: PipeSizing | None = None
    refusal: CannotBeSized | None = None
    for cap in sorted(cap for cap in caps if pump.least_m <= cap <= pump.most_m):
        most = cap
        while True:
            try:
                found = at(highest_m + most, replace(pump, most_m=most))
            except CannotBeSized as error:
                refusal = error
                break
            if best is None or found.sizes.total_cost < best.sizes.total_cost - _SAME_COST:
                best = found
            if found.sizes.pump_head_m >= most - _SAME_COST:
                break
            most = found.sizes.pump_head_m
    if best is None:
        assert refusal is not None  # noqa: S101 - most_m itself was tried
        raise refusal
    return best


def are_priced(rules: PipeRules, prices: Sequence[PriceLine]) -> bool:
    """Whether the estate prices some pipe of every material that mainline and submains take."""
    return _market(rules, prices)[2]


def _market(rules: PipeRules, prices: Sequence[PriceLine]) -> tuple[tuple[Pipe, ...], Values, bool]:
    """Pipes to choose from with the cost of a metre, and whether that is money."""
    materials = dict.fromkeys((rules.mainline, rules.submain))
    pipes = tuple(pipe for material in materials for pipe in pipes_of(material))
    price = price_per_m(pipes, prices)
    known = np.isfinite(price)
    has_price = {pipe.material for pipe, is_known in zip(pipes, known, strict=True) if is_known}
    if has_price != set(materials):
        return pipes, np.array([pipe.weight_kg_m for pipe in pipes]), False
    priced = tuple(pipe for pipe, is_known in zip(pipes, known, strict=True) if is_known)
    return priced, price[known], True
