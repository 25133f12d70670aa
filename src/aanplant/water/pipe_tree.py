"""Join mainline, submains and laterals into one tree of pipes, dripper by dripper."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.site.terrain import Terrain
from aanplant.water.laterals import Drippers
from aanplant.water.routes import Tree
from aanplant.water.submains import SubmainLine
from aanplant.water.system import LATERAL, MAINLINE, NO_SET, SOURCE, SUBMAIN

Values = NDArray[np.float64]
Whole = NDArray[np.int64]

MAINLINE_STEP_M = 20.0
"""Heights of a mainline are taken at least this often (judgement)."""
RISER_M = 1.0
"""Pipe from the mainline through a valve, and on to the submain (judgement)."""


@dataclass(frozen=True)
class PipeTree:
    """Pipes before they are told apart in tables; columns of shape (n_nodes,).

    Parameters
    ----------
    xy, parent, plan_m, kind, set_of, piece, vine
        As ``System`` has them; ``plan_m`` is the length on the plan, or along the ground
        where ``on_ground``. ``piece`` is the piece of row of a dripper or of a connection.
    on_ground : ndarray of bool
        Whether the length is that along the ground already.
    valve : ndarray of int, shape (n_submains,)
        Node of the valve of each submain.
    inlet : ndarray of int, shape (n_rows,)
        Submain node of each piece; -1 where it has none.
    mainline_corner : ndarray of int
        Mainline node at each point of the mainline's tree.
    """

    xy: Values
    parent: Whole
    plan_m: Values
    kind: NDArray[np.int8]
    set_of: Whole
    piece: Whole
    vine: Whole
    on_ground: NDArray[np.bool_]
    valve: Whole
    inlet: Whole
    mainline_corner: Whole


@dataclass
class _Columns:
    """Nodes as they are gathered, part by part."""

    parts: list[dict[str, NDArray[np.generic]]]
    count: int = 0

    def add(self, xy: Values, parent: Whole, plan_m: Values, kind: int, **more: object) -> Whole:
        n = len(xy)
        full = {"set_of": NO_SET, "piece": -1, "vine": -1, "on_ground": False, **more}
        self.parts.append(
            {
                "xy": xy,
                "parent": parent,
                "plan_m": plan_m,
                "kind": np.full(n, kind, np.int8),
                **{key: np.broadcast_to(np.asarray(value), (n,)) for key, value in full.items()},
            }
        )
        own = np.arange(self.count, self.count + n)
        self.count += n
        return own

    def column(self, key: str) -> NDArray[np.generic]:
        return np.concatenate([part[key] for part in self.parts])


def pipe_tree(
    mainline: Tree,
    submains: list[SubmainLine],
    drip: Drippers,
    ground_of_inlet_m: Values,
) -> PipeTree:
    """Build the tree.

    Parameters
    ----------
    mainline : Tree
        Its targets are the valves of the submains, in their order.
    submains : list of SubmainLine
        In any order.
    drip : Drippers
        Of all pieces.
    ground_of_inlet_m : ndarray, shape (n_rows,)
        Distance of each connection from the first end post along the ground. [m]
    """
    columns = _Columns([])
    corner = _add_mainline(columns, mainline)
    valve, inlet, set_of_piece = _add_submains(
        columns, submains, corner[mainline.target], len(ground_of_inlet_m)
    )
    _add_laterals(columns, drip, ground_of_inlet_m, inlet, set_of_piece)
    return PipeTree(
        xy=columns.column("xy").astype(np.float64),
        parent=columns.column("parent").astype(np.int64),
        plan_m=columns.column("plan_m").astype(np.float64),
        kind=columns.column("kind").astype(np.int8),
        set_of=columns.column("set_of").astype(np.int64),
        piece=columns.column("piece").astype(np.int64),
        vine=columns.column("vine").astype(np.int64),
        on_ground=columns.column("on_ground").astype(np.bool_),
        valve=valve,
        inlet=inlet,
        mainline_corner=corner,
    )


def _add_mainline(columns: _Columns, mainline: Tree) -> Whole:
    """Add source and mainline, cut into steps; return the node at every corner."""
    columns.add(mainline.xy[:1], np.array([-1]), np.zeros(1), SOURCE)
    node = np.zeros(len(mainline.xy), np.int64)
    for corner in range(1, len(mainline.xy)):
        start, end = mainline.xy[mainline.parent[corner]], mainline.xy[corner]
        node[corner] = _add_straight(columns, start, end, int(node[mainline.parent[corner]]))
    return node


def _add_straight(columns: _Columns, start: Values, end: Values, parent: int) -> int:
    """Add a straight piece of mainline in steps; return its last node."""
    length = float(np.hypot(*(end - start)))
    steps = max(int(np.ceil(length / MAINLINE_STEP_M)), 1)
    share = np.arange(1, steps + 1) / steps
    xy = start + share[:, None] * (end - start)
    before = np.concatenate([[parent], columns.count + np.arange(steps - 1)])
    return int(columns.add(xy, before, np.full(steps, length / steps), MAINLINE)[-1])


def _add_submains(
    columns: _Columns, submains: list[SubmainLine], trunk: Whole, n_pieces: int
) -> tuple[Whole, Whole, Whole]:
    """Add valves and submains; return valve nodes, and the node and set of every piece."""
    valve = np.empty(len(submains), np.int64)
    inlet = np.full(n_pieces, -1, np.int64)
    set_of = np.full(n_pieces, NO_SET, np.int64)
    for number, line in enumerate(submains):
        own = line.set_number
        at = line.valve_xy[None]
        riser = np.array([RISER_M])
        valve[number] = columns.add(at, trunk[number : number + 1], riser, MAINLINE, set_of=own)[0]
        stem = columns.add(at, valve[number : number + 1], riser, SUBMAIN, set_of=own)[0]
        node = np.empty(len(line.xy), np.int64)
        for corners in (np.arange(line.valve, -1, -1), np.arange(line.valve + 1, len(line.xy))):
            if not len(corners):
                continue
            xy = line.xy[corners]
            before = np.concatenate([[stem], columns.count + np.arange(len(corners) - 1)])
            node[corners] = columns.add(
                xy,
                before,
                np.hypot(*np.diff(xy, axis=0, prepend=at).T),
                SUBMAIN,
                set_of=own,
                piece=line.piece[corners],
            )
        fed = line.piece >= 0
        inlet[line.piece[fed]] = node[fed]
        set_of[line.piece[fed]] = own
    return valve, inlet, set_of


def _add_laterals(
    columns: _Columns,
    drip: Drippers,
    ground_of_inlet_m: Values,
    inlet: Whole,
    set_of_piece: Whole,
) -> None:
    """Add all drippers at once, run by run, each run outward from its submain."""
    away = drip.ground_m - ground_of_inlet_m[drip.piece]
    onward = away > 0.0
    order = np.lexsort((np.abs(away), onward, inlet[drip.piece]))
    piece, onward, far = drip.piece[order], onward[order], np.abs(away)[order]
    starts = np.ones(len(piece), np.bool_)
    starts[1:] = (np.diff(piece) != 0) | (onward[1:] != onward[:-1])
    parent = columns.count + np.arange(len(piece)) - 1
    parent[starts] = inlet[piece[starts]]
    length = np.diff(far, prepend=0.0)
    length[starts] = far[starts]
    columns.add(
        drip.xy[order],
        parent,
        length,
        LATERAL,
        set_of=set_of_piece[piece],
        piece=piece,
        vine=drip.vine[order],
        on_ground=True,
    )


def heights(tree: PipeTree, terrain: Terrain | None, source_z_m: float) -> tuple[Values, int]:
    """Heights of all nodes, and how many lie beyond what is known.

    Such a node takes the height of the node before it.

    Parameters
    ----------
    tree : PipeTree
        Nodes.
    terrain : Terrain or None
        All lies at height 0 without one.
    source_z_m : float
        Height of the source. [m]
    """
    if terrain is None:
        return np.zeros(len(tree.xy)), 0
    z = terrain.height(tree.xy)
    z[0] = source_z_m
    unknown = int(np.isnan(z).sum())
    while np.isnan(z).any():
        lost = np.flatnonzero(np.isnan(z))
        z[lost] = z[tree.parent[lost]]
    return z, unknown
