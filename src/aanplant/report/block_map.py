"""A small map of the block for a page of text: outline, hatching, north, scale and a key."""

from collections.abc import Callable
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from aanplant.messages import word
from aanplant.report.exclusion_marks import draw_sample, hatching, on_paper
from aanplant.report.frame_marks import draw_north, draw_scale_bar
from aanplant.report.paper import SCALES, Box, Paper
from aanplant.report.style import INK, SHEET, SOFT, fitted, wrapped
from aanplant.report.svg import Drawing
from aanplant.report.view import View, extent_m, polygons_of
from aanplant.site import Site
from aanplant.units import UnitSystem

WIDTH_MM, HEIGHT_MM = 174.0, 100.0
MAP = Box(0.2, 0.2, 127.0, HEIGHT_MM - 0.4)
KEY = Box(MAP.right + 4.0, 0.0, WIDTH_MM - MAP.right - 4.0, HEIGHT_MM)
_PADDING = 4.2
_SAMPLE = Box(0.0, 0.0, 8.0, 4.0)
_NORTH_MM, _BAR_MM = 21.0, 12.0


@dataclass(frozen=True, slots=True)
class Inset(Paper):
    """A map set in a page; ``window`` is where. [mm]."""

    window: Box

    @property
    def map(self) -> Box:
        """The map window."""
        return self.window


@dataclass(frozen=True, slots=True)
class KeyLine:
    """A line of the key: what draws its sample, its name, and what is said of it below."""

    draw: Callable[[Drawing, Box], None]
    name: str
    more: str = ""


@dataclass(frozen=True, slots=True)
class Tone:
    """How an area is told apart on any printer: a ground tint and hatching.

    Parameters
    ----------
    tint : str
        Colour of the ground.
    apart_mm : float
        Distance of the hatching lines. [mm]
    hatch_deg : tuple of float
        Directions of hatching, anticlockwise from the right; none for no hatching. [deg]
    dash : str
        Dashes of the lines.
    """

    tint: str = SHEET
    apart_mm: float = 2.0
    hatch_deg: tuple[float, ...] = ()
    dash: str = ""


def inset(site: Site) -> View:
    """Place the block in the map window at the largest round scale that fits."""
    width_m, height_m, middle = extent_m(site.grid, site.boundary)
    room = MAP.shrunk(_PADDING)
    fits = (
        scale
        for scale in SCALES
        if width_m * 1000.0 / scale <= room.width and height_m * 1000.0 / scale <= room.height
    )
    return View(Inset("A4", is_landscape=False, denominator=next(fits), window=MAP),
                site.grid, middle)  # fmt: skip


def fill(drawing: Drawing, view: View, ground: BaseGeometry, tone: Tone, name: str = "") -> None:
    """Lay a tone over ground of the frame."""
    drawing.path(view.shape(ground), fill=tone.tint, name=name)
    _hatch(drawing, on_paper(view, polygons_of(ground)), tone)


def _hatch(drawing: Drawing, area: BaseGeometry, tone: Tone) -> None:
    for angle in tone.hatch_deg:
        lines = hatching(area, angle, tone.apart_mm)
        drawing.path(lines, stroke=SOFT, width=0.13, dash=tone.dash)


def tone_sample(tone: Tone) -> Callable[[Drawing, Box], None]:
    """Draw a tone as a sample of the key."""

    def draw(drawing: Drawing, box: Box) -> None:
        drawing.box(box.x, box.y, box.width, box.height, fill=tone.tint, stroke=INK, line=0.15)
        _hatch(drawing, shapely.box(box.x, box.y, box.right, box.bottom), tone)

    return draw


def exclusion_lines(site: Site) -> list[KeyLine]:
    """Lines of the key for the things that rows stop for."""
    kinds = dict.fromkeys(item.kind for item in site.exclusions if item.treatment == "avoid")
    return [KeyLine(_exclusion_sample(kind), word(f"kind.{kind}")) for kind in kinds]


def _exclusion_sample(kind: str) -> Callable[[Drawing, Box], None]:
    return lambda drawing, box: draw_sample(drawing, box, kind, "avoid")


def draw_frame_and_key(
    drawing: Drawing, view: View, lines: list[KeyLine], system: UnitSystem
) -> None:
    """Frame the map and write north, scale and key beside it."""
    drawing.box(MAP.x, MAP.y, MAP.width, MAP.height, stroke=INK, line=0.3)
    draw_north(drawing, Box(KEY.x, 1.0, KEY.width, _NORTH_MM), view.grid)
    # The bar leaves room for its last figure; a little more lets it be as long as the key.
    bar = Box(KEY.x, _NORTH_MM + 3.0, KEY.width + 3.0, _BAR_MM)
    draw_scale_bar(drawing, bar, view.paper.denominator, system)
    y = bar.bottom + 3.0
    for line in lines:
        x = KEY.x + _SAMPLE.width + 2.0
        room = KEY.right - x
        more = wrapped(line.more, room, 2.2) if line.more else []
        height = _SAMPLE.height + 1.6 + 2.9 * max(len(more) - 1, 0) + (1.6 if more else 0.0)
        if y + height > KEY.bottom + 1.0:
            break
        line.draw(drawing, Box(KEY.x, y, _SAMPLE.width, _SAMPLE.height - 0.6))
        drawing.text(x, y + 2.5, fitted(line.name, room, 2.4, "figure"), size=2.4, face="figure")
        for number, text in enumerate(more):
            drawing.text(x, y + 5.6 + 2.9 * number, text, size=2.2, colour=SOFT)
        y += height
