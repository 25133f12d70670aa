"""The tables of a system: its sets, laterals and submains, and what its pipes cross."""

import numpy as np
import shapely
from numpy.typing import NDArray

from aanplant.inputs import Exclusion
from aanplant.layout.positions import Positions
from aanplant.water.pipe_tree import PipeTree
from aanplant.water.submains import SubmainLine
from aanplant.water.system import (
    KIND_NAMES,
    LATERAL,
    MAINLINE,
    SUBMAIN,
    Crossing,
    Laterals,
    Sets,
    Submains,
)

Values = NDArray[np.float64]
Whole = NDArray[np.int64]


def set_table(
    positions: Positions,
    set_of_piece: Whole,
    emitters_in_zone: Values,
    emitters: Whole,
    flow_of_one: float,
) -> Sets:
    """Sum up every set.

    Parameters
    ----------
    positions : Positions
        Filled rows.
    set_of_piece : ndarray of int, shape (n_rows,)
        -1 for a piece without vines.
    emitters_in_zone : ndarray, shape (n_rows, n_zones)
        Drippers of every piece by soil zone.
    emitters : ndarray of int, shape (n_rows,)
        Drippers of every piece.
    flow_of_one : float
        Of one dripper. [m3/s]
    """
    held = np.flatnonzero(set_of_piece >= 0)
    number = set_of_piece[held]
    count = int(number.max(initial=-1)) + 1

    def summed(value: NDArray[np.generic]) -> Values:
        return np.bincount(number, value[held].astype(np.float64), minlength=count).astype(float)

    drips = summed(emitters)
    zones = emitters_in_zone.shape[1]
    main, share = np.full(count, -1, np.int64), np.ones(count)
    if zones:
        by_zone = np.stack([summed(column) for column in emitters_in_zone.T], axis=1)
        main = by_zone.argmax(axis=1).astype(np.int64)
        share = by_zone.max(axis=1) / drips
    area = summed(positions.row_length_m) * positions.rows.row_width_m
    return Sets(
        flow_m3_s=drips * flow_of_one,
        emitters=drips.astype(np.int64),
        vines=summed(positions.vines).astype(np.int64),
        pieces=np.bincount(number, minlength=count),
        zone=main,
        zone_share=share,
        area_m2=area,
    )


def lateral_table(
    tree: PipeTree, z_m: Values, positions: Positions, ground_length_m: Values
) -> tuple[Laterals, Whole]:
    """List the laterals, and the lateral of every node (-1 where there is none)."""
    own = np.flatnonzero(tree.kind == LATERAL)
    starts = own[tree.kind[tree.parent[own]] == SUBMAIN]
    lateral = np.full(len(tree.parent), -1, np.int64)
    lateral[own] = np.searchsorted(starts, own, side="right") - 1
    emitters = np.bincount(lateral[own], minlength=len(starts))
    piece, inlet, last = tree.piece[starts], tree.parent[starts], starts + emitters - 1
    rows = positions.rows
    with_row = _runs_with_row(tree, positions, starts, last)
    # Behind the last dripper the line goes on to the end post.
    post = np.empty((len(rows), 2, 2))
    side = np.where(positions.end_posts_is_start, 0, 1)
    post[positions.end_posts_piece, side] = positions.end_posts_xy
    end_xy = post[piece, with_row.astype(np.int64)]
    per_plan = np.ones(len(rows))
    held = positions.row_length_m > 0
    per_plan[held] = ground_length_m[held] / positions.row_length_m[held]
    total = np.bincount(lateral[own], tree.plan_m[own], minlength=len(starts))
    tail = np.hypot(*(end_xy - tree.xy[last]).T) * per_plan[piece]
    return Laterals(
        piece=piece,
        row=rows.row[piece].astype(np.int64),
        part=rows.part[piece].astype(np.int64),
        set_of=tree.set_of[starts],
        inlet=inlet,
        first=starts,
        emitters=emitters,
        length_m=total + tail,
        fall_m=z_m[inlet] - z_m[last],
        end_xy=end_xy,
        with_row=with_row,
    ), lateral


def _runs_with_row(
    tree: PipeTree, positions: Positions, starts: Whole, last: Whole
) -> NDArray[np.bool_]:
    """Whether each lateral runs from the start of its row towards its end."""
    rows = positions.rows
    piece = tree.piece[starts]
    from_inlet = tree.xy[last] - tree.xy[tree.parent[starts]]
    along = rows.end_xy[piece] - rows.start_xy[piece]
    return np.asarray((from_inlet * along).sum(axis=1) > 0.0)


def submain_table(tree: PipeTree, lines: list[SubmainLine], length_m: Values) -> Submains:
    """List the submains."""
    own = np.flatnonzero(tree.kind == SUBMAIN)
    stems = own[tree.kind[tree.parent[own]] == MAINLINE]
    number = np.searchsorted(stems, own, side="right") - 1
    return Submains(
        set_of=np.array([line.set_number for line in lines], np.int64),
        valve=tree.valve,
        place=tuple(line.place for line in lines),
        laterals=np.array([int((line.piece >= 0).sum()) for line in lines], np.int64),
        length_m=np.bincount(number, length_m[own], minlength=len(lines)).astype(float),
    )


def crossings(tree: PipeTree, exclusions: tuple[Exclusion, ...]) -> tuple[Crossing, ...]:
    """Find where mainline and submains cross what rows run over."""
    found: list[Crossing] = []
    for kind in (MAINLINE, SUBMAIN):
        own = np.flatnonzero((tree.kind == kind) & (tree.plan_m > 0.0))
        ends = np.stack([tree.xy[tree.parent[own]], tree.xy[own]], axis=1)
        moved = np.any(ends[:, 0] != ends[:, 1], axis=1)
        lines = np.asarray(shapely.linestrings(ends[moved]), dtype=object)
        for item in exclusions:
            if item.treatment != "skip" or not len(lines):
                continue
            # A thin thing is given a hair's width: a line along another crosses it once.
            area = item.geometry.buffer(max(item.reach_m, 0.05))
            hit = shapely.union_all(shapely.intersection(lines, area))
            found.extend(
                Crossing(item.name, item.kind, KIND_NAMES[kind], (at.x, at.y))
                for at in (part.centroid for part in shapely.get_parts(shapely.line_merge(hit)))
                if not at.is_empty
            )
    return tuple(found)
