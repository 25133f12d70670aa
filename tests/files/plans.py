"""Invented blocks, planned, for the tests of the writers."""

from datetime import UTC, datetime
from decimal import Decimal
from functools import cache

import numpy as np
from pyproj import Transformer
from shapely.geometry import LineString, Point, Polygon

from aanplant.brief import parse_brief
from aanplant.inputs import CultivarFact, Exclusion, Inputs, Outline, PriceLine
from aanplant.plan import Plan, make_plan

MADE = datetime(2027, 3, 4, 5, 6, 7, tzinfo=UTC)
HOSTILE_ESTATE = "=1+1"
HOSTILE_BLOCK = 'Kêrsbos <b> & "wyn" ^J %%u \'n'
HOSTILE_THING = '@SUM(A1) <i>\x07dam\ud800 ê "'
MILLIMETRE = 0.001
SOUTH = (18.8600, -33.9300)
NORTH = (2.3500, 43.2000)
GRIDS = ("EPSG:2048", "", "north")
"""The South African Lo19 grid, the UTM zone of a southern block and of a northern one."""

BRIEF = """
[block]
boundary = "boundary.gpx"
[vines]
cultivar = "+Chenin 'ê' <blanc>"
row_width = "2.5 m"
vine_spacing = "1.2 m"
[rows]
bearing = 20
longest = "60 m"
cross_alley = "6 m"
"""
PRICES = (
    PriceLine("vine", "each", Decimal("38.50"), Decimal(25), "-2+3"),
    PriceLine("anchor-helix-200", "each", Decimal("165.05"), Decimal(10)),
    PriceLine("wire-2.5-high-strain", "kg", Decimal("21.35"), None),
    PriceLine("wire-2.24-high-strain", "coil", Decimal("1395.00"), None, "from the co-operative"),
    PriceLine("tie", "bag", None, Decimal(1000), "asked for"),
)


@cache
def planned(
    grid: str = "EPSG:2048", *, until: str | None = None, choose: bool = False, prices: bool = True
) -> Plan:
    """Plan a block of about a hectare and a half with everything in it that is awkward."""
    west, south = NORTH if grid == "north" else SOUTH
    brief = parse_brief(BRIEF.replace("bearing = 20", "") if choose else BRIEF, "brief.toml")
    block = brief.block.model_copy(update={"name": HOSTILE_BLOCK})
    ring = np.array([(0, 0), (0.0014, 0.0001), (0.0016, 0.0012), (0.0001, 0.0013), (0, 0)])
    corner = np.array([west, south])
    inputs = Inputs(
        Outline("boundary.gpx", "polygon", (ring + corner,)),
        exclusions=_exclusions(west, south),
        estate=HOSTILE_ESTATE,
        set_out_grid="" if grid == "north" else grid,
        currency="ZAR",
        prices=PRICES if prices else (),
        cultivars=(
            CultivarFact(brief.vines.cultivar, "remark", None, None, "of a test", "invented"),
        ),
        files={"boundary.gpx": "ab" * 32},
    )
    return make_plan(brief.model_copy(update={"block": block}), inputs, until=until)


def _exclusions(west: float, south: float) -> tuple[Exclusion, ...]:
    pond = Point(west + 0.0010, south + 0.0008).buffer(0.00006)
    return (
        Exclusion(HOSTILE_THING, "dam", "avoid", Polygon(pond.exterior), 2.0),
        Exclusion("rock", "rock", "skip", Point(west + 0.0004, south + 0.0005), 1.0),
        Exclusion(
            "pipe",
            "pipe",
            "skip",
            LineString([(west, south + 0.0003), (west + 0.0016, south + 0.0004)]),
            1.0,
        ),
    )


def to_lonlat(plan: Plan, grid_xy) -> np.ndarray:
    """Bring grid coordinates to degrees without any code of ours."""
    transformer = Transformer.from_crs(plan.site.grid.code, "EPSG:4326", always_xy=True)
    xy = np.asarray(grid_xy, dtype=float).reshape(-1, 2)
    return np.column_stack(transformer.transform(xy[:, 0], xy[:, 1]))


def apart_m(plan: Plan, lonlat, xy) -> float:
    """Greatest distance on the ground between places in degrees and points of the frame. [m]"""
    from pyproj import Geod

    ours = plan.site.frame.to_lonlat(xy)
    theirs = np.asarray(lonlat, dtype=float).reshape(-1, 2)
    assert ours.shape == theirs.shape
    return float(np.max(Geod(ellps="WGS84").inv(*ours.T, *theirs.T)[2]))
