"""The map of soil zones: which part of the block has which soil, and where its pit was dug."""

import shapely
from shapely.geometry.base import BaseGeometry

from aanplant.messages import word
from aanplant.plan import Plan
from aanplant.report import block_map as maps
from aanplant.report.block_map import KeyLine, Tone
from aanplant.report.block_marks import draw_boundary
from aanplant.report.exclusion_marks import draw_exclusion
from aanplant.report.labels import Room
from aanplant.report.paper import Box
from aanplant.report.site_words import short
from aanplant.report.style import INK, SHEET, fitted, text_width
from aanplant.report.svg import Drawing
from aanplant.report.view import View, polygons_of
from aanplant.site import Site
from aanplant.site.zones import Zone
from aanplant.units import UnitSystem

TONES = {
    "high": Tone("#DCD2BA"),
    "medium": Tone("#F2ECDF", 3.0, (90.0,)),
    "low": Tone(SHEET, 1.7, (45.0,)),
    "unknown": Tone(SHEET, 3.0, (0.0,), dash="0.5 1.6"),
}
"""By potential: the more a soil can carry, the fuller its tint; told apart by hatching."""
_WIDEST = 46.0


def zone_map(plan: Plan, *, system: UnitSystem = "metric") -> Drawing:
    """Draw the soil zones of a block with their pits.

    Parameters
    ----------
    plan : Plan
        Whose site has a soil survey.
    system : {"metric", "imperial"}
        Units of depth and water.

    Raises
    ------
    ValueError
        If no pit was dug.
    """
    site = plan.site
    if site.soil is None:
        raise ValueError("a map of soil zones needs pits")
    view = maps.inset(site)
    window = view.window
    drawing = Drawing(maps.WIDTH_MM, maps.HEIGHT_MM, word("site_report.zone_map"))
    drawing.clip(window.x, window.y, window.width, window.height)
    zones = site.soil.zones
    for zone in zones:
        maps.fill(drawing, view, zone.geometry, TONES[zone.potential.name], "zone")
    for zone in zones:
        drawing.path(view.shape(zone.geometry), stroke=INK, width=0.25, name="zone-edge")
    for item in site.exclusions:
        if item.treatment == "avoid":
            draw_exclusion(drawing, view, item)
    draw_boundary(drawing, view, site)
    room = Room(window.shrunk(0.8))
    pits = view.to_paper(site.soil.pits_xy)
    for (x, y), profile in zip(pits.tolist(), site.soil.profiles, strict=True):
        pit_mark(drawing, Box(x - 1.3, y - 1.3, 2.6, 2.6))
        room.take(Box(x - 1.8, y - 1.8, 3.6, 3.6))
        # Where zones go by the nearest pit, the name of the zone is enough.
        if profile.pit.name not in {zone.name for zone in zones}:
            _name_pit(drawing, room, (x, y), profile.pit.name)
    for zone in sorted(zones, key=lambda one: -one.area_ha):
        _name_zone(drawing, view, room, zone, system)
    drawing.unclip()
    maps.draw_frame_and_key(drawing, view, _key(site, zones), system)
    return drawing


def pit_mark(drawing: Drawing, box: Box) -> None:
    """Draw a square hole with a cross."""
    drawing.box(box.x, box.y, box.width, box.height, fill=SHEET, stroke=INK, line=0.35)
    cross = (
        f"M{box.x:.3f} {box.y:.3f}L{box.right:.3f} {box.bottom:.3f}"
        f"M{box.right:.3f} {box.y:.3f}L{box.x:.3f} {box.bottom:.3f}"
    )
    drawing.path(cross, stroke=INK, width=0.25, name="pit")


def _name_pit(drawing: Drawing, room: Room, at: tuple[float, float], name: str) -> None:
    x, y = at
    text = fitted(name, 24.0, 2.2)
    width = text_width(text, 2.2)
    box = room.first_free(
        [Box(x + 2.2, y - 1.2, width, 2.4), Box(x - 2.2 - width, y - 1.2, width, 2.4)]
    )
    if box is not None:
        drawing.text(box.x, box.y + 2.0, text, size=2.2, halo=0.4)


def _name_zone(drawing: Drawing, view: View, room: Room, zone: Zone, system: UnitSystem) -> None:
    """Write name, potential and water of a zone inside it, where nothing else stands."""
    on_map = shapely.transform(polygons_of(zone.geometry), view.to_paper)
    water, depth = zone.available_water_mm, zone.depth_m
    unknown = word("site_report.unknown")
    told = [
        word(f"site_report.potential.{zone.potential.name}"),
        word("site_report.zone.water").format(
            water=unknown if water is None else short(water, "mm", system)
        ),
        word("site_report.zone.depth").format(
            depth=unknown if depth is None else _depth(zone, depth, system)
        ),
    ]
    for count in (3, 2, 1, 0):
        lines = [fitted(zone.name, _WIDEST, 2.8, "figure"), *told[:count]]
        width = max(text_width(lines[0], 2.8, "figure"),
                    *(text_width(line, 2.2) for line in lines[1:]), 4.0)  # fmt: skip
        height = 3.6 + 2.9 * count
        for x, y in _places(on_map, width, height):
            box = room.first_free([Box(x - width / 2 - 0.6, y - height / 2 - 0.6,
                                       width + 1.2, height + 1.2)])  # fmt: skip
            if box is None:
                continue
            top = y - height / 2
            drawing.text(
                x, top + 2.6, lines[0], size=2.8, face="figure", align="middle", halo=0.6
            )  # fmt: skip
            for number, line in enumerate(lines[1:], start=1):
                drawing.text(
                    x, top + 2.6 + 3.1 * number, line, size=2.2, align="middle",
                    colour=INK, halo=0.5,
                )  # fmt: skip
            return


def _depth(zone: Zone, depth_m: float, system: UnitSystem) -> str:
    text = short(depth_m, "m", system)
    is_deeper = zone.profile is not None and zone.profile.is_deeper
    return word("site_report.at_least").format(value=text) if is_deeper else text


def _places(ground: BaseGeometry, width: float, height: float) -> list[tuple[float, float]]:
    """Middles of a label inside ground on paper, the roomiest first."""
    left, top, right, bottom = ground.bounds
    middle = shapely.maximum_inscribed_circle(max(
        shapely.get_parts(ground), key=lambda part: part.area)).coords[0]  # fmt: skip
    steps = [
        (x, y)
        for x in _between(left + width / 2, right - width / 2)
        for y in _between(top + height / 2, bottom - height / 2)
    ]
    steps.sort(key=lambda at: (at[0] - middle[0]) ** 2 + (at[1] - middle[1]) ** 2)
    shapely.prepare(ground)
    return [
        (x, y)
        for x, y in [(float(middle[0]), float(middle[1])), *steps]
        if ground.contains(
            shapely.box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)
        )
    ]


def _between(low: float, high: float) -> list[float]:
    """Values two millimetres apart."""
    return [low + 2.0 * number for number in range(int((high - low) / 2.0) + 1)]


def _key(site: Site, zones: tuple[Zone, ...]) -> list[KeyLine]:
    shown = {zone.potential.name for zone in zones}
    lines = [
        KeyLine(maps.tone_sample(tone), word(f"site_report.potential.{name}"))
        for name, tone in TONES.items()
        if name in shown
    ]
    lines.append(KeyLine(_pit_sample, word("site_report.key.pit")))
    lines.append(KeyLine(_edge_sample, word("site_report.key.edge")))
    return [*lines, *maps.exclusion_lines(site)]


def _pit_sample(drawing: Drawing, box: Box) -> None:
    pit_mark(drawing, Box(box.x + 2.8, box.y + 0.4, 2.6, 2.6))


def _edge_sample(drawing: Drawing, box: Box) -> None:
    y = box.y + box.height / 2.0
    drawing.line(box.x, y, box.right, y, stroke=INK, width=0.25)
