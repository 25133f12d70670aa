"""Write ``set-out.csv``: every point with its code and coordinates, for any instrument."""

import csv
from math import isnan
from pathlib import Path

from aanplant.files.points import NO_ROW, all_points
from aanplant.files.water_features import pegged_points
from aanplant.plan import Plan


def write_set_out_csv(plan: Plan, path: Path) -> None:
    """Write every point in the set-out grid, to the millimetre.

    Vines, posts, anchors and corners, then valves, air valves, drains and flush valves.
    Columns: code, kind, row, number, the two coordinates in the grid's own order and
    named as its axes, height in metres (empty where it is not known), and the grid.

    Parameters
    ----------
    plan : Plan
        A plan with its layout.
    path : Path
        File to write.
    """
    grid = plan.site.grid
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["code", "kind", "row", "number", *grid.axis_names, "height_m", "grid"])
        for points in (*all_points(plan), *pegged_points(plan)):
            first, second = grid.from_frame(points.xy).T.tolist()
            columns = (points.code.tolist(), points.row.tolist(), points.number.tolist())
            heights = points.z.tolist()
            for code, row, number, x, y, z in zip(*columns, first, second, heights, strict=True):
                place = (f"{x:.3f}", f"{y:.3f}", "" if isnan(z) else f"{z:.2f}")
                shown_row = "" if row == NO_ROW else row
                writer.writerow((code, points.kind, shown_row, number, *place, grid.code))
