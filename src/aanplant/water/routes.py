"""The shortest way for a mainline: along headlands, never through what must be avoided."""

import dataclasses
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

Values = NDArray[np.float64]
Whole = NDArray[np.int64]

ACROSS_ROWS, BETWEEN_ROWS = 8.0, 1.5
"""A metre of trench across rows, and between two rows, counts as this many on a headland
(judgement): across rows it is dug before the posts stand and mended under vines; between
them the tractors run over it."""
OUTSIDE = 3.0
"""A metre over other land counts as this many in the field (judgement)."""
_CLEAR_M = 0.5
"""Corners around which a way turns stand this far off what they turn around."""
_FINE_M, _ROUGH_M = 0.2, 1.0
_SLACK_M = 1e-6
_LINES_AT_ONCE = 2048
"""Lines worked on together: a table of these by the edges of an outline."""


@dataclass(frozen=True)
class Land:
    """Where a mainline may run.

    Parameters
    ----------
    field : shapely geometry
        Outline of the block; outside it a metre counts ``OUTSIDE``. [m]
    avoid : shapely geometry
        What no pipe may cross. [m]
    planted : shapely geometry
        Ground under rows and anchors; a metre there counts more. [m]
    heading_xy : ndarray, shape (2,), or None
        Unit vector along straight rows; None where rows bend, and every way crosses them.
    stops : ndarray, shape (n, 2)
        More points where a way may turn. [m]
    """

    field: BaseGeometry
    avoid: BaseGeometry
    planted: BaseGeometry
    heading_xy: Values | None = None
    stops: Values = dataclasses.field(default_factory=lambda: np.empty((0, 2)))

    def corners(self) -> Values:
        """Points around which a shortest way may have to turn, shape (n, 2). [m]."""
        around = [
            _grown(self.avoid, _CLEAR_M).simplify(_FINE_M),
            _grown(self.planted, 2.0 * _CLEAR_M).simplify(_ROUGH_M),
        ]
        found = [self.stops, *(_turning_points(part, outward=True) for part in around)]
        found.append(_turning_points(self.field.buffer(-_CLEAR_M).simplify(_FINE_M), outward=False))
        xy = np.concatenate(found)
        if self.avoid.is_empty or not len(xy):
            return xy
        return np.asarray(xy[~shapely.intersects_xy(self.avoid, *xy.T)])

    def cost(self, start: Values, end: Values) -> Values:
        """Count metres of straight pipe by their weights, shape (n,); infinite if forbidden."""
        lines = straight(start, end)
        length = np.hypot(*(end - start).T)
        shapely.prepare([self.field, self.avoid, self.planted])
        cost = length.copy()
        under = np.flatnonzero(shapely.intersects(self.planted, lines))
        weight = self._weight_under_rows((end - start)[under])
        cost[under] += (weight - 1.0) * length_within(self.planted, start[under], end[under])
        leaves = ~shapely.covers(self.field, lines)
        inside = length_within(self.field, start[leaves], end[leaves])
        cost[leaves] += (OUTSIDE - 1.0) * np.maximum(length[leaves] - inside, 0.0)
        cost[self.forbids(lines)] = np.inf
        return np.asarray(cost)

    def _weight_under_rows(self, step: Values) -> Values:
        """Weight of a metre in every direction, shape (n,)."""
        if self.heading_xy is None:
            return np.full(len(step), ACROSS_ROWS)
        along = np.abs(step @ self.heading_xy) / np.maximum(np.hypot(*step.T), _SLACK_M)
        across = np.sqrt(np.maximum(1.0 - along**2, 0.0))
        return np.asarray(np.maximum(ACROSS_ROWS * across + BETWEEN_ROWS * along, 1.0))

    def forbids(self, lines: NDArray[np.object_]) -> NDArray[np.bool_]:
        """Whether lines cross or touch what must be avoided, shape (n,)."""
        if self.avoid.is_empty:
            return np.zeros(len(lines), np.bool_)
        return np.asarray(shapely.intersects(self.avoid, lines))


@dataclass(frozen=True)
class Tree:
    """A mainline as a tree of straight pipes.

    Parameters
    ----------
    xy : ndarray, shape (n, 2)
        Its points, the source first. [m]
    parent : ndarray of int, shape (n,)
        Point before each, below its own index; -1 for the source.
    target : ndarray of int, shape (n_targets,)
        Point at each target.
    """

    xy: Values
    parent: Whole
    target: Whole


def grow(land: Land, source: Values, targets: Values, drawn: Values | None = None) -> Tree | None:
    """Grow a mainline from the source to all targets.

    The target nearest to what stands is joined to it by the shortest way, again and again;
    a way may turn at corners and at other targets. This is the heuristic of Takahashi and
    Matsuyama [1]_: no tree it finds is more than twice the shortest. Where a way leaves a pipe's
    end back towards where the pipe came from, the pipe is tapped on its way instead.

    Parameters
    ----------
    land : Land
        Where pipes may run.
    source : ndarray, shape (2,)
        [m]
    targets : ndarray, shape (n, 2)
        Places to reach. [m]
    drawn : ndarray, shape (k, 2), optional
        Way drawn by the user, in order from the source, which it need not hold. [m]

    Returns
    -------
    Tree or None
        None if a target cannot be reached.

    References
    ----------
    .. [1] Takahashi, Matsuyama (1980), An approximate solution for the Steiner problem in
       graphs, Mathematica Japonica 24, 573-577.
    """
    from scipy.sparse.csgraph import dijkstra  # noqa: PLC0415 - heavy, and not every block needs it

    given = np.empty((0, 2)) if drawn is None else drawn
    nodes = np.concatenate([source[None], given, targets, land.corners()])
    standing = 1 + len(given)
    goal = standing + np.arange(len(targets))
    cost = _costs(land, nodes)
    parent = np.full(len(nodes), -1, np.int64)
    parent[1:standing] = np.arange(standing - 1)
    order = list(range(standing))
    far, before = dijkstra(cost, directed=False, indices=goal, return_predecessors=True)
    left = list(range(len(goal)))
    while left:
        # Rows are goals not yet joined, columns what stands; the first of equals is taken.
        reach = far[np.ix_(left, order)]
        at, stem = np.unravel_index(int(np.argmin(reach)), reach.shape)
        if not np.isfinite(reach[at, stem]):
            return None
        target = left.pop(int(at))
        node = order[int(stem)]
        while node != goal[target]:
            following = int(before[target, node])
            if parent[following] < 0 and following != 0:
                parent[following] = node
                order.append(following)
            node = following
    _tap(cost, parent, order, standing)
    return _in_order(nodes, parent, goal)


def way(land: Land, start: Values, end: Values) -> Values | None:
    """Shortest way between two points, shape (n, 2), both included; None if there is none."""
    tree = grow(land, start, end[None])
    if tree is None:
        return None
    path = [int(tree.target[0])]
    while tree.parent[path[-1]] >= 0:
        path.append(int(tree.parent[path[-1]]))
    return np.asarray(tree.xy[path[::-1]])


def straight(start: Values, end: Values) -> NDArray[np.object_]:
    """Lines from points to points, shape (n,)."""
    return np.asarray(shapely.linestrings(np.stack([start, end], axis=1)), dtype=object)


def _costs(land: Land, nodes: Values) -> Values:
    """Cost of a straight pipe between every two nodes, shape (n, n)."""
    first, second = np.triu_indices(len(nodes), k=1)
    each = np.maximum(land.cost(nodes[first], nodes[second]), _SLACK_M)
    cost = np.full((len(nodes), len(nodes)), np.inf)
    cost[first, second] = cost[second, first] = each
    return cost


def _tap(cost: Values, parent: Whole, order: list[int], standing: int) -> None:
    """Lead a pipe through the turn of a way that runs back beside it, in place.

    Node b hangs on a, and c on b, though c lies nearer to a: the pipe from a runs by c then,
    which saves the way out and back. Every change makes the tree shorter, so it ends. What the
    user drew stays as it is.
    """
    changed = True
    while changed:
        changed = False
        for node in order:
            end = int(parent[node])
            if end < standing or not cost[parent[end], node] < cost[parent[end], end] - _SLACK_M:
                continue
            parent[node], parent[end] = parent[end], node
            changed = True


def _in_order(nodes: Values, parent: Whole, goal: Whole) -> Tree:
    """Renumber the points of a tree so that a parent comes first."""
    hangs = np.flatnonzero(parent >= 0)
    behind: dict[int, list[int]] = {}
    for node in hangs.tolist():
        behind.setdefault(int(parent[node]), []).append(node)
    order = [0]
    for node in order:
        order.extend(behind.get(node, ()))
    place = np.full(len(nodes), -1, np.int64)
    place[order] = np.arange(len(order))
    old = parent[order]
    return Tree(nodes[order], np.where(old >= 0, place[old], -1), place[goal])


def length_within(area: BaseGeometry, start: Values, end: Values) -> Values:
    """Length of straight lines inside polygons, shape (n,). [m].

    Each line is drawn out without end and cut by every edge; between its first and second
    cut, its third and fourth, it is inside.

    Parameters
    ----------
    area : shapely Polygon or MultiPolygon
        Perhaps empty.
    start, end : ndarray, shape (n, 2)
        [m]
    """
    xy, ring = shapely.get_coordinates(
        shapely.get_rings(shapely.get_parts(area)), return_index=True
    )
    own = ring[1:] == ring[:-1]
    edge, onward = xy[:-1][own], np.diff(xy, axis=0)[own]
    even = len(edge) + len(edge) % 2
    within = np.empty(len(start))
    for low in range(0, len(start), _LINES_AT_ONCE):
        part = slice(low, low + _LINES_AT_ONCE)
        step = end[part] - start[part]
        side = _cross(step[:, None], edge - start[part, None])
        beyond = side + _cross(step[:, None], onward[None])
        cuts = (side >= 0.0) != (beyond >= 0.0)
        along = _cross(edge - start[part, None], onward[None])
        slope = np.where(cuts, beyond - side, 1.0)
        at = np.ones((len(step), even))
        at[:, : len(edge)] = np.where(cuts, np.clip(along / slope, 0.0, 1.0), 1.0)
        at.sort(axis=1)
        inside = at[:, 1::2].sum(axis=1) - at[:, ::2].sum(axis=1)
        within[part] = inside * np.hypot(*step.T)
    return within


def _cross(first: Values, second: Values) -> Values:
    return np.asarray(first[..., 0] * second[..., 1] - first[..., 1] * second[..., 0])


def _grown(area: BaseGeometry, by_m: float) -> BaseGeometry:
    """Grow a shape, its corners kept as corners."""
    # Where two edges are one line but for rounding, their mitre is no number and is left out.
    with np.errstate(invalid="ignore"):
        return area.buffer(by_m, join_style="mitre", mitre_limit=2.0)


def _turning_points(area: BaseGeometry, *, outward: bool) -> Values:
    """Corners where a shortest way turns: outward ones of an obstacle, inward ones of a field."""
    found = [np.empty((0, 2))]
    for polygon in shapely.get_parts(area):
        if not isinstance(polygon, Polygon) or polygon.is_empty:
            continue
        whole = shapely.orient_polygons(polygon)
        for ring in (whole.exterior, *whole.interiors):
            xy = np.asarray(ring.coords)[:-1, :2]
            ahead, behind = np.roll(xy, -1, axis=0) - xy, xy - np.roll(xy, 1, axis=0)
            turn = behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0]
            # The area lies to the left of its rings: a left turn points out of it.
            found.append(xy[turn > 0.0] if outward else xy[turn < 0.0])
    return np.concatenate(found)
