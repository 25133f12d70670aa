"""A small invented estate, written to a folder: one even slope, a pump below it."""

import json
import math
from pathlib import Path

LATITUDE, LONGITUDE = -33.6, 19.3
NORTH_M = 110940.0
EAST_M = 111320.0 * math.cos(math.radians(LATITUDE))
REGULATING = '{ flow = "2 L/h", spacing = "0.6 m", pressure_compensating = true }'
PLAIN = (
    '{ flow = "2 L/h", spacing = "0.6 m", pressure_compensating = false, exponent = 0.5, '
    'pressure = "98 kPa", variation = 0.03 }'
)
PUMP_XY = (-30.0, -30.0)
SIDE_M, REACH_M, STEP_M = 60, 40, 10


def small_estate(
    folder: Path,
    *,
    emitter: str = REGULATING,
    flow: str = "2 m3/h",
    right: str = "20000 m3",
    sections: str = "",
    pump_xy: tuple[float, float] = PUMP_XY,
    pump_height: bool = True,
) -> Path:
    """Write the estate; returns the folder of its block.

    Parameters
    ----------
    folder : Path
        Empty or not there.
    emitter, flow, right : str
        Of the section ``water``.
    sections : str
        What follows it, in TOML.
    pump_xy : tuple of float
        From the south-west corner of the block. [m]
    pump_height : bool
        Whether the pump's file states its height.
    """
    block = folder / "blocks" / "plot"
    block.mkdir(parents=True)
    (folder / "estate.toml").write_text('name = "Small"\ncurrency = "ZAR"\n')
    corners = ((0, 0), (SIDE_M, 0), (SIDE_M, SIDE_M), (0, SIDE_M))
    (block / "corners.csv").write_text(
        "lat,lon\n" + "".join("{:.7f},{:.7f}\n".format(*_place(x, y)) for x, y in corners)
    )
    at = range(-REACH_M, SIDE_M + REACH_M + 1, STEP_M)
    (block / "heights.csv").write_text(
        "lat,lon,height (m)\n"
        + "".join("{:.7f},{:.7f},{:.3f}\n".format(*_place(x, y), _height(x, y))
                  for x in at for y in at)
    )  # fmt: skip
    latitude, longitude = _place(*pump_xy)
    pump = {
        "type": "Feature",
        "properties": {"height": round(_height(*pump_xy), 2)} if pump_height else {},
        "geometry": {"type": "Point", "coordinates": [longitude, latitude]},
    }
    (block / "pump.geojson").write_text(
        json.dumps({"type": "FeatureCollection", "features": [pump]})
    )
    (block / "brief.toml").write_text(
        f"""[block]
name = "Plot"
boundary = "corners.csv"
heights = "heights.csv"

[vines]
row_width = "2.5 m"
vine_spacing = "1.2 m"

[rows]
bearing = 0
headland = "4 m"
shortest = "10 m"

[machine]
turning_radius = "2 m"

[demand]
et0_by_month = [220, 180, 150, 90, 60, 45, 50, 70, 100, 150, 190, 215]
rain_by_month = [12, 14, 20, 45, 80, 95, 90, 80, 45, 28, 18, 14]

[water]
source = "pump.geojson"
flow_available = "{flow}"
water_right = "{right}"
emitter = {emitter}

{sections}
"""
    )
    return block


def _place(x: float, y: float) -> tuple[float, float]:
    return LATITUDE + y / NORTH_M, LONGITUDE + x / EAST_M


def _height(x: float, y: float) -> float:
    return 300.0 + 0.012 * y + 0.02 * x
