"""The cheapest size of every pipe of a system that leaves head enough everywhere.

A linear programme: how many metres of each reach are of each size, so that no place where water
is taken has less head than it needs, whichever set runs. Rules that are no linear ones (whole
reaches, at most two sizes a reach, no size larger than the one upstream) are left out at first;
where the answer breaks one, it is added there with noughts and ones and the programme is solved
again. What breaks no rule in the end is the cheapest of all that keep them, since the rules left
out could only have made it dearer. Most joints that grow are mended without, by exchange.

Where pipe is laid from one place to the next in a single size anyway, as in a field, each reach
takes the widest of its sizes. Joints then taper as soon as no reach has a larger share of a size
than the one upstream, which is a linear rule: large systems need no noughts and ones at all. What
that costs beyond the programme's own answer is told (``Sizes.widening``).
"""

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.water.reaches import SOURCE, Places, Reaches
from aanplant.water.shortfall import (
    ROUNDING_M,
    CannotBeSized,
    Gradient,
    Shortfall,
    heads_along,
    missing_head,
)
from aanplant.water.sizing_model import MOST_SIZES, HeadForSale, Model, Solved
from aanplant.water.taper import broken_joints, exchanged

Values = NDArray[np.float64]
LEAST_SHARE = 1e-5
"""A share of a reach below which a size is not there: above the solver's own tolerances."""


@dataclass(frozen=True)
class Sizes:
    """Pipe sizes of every reach.

    Parameters
    ----------
    length_m : ndarray, shape (n_reaches, n_options)
        Of each reach in each size. [m]
    cost : float
        Of all pipes, in the unit of the cost given.
    head_m : ndarray, shape (n_uses,)
        Head where each use of a reach ends. [m]
    spare_m : ndarray, shape (n_uses,)
        Head above what is needed; inf where none is. [m]
    pump_head_m, head_cost : float
        Head of the pump [m] and what it costs; 0 where no pump was asked for.
    price_of_head : ndarray, shape (n_sets,)
        Cost that another metre of head at the source would save while a set runs; nan where
        rules made noughts and ones necessary. [1/m]
    widening : float
        Part of the cost that taking the widest size of each reach added; no sizes that keep
        the rules cost less than ``cost - widening``.
    """

    length_m: Values
    cost: float
    head_m: Values
    spare_m: Values
    pump_head_m: float
    head_cost: float
    price_of_head: Values
    widening: float = 0.0

    @property
    def total_cost(self) -> float:
        """Pipes and head together."""
        return self.cost + self.head_cost


def size(
    reaches: Reaches,
    gradient: ArrayLike,
    cost_per_m: ArrayLike,
    source_head_m: ArrayLike,
    *,
    allowed: ArrayLike | None = None,
    rank: ArrayLike | None = None,
    whole_reaches: bool = False,
    widest: bool = False,
    pump: HeadForSale | None = None,
    gradient_of: Gradient | None = None,
) -> Sizes:
    """Choose the cheapest sizes.

    Parameters
    ----------
    reaches : Reaches
        Pipes and the flows through them.
    gradient : array_like, shape (n_uses, n_options)
        Head lost in a metre by each use in each size. [-]
    cost_per_m : array_like, shape (n_options,) or (n_reaches, n_options)
        [1/m]
    source_head_m : array_like, shape () or (n_sets,)
        Head at the source, height and pressure together, before the pump's. [m]
    allowed : array_like of bool, shape (n_reaches, n_options), optional
        Sizes each reach may have, by velocity and pressure; all when left out.
    rank : array_like of int, shape (n_options,), optional
        Order of the sizes, the largest highest: no size may be of a higher rank than any
        upstream of it. No such rule when left out.
    whole_reaches : bool
        Whether a reach must be of one size; else of two at most, the wider one upstream.
    widest : bool
        Whether each reach is laid whole in the widest size that the programme gives it a share
        of; quick for any number of joints, and dearer by ``Sizes.widening`` at most.
    pump : HeadForSale, optional
        Head that may be bought with energy.
    gradient_of : callable, optional
        Friction by flow and bore, so that a refusal can say which bore would do.

    Raises
    ------
    CannotBeSized
        With the worst place, if no choice leaves head enough or keeps the taper.
    ValueError
        If shapes differ, a cost or gradient is negative, or a reach may have no size.
    ArithmeticError
        If the solver fails.
    """
    loss = np.asarray(gradient, np.float64)
    may = _allowed(reaches, loss, allowed)
    cost = np.broadcast_to(np.asarray(cost_per_m, np.float64), may.shape)
    _check(loss[may[reaches.reach]], cost[may])
    source = np.broadcast_to(np.asarray(source_head_m, np.float64), (reaches.n_sets,))
    most_head = source + (pump.most_m if pump else 0.0)
    short = missing_head(reaches, loss, may, most_head, gradient_of)
    if short is not None:
        raise CannotBeSized(short)
    order = np.zeros(may.shape[1], np.intp) if rank is None else np.asarray(rank, np.intp)
    useful = may & ~_outdone(reaches, loss, cost, may, order)
    model = Model(reaches, loss, cost, useful, source, pump, whole_reaches, order, widest)
    solved = _solve_with_rules(model)
    length = solved.share * reaches.length_m[:, np.newaxis]
    bought = float(np.where(may, cost, 0.0).ravel() @ length.ravel())
    if widest:
        length = _widened(solved.share, _widths(order, loss)) * reaches.length_m[:, np.newaxis]
    lost = np.where(may[reaches.reach], loss, 0.0) * length[reaches.reach]
    head = heads_along(reaches, lost.sum(axis=1), source + solved.pump_head_m)
    paid = float(np.where(may, cost, 0.0).ravel() @ length.ravel())
    return Sizes(
        length,
        paid,
        head,
        head - reaches.least_head_m,
        solved.pump_head_m,
        pump.price_per_m * solved.pump_head_m if pump else 0.0,
        solved.price_of_head,
        paid - bought,
    )


def _solve_with_rules(model: Model) -> Solved:
    """Solve, add the rules the answer breaks, and solve again until it breaks none."""
    widths = _widths(model.rank, model.gradient)
    while True:
        solved = model.solve()
        if solved is None:
            if not model.joints:
                raise ArithmeticError("the solver found no sizes where there must be some")
            joint = model.joints[0]
            name = model.reaches.says(joint)
            raise CannotBeSized(Shortfall("taper", joint, name, SOURCE, 0.0, 0.0))
        share = np.where(solved.share < LEAST_SHARE, 0.0, solved.share)
        share /= share.sum(axis=1, keepdims=True)
        if model.widens:
            broken = set(broken_joints(model.reaches, _widened(share, widths), model.rank))
            if not broken:
                return Solved(share, solved.pump_head_m, solved.price_of_head)
            if broken <= set(model.joints):
                raise ArithmeticError("the solver left a joint that grows")
            # Held at one joint, wide pipe would only move up to the next: hold the whole way.
            model.joints += sorted(_ways(model.reaches, broken) - set(model.joints))
            continue
        if not model.whole:
            mended = _tapered(model, share, solved.pump_head_m)
            # Mending one joint may break another, which the programme holds by noughts and ones.
            if not set(broken_joints(model.reaches, mended, model.rank)) & set(model.joints):
                share = mended
        solved = Solved(share, solved.pump_head_m, solved.price_of_head)
        joints = set(broken_joints(model.reaches, share, model.rank)) - set(model.joints)
        crowded = set(np.flatnonzero((share > 0.0).sum(axis=1) > MOST_SIZES).tolist())
        crowded -= set(model.crowded)
        if not joints and not crowded:
            return solved
        model.joints += sorted(joints)
        model.crowded += sorted(crowded)


def _tapered(model: Model, share: Values, pump_head_m: float) -> Values:
    """Lay the same metres so that they taper, as far as that can be had for nothing."""
    reaches = model.reaches
    length = share * reaches.length_m[:, np.newaxis]
    moved = exchanged(reaches, length, model.cost_per_m, model.allowed, model.rank)
    is_changed = (moved != length).any(axis=1)
    if not is_changed.any():
        return share
    lost = np.where(model.allowed[reaches.reach], model.gradient, 0.0)
    before, after = (
        heads_along(
            reaches,
            (lost * metres[reaches.reach]).sum(axis=1),
            model.source_head_m + pump_head_m,
        )
        for metres in (length, moved)
    )
    if np.any(after < before - ROUNDING_M):
        return share  # friction that falls as the flow grows: leave it to the programme
    new = share.copy()
    new[is_changed] = moved[is_changed] / reaches.length_m[is_changed, np.newaxis]
    return new


def _ways(reaches: Reaches, joints: set[int]) -> set[int]:
    """Joints and all those upstream of them."""
    above = reaches.pipe_above()
    found: set[int] = set()
    for joint in joints:
        at = joint
        while at != SOURCE and at not in found:
            found.add(at)
            at = int(above[at])
    return {one for one in found if above[one] != SOURCE}


def _widened(share: Values, width: Places) -> Values:
    """Whole reaches of the widest size that each has a share of."""
    place = np.where(share > 0.0, width, -1).argmax(axis=1)
    return np.asarray(np.eye(share.shape[1])[place])


def _widths(rank: Places, gradient: Values) -> Places:
    """Place of each size among all, the widest highest: by rank, then by the head it loses."""
    width = np.empty(len(rank), np.intp)
    width[np.lexsort((-gradient.mean(axis=0), rank))] = np.arange(len(rank))
    return width


def _outdone(
    reaches: Reaches, gradient: Values, cost: Values, may: NDArray[np.bool_], rank: Places
) -> NDArray[np.bool_]:
    """Sizes of each reach beside which another of the same rank loses and costs no more.

    Such as a strong class where a weaker one, wider inside, is allowed too.
    """
    outdone = np.zeros_like(may)
    for one, other in itertools.permutations(range(len(rank)), 2):
        if rank[one] != rank[other]:
            continue
        loses_no_more = np.ones(len(may), np.bool_)
        np.logical_and.at(loses_no_more, reaches.reach, gradient[:, other] <= gradient[:, one])
        is_better = loses_no_more & (cost[:, other] <= cost[:, one])
        outdone[:, one] |= is_better & may[:, other] & ~outdone[:, other]
    return outdone


def _allowed(reaches: Reaches, gradient: Values, allowed: ArrayLike | None) -> NDArray[np.bool_]:
    n_reaches, n_uses = len(reaches.parent), len(reaches.reach)
    if gradient.ndim != 2 or len(gradient) != n_uses:  # noqa: PLR2004 - uses by sizes
        raise ValueError(f"gradient must have the shape ({n_uses}, n_options)")
    shape = (n_reaches, gradient.shape[1])
    may = np.ones(shape, np.bool_) if allowed is None else np.asarray(allowed, np.bool_)
    if may.shape != shape:
        raise ValueError(f"allowed must have the shape {shape}, got {may.shape}")
    none = np.flatnonzero(~may.any(axis=1))
    if len(none):
        raise ValueError(f"{reaches.says(int(none[0]))} may have no size")
    return may


def _check(gradient: Values, cost: Values) -> None:
    if not ((gradient >= 0.0).all() and np.isfinite(gradient).all()):
        raise ValueError("a gradient must be at least 0")
    if not ((cost >= 0.0).all() and np.isfinite(cost).all()):
        raise ValueError("a cost must be at least 0")
