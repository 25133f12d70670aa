"""Every zone's soil as a column: its layers, what stops roots, and how deep it is loosened."""

from typing import TYPE_CHECKING

import numpy as np

from aanplant.messages import word
from aanplant.plan import Plan
from aanplant.report.exclusion_marks import hatching
from aanplant.report.paper import Box
from aanplant.report.plot import LABEL, Plot, round_ticks
from aanplant.report.site_words import short
from aanplant.report.style import CARE, HEADLAND, INK, PEN, SHEET, SOFT, WATER, fitted
from aanplant.report.svg import Drawing
from aanplant.units import UnitSystem, shown_in
from aanplant.work.zone_preparation import ZonePreparation

if TYPE_CHECKING:
    from aanplant.site.profile import Profile, SoilLayer

WIDTH_MM, DEPTH_MM = 174.0, 44.0
_LEFT, _RIGHT, _TOP, _FOOT = 16.0, 2.0, 8.0, 6.0
_BROADEST, _GAP = 34.0, 4.0
_IN_ROW = 6
STONY_PCT = 15.0
"""From this share of stones by volume on a layer is dotted (judgement, for the eye alone)."""


def soil_columns(plan: Plan, *, system: UnitSystem = "metric") -> Drawing:
    """Draw the soil of every zone with a pit, six to a line.

    Raises
    ------
    ValueError
        If no zone has a pit, or the work was not planned.
    """
    work = plan.results.get("work")
    zones = [] if work is None else [zone for zone in work.soil.zones if zone.zone.profile]
    if not zones:
        raise ValueError("columns of soil need pits")
    lines = [zones[first : first + _IN_ROW] for first in range(0, len(zones), _IN_ROW)]
    tall = _TOP + DEPTH_MM + 3.0
    drawing = Drawing(WIDTH_MM, tall * len(lines) + _FOOT, word("site_report.columns"))
    depth_m = max(profile.pit.depth_m for zone in zones if (profile := zone.zone.profile))
    deepest = max(depth_m, *(zone.loosening.depth_m for zone in zones if zone.loosening))
    broad = min(_BROADEST, (WIDTH_MM - _LEFT - _RIGHT) / min(len(zones), _IN_ROW) - _GAP)
    factor, unit = shown_in(1.0, "m", system)
    for number, line in enumerate(lines):
        area = Box(_LEFT, number * tall + _TOP, len(line) * (broad + _GAP), DEPTH_MM)
        plot = Plot(area, 0.0, 1.0, 1.02 * deepest * factor, 0.0)
        plot.levels(drawing, round_ticks(0.0, plot.low, 4))
        drawing.text(area.x - 1.2, area.y - 2.4, unit, size=LABEL, align="end", colour=SOFT)
        for place, zone in enumerate(line):
            x = area.x + 2.0 + place * (broad + _GAP)
            _draw_column(drawing, plot, (x, broad), zone, system)
    profiles = [zone.zone.profile for zone in zones if zone.zone.profile]
    _draw_key(
        drawing,
        tall * len(lines) + 3.0,
        has_water=any(profile.pit.water_table_m is not None for profile in profiles),
        has_stones=any(
            (layer.stones_volume_pct or 0.0) >= STONY_PCT
            for profile in profiles
            for layer in profile.layers
        ),
    )
    return drawing


def _draw_column(
    drawing: Drawing,
    plot: Plot,
    place: tuple[float, float],
    zone: ZonePreparation,
    system: UnitSystem,
) -> None:
    x, broad = place
    profile = zone.zone.profile
    assert profile is not None  # noqa: S101 - only zones with a pit are drawn
    factor, _ = shown_in(1.0, "m", system)
    name = fitted(zone.zone.name, broad, 2.5, "figure")
    drawing.text(x, plot.area.y - 2.4, name, size=2.5, face="figure")
    for number, layer in enumerate(profile.layers):
        top, bottom = (
            float(plot.down(part * factor))
            for part in (layer.measured.top_m, layer.measured.bottom_m)
        )
        fill = HEADLAND if number % 2 else SHEET
        _draw_layer(drawing, Box(x, top, broad, bottom - top), layer, fill)
    _draw_limit(drawing, plot, (x, broad), profile, factor)
    if zone.loosening is not None and zone.loosening.depth_m > 0.0:
        y = float(plot.down(zone.loosening.depth_m * factor))
        drawing.line(x - 1.6, y, x + broad + 1.6, y, stroke=PEN, width=0.5, dash="2 0.9")
        text = short(zone.loosening.depth_m, "m", system)
        drawing.text(x + broad - 0.6, y - 0.9, text, size=2.2, face="figure", align="end",
                     colour=PEN, halo=0.4)  # fmt: skip


def _draw_layer(drawing: Drawing, box: Box, layer: "SoilLayer", fill: str) -> None:
    drawing.box(box.x, box.y, box.width, box.height, fill=fill, stroke=INK, line=0.2)
    is_named = box.height > 3.6 and bool(layer.texture)  # noqa: PLR2004 - room for a line
    stones = layer.stones_volume_pct
    if stones is not None and stones >= STONY_PCT:
        named_mm = 3.4 if is_named else 0.0
        room = Box(box.x, box.y + named_mm, box.width, box.height - named_mm)
        _draw_stones(drawing, room, stones)
    if is_named:
        text = fitted(layer.texture, box.width - 2.0, LABEL)
        drawing.text(box.x + 1.0, box.y + 3.0, text, size=LABEL)


def _draw_stones(drawing: Drawing, box: Box, stones_pct: float) -> None:
    """Sprinkle small triangles evenly, the denser the more stones; the same every time."""
    apart = 5.2 - 0.05 * min(stones_pct, 60.0)
    rows = np.arange(box.y + 1.6, box.bottom - 1.0, apart * 0.8)
    shape = "".join(
        f"M{x:.2f} {y:.2f}l0.6 1h-1.2z"
        for number, y in enumerate(rows.tolist())
        for x in np.arange(box.x + 1.4 + (number % 2) * apart / 2, box.right - 1.0, apart).tolist()
    )
    drawing.path(shape, stroke=SOFT, width=0.14, name="stones")


def _draw_limit(
    drawing: Drawing, plot: Plot, place: tuple[float, float], profile: "Profile", factor: float
) -> None:
    """Bar the depth at which roots stop and name what stops them; wave the water table."""
    from shapely import box as rectangle

    x, broad = place
    pit = profile.pit
    if pit.limiting_depth_m is not None:
        y = float(plot.down(pit.limiting_depth_m * factor))
        drawing.line(x, y, x + broad, y, stroke=CARE, width=0.7)
        lines = hatching(rectangle(x, y, x + broad, y + 1.6), 45.0, 0.8)
        drawing.path(lines, stroke=CARE, width=0.16)
        kind = fitted(pit.limiting_kind, broad - 2.0, 2.2)
        drawing.text(x + broad - 1.0, y + 4.2, kind, size=2.2, colour=CARE, align="end",
                     halo=0.3)  # fmt: skip
    if pit.water_table_m is not None:
        y = float(plot.down(pit.water_table_m * factor))
        drawing.line(x, y, x + broad, y, stroke=WATER, width=0.5, dash="1.4 0.6")


def _draw_key(drawing: Drawing, y: float, *, has_water: bool, has_stones: bool) -> None:
    samples = [("key.loosened", PEN, 0.5, "2 0.9"), ("key.limit", CARE, 0.7, "")]
    if has_water:
        samples.append(("key.water_table", WATER, 0.5, "1.4 0.6"))
    x = _LEFT + 2.0
    for name, colour, width, dash in samples:
        drawing.line(x, y, x + 7.0, y, stroke=colour, width=width, dash=dash)
        drawing.text(x + 8.4, y + 0.8, word(f"site_report.{name}"), size=LABEL, colour=SOFT)
        x += 36.0
    if has_stones:
        drawing.path(f"M{x:.2f} {y - 0.6:.2f}l0.6 1h-1.2z", stroke=SOFT, width=0.2)
        drawing.text(x + 2.4, y + 0.8, word("site_report.key.stones"), size=LABEL, colour=SOFT)
