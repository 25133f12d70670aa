"""How things in the field look on the sheet: hatched where rows stop, dashed where they run on."""

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from aanplant.inputs import Exclusion
from aanplant.report.paper import Box
from aanplant.report.style import CARE, INK, SHEET, SOFT, WATER, WATER_TINT
from aanplant.report.svg import Drawing, ring, strokes
from aanplant.report.view import View, polygons_of

_ROUND_ARC = 16


@dataclass(frozen=True, slots=True)
class Look:
    """Marks of one kind of thing.

    Parameters
    ----------
    colour : str
        Of its lines.
    hatch_deg : tuple of float
        Directions of hatching, anticlockwise from the right; none for no hatching. [deg]
    spacing_mm : float
        Between hatch lines. [mm]
    fill : str
        Of the thing itself where it has an area.
    line_dash : str
        Of the thing itself where it is a line.
    """

    colour: str = SOFT
    hatch_deg: tuple[float, ...] = (135.0,)
    spacing_mm: float = 1.8
    fill: str = "none"
    line_dash: str = ""


LOOKS: dict[str, Look] = {
    "dam": Look(WATER, (0.0,), 1.4, fill=WATER_TINT),
    "watercourse": Look(WATER, (0.0,), 1.4, fill=WATER_TINT),
    "rock": Look(INK, (45.0, 135.0), 1.9),
    "tree": Look(SOFT, (60.0, 120.0), 2.4),
    "building": Look(INK, (45.0,), 0.9),
    "road": Look(SOFT, (90.0,), 1.6),
    "power line": Look(CARE, (135.0,), 2.2, line_dash="4 0.8 0.6 0.8 0.6 0.8"),
    "drain": Look(WATER, (45.0,), 1.8, line_dash="2.4 0.8"),
    "pipe": Look(WATER, (135.0,), 1.8, line_dash="3 0.7 0.7 0.7"),
    "cable": Look(CARE, (45.0,), 1.8, line_dash="1.6 0.7"),
    "fence": Look(INK, (45.0,), 1.8, line_dash="2.4 0.6 0.3 0.6"),
}
OTHER = Look()
SKIP_DASH = "1.4 0.7"


def draw_exclusion(drawing: Drawing, view: View, item: Exclusion) -> None:
    """Draw a thing in the field with the ground kept free around it."""
    look = LOOKS.get(item.kind, OTHER)
    zone = on_paper(view, item.geometry.buffer(item.reach_m, quad_segs=_ROUND_ARC))
    thing = on_paper(view, item.geometry)
    _draw_zone(drawing, zone, look, is_avoided=item.treatment == "avoid")
    _draw_thing(drawing, thing, look)


def draw_sample(drawing: Drawing, area: Box, kind: str, treatment: str) -> None:
    """Draw a small sample for the legend."""
    look = LOOKS.get(kind, OTHER)
    zone = box(area.x, area.y, area.right, area.bottom)
    _draw_zone(drawing, zone, look, is_avoided=treatment == "avoid")
    if look.line_dash:
        middle = area.y + area.height / 2.0
        drawing.line(
            area.x, middle, area.right, middle,
            stroke=look.colour, width=0.35, dash=look.line_dash,
        )  # fmt: skip
    elif look.fill != "none":
        _draw_thing(drawing, zone.buffer(-area.height / 4.0), look)


def on_paper(view: View, geometry: BaseGeometry) -> BaseGeometry:
    """Place a geometry on paper and keep its part inside the map window [m -> mm]."""
    window = view.window
    placed = shapely.transform(geometry, view.to_paper)
    clipped: BaseGeometry = shapely.intersection(
        shapely.make_valid(placed), box(window.x, window.y, window.right, window.bottom)
    )
    return clipped


def hatching(area: BaseGeometry, angle_deg: float, spacing_mm: float) -> str:
    """Path data of parallel lines across an area on paper.

    Lines of all areas belong to one set, so that neighbours match.
    """
    if area.is_empty:
        return ""
    along = np.array([np.cos(np.radians(angle_deg)), -np.sin(np.radians(angle_deg))])
    across = np.array([-along[1], along[0]])
    corners = shapely.get_coordinates(area)
    reach, over = corners @ along, corners @ across
    steps = np.arange(np.ceil(over.min() / spacing_mm), np.floor(over.max() / spacing_mm) + 1)
    feet = (steps * spacing_mm)[:, None] * across
    lines = shapely.linestrings(
        np.stack([feet + reach.min() * along, feet + reach.max() * along], axis=1)
    )
    pieces = shapely.get_parts(shapely.intersection(lines, area))
    pieces = pieces[shapely.get_type_id(pieces) == shapely.GeometryType.LINESTRING]
    ends = shapely.get_coordinates(pieces).reshape(-1, 2, 2)
    return strokes(ends[:, 0], ends[:, 1])


def _draw_zone(drawing: Drawing, zone: BaseGeometry, look: Look, *, is_avoided: bool) -> None:
    zone = polygons_of(zone)
    outline = rings(zone)
    if not is_avoided:
        drawing.path(outline, stroke=look.colour, width=0.22, dash=SKIP_DASH)
        return
    drawing.path(outline, fill=SHEET)
    for angle in look.hatch_deg:
        drawing.path(hatching(zone, angle, look.spacing_mm), stroke=look.colour, width=0.12)
    drawing.path(outline, stroke=look.colour, width=0.22)


def _draw_thing(drawing: Drawing, thing: BaseGeometry, look: Look) -> None:
    for part in shapely.get_parts(thing):
        if isinstance(part, Polygon):
            drawing.path(rings(part), fill=look.fill, stroke=look.colour, width=0.3)
        elif part.geom_type == "Point":
            drawing.circle(part.x, part.y, 0.5, fill=look.colour)
        elif not part.is_empty:
            shape = "M" + "L".join(f"{x:.3f} {y:.3f}" for x, y in part.coords)
            drawing.path(shape, stroke=look.colour, width=0.35, dash=look.line_dash)


def rings(area: BaseGeometry) -> str:
    """Path data of all rings of an area that is on paper already."""
    found = shapely.get_rings(shapely.get_parts(area))
    return "".join(ring(shapely.get_coordinates(item)[:-1]) for item in found)
