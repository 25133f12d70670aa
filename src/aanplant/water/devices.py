"""Valves and what else sits on the pipes: air valves, drains, flush valves, gauge points."""

import numpy as np
from numpy.typing import NDArray

from aanplant.water.pipe_tree import PipeTree
from aanplant.water.system import LATERAL, MAINLINE, NO_SET, SUBMAIN, Devices

Values = NDArray[np.float64]
Whole = NDArray[np.int64]
Flags = NDArray[np.bool_]

LEAST_SWING_M = 0.5
"""A summit or hollow of the mainline less marked than this holds no air or dirt to speak of
(judgement)."""


def devices(tree: PipeTree, z_m: Values, set_of_valve: Whole) -> Devices:
    """Place what belongs on a tree of pipes.

    A valve at every submain and a vacuum break just behind it, so that drippers do not suck
    in soil when it shuts. Air valves where the mainline leaves the source, at its summits and
    at its dead ends that lie higher than what leads to them; drains in its hollows. A flush
    valve at every end of a submain. Gauges are held behind every valve, at every submain's
    end, and in every set at its highest and its farthest dripper.

    Parameters
    ----------
    tree : PipeTree
        Pipes.
    z_m : ndarray, shape (n_nodes,)
        Heights. [m]
    set_of_valve : ndarray of int, shape (n_submains,)
        Set of every submain.
    """
    valve = tree.valve
    stem = _children_of(tree, valve, SUBMAIN)
    ends = _submain_ends(tree)
    summits, hollows = _summits_and_hollows(tree, z_m)
    gauges = np.unique(np.concatenate([stem, ends, _worst_drippers(tree, z_m)]))
    parts: list[tuple[str, Whole, Whole]] = [
        ("valve", valve, set_of_valve),
        ("vacuum break", stem, tree.set_of[stem]),
        ("air valve", summits, tree.set_of[summits]),
        ("drain", hollows, tree.set_of[hollows]),
        ("flush valve", ends, tree.set_of[ends]),
        ("pressure point", gauges, tree.set_of[gauges]),
    ]
    return Devices(
        tuple(kind for kind, node, _ in parts for _ in range(len(node))),
        np.concatenate([node for _, node, _ in parts]),
        np.concatenate([number for _, _, number in parts]),
    )


def _children_of(tree: PipeTree, node: Whole, kind: int) -> Whole:
    """First node of a kind behind each node, shape (n,)."""
    own = np.flatnonzero(tree.kind == kind)
    first = np.full(len(tree.parent), -1, np.int64)
    first[tree.parent[own[::-1]]] = own[::-1]
    return first[node]


def _submain_ends(tree: PipeTree) -> Whole:
    own = np.flatnonzero(tree.kind == SUBMAIN)
    goes_on = np.zeros(len(tree.parent), np.bool_)
    goes_on[tree.parent[own]] = True
    return own[~goes_on[own]]


def _summits_and_hollows(tree: PipeTree, z_m: Values) -> tuple[Whole, Whole]:
    """Summits and hollows of the mainline; the source, where air comes in, is a summit.

    A point is a summit if, walking from it either way along the mainline, the pipe falls by
    ``LEAST_SWING_M`` before it rises above the point again, or ends.
    """
    trunk = np.flatnonzero((tree.kind <= MAINLINE) & (tree.set_of == NO_SET))
    place = np.full(len(tree.parent), -1, np.int64)
    place[trunk] = np.arange(len(trunk))
    beside: list[list[int]] = [[] for _ in trunk]
    for child in trunk[1:].tolist():
        a, b = int(place[child]), int(place[tree.parent[child]])
        beside[a].append(b)
        beside[b].append(a)
    height = z_m[trunk]
    tops = [at for at in range(1, len(trunk)) if _is_top(at, height, beside)]
    bottoms = [
        at for at in range(1, len(trunk)) if len(beside[at]) > 1 and _is_top(at, -height, beside)
    ]
    return trunk[np.array([0, *tops], np.int64)], trunk[np.array(bottoms, np.int64)]


def _is_top(at: int, height: Values, beside: list[list[int]]) -> bool:
    """Whether the pipe falls far enough on every side before it is as high again."""
    fell = False
    for onward in beside[at]:
        before, here = at, onward
        while True:
            if height[here] > height[at] or (height[here] == height[at] and here < at):
                return False
            if height[here] <= height[at] - LEAST_SWING_M:
                fell = True
                break
            following = [node for node in beside[here] if node != before]
            if not following:
                break
            # At a junction the higher way decides.
            before, here = here, max(following, key=lambda node: (height[node], -node))
    return fell


def _worst_drippers(tree: PipeTree, z_m: Values) -> Whole:
    """Highest and, by pipes from its valve, last dripper of every set."""
    own = np.flatnonzero(tree.kind == LATERAL)
    if not len(own):
        return own
    number = tree.set_of[own]
    count = int(number.max()) + 1
    highest = np.lexsort((own, -z_m[own], number))
    first = np.searchsorted(number[highest], np.arange(count))
    far = _way_m(tree)
    farthest = np.lexsort((own, -far[own], number))
    return np.concatenate([own[highest[first]], own[farthest[first]]])


def _way_m(tree: PipeTree) -> Values:
    """Length of pipe from the source to every node, by doubling the steps taken. [m]."""
    way, up = tree.plan_m.copy(), np.maximum(tree.parent, 0)
    way[0] = 0.0
    while up.any():
        way += way[up]
        up = up[up]
    return way
