"""The least change that makes an overloaded part hold: a thicker wire, a stouter post."""

from dataclasses import replace

import numpy as np

from aanplant.brief import Brief
from aanplant.trellis.holding import Holding
from aanplant.trellis.post_standing import stand
from aanplant.trellis.posts import Post, posts_of
from aanplant.trellis.systems import System
from aanplant.trellis.wire_states import wire_states
from aanplant.trellis.wire_strength import SAFE_SHARE, default_tension_n, tension_limit_n
from aanplant.trellis.wires import WireLine

WIRES_MM = (2.0, 2.24, 2.5, 2.8, 3.15, 4.0)
"""Diameters the trade sells; common practice, no source."""
STRONG = "high strain"
ROUND_MM = (75.0, 100.0, 125.0, 150.0, 175.0, 200.0, 250.0)
"""Thin ends of round timber the trade sells; common practice, no source."""


def thicker_wire(system: System, held: Holding, line: int, row: int) -> float | None:
    """Find the thinnest high-strain wire that a line needs in a row; None where none holds. [mm].

    Its pull stays as it is where that was asked for; else it is chosen anew.
    """
    wire = system.wires[line]
    for diameter_mm in WIRES_MM:
        if wire.grade == STRONG and diameter_mm <= wire.diameter_mm:
            continue
        tried = replace(wire, diameter_mm=diameter_mm, grade=STRONG)
        if _holds(system, held, line, row, tried):
            return diameter_mm
    return None


def pull_that_holds_n(system: System, held: Holding, line: int, row: int) -> float | None:
    """Find the pull, lower than that asked, at which a line holds in a row as it is. [N].

    The usual one of its role, or the most that its wire may be strained to; None where the wire
    is strained no harder than that, or does not hold so either.
    """
    wire, lower_n = system.wires[line], lower_pull_n(system, line)
    if wire.tension_n is None or wire.tension_n <= lower_n:
        return None
    return lower_n if _holds(system, held, line, row, replace(wire, tension_n=lower_n)) else None


def _holds(system: System, held: Holding, line: int, row: int, tried: WireLine) -> bool:
    """Whether a line would hold in a row with another wire or pull."""
    warmth = held.warmth
    wires = (*system.wires[:line], tried, *system.wires[line + 1 :])
    states = wire_states(
        replace(system, wires=wires),
        held.states.span_m[row : row + 1],
        held.crop_n_m,
        held.canopy_n_m,
        hot_k=max(warmth.hottest_c - warmth.installed_c, 0.0),
        cold_k=min(warmth.coldest_c - warmth.installed_c, 0.0),
    )
    loaded = max(states.crop_n[0, line], states.cold_n[0, line])
    strained = states.installed_n[0, line]
    limit_n = states.limit_n[line] * (1.0 + 1e-9)
    return bool(loaded <= SAFE_SHARE * states.break_n[line] and strained <= limit_n)


def lower_pull_n(system: System, line: int) -> float:
    """Pull to strain a line to that breaks no limit on that day. [N]."""
    wire = system.wires[line]
    return min(
        tension_limit_n(wire.diameter_mm, wire.grade),
        default_tension_n(wire.role, wire.diameter_mm, wire.grade),
    )


def stouter_post(brief: Brief, system: System, held: Holding, row: int) -> Post | None:
    """Find the thinnest post of the same timber that bears a row; None where none does."""
    own = held.exposed_post if held.is_exposed[row] else held.post
    for post in posts_of(brief.posts.group):
        if post.width_m <= own.width_m:
            continue
        tried = replace(post, strength_mpa=own.strength_mpa)
        standing = stand(
            tried, held.loads, system.post_embedment_m, held.soil, brief.posts.working_factor
        )
        if standing.bending[row] <= 1.0:
            return tried
    return None


def spacing_that_holds(post_every: int, use: float) -> int | None:
    """Vines from post to post at which a post of this use is used up; None where not one is."""
    vines = int(np.floor(post_every / use))
    return vines if vines >= 1 else None


def thicker_round_mm(own_mm: float, use: float, power: int) -> float | None:
    """Thinnest round timber of the trade that bears more by a use. [mm].

    Parameters
    ----------
    own_mm : float
        Diameter now. [mm]
    use : float
        Load over what is allowed now. [-]
    power : int
        By which strength grows with diameter: 3 in bending, 4 in bowing.
    """
    needed = own_mm * use ** (1.0 / power)
    return next((size for size in ROUND_MM if size >= needed), None)
