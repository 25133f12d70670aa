"""Which of the places that rows of one bearing may take holds most vines."""

from collections.abc import Sequence

import numpy as np
from shapely.geometry.base import BaseGeometry

from aanplant.layout.lattice import Lattice, spans
from aanplant.layout.plantable import HeadlandRule, kept_room
from aanplant.layout.row_frame import boundary, turned
from aanplant.layout.rows import Rows, open_ground, rows_of
from aanplant.layout.scanlines import free_pieces_at


def most_vines(
    area: BaseGeometry,
    bearing_deg: float,
    row_width_m: float,
    offsets_m: Sequence[float],
    lattice: Lattice,
    *,
    headland_m: float = 0.0,
    side_margin_m: float = 0.0,
    shortest_m: float = 0.0,
    longest_m: float | None = None,
    cross_alley_m: float = 0.0,
    headland_rule: HeadlandRule = "along the row",
) -> Rows:
    """Fit rows at the offset that holds most vines; the first of several that do.

    The rows are those of ``rows.fit`` at that offset.

    Parameters
    ----------
    area, bearing_deg, row_width_m, headland_m, side_margin_m, shortest_m, longest_m,
    cross_alley_m, headland_rule
        As for ``rows.fit``.
    offsets_m : sequence of float
        Offsets tried. [m]
    lattice : Lattice
        How vines follow one another along a row.

    Raises
    ------
    ValueError
        As ``rows.fit``.
    """
    edges = turned(boundary(open_ground(area, ())), bearing_deg)
    headland, margin = kept_room(edges, headland_m, side_margin_m, headland_rule)
    tried = [
        rows_of(
            whole,
            bearing_deg,
            row_width_m,
            offset,
            shortest_m=shortest_m,
            longest_m=longest_m,
            cross_alley_m=cross_alley_m,
        )
        for whole, offset in zip(
            free_pieces_at(edges, row_width_m, offsets_m, headland, margin), offsets_m, strict=True
        )
    ]
    return tried[int(np.argmax([spans(rows, lattice).count.sum() for rows in tried]))]
