"""What the sheet is redrawn from: the layout of a block as arrays, with its figures."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from aanplant import messages, tables
from aanplant.plan import Plan
from aanplant.server.arrays import packed
from aanplant.units import UnitSystem, show
from aanplant.working import Finding, Input, Working

STAGE = "layout"
"""A preview stops after this stage."""


def preview_bytes(plan: Plan, *, system: UnitSystem) -> bytes:
    """Pack a plan that ran at least up to its layout.

    Positions are offsets from the block's origin in single precision: half a millimetre
    at four kilometres.
    """
    layout, positions = plan.layout, plan.layout.positions
    rows = positions.rows
    arrays: dict[str, NDArray[Any]] = {
        "vines_xy": _single(positions.xy),
        "rows_start_xy": _single(rows.start_xy),
        "rows_end_xy": _single(rows.end_xy),
        "line_posts_xy": _single(positions.line_posts_xy),
        "end_posts_xy": _single(positions.end_posts_xy),
        "anchors_xy": _single(
            positions.end_posts_xy
            + positions.end_posts_outward_xy * plan.brief.rows.anchor_distance
        ),
        "vine_number": positions.number.astype("<i4"),
        "vine_row": positions.row.astype("<u2"),
        "row_number": rows.row.astype("<u2"),
        "row_part": rows.part.astype("<u2"),
    }
    if rows.paths is not None:
        del arrays["rows_start_xy"], arrays["rows_end_xy"]
    about = {
        "bearing_deg": layout.bearing_deg,
        "digest": plan.digests[STAGE],
        "longitude_deg": plan.site.frame.longitude_deg,
        "latitude_deg": plan.site.frame.latitude_deg,
        "figures": [told_figure(figure, system) for figure in plan.figures],
        "findings": [told_finding(finding, plan, system) for finding in plan.findings],
    }
    return packed(arrays, about)


def _single(xy: NDArray[np.float64]) -> NDArray[np.float32]:
    return np.asarray(xy, np.float32)


def told_figure(figure: Working, system: UnitSystem) -> dict[str, Any]:
    """Tell a figure with its working, each value also as it is shown."""
    return {
        "key": figure.key,
        "label": messages.label(figure),
        "value": figure.value,
        "unit": figure.unit,
        "shown": show(figure.value, figure.unit, system),
        "formula": messages.formula(figure),
        "inputs": [_told_input(item, system) for item in figure.inputs],
        "source": _told_source(figure.source),
    }


def told_finding(finding: Finding, plan: Plan, system: UnitSystem) -> dict[str, Any]:
    """Tell a finding as its sentence, with what it points at."""
    place = None
    if finding.place is not None:
        longitude, latitude = plan.site.frame.to_lonlat([finding.place])[0]
        place = {
            "x_m": finding.place[0],
            "y_m": finding.place[1],
            "longitude_deg": longitude,
            "latitude_deg": latitude,
        }
    return {
        "stage": finding.stage,
        "level": finding.level,
        "message": finding.message,
        "text": messages.sentence(finding, system),
        "figure": finding.figure,
        "source": _told_source(finding.source),
        "place": place,
    }


def _told_input(item: Input, system: UnitSystem) -> dict[str, Any]:
    return {
        "name": item.name,
        "value": item.value,
        "shown": show(item.value, item.unit, system),
        "origin": item.origin,
        "source": _told_source(item.source) if item.source else None,
    }


def _told_source(name: str) -> dict[str, str]:
    source = tables.sources()[name]
    return {"id": source.id, "text": source.text, "certainty": source.certainty}
