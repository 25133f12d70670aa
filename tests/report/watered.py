"""Invented blocks with their drip system, planned, for the papers of the water."""

from functools import cache

import numpy as np

from aanplant.brief import Brief
from aanplant.heights import Heights
from aanplant.inputs import CultivarFact, Inputs, Outline, WaterSource
from aanplant.plan import Plan, make_plan
from tests.report.blocks import KIEPERSOL, SOUTH, rectangle
from tests.water.blocks import LITRES


def watered_plan(
    corners,
    *,
    source_xy,
    estate="Lowquince",
    until="water",
    heights=None,
    source_height=10.0,
    **sections,
) -> Plan:
    """Plan a block with a pump beside it, on level ground without heights.

    Corners and source are in its frame. [m]
    """
    brief = Brief.model_validate(
        {
            "block": {"name": "Kiepersol", "boundary": "b.geojson"},
            "vines": {"cultivar": "Chenin blanc", "rootstock": "110R",
                      "row_width": 2.5, "vine_spacing": 1.2},
            "rows": {"bearing": 32.0, **sections.pop("rows", {})},
            "water": {"emitter": LITRES, **sections.pop("water", {})},
            **sections,
        }
    )  # fmt: skip
    ring = SOUTH.to_lonlat([*corners.tolist(), corners[0].tolist()])
    lon, lat = SOUTH.to_lonlat([source_xy])[0]
    inputs = Inputs(
        Outline("b.geojson", "polygon", (ring,)),
        estate=estate,
        set_out_grid="EPSG:2048",
        cultivars=(CultivarFact("Chenin blanc", "remark", None, None, "of a test", "invented"),),
        heights=heights,
        water_source=WaterSource("pump.geojson", "pump", float(lon), float(lat), source_height),
    )
    return make_plan(brief, inputs, until=until)


@cache
def watered() -> Plan:
    """About 5 ha in three sets or more, rows in two parts."""
    return watered_plan(
        KIEPERSOL,
        source_xy=(0.0, -150.0),
        rows={"longest": 120.0, "cross_alley": 6.0},
        water={"flow_available": 20.0},
    )


@cache
def little() -> Plan:
    """0.2 ha in one set."""
    return watered_plan(rectangle(42.0, 48.0, 12.0), source_xy=(0.0, -40.0))


@cache
def hilly() -> Plan:
    """0.8 ha that rises to the north, in one set."""
    x, y = (axis.ravel() for axis in np.meshgrid(*2 * [np.arange(-160.0, 161.0, 20.0)]))
    z = 120.0 + 0.04 * y + 1.5 * np.sin(x / 60.0)
    places = SOUTH.to_lonlat(np.column_stack([x, y]))
    heights = Heights("heights.csv", "spot heights", places, z)
    source = {"rows": {"bearing": 0.0}, "source_xy": (0.0, -60.0)}
    return watered_plan(rectangle(100.0, 80.0, 0.0), heights=heights, source_height=117.0, **source)
