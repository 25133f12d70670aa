"""Newton's method on the flows of all emitters at once, with those that run dry."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.water.emission import Emission
from aanplant.water.losses import Loss
from aanplant.water.tree import Floats, Indices, Tree

_MOST_STEPS = 200
_CLOSE_ENOUGH = 1e-6
"""Share of itself by which a flow changes in the last step: the next would be its square."""
_NEXT_TO_NOTHING = 1e-3
"""Share of the mean flow below which a flow is measured against the mean."""
_FIRST_SHARE = 0.6
"""Of the head above an emitter that the first guess lets it keep."""
_LEAST_LEFT = 0.1
"""Share of a flow that a step leaves at least."""
_PATIENCE = 3
"""Steps in a row in which flows may be cut to that share before some are taken to run dry."""
_TOO_FAR = 0.9
"""Steepness, as a share of that downhill at its start, at which a step has gone too far."""
_SETTLED = 0.5
"""Change of a flow under which the barrier is let down further."""
_DRY = 1e-7
"""Share of its flow at 1 m that the last barrier leaves an emitter that lacks 1e-6 m or more."""
_FIRST_BARRIER_M, _LAST_BARRIER_M, _BARRIER_STEP = 0.1, 1e-13, 0.05


@dataclass(frozen=True, slots=True)
class Balance:
    """Flows in balance, in the order of the tree.

    Parameters
    ----------
    outflow_m3_s, pipe_flow_m3_s, head_m : ndarray, shape (n - 1,)
        [m3/s], [m3/s], [m]
    starved : ndarray of bool, shape (n - 1,)
        Emitters without pressure.
    steps : int
        Newton steps taken.
    """

    outflow_m3_s: Floats
    pipe_flow_m3_s: Floats
    head_m: Floats
    starved: NDArray[np.bool_]
    steps: int


def balance(  # noqa: PLR0917 - a network and the laws of its parts
    tree: Tree, loss_of: Loss, emission: Emission, at: Indices, height_m: Floats, source_m: float
) -> Balance:
    """Find the flow of every emitter at which all heads agree.

    The unknowns are the emitters' flows: pipe flows follow by adding up, so that mass is in
    balance at every step, and heads by subtracting losses. Each step straightens the laws of
    pipes and emitters and solves for the heads along the tree, which has no fill-in. That
    is Newton's method on a convex function, the content of the network. Emitters whose head
    would fall below none are kept off 0 by a barrier that fades away.

    Parameters
    ----------
    tree : Tree
        Order of the nodes.
    loss_of : callable
        Loss of every pipe and its slope from its flow.
    emission : Emission
        Laws of the m emitters.
    at : ndarray of int, shape (m,)
        Place of each emitter in the order of the tree.
    height_m : ndarray, shape (n - 1,)
        Of every node. [m]
    source_m : float
        Head of the source. [m]

    Raises
    ------
    ArithmeticError
        If the flows do not come to rest.
    """
    nodes = tree.order.size
    above_m = source_m - height_m[at]
    starved = np.zeros(nodes, dtype=np.bool_)
    if not (able := above_m > 0.0).all():
        starved[at[~able]] = True
        at, above_m, emission = at[able], above_m[able], emission.some(able)
    most, flow = emission.flow(above_m), emission.flow(_FIRST_SHARE * above_m)
    enough = _NEXT_TO_NOTHING * float(np.mean(most)) if most.size else 0.0
    barrier_m, cut = 0.0, 0
    before, way, fall, guarded = flow, np.zeros_like(flow), 0.0, False
    for step in range(_MOST_STEPS):
        pipe_flow = tree.gather(_spread(flow, at, nodes))
        loss, slope = loss_of(pipe_flow, step)
        head = tree.descend(source_m, loss)
        here = head[at] - height_m[at]
        needed, gain = emission.tangent(flow, here, barrier_m)
        lacking = needed - here
        if guarded and (climb := float((lacking * way).sum())) > -_TOO_FAR * fall:
            # Beyond the lowest point of the content on this way, and high up again: go back.
            way = max(fall / (fall - climb), _LEAST_LEFT) * way
            flow = before + way
            continue
        rise = tree.change_of_head(
            1.0 / slope, _spread(gain, at, nodes), _spread(-lacking * gain, at, nodes)
        )
        wanted = flow + (rise[at] - lacking) * gain
        least = _LEAST_LEFT * flow
        kept = emission.keep(np.clip(wanted, least, most), flow, here)
        change = float((np.abs(kept - flow) / (kept + enough)).max(initial=0.0))
        cut = cut + 1 if (wanted < least).any() else 0
        before, way, flow = flow, kept - flow, kept
        fall = float((lacking * way).sum())
        guarded = fall < 0.0
        if barrier_m == 0.0 and cut > _PATIENCE:
            barrier_m, guarded = _FIRST_BARRIER_M, False
        elif barrier_m > _LAST_BARRIER_M:
            if change <= _SETTLED:
                barrier_m, guarded = max(_BARRIER_STEP * barrier_m, _LAST_BARRIER_M), False
        elif change <= _CLOSE_ENOUGH:
            break
    else:
        raise ArithmeticError(f"the flows did not come to rest in {_MOST_STEPS} steps")
    if not barrier_m:
        head = head + rise  # the losses of the last flows, to second order
        out = _spread(flow, at, nodes)
        return Balance(out, tree.gather(out), head, starved, step + 1)
    dry = flow <= _DRY * emission.coefficient
    starved[at[dry]] = True
    out = _spread(np.where(dry, 0.0, flow), at, nodes)
    pipe_flow = tree.gather(out)
    head = tree.descend(source_m, loss_of(pipe_flow, step)[0])
    return Balance(out, pipe_flow, head, starved, step + 1)


def _spread(values: Floats, at: Indices, nodes: int) -> Floats:
    if at.size == nodes:
        return values
    spread = np.zeros(nodes)
    spread[at] = values
    return spread
