"""Invented blocks of all shapes, planned, for the papers to be drawn from."""

from datetime import UTC, datetime
from functools import cache

import numpy as np
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from aanplant.brief import Brief
from aanplant.inputs import CultivarFact, Exclusion, Inputs, Outline
from aanplant.plan import Plan, make_plan
from aanplant.site.frame import Frame

MADE = datetime(2026, 11, 25, 8, 30, tzinfo=UTC)
SOUTH = Frame(19.302, -33.612)
NORTH = Frame(11.255, 43.771)

KIEPERSOL = np.array(
    [[-60, 140], [55, 155], [140, 125], [185, 40], [155, -50], [35, -95],
     [-85, -105], [-160, -70], [-168, 10], [-120, 85]]
)  # fmt: skip
KIEPERSOL_THINGS = (
    ("Kiepersol dam", "dam", "avoid", Point(80, -20).buffer(16), 3.0, 0.0),
    ("11 kV line", "power line", "skip", LineString([(-260, 40), (260, 128)]), 2.0, 12.0),
    ("rock outcrop", "rock", "avoid", Point(-70, -30).buffer(7), 1.0, 0.0),
    ("", "drain", "skip", LineString([(-140, -80), (-60, 40), (-55, 200)]), 1.5, 0.0),
)


def planned(
    corners: np.ndarray,
    *,
    frame: Frame = SOUTH,
    grid: str = "EPSG:2048",
    estate: str = "Lowquince",
    block: str = "Kiepersol",
    things: tuple[tuple[str, str, str, BaseGeometry, float, float], ...] = (),
    bearing: float | str = 32.0,
    **vines: object,
) -> Plan:
    """Plan a block whose corners are given in metres around the middle of a frame."""
    brief = Brief.model_validate(
        {
            "block": {"name": block, "boundary": "b.geojson"},
            "vines": {"cultivar": "Chenin blanc", "rootstock": "110R",
                      "row_width": 2.5, "vine_spacing": 1.2, **vines},
            "rows": {"bearing": bearing},
        }
    )  # fmt: skip
    ring = np.vstack([corners, corners[:1]])
    outline = Outline("b.geojson", "polygon", (frame.to_lonlat(ring),))
    exclusions = tuple(
        Exclusion(name, kind, treatment, frame.geometry_to_lonlat(shape), clearance, width)
        for name, kind, treatment, shape, clearance, width in things
    )
    return make_plan(
        brief,
        Inputs(
            outline,
            exclusions,
            estate=estate,
            set_out_grid=grid,
            cultivars=(
                CultivarFact(brief.vines.cultivar, "remark", None, None, "of a test", "invented"),
            ),
        ),
        until="layout",
    )


@cache
def kiepersol() -> Plan:
    """About 8 ha, ten corners, a dam, a power line, a rock and a drain."""
    return planned(KIEPERSOL, things=KIEPERSOL_THINGS)


def rectangle(width: float, height: float, turned_deg: float = 0.0) -> np.ndarray:
    """Corners of a rectangle around the middle, turned clockwise."""
    corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * [width / 2, height / 2]
    angle = np.radians(turned_deg)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    turned: np.ndarray = corners @ turn
    return turned


@cache
def tiny() -> Plan:
    """0.2 ha."""
    return planned(rectangle(42.0, 48.0, 12.0), block="Agterplaas", bearing=12.0)


@cache
def long_and_thin() -> Plan:
    """30 m by 900 m, aslant."""
    return planned(rectangle(30.0, 900.0, 20.0), block="Langkamp", bearing=20.0)


@cache
def hundred_hectares() -> Plan:
    """1 000 m by 1 000 m."""
    return planned(rectangle(1000.0, 1000.0, 5.0), block="Grootvlakte", bearing=95.0)


@cache
def northern() -> Plan:
    """A block in the northern hemisphere, in a UTM grid."""
    shape = np.array([[-90, -60], [70, -80], [110, 30], [20, 95], [-80, 60]])
    return planned(
        shape, frame=NORTH, grid="", estate="Podere Lucciola", block="Vigna alta", bearing=150.0
    )


def outline_of(plan: Plan) -> Polygon:
    """Outline in the frame."""
    return plan.site.boundary
