"""The figures of sunlight on the rows as laid, and what a manager should know of it."""

from collections.abc import Iterator

import numpy as np

from aanplant.brief import Brief
from aanplant.layout.block import Layout
from aanplant.layout.row_sunlight import day_number
from aanplant.site import Site
from aanplant.stock import Stock
from aanplant.working import Finding, Input, Working

_WAYS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


def light_figures(brief: Brief, site: Site, stock: Stock, laid: Layout) -> tuple[Working, ...]:
    """Make the figures of sunlight on the rows.

    Parameters
    ----------
    brief, site, stock
        With the canopy, the place and the row width.
    laid : Layout
        The block as laid.
    """
    light, latitude_deg = laid.sunlight, site.frame.latitude_deg
    if light is None:
        return ()
    row = (
        Input("latitude", latitude_deg, "deg", "measured"),
        Input("bearing", laid.bearing_deg, "deg", "figure:layout.bearing"),
        _made(stock, "stock.row_width").as_input("row_width"),
        brief.as_input("canopy.height"),
        brief.as_input("canopy.width"),
    )
    fruit = (
        brief.as_input("canopy.fruit_height"),
        *(_day(brief, key, latitude_deg) for key in ("ripening", "harvest")),
    )
    season = (
        brief.as_input("canopy.leaf_area_index"),
        *(_day(brief, key, latitude_deg) for key in ("growing_from", "growing_to")),
    )
    alley = stock.row_width_m - brief.canopy.width
    first_shade = float(np.degrees(np.arctan2(brief.canopy.height, alley)))
    return (
        Working(
            "layout.season_light",
            float(light.season_share[0]) * 100.0,
            "%",
            (*row, *season),
            "row-light",
        ),
        Working(
            "layout.afternoon_load",
            float(light.afternoon_load_mj_m2[0]),
            "MJ/m2",
            (*row, *fruit),
            "row-light",
        ),
        Working(
            "layout.morning_load",
            float(light.morning_load_mj_m2[0]),
            "MJ/m2",
            (*row, *fruit),
            "row-light",
        ),
        Working("layout.first_shade", first_shade, "deg", row[2:], "arithmetic"),
    )


def light_findings(laid: Layout) -> Iterator[Finding]:
    """Tell how much light the rows laid take and which side the afternoon sun burns."""
    light = laid.sunlight
    if light is None:
        return
    yield Finding(
        "layout",
        "note",
        "layout.sun_on_rows",
        {
            "season": (_three(light.season_share[0] * 100.0), "%"),
            "side": f"words:way.{_way(float(light.afternoon_side_deg[0]))}",
            "afternoon": (_three(light.afternoon_load_mj_m2[0]), "MJ/m2"),
            "morning": (_three(light.morning_load_mj_m2[0]), "MJ/m2"),
        },
        "layout.afternoon_load",
        source="row-light",
    )


def _three(number: float) -> float:
    return float(f"{number:.3g}")


def _way(facing_deg: float) -> str:
    """Nearest of the eight winds, as the id of a word."""
    return _WAYS[round(facing_deg / 45.0) % len(_WAYS)].replace("-", "_")


def _made(stock: Stock, key: str) -> Working:
    return next(figure for figure in stock.figures if figure.key == key)


def _day(brief: Brief, key: str, latitude_deg: float) -> Input:
    asked = brief.as_input(f"canopy.{key}")
    return Input(key, day_number(brief, key, latitude_deg), "", asked.origin, asked.source)
