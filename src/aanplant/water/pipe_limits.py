"""Which pipes keep the limits of velocity, pressure and surge in each reach."""

import math
from collections.abc import Sequence
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from aanplant.brief.pipes import PipeRules
from aanplant.water.pipes import GRAVITY_M_S2, WATER_KG_M3, Pipe
from aanplant.water.reaches import SOURCE, Places, Reaches
from aanplant.water.shortfall import CannotBeSized, Shortfall
from aanplant.water.surge import surge_head_m, wave_speed_m_s

Values = NDArray[np.float64]
Flags = NDArray[np.bool_]
PipeKind = Literal["mainline", "submain"]

_LAST_BITS = 1e-12


def allowed_pipes(
    rules: PipeRules,
    reaches: Reaches,
    pipes: Sequence[Pipe],
    kinds: Sequence[PipeKind],
    rest_m: Values,
) -> Flags:
    """Pipes that each reach may be made of, shape (n_reaches, n_pipes).

    Parameters
    ----------
    rules : PipeRules
        Material, velocity and what room is left for surges.
    reaches : Reaches
    pipes : sequence of Pipe
    kinds : sequence of str, length n_reaches
        ``mainline`` or ``submain``.
    rest_m : ndarray, shape (n_reaches,)
        Pressure at the lowest place of each reach while water stands. [m]

    Raises
    ------
    CannotBeSized
        With the first reach that no pipe serves.
    ValueError
        If there is not one kind and one pressure for each reach.
    """
    if not len(kinds) == len(rest_m) == len(reaches.parent):
        raise ValueError(
            f"{len(kinds)} kinds and {len(rest_m)} pressures for {len(reaches.parent)} reaches"
        )
    area = np.array([math.pi / 4.0 * pipe.bore_m**2 for pipe in pipes])
    velocity = reaches.largest_flow_m3_s()[:, np.newaxis] / area
    is_slow = velocity <= rules.velocity * (1.0 + _LAST_BITS)
    bearable = _bearable_m(rules, pipes, velocity)
    is_strong = np.asarray(rest_m[:, np.newaxis] <= bearable)
    material = {"mainline": rules.mainline, "submain": rules.submain}
    made_of = np.array([pipe.material for pipe in pipes])
    is_right = np.array([material[kind] for kind in kinds])[:, np.newaxis] == made_of
    may = np.asarray(is_right & is_slow & is_strong)
    stuck = np.flatnonzero(~may.any(axis=1))
    if len(stuck):
        reach = int(stuck[0])
        right = is_right[reach]
        raise CannotBeSized(
            _shortfall(
                rules,
                reaches,
                reach,
                velocity=float(velocity[reach, right].min()),
                rest_m=float(rest_m[reach]),
                most_m=float(bearable[reach, right].max()),
                has_slow=bool((right & is_slow[reach]).any()),
                has_strong=bool((right & is_strong[reach]).any()),
            )
        )
    return may


def ranks_of(pipes: Sequence[Pipe]) -> Places:
    """Order of the pipes by the diameter outside, by which the trade names a size."""
    return np.unique([pipe.outside_m for pipe in pipes], return_inverse=True)[1]


def _bearable_m(rules: PipeRules, pipes: Sequence[Pipe], velocity: Values) -> Values:
    """Pressure at rest that a pipe may bear in each reach, shape (n_reaches, n_pipes). [m]."""
    rated = np.array([pipe.rated_head_m for pipe in pipes])
    if rules.surge == "share of the class":
        return np.broadcast_to(rated * rules.class_share, velocity.shape)
    wave = wave_speed_m_s(
        [pipe.bore_m for pipe in pipes],
        [pipe.wall_m for pipe in pipes],
        [pipe.elasticity_pa for pipe in pipes],
    )
    return np.asarray(rated - surge_head_m(velocity, wave))


def _shortfall(
    rules: PipeRules,
    reaches: Reaches,
    reach: int,
    *,
    velocity: float,
    rest_m: float,
    most_m: float,
    has_slow: bool,
    has_strong: bool,
) -> Shortfall:
    name = reaches.says(reach)
    bore = math.sqrt(4.0 * float(reaches.largest_flow_m3_s()[reach]) / (math.pi * rules.velocity))
    if not has_slow:
        return Shortfall(
            "velocity", reach, name, SOURCE, velocity, rules.velocity, least_bore_m=bore
        )
    pa_per_m = WATER_KG_M3 * GRAVITY_M_S2
    value, limit = rest_m * pa_per_m, most_m * pa_per_m
    if not has_strong:
        return Shortfall("pressure", reach, name, SOURCE, value, limit)
    return Shortfall("velocity and pressure", reach, name, SOURCE, value, limit, least_bore_m=bore)
