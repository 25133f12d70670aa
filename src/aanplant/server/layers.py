"""What the sheet is drawn from: the places of a plan as arrays, layer by layer.

Places are offsets from the block's origin in single precision, half a millimetre at four
kilometres. Lines and rings of several corners stand in one array; ``…_first`` tells where
each begins, and one more entry where the last one ends.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.files.points import row_lines
from aanplant.files.water_features import laid_pipes, laid_valves
from aanplant.plan import Plan
from aanplant.server.ground_layers import slope_layer
from aanplant.water.designed import DesignedSystem
from aanplant.water.emitters import KPA_PER_M

Arrays = dict[str, NDArray[Any]]
Layer = tuple[Arrays, dict[str, Any]]
PLANNED = 0
"""State of a vine that is not planted yet; others follow with the register."""
NO_SET = 0


def field_layer(plan: Plan) -> Layer:
    """Outline of the block, and what stands in the way, by one entry each."""
    site = plan.site
    items = site.exclusions
    arrays = _shapes("boundary", [site.boundary]) | _shapes(
        "exclusions", [item.geometry for item in items]
    )
    told = [
        {
            "name": item.name,
            "kind": item.kind,
            "treatment": item.treatment,
            "clearance_m": item.clearance_m,
            "corridor_width_m": item.corridor_width_m,
        }
        for item in items
    ]
    return arrays, {"exclusions": told}


def soil_layer(plan: Plan) -> Layer:
    """Soil zones and the pits that stand for them; nothing where no pit was dug."""
    soil = plan.site.soil
    zones = () if soil is None else soil.zones
    told = [
        {
            "name": zone.name,
            "pit": zone.pit.name if zone.pit else None,
            "area_ha": zone.area_ha,
            "depth_m": zone.depth_m,
            "available_water_mm": zone.available_water_mm,
            "potential": zone.potential.name,
        }
        for zone in zones
    ]
    pits = plan.inputs.pits
    lonlat = np.array([(pit.longitude_deg, pit.latitude_deg) for pit in pits]).reshape(-1, 2)
    arrays = _shapes("zones", [zone.geometry for zone in zones])
    arrays["pits_xy"] = _single(plan.site.frame.from_lonlat(lonlat))
    return arrays, {"zones": told, "pits": [pit.name for pit in pits]}


def rows_layer(plan: Plan) -> Layer:
    """Rows from end post to end post."""
    rows = row_lines(plan)
    arrays: Arrays = {
        "rows_xy": _single(rows.xy),
        "rows_first": rows.first.astype(np.int32),
        "rows_row": rows.row.astype(np.uint16),
        "rows_part": rows.part.astype(np.uint16),
        "rows_vines": rows.vines.astype(np.uint16),
        "rows_length_m": rows.length_m.astype(np.float32),
    }
    return arrays, {}


def plantable_layer(plan: Plan) -> Layer:
    """Ground on which rows may run."""
    return _shapes("plantable", [plan.layout.plantable]), {}


def vines_layer(plan: Plan) -> Layer:
    """Return every vine with its row, its number along the row, and its state."""
    positions = plan.layout.positions
    arrays: Arrays = {
        "vines_xy": _single(positions.xy),
        "vines_number": positions.number.astype(np.int32),
        "vines_row": positions.row.astype(np.uint16),
        "vines_state": np.full(len(positions), PLANNED, np.uint8),
    }
    return arrays, {}


def posts_layer(plan: Plan) -> Layer:
    """Line posts, end posts and anchors."""
    positions, layout = plan.layout.positions, plan.layout
    row = positions.rows.row
    arrays: Arrays = {
        "line_posts_xy": _single(positions.line_posts_xy),
        "end_posts_xy": _single(positions.end_posts_xy),
        "anchors_xy": _single(layout.anchors_xy),
        "line_posts_row": row[positions.line_posts_piece].astype(np.uint16),
        "end_posts_row": row[positions.end_posts_piece].astype(np.uint16),
        "anchors_row": row[layout.anchors_piece].astype(np.uint16),
    }
    return arrays, {}


def wires_layer(plan: Plan) -> Layer:
    """Return the wires of every row; each runs along the row's own line."""
    told = [
        {
            "name": wire.name,
            "height_m": wire.height_m,
            "diameter_mm": wire.diameter_mm,
            "strands": wire.strands,
            "role": wire.role,
            "movable": wire.movable,
            "offset_m": wire.offset_m,
        }
        for wire in plan.trellis.wires
    ]
    return {}, {"wires": told}


def pipes_layer(plan: Plan) -> Layer:
    """Pipes with their sets and sizes, and the valves on them; nothing without a system."""
    made = plan.water.system
    if made is None:
        return {}, {"pipes": [], "valves": []}
    pipes, valves = laid_pipes(made), laid_valves(made)
    arrays = _lines("pipes", [one.run.xy for one in pipes])
    arrays |= {
        "pipes_bore_mm": np.array([one.pipe.bore_m * 1000 for one in pipes], np.float32),
        "pipes_flow_m3_h": np.array([one.run.flow_m3_s * 3600 for one in pipes], np.float32),
        "valves_xy": _single(valves.xy),
        "valves_kpa": valves.pressure_kpa.astype(np.float32),
        "pipes_set": np.array([one.set_number or NO_SET for one in pipes], np.uint16),
        "valves_set": np.array([one or NO_SET for one in valves.set_number], np.uint16),
    }
    named = [{"code": one.code, "kind": one.run.kind, "row": one.row} for one in pipes]
    kinds = [
        {"code": code, "kind": kind} for code, kind in zip(valves.code, valves.kind, strict=True)
    ]
    return arrays, {"pipes": named, "valves": kinds}


def pressure_layer(plan: Plan) -> Layer:
    """Return the pressure at every dripper while its set runs; nothing without a system."""
    made: DesignedSystem | None = plan.water.system
    if made is None:
        return {}, {}
    system = made.system
    own = np.flatnonzero(system.is_emitter)
    laterals = system.laterals
    arrays: Arrays = {
        "drippers_xy": _single(system.xy[own]),
        "drippers_kpa": (made.pressure_m[own] * KPA_PER_M).astype(np.float32),
        "drippers_set": (laterals.set_of[system.lateral[own]] + 1).astype(np.uint16),
    }
    return arrays, {}


LAYERS: Mapping[str, tuple[str, Callable[[Plan], Layer]]] = {
    "field": ("site", field_layer),
    "soil": ("site", soil_layer),
    "slope": ("site", slope_layer),
    "plantable": ("layout", plantable_layer),
    "rows": ("layout", rows_layer),
    "vines": ("layout", vines_layer),
    "posts": ("layout", posts_layer),
    "wires": ("trellis", wires_layer),
    "pipes": ("water", pipes_layer),
    "pressures": ("water", pressure_layer),
}
"""Layers of the sheet: the stage that makes each, and what packs it."""


def _single(xy: NDArray[np.float64]) -> NDArray[np.float32]:
    return np.asarray(xy, np.float32)


def _lines(name: str, lines: Sequence[NDArray[np.float64]]) -> Arrays:
    first = np.cumsum([0, *(len(line) for line in lines)])
    corners = np.concatenate(lines) if lines else np.empty((0, 2))
    return {f"{name}_xy": _single(corners), f"{name}_first": first.astype(np.int32)}


def _shapes(name: str, shapes: Iterable[BaseGeometry]) -> Arrays:
    """Lines, points and rings of some shapes; ``…_shape`` tells whose each is."""
    owners: list[int] = []
    lines: list[NDArray[np.float64]] = []
    for owner, shape in enumerate(shapes):
        for part in shapely.get_parts(shape).tolist():
            rings = shapely.get_rings(part).tolist() if part.geom_type == "Polygon" else [part]
            lines += [shapely.get_coordinates(ring) for ring in rings]
            owners += [owner] * len(rings)
    return {**_lines(name, lines), f"{name}_shape": np.array(owners, np.uint16)}
