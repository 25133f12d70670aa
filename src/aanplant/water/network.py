"""Pressure and flow at every dripper of a set, solved exactly as one tree of pipes."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.water.emission import OPENING_EXPONENT, OPENING_HEAD_M, Emission
from aanplant.water.friction import (
    BLASIUS_COEFFICIENT,
    HAZEN_WILLIAMS_PLASTIC,
    STANDARD_GRAVITY_M_S2,
    VISCOSITY_20_C_M2_S,
)
from aanplant.water.losses import FrictionModel, losses
from aanplant.water.newton import balance
from aanplant.water.tree import Floats, Indices, Tree

POLYETHYLENE_ROUGHNESS_M = 1.5e-6
"""Of the wall of new drawn plastic pipe."""


@dataclass(frozen=True, slots=True)
class Flows:
    """What runs where. Arrays have one entry a node, shape (n,); pipe i ends at node i.

    Parameters
    ----------
    head_m : ndarray
        Height plus pressure. [m]
    pressure_m : ndarray
        Below 0 where the pipe would suck. [m of water]
    emitter_flow_m3_s : ndarray
        0 where there is no emitter, and where it is starved. [m3/s]
    pipe_flow_m3_s : ndarray
        Flow of each pipe; that of node 0 is what the source gives. [m3/s]
    velocity_m_s, loss_m : ndarray
        Of each pipe, 0 at node 0. [m/s], [m]
    starved : ndarray of bool
        Emitters without pressure to run.
    steps : int
        Newton steps that were needed.
    """

    head_m: Floats
    pressure_m: Floats
    emitter_flow_m3_s: Floats
    pipe_flow_m3_s: Floats
    velocity_m_s: Floats
    loss_m: Floats
    starved: NDArray[np.bool_]
    steps: int


def solve(  # noqa: PLR0917 - the seven things a network is made of
    parent: ArrayLike,
    length_m: ArrayLike,
    diameter_m: ArrayLike,
    elevation_m: ArrayLike,
    emitter_coefficient: ArrayLike,
    emitter_exponent: ArrayLike,
    source_head_m: float,
    *,
    friction: FrictionModel = "darcy-weisbach",
    roughness_m: ArrayLike = POLYETHYLENE_ROUGHNESS_M,
    gravity: float = STANDARD_GRAVITY_M_S2,
    viscosity_m2_s: float = VISCOSITY_20_C_M2_S,
    local_loss: ArrayLike = 0.0,
    regulation_start_m: ArrayLike | None = None,
    regulation_end_m: ArrayLike | None = None,
    hazen_williams: ArrayLike = HAZEN_WILLIAMS_PLASTIC,
    blasius: float = BLASIUS_COEFFICIENT,
) -> Flows:
    """Flow and head at every node of a tree of pipes with emitters.

    Node 0 is the source, kept at ``source_head_m``; pipe i joins node i to ``parent[i] < i``.
    What stands for node 0 in the other arrays is not read, but for its elevation. Every array
    may be a single number that holds for all nodes.

    Parameters
    ----------
    parent : array_like of int, shape (n,)
        Node upstream of each; anything for node 0.
    length_m, diameter_m : array_like, shape (n,)
        Length and bore of each pipe, a length of 0 allowed. [m]
    elevation_m : array_like, shape (n,)
        Height of each node. [m]
    emitter_coefficient : array_like, shape (n,)
        k of ``q = k h^x``, 0 where there is no emitter. [m3/s / m^x]
    emitter_exponent : array_like, shape (n,)
        x, 0 to 1; 0 gives k from 0.1 m of pressure up. [-]
    source_head_m : float
        Height of the water at the source plus pressure. [m]
    friction : {"darcy-weisbach", "hazen-williams", "blasius"}
        Formula of friction.
    roughness_m : array_like, shape (n,)
        Roughness of the wall, for Darcy-Weisbach. [m]
    gravity, viscosity_m2_s : float
        [m/s2], [m2/s]
    local_loss : array_like, shape (n,)
        Sum of the coefficients K of what disturbs the flow in each pipe. [-]
    regulation_start_m, regulation_end_m : array_like, shape (n,), optional
        Pressures between which an emitter holds the flow it has at the first: pressure
        compensating. Infinite where it does not; the second may be left out. [m]
    hazen_williams : array_like, shape (n,)
        Coefficient C. [-]
    blasius : float
        Coefficient a of ``a Re^-0.25``. [-]

    Returns
    -------
    Flows
        In the order the nodes were given.

    Raises
    ------
    ValueError
        If the arrays are no tree, or a number is outside its range.
    ArithmeticError
        If the flows do not come to rest.

    References
    ----------
    .. [1] Todini and Pilati (1988), A gradient algorithm for the analysis of pipe networks.
    """
    upstream = _upstream(parent)
    nodes = upstream.size
    length, bore = _whole(length_m, nodes), _whole(diameter_m, nodes)
    height = _whole(elevation_m, nodes)
    minor = _whole(local_loss, nodes)
    coefficient, exponent = _whole(emitter_coefficient, nodes), _whole(emitter_exponent, nodes)
    _check(length, bore, height, minor, coefficient, exponent)
    if not np.isfinite(source_head_m):
        raise ValueError(f"source_head_m must be a finite number, got {source_head_m}")
    tree = Tree(upstream)
    order = tree.order
    loss_of = losses(
        length[order],
        bore[order],
        minor[order],
        friction=friction,
        roughness_m=_whole(roughness_m, nodes)[order],
        gravity=gravity,
        viscosity_m2_s=viscosity_m2_s,
        hazen_williams=_whole(hazen_williams, nodes)[order],
        blasius=blasius,
    )
    at = np.flatnonzero(coefficient[order] > 0.0)
    emitters = order[at]
    emission = _emission(
        coefficient[emitters],
        exponent[emitters],
        _some(regulation_start_m, nodes, emitters),
        _some(regulation_end_m, nodes, emitters),
    )
    found = balance(tree, loss_of, emission, at, height[order], float(source_head_m))
    head = _back(found.head_m, order, float(source_head_m))
    flow = _back(found.pipe_flow_m3_s, order, 0.0)
    flow[0] = flow[1:][upstream[1:] == 0].sum()
    velocity = flow / (np.pi / 4.0 * bore**2)
    loss = head[upstream] - head
    velocity[0] = loss[0] = 0.0
    return Flows(
        head_m=head,
        pressure_m=head - height,
        emitter_flow_m3_s=_back(found.outflow_m3_s, order, 0.0),
        pipe_flow_m3_s=flow,
        velocity_m_s=velocity,
        loss_m=loss,
        starved=_back(found.starved, order, 0.0).astype(np.bool_),
        steps=found.steps,
    )


def _emission(
    coefficient: Floats, exponent: Floats, start_m: Floats | None, end_m: Floats | None
) -> Emission:
    """Law of the emitters, one exponent for all where they share it."""
    never = np.full(coefficient.shape, np.inf)
    constant = exponent == 0.0
    if constant.any():
        opening = OPENING_HEAD_M**OPENING_EXPONENT
        coefficient = np.where(constant, coefficient / opening, coefficient)
        exponent = np.where(constant, OPENING_EXPONENT, exponent)
        start_m = np.where(constant, OPENING_HEAD_M, never if start_m is None else start_m)
        end_m = np.where(constant, np.inf, never if end_m is None else end_m)
    if start_m is not None:
        end_m = never if end_m is None else end_m
        if not ((start_m > 0.0) & (end_m >= start_m)).all():
            raise ValueError("an emitter must regulate from a pressure above 0 to a higher one")
    shared = bool(exponent.size) and bool((exponent == exponent[0]).all())
    return Emission(coefficient, float(exponent[0]) if shared else exponent, start_m, end_m)


def _upstream(parent: ArrayLike) -> Indices:
    given = np.asarray(parent)
    if given.ndim != 1 or not given.size or not np.issubdtype(given.dtype, np.integer):
        raise ValueError("parent must be a list of whole numbers, one a node")
    upstream = given.astype(np.intp)
    upstream[0] = 0
    wrong = np.flatnonzero((upstream[1:] < 0) | (upstream[1:] >= np.arange(1, upstream.size)))
    if wrong.size:
        node = int(wrong[0]) + 1
        raise ValueError(f"parent of node {node} must lie in 0 to {node - 1}, got {given[node]}")
    return upstream


def _check(  # noqa: PLR0917 - the same, one after the other
    length: Floats,
    bore: Floats,
    height: Floats,
    local_loss: Floats,
    coefficient: Floats,
    exponent: Floats,
) -> None:
    for name, good, what in (
        ("length_m", length >= 0.0, "at least 0"),
        ("diameter_m", bore > 0.0, "above 0"),
        ("elevation_m", np.isfinite(height), "known"),
        ("local_loss", local_loss >= 0.0, "at least 0"),
        ("emitter_coefficient", coefficient >= 0.0, "at least 0"),
        ("emitter_exponent", (exponent >= 0.0) & (exponent <= 1.0), "between 0 and 1"),
    ):
        wrong = np.flatnonzero(~good[1:])
        if wrong.size:
            raise ValueError(f"{name} must be {what} at every node, not so at {wrong[0] + 1}")


def _whole(values: ArrayLike, nodes: int) -> Floats:
    return np.broadcast_to(np.asarray(values, dtype=np.float64), (nodes,))


def _some(values: ArrayLike | None, nodes: int, which: Indices) -> Floats | None:
    return None if values is None else _whole(values, nodes)[which]


def _back(values: NDArray[np.float64] | NDArray[np.bool_], order: Indices, first: float) -> Floats:
    whole = np.empty(order.size + 1)
    whole[0] = first
    whole[order] = values
    return whole
