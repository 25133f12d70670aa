"""What goes over the wire about drawing: what can be drawn, and places in every grid."""

from typing import Annotated, Literal

from pydantic import Field

from aanplant.server.shapes import GeoShape
from aanplant.server.wire import Shape

Position = tuple[float, float]
Longitude = Annotated[float, Field(ge=-180, le=180)]
Latitude = Annotated[float, Field(ge=-85, le=85)]
Height = Annotated[float, Field(ge=-500, le=9000)]
Origin = tuple[Longitude, Latitude, Height]


class DrawnShape(GeoShape):
    """What the file behind a key holds, and where a drawing of it is saved."""

    file: str = Field(examples=["boundary.gpx"])
    """File that the brief names; "" for none."""
    version: str = Field(examples=["5f1d0c6b2a7e4d3f8b9c0a1e2d3f4a5b"])
    """Of ``save_as``, to send back in ``If-Match``; "" when no such file is there yet."""
    save_as: str = Field(examples=["boundary.geojson"])
    """File to save the drawing as: the same where nothing of it would be lost, else a new one."""


class PropertyShape(Shape):
    """What may be said of something drawn."""

    name: str = Field(examples=["kind"])
    """Its name in the file."""
    kind: Literal["text", "choice", "length"] = Field(examples=["choice"])
    """What stands in it; a length is a number of metres or a text with its unit."""
    options: list[str] = Field(default_factory=list, examples=[["dam", "rock"]])
    """Words that may stand in it."""
    usual: dict[str, float | str] = Field(default_factory=dict, examples=[{"dam": 5.0}])
    """What counts when it is left out, by the shape's kind; "" for any."""
    low: float | None = Field(default=None, examples=[0.0])
    """Least length. [m]"""
    high: float | None = Field(default=None, examples=[1000.0])
    """Greatest length. [m]"""
    of: list[str] = Field(default_factory=list, examples=[["line"]])
    """Sorts of shape that have it; empty for all."""


class DrawingFieldShape(Shape):
    """What can be drawn for a key of the brief."""

    key: str = Field(examples=["block.exclusions"])
    """Key that names the file."""
    shapes: list[Literal["area", "line", "point"]] = Field(examples=[["area", "line", "point"]])
    """Sorts of shape."""
    are_many: bool = Field(examples=[True])
    """Whether the file may hold several."""
    properties: list[PropertyShape]
    """What may be said of each."""


class DrawingFieldsShape(Shape):
    """All that can be drawn."""

    fields: list[DrawingFieldShape]
    """In the order in which a block is drawn."""


class PlacesShape(Shape):
    """Places of a block in one of its grids."""

    given_in: Literal["frame", "grid", "lonlat"] = Field(examples=["frame"])
    """The block's own metres, the set-out grid, or longitude and latitude."""
    places: list[Position] = Field(max_length=5000, examples=[[[0.0, 0.0], [12.5, -3.0]]])
    """Pairs of coordinates, in the order of the grid's own axes."""
    origin: Origin | None = Field(default=None, examples=[[20.0, -33.0, 0.0]])
    """Longitude, latitude and height of the place from which the block's metres count, as a
    preview tells it; that of the saved brief when left out."""


class FreePlacesShape(Shape):
    """Places where there is no block yet."""

    given_in: Literal["frame", "grid", "lonlat"] = Field(examples=["lonlat"])
    """Metres from the origin, the set-out grid, or longitude and latitude."""
    places: list[Position] = Field(max_length=5000, examples=[[[20.0, -33.0]]])
    """Pairs of coordinates, in the order of the grid's own axes."""
    origin: Origin | None = Field(default=None, examples=[[20.0, -33.0, 0.0]])
    """Longitude, latitude and height of the place from which metres count; the first of the
    places when left out."""
    grid: str = Field(default="", max_length=80, examples=["EPSG:2048"])
    """Set-out grid; the estate's when left out."""


class PlacedShape(Shape):
    """The same places in all grids of a block."""

    frame: list[Position] = Field(examples=[[[0.0, 0.0]]])
    """East and north of the block's origin. [m]"""
    lonlat: list[Position] = Field(examples=[[[20.0, -33.0]]])
    """On WGS 84. [deg]"""
    grid: list[Position] = Field(examples=[[[-93412.25, 3652810.5]]])
    """In the set-out grid. [m]"""
    grid_code: str = Field(examples=["EPSG:2048"])
    """Its code."""
    grid_axes: tuple[str, str] = Field(examples=[["Y_westing_m", "X_southing_m"]])
    """Its axes, in the order in which the pairs hold them."""
    origin: tuple[float, float, float] = Field(examples=[[20.0, -33.0, 0.0]])
    """Longitude, latitude and height of the place from which metres count."""
