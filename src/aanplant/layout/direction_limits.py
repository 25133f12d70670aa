"""Which row directions keep within the limits on slope, measured on the rows themselves."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
from shapely.geometry.base import BaseGeometry

from aanplant.brief import Brief
from aanplant.layout.direction import Sweep
from aanplant.layout.lattice import Lattice, move_clear, spans
from aanplant.layout.row_profiles import row_profiles, steepest_slopes
from aanplant.layout.rows import Rows
from aanplant.layout.steepness import Measure, RowLimit, slope_limits
from aanplant.site.terrain import Terrain
from aanplant.working import Finding, Value


def with_limits(swept: Sweep, brief: Brief, found: Sequence[dict[Measure, float]]) -> Sweep:
    """Set the limits of the brief beside the steepest place of the rows of every bearing.

    Parameters
    ----------
    swept : Sweep
        Directions compared.
    brief : Brief
        With its limits.
    found : sequence
        Steepest place of the rows of each bearing, see ``steepest_of``.
    """
    return replace(
        swept,
        limits=tuple(
            RowLimit(limit, np.array([each[limit.measure] for each in found]))
            for limit in slope_limits(brief)
        ),
    )


def measured_at(swept: Sweep, at: int, percent: dict[Measure, float]) -> Sweep:
    """Put what was measured on rows as laid in the place of what one bearing had before."""

    def renewed(row_limit: RowLimit) -> RowLimit:
        values = row_limit.percent.copy()
        values[at] = percent[row_limit.limit.measure]
        return replace(row_limit, percent=values)

    return replace(swept, limits=tuple(map(renewed, swept.limits)))


def steepest_of(
    rows: Rows, lattice: Lattice, skip: BaseGeometry, anchor_distance_m: float, terrain: Terrain
) -> dict[Measure, float]:
    """Measure the steepest place along and across rows, end post to end post; 0 unknown. [%]."""
    held = (
        spans(rows, lattice)
        if skip.is_empty
        else move_clear(rows, lattice, skip, anchor_distance_m)
    )
    length = np.where(held.count > 0, held.end_m - held.start_m, 0.0)
    slopes = steepest_slopes(row_profiles(rows, terrain), held.start_m, length)
    grade, across = (float(np.nan_to_num(np.abs(each)).max(initial=0.0)) for each in slopes)
    return {"grade": grade, "across": across}


def limit_findings(swept: Sweep, bearing_deg: float) -> Iterator[Finding]:
    """Say which bearings fell out by which limit, or that none keeps within all of them."""
    out = [row_limit for row_limit in swept.limits if row_limit.is_passed.any()]
    if not out:
        return
    values: dict[str, Value | tuple[Value, str]] = {"count": len(swept)}
    for row_limit in out:
        name = row_limit.limit.name
        values[f"{name}_out"] = int(row_limit.is_passed.sum())
        values[name] = (row_limit.limit.most_percent, "%")
    words = "words:" + ",".join(f"limit.{row_limit.limit.name}" for row_limit in out)
    if swept.is_within.any():
        yield Finding(
            "layout",
            "note",
            "layout.bearings_out",
            {
                **values,
                "out": int((~swept.is_within).sum()),
                "by": words,
                "left": spans_of(swept),
                "most": int(swept.vines.max()),
                "most_within": int(swept.vines[swept.is_within].max()),
            },
            "layout.bearing",
        )
        return
    at = int(np.argmin(np.abs(swept.bearing_deg - bearing_deg)))
    passed = [row_limit for row_limit in out if row_limit.is_passed[at]]
    for row_limit in passed:
        share = round(float(row_limit.percent[at]), 1)
        values[f"{row_limit.limit.name}_here"] = (share, "%")
    yield Finding(
        "layout",
        "care",
        "layout.no_bearing_within",
        {
            **values,
            "by": words,
            "bearing": (bearing_deg, "deg"),
            "nearest": "words:" + ",".join(f"passes.{one.limit.name}" for one in passed),
            "vines": int(swept.vines[at]),
            "most": int(swept.vines.max()),
        },
        "layout.bearing",
    )


def spans_of(swept: Sweep) -> str:
    """Write the bearings within all limits for people, such as "12–31°, 104°"."""
    order = np.argsort(swept.bearing_deg)
    is_within = swept.is_within[order]
    bearing = swept.bearing_deg[order]
    edges = np.diff(np.concatenate([[0], is_within.astype(np.int64), [0]]))
    first, last = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1) - 1
    return ", ".join(
        f"{low:g}°" if low == high else f"{low:g}–{high:g}°"
        for low, high in zip(bearing[first].tolist(), bearing[last].tolist(), strict=True)
    )
