"""Give rows their numbers from the corner where the manager wants to begin."""

import dataclasses
import math
from typing import Literal

import numpy as np

from aanplant.layout.row_frame import axes
from aanplant.layout.rows import Rows

Corner = Literal["north-west", "north-east", "south-west", "south-east"]
CORNERS: dict[str, tuple[float, float]] = {
    "north-west": (-1.0, 1.0),
    "north-east": (1.0, 1.0),
    "south-west": (-1.0, -1.0),
    "south-east": (1.0, -1.0),
}
"""Direction of each corner in x (east) and y (north)."""
TIE_SINE = math.sin(math.radians(1.0))
"""Two sides or ends are level when the corner lies within 1 degree of midway between them."""


def numbered_from(rows: Rows, corner: Corner) -> Rows:
    """Give rows numbers from a corner: row 1 is the line nearest it, vine 1 at its end.

    Nearest means furthest in the corner's direction (north-west is x = -1, y = 1).
    When rows run so that both outer rows, or both row ends, are level with the corner
    to within 1 degree, the first word decides: from a northern corner numbers begin at
    the northern of the two, from a southern corner at the southern. So rows at
    45 degrees keep their numbers when the bearing moves a little.

    Parameters
    ----------
    rows : Rows
        In any numbering.
    corner : {"north-west", "north-east", "south-west", "south-east"}
        Where row 1 and the first vine of every row stand.

    Returns
    -------
    Rows
        The same pieces with new ``row`` and ``part``, start and end perhaps exchanged,
        sorted anew. Lines without a row are counted.

    Raises
    ------
    ValueError
        If there is no such corner.
    """
    if corner not in CORNERS:
        raise ValueError(f"corner must be one of {', '.join(CORNERS)}, got {corner!r}")
    frame = axes(rows.bearing_deg)
    from_high_line = _is_nearer(corner, frame.across_x, frame.across_y)
    from_high_end = _is_nearer(corner, frame.along_x, frame.along_y)
    low = np.minimum(rows.along_start_m, rows.along_end_m)
    order = np.lexsort(
        (-low if from_high_end else low, -rows.line if from_high_line else rows.line)
    )
    line = rows.line[order]
    row = np.abs(line - line[:1]) + 1
    exchange = from_high_end == rows.runs_with_bearing
    start, end = ("end", "start") if exchange else ("start", "end")
    paths = None if rows.paths is None else rows.paths.taken(order, turned=exchange)
    at_alley = None if rows.at_alley is None else rows.at_alley[order]
    if at_alley is not None and exchange:
        at_alley = at_alley[:, ::-1]
    return dataclasses.replace(
        rows,
        row=row.astype(np.int32),
        part=(np.arange(len(row)) - np.searchsorted(row, row) + 1).astype(np.int32),
        line=line,
        start_xy=getattr(rows, f"{start}_xy")[order],
        end_xy=getattr(rows, f"{end}_xy")[order],
        length_m=rows.length_m[order],
        across_m=rows.across_m[order],
        along_start_m=getattr(rows, f"along_{start}_m")[order],
        along_end_m=getattr(rows, f"along_{end}_m")[order],
        paths=paths,
        at_alley=at_alley,
    )


def _is_nearer(corner: Corner, x: float, y: float) -> bool:
    """Whether the high end of an axis is nearer the corner than its low end."""
    east, north = CORNERS[corner]
    towards = (east * x + north * y) / math.hypot(east, north)
    return towards > 0.0 if abs(towards) > TIE_SINE else north * y > 0.0
