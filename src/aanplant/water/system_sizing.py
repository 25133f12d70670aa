"""Choose dripper line and pipes of a system for the head there is, or the head that pays."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.brief import Brief
from aanplant.inputs import PriceLine
from aanplant.water.dripper_line import choose_line, with_margin
from aanplant.water.emitters import KPA_PER_M, EmitterLaw
from aanplant.water.lateral_bores import BoreTable
from aanplant.water.pipe_choice import PipeSizing, are_priced, gradient_of, size_pipes
from aanplant.water.pipes import Pipe, pipes_of
from aanplant.water.pump import curve_of
from aanplant.water.shortfall import CannotBeSized, Gradient, heads_along
from aanplant.water.sizing_model import HeadForSale
from aanplant.water.submain_sizing import submains_first
from aanplant.water.system import System
from aanplant.water.system_pipes import (
    SystemReaches,
    system_reaches,
)

Values = NDArray[np.float64]
Whole = NDArray[np.int64]
Sizer = Callable[[Values], tuple[PipeSizing, Values]]

LEAST_SUBMAIN_SHARE = 0.25
"""Of the pressure that may differ in a set, left to the submain at least (judgement)."""
_TRIES = 4
_SPARE_M = 1e-6


@dataclass(frozen=True)
class SizedSystem:
    """A system with a pipe for every node; columns of sets have the shape (n_sets,).

    Parameters
    ----------
    cut : SystemReaches
        Its reaches.
    pipes : tuple of Pipe
        Those used: mainline and submains, the widest first, then the dripper line.
    pipe : ndarray of int, shape (n_nodes,)
        Index into ``pipes``; -1 for the source.
    inlets : BoreTable
        Pressures of the laterals in the line chosen, shape (n_laterals, 1).
    asked_head_m : ndarray
        Head at the source, behind pump and filter, that each set needs, margin on friction
        included. [m]
    deciding : ndarray of int
        Node of the inlet that needs it.
    friction_m : ndarray
        Friction from the source to that inlet, without margin. [m]
    given_head_m : ndarray
        Head at the source that the pump gives; inf where no curve is known. [m]
    rest_head_m : float
        Head at the source against shut valves. [m]
    is_priced : bool
        Whether pipes were chosen by price; else by their plastic.
    is_weighed : bool
        Whether they were weighed against the energy of the pump.
    """

    cut: SystemReaches
    pipes: tuple[Pipe, ...]
    pipe: Whole
    inlets: BoreTable
    asked_head_m: Values
    deciding: Whole
    friction_m: Values
    given_head_m: Values
    rest_head_m: float
    is_priced: bool
    is_weighed: bool


def water_level_m(brief: Brief, system: System) -> float:
    """Height of the lowest water that the pump draws from. [m]."""
    return float(system.z_m[0]) - brief.pump.suction_lift


def works_loss_m(brief: Brief) -> float:
    """Head lost at the suction side, dirty filter, meter and valves, margin included. [m]."""
    works, pump = brief.head_works, brief.pump
    suction = (1.0 + pump.friction_margin) * pump.suction_loss
    return suction + works.dirty_filter / KPA_PER_M + works.fittings_loss


def size_system(
    brief: Brief,
    system: System,
    law: EmitterLaw,
    prices: Sequence[PriceLine],
    subunit_m: float,
    *,
    head_price: float | None = None,
) -> SizedSystem:
    """Choose the dripper line, then class and size of every pipe at least cost.

    With a pump's curve, pipes use the head that it gives. Without one, pipe is weighed against
    the energy of a metre of head over the years, where both have prices; else pipes use the head
    with which the smallest ones that keep the velocity would do.

    Parameters
    ----------
    brief : Brief
        Pipes, pump and head works.
    system : System
        As laid.
    law : EmitterLaw
        Of its drippers.
    prices : sequence of PriceLine
        Of the estate.
    subunit_m : float
        By how much pressure may differ within a set, where drippers do not regulate. [m]
    head_price : float, optional
        What a metre of the pump's head costs in a year. [1/m]

    Raises
    ------
    CannotBeSized
        Where no pipe keeps velocity or pressure.
    InputError
        If no dripper line waters evenly.
    """
    lateral, inlets = choose_line(brief, system, with_margin(law, brief.uniformity.start_margin))
    cut = system_reaches(system, inlets.inlet_m[:, 0])
    margin = 1.0 + brief.pump.friction_margin

    def friction(flow_m3_s: ArrayLike, bore_m: ArrayLike) -> Values:
        return margin * gradient_of(flow_m3_s, bore_m)

    given, rest = _given_heads(brief, system, law)
    spread = float((inlets.most_m - inlets.least_m).max())
    may_lose = max(subunit_m - spread, LEAST_SUBMAIN_SHARE * subunit_m)

    is_known = bool(np.isfinite(given).all())
    extra = 0.0 if law.keeps_flow else may_lose
    wanted = given if is_known else _head_for_velocity(brief, cut, friction) + extra
    pump = None
    if head_price is not None and not is_known and are_priced(brief.pipes, prices):
        # Wider pipes ask for less head than the narrowest, never for less than height and valve.
        still = float(cut.reaches.least_head_m.max())
        pump = HeadForSale(0.0, float(wanted.max()) - still, head_price)
        wanted = np.full(len(system.sets), still)

    def sized(source_m: Values) -> tuple[PipeSizing, Values]:
        if not law.keeps_flow:
            return submains_first(
                brief.pipes, cut, source_m, rest, prices, friction, may_lose, pump
            )
        found = size_pipes(
            brief.pipes,
            cut.reaches,
            cut.kinds,
            cut.low_m,
            source_m,
            prices=prices,
            rest_head_m=rest,
            pump=pump,
            friction=friction,
            widest=True,
        )
        return found, found.sizes.length_m

    sizing, length = _with_head_enough(sized, wanted)
    option = _at_nodes(system, cut, length, np.array([pipe.bore_m for pipe in sizing.pipes]))
    pipes, pipe = _used(system, option, sizing.pipes, lateral)
    asked, deciding, lost = _asked(cut, pipes, pipe, margin)
    return SizedSystem(
        cut,
        pipes,
        pipe,
        inlets,
        asked,
        deciding,
        lost,
        given,
        sizing.rest_head_m,
        sizing.is_priced,
        pump is not None,
    )


def _given_heads(brief: Brief, system: System, law: EmitterLaw) -> tuple[Values, float | None]:
    """Head at the source that the pump gives in every set, and against shut valves."""
    if not brief.pump.curve:
        return np.full(len(system.sets), np.inf), None
    curve = curve_of(brief.pump.curve)
    flow = np.clip(system.sets.emitters * law.flow_m3_s, *curve.ends)
    level = water_level_m(brief, system)
    return curve.head(flow) + level - works_loss_m(brief), curve.head_m[0] + level


def _head_for_velocity(brief: Brief, cut: SystemReaches, friction: Gradient) -> Values:
    """Head with which the smallest pipes that keep the velocity bring enough everywhere."""
    reaches, rules = cut.reaches, brief.pipes
    area = reaches.largest_flow_m3_s() / rules.velocity
    bore = np.empty(len(area))
    for kind, material in (("mainline", rules.mainline), ("submain", rules.submain)):
        own = np.array([name == kind for name in cut.kinds])
        bores = np.array([pipe.bore_m for pipe in pipes_of(material)])
        place = np.searchsorted(bores, np.sqrt(4.0 / np.pi * area[own]))
        bore[own] = bores[np.minimum(place, len(bores) - 1)]
    lost = friction(reaches.flow_m3_s, bore[reaches.reach]) * reaches.length_m[reaches.reach]
    along = heads_along(reaches, lost, np.zeros(reaches.n_sets))
    return np.full(reaches.n_sets, float((reaches.least_head_m - along).max()))


def _with_head_enough(sized: Sizer, source_m: Values) -> tuple[PipeSizing, Values]:
    """Size with the head there is; where it is short, with as much more as it takes."""
    for _ in range(_TRIES):
        try:
            return sized(source_m)
        except CannotBeSized as refusal:
            if refusal.shortfall.kind != "head":
                raise
            source_m = source_m + refusal.shortfall.more_head_m + _SPARE_M
    return sized(source_m)


def _at_nodes(system: System, cut: SystemReaches, length_m: Values, bore_m: Values) -> Whole:
    """Option that each pipe is made of, -1 for source and laterals, shape (n_nodes,).

    Sizes change at nodes: where a reach has two, the wider one, which comes first, runs on to
    its end, which loses no head.
    """
    option = np.full(len(system), -1, np.int64)
    widest = np.where(length_m > 0.0, bore_m, -1.0)
    option[cut.nodes] = widest.argmax(axis=1)
    # A pipe without length is as the one before it.
    for reach in np.flatnonzero(widest.max(axis=1) < 0.0).tolist():
        before = int(option[system.parent[cut.nodes[reach]]])
        option[cut.nodes[reach]] = before if before >= 0 else int(bore_m.argmax())
    return option


def _used(
    system: System, option: Whole, options: Sequence[Pipe], lateral: Pipe
) -> tuple[tuple[Pipe, ...], Whole]:
    """Keep the pipes that are used, the widest first, and the dripper line last."""
    used = sorted(set(option[option >= 0].tolist()), key=lambda one: -options[one].bore_m)
    place = np.full(len(options) + 1, -1, np.int64)
    place[used] = np.arange(len(used))
    pipe = place[option]
    pipe[system.lateral >= 0] = len(used)
    return (*(options[one] for one in used), lateral), pipe


def _asked(
    cut: SystemReaches, pipes: tuple[Pipe, ...], pipe: Whole, margin: float
) -> tuple[Values, Whole, Values]:
    """Head that each set needs at the source, which inlet decides, and friction to it."""
    reaches = cut.reaches
    bores = np.array([one.bore_m for one in pipes])[pipe[cut.nodes]][reaches.reach]
    lost = gradient_of(reaches.flow_m3_s, bores) * reaches.length_m[reaches.reach]
    along = -heads_along(reaches, lost, np.zeros(reaches.n_sets))
    asked = reaches.least_head_m + margin * along
    order = np.lexsort((-asked, reaches.set))
    first = order[np.searchsorted(reaches.set[order], np.arange(reaches.n_sets))]
    return asked[first], cut.nodes[reaches.reach[first]], along[first]
