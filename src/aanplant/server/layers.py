"""What the sheet is drawn from: the places of a plan as arrays, layer by layer.

Places are offsets from the block's origin in single precision, half a millimetre at four
kilometres. Lines and rings of several corners stand in one array; ``…_first`` tells where
each begins, and one more entry where the last one ends.
"""

from collections.abc import Callable, Mapping

import numpy as np

from aanplant.files.points import row_lines
from aanplant.plan import Plan
from aanplant.server.ground_layers import slope_layer
from aanplant.server.packing import Arrays, Layer, shapes_of, single
from aanplant.server.water_layers import pipes_layer, pressure_layer

PLANNED = 0
"""State of a vine that is not planted yet; others follow with the register."""


def field_layer(plan: Plan) -> Layer:
    """Outline of the block, and what stands in the way, by one entry each."""
    site = plan.site
    items = site.exclusions
    arrays = shapes_of("boundary", [site.boundary]) | shapes_of(
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
    arrays = shapes_of("zones", [zone.geometry for zone in zones])
    arrays["pits_xy"] = single(plan.site.frame.from_lonlat(lonlat))
    return arrays, {"zones": told, "pits": [pit.name for pit in pits]}


def rows_layer(plan: Plan) -> Layer:
    """Rows from end post to end post."""
    rows = row_lines(plan)
    arrays: Arrays = {
        "rows_xy": single(rows.xy),
        "rows_first": rows.first.astype(np.int32),
        "rows_row": rows.row.astype(np.uint16),
        "rows_part": rows.part.astype(np.uint16),
        "rows_vines": rows.vines.astype(np.uint16),
        "rows_length_m": rows.length_m.astype(np.float32),
    }
    return arrays, {}


def plantable_layer(plan: Plan) -> Layer:
    """Ground on which rows may run."""
    return shapes_of("plantable", [plan.layout.plantable]), {}


def vines_layer(plan: Plan) -> Layer:
    """Return every vine with its row, its number along the row, and its state."""
    positions = plan.layout.positions
    arrays: Arrays = {
        "vines_xy": single(positions.xy),
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
        "line_posts_xy": single(positions.line_posts_xy),
        "end_posts_xy": single(positions.end_posts_xy),
        "anchors_xy": single(layout.anchors_xy),
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


def light_layer(plan: Plan) -> Layer:
    """Tell the sunlight on the rows: one answer for all of them; nothing where rows bend.

    Rows of one bearing and canopy all take the same light, so there is no map of it; what
    differs from place to place is the side that the afternoon sun strikes.
    """
    light = plan.layout.sunlight
    if light is None:
        return {}, {"season_share": None}
    told = {
        "season_share": float(light.season_share[0]),
        "afternoon_mj_m2": float(light.afternoon_load_mj_m2[0]),
        "morning_mj_m2": float(light.morning_load_mj_m2[0]),
        "afternoon_side_deg": float(light.afternoon_side_deg[0]),
    }
    return {}, told


LAYERS: Mapping[str, tuple[str, Callable[[Plan], Layer]]] = {
    "field": ("site", field_layer),
    "soil": ("site", soil_layer),
    "slope": ("site", slope_layer),
    "plantable": ("layout", plantable_layer),
    "rows": ("layout", rows_layer),
    "vines": ("layout", vines_layer),
    "posts": ("layout", posts_layer),
    "light": ("layout", light_layer),
    "wires": ("trellis", wires_layer),
    "pipes": ("water", pipes_layer),
    "pressures": ("water", pressure_layer),
}
"""Layers of the sheet: the stage that makes each, and what packs it."""
