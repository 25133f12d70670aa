"""Invented blocks with their drip system, planned, for the papers of the water."""

from functools import cache

from aanplant.brief import Brief
from aanplant.inputs import CultivarFact, Inputs, Outline, WaterSource
from aanplant.plan import Plan, make_plan
from tests.report.blocks import KIEPERSOL, SOUTH, rectangle
from tests.water.blocks import LITRES


def watered_plan(corners, *, source_xy, estate="Lowquince", until="water", **sections) -> Plan:
    """Plan a block on level ground with a pump beside it; corners and source in its frame. [m]"""
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
        water_source=WaterSource("pump.geojson", "pump", float(lon), float(lat), 10.0),
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
