"""Figures, findings and what a preview tells, as they go over the wire."""

from typing import Any, Literal

from pydantic import ConfigDict, Field

from aanplant.server.wire import Shape

Scalar = float | int | str | bool | None
_LEAVES_OUT = ConfigDict(json_schema_serialization_defaults_required=False)


class ReferenceShape(Shape):
    """Where a number or a rule comes from."""

    id: str = Field(examples=["fao-56"])
    """Its name in the table of sources."""
    text: str = Field(examples=["FAO Irrigation and Drainage Paper 56 (1998)"])
    """In words."""
    certainty: str = Field(examples=["published"])
    """How sure it is: published, standard, arithmetic, practice or memory."""


class FigureInputShape(Shape):
    """One named number that went into a figure."""

    name: str = Field(examples=["row_width"])
    """The name that the formula uses."""
    value: Scalar = Field(examples=[2.5])
    """In ``unit``."""
    unit: str = Field(examples=["m"])
    """Fixed for the figure."""
    shown: str = Field(examples=["2.5 m"])
    """As it is written for the reader."""
    origin: str = Field(examples=["brief:vines.row_width"])
    """Where it comes from: ``brief:`` or ``default:`` with a key of the brief, ``figure:`` with
    the key of another figure, ``table:`` or ``file:`` with a name, or ``measured``."""
    source: ReferenceShape | None
    """Source of what comes from a table or stands by default."""


class FigureShape(Shape):
    """A figure with its working."""

    key: str = Field(examples=["layout.vines"])
    """Its dotted name."""
    label: str = Field(examples=["Vines"])
    """In words."""
    value: Scalar = Field(examples=[19183])
    """In ``unit``."""
    unit: str = Field(examples=[""])
    """Fixed for the key."""
    shown: str = Field(examples=["19 183"])
    """As it is written for the reader."""
    formula: str = Field(examples=["vines of all rows, added up"])
    """How it is found."""
    inputs: list[FigureInputShape]
    """What the formula names."""
    source: ReferenceShape
    """Where the formula comes from."""


class PlaceShape(Shape):
    """Where a finding can be seen."""

    x_m: float = Field(examples=[12.5])
    """East of the block's origin. [m]"""
    y_m: float = Field(examples=[-3.0])
    """North of it. [m]"""
    longitude_deg: float = Field(examples=[20.0])
    """On WGS 84. [deg]"""
    latitude_deg: float = Field(examples=[-33.0])
    """On WGS 84. [deg]"""


class FindingShape(Shape):
    """Advice about a plan."""

    stage: str = Field(examples=["layout"])
    """Stage that found it."""
    level: Literal["note", "care", "stop"] = Field(examples=["care"])
    """``stop``: a person could be hurt, a law broken or the block fail."""
    message: str = Field(examples=["layout.alley_narrow"])
    """Its name in the catalogue of words."""
    text: str = Field(examples=["The cross alley is 3.2 m clear between anchors."])
    """The sentence."""
    figure: str | None = Field(examples=["layout.row_ends"])
    """Key of the figure it speaks of; "" where it speaks of none."""
    source: ReferenceShape
    """Where the rule behind it comes from."""
    place: PlaceShape | None
    """Where it can be seen; null where it has no place."""
    blanks: list[str] = Field(examples=[["rows.cross_alley"]])
    """Keys of the brief by which it can be mended, the likeliest first."""


class StageToldShape(Shape):
    """A stage of a preview."""

    model_config = _LEAVES_OUT
    digest: str = Field(examples=["9b1c"])
    """Of all that it was made from."""
    is_fresh: bool = Field(examples=[True])
    """Whether the page does not have it yet, and so is told its figures and findings."""
    figures: list[FigureShape] | None = None
    """Its figures, where it is fresh."""
    findings: list[FindingShape] | None = None
    """Its findings, where it is fresh."""


class PlaceFitShape(Shape):
    """Coordinates as polynomials of a place's kilometres x and y in the block's frame.

    Each is ten factors, of 1, x, y, x², xy, y², x³, x²y, xy² and y³.
    """

    first: list[float] = Field(examples=[[-93412.25, -1000.0]])
    """First coordinate of the grid. [m]"""
    second: list[float] = Field(examples=[[3652810.5, 0.0]])
    """Second coordinate of the grid. [m]"""
    longitude: list[float] = Field(examples=[[20.0, 0.0107]])
    """On WGS 84. [deg]"""
    latitude: list[float] = Field(examples=[[-33.0, 0.0]])
    """On WGS 84. [deg]"""
    unit_m: float = Field(examples=[1000.0])
    """Metres of one x or y. [m]"""
    reach_m: float = Field(examples=[4000.0])
    """So far from the origin they hold. [m]"""


class GridShape(Shape):
    """The set-out grid of a block."""

    code: str = Field(examples=["EPSG:2048"])
    """Its code."""
    name: str = Field(examples=["Hartebeesthoek94 / Lo19"])
    """Its name."""
    axes: list[str] = Field(examples=[["Y (westing)", "X (southing)"]])
    """Names of its axes, in the order of its coordinates."""
    convergence_deg: float = Field(examples=[0.54])
    """From true north to the grid's north, clockwise. [deg]"""
    fit: PlaceFitShape
    """Where places of the block lie in it."""


class PreviewAboutShape(Shape):
    """The header of a preview, before its arrays."""

    model_config = _LEAVES_OUT
    block: str = Field(examples=["Kiepersol"])
    """What people call the block."""
    stages: dict[str, StageToldShape]
    """The stages that ran."""
    layers: dict[str, dict[str, Any]] = Field(
        examples=[{"rows": {"arrays": ["rows_first", "rows_xy"]}}]
    )
    """Layers that are sent, each with the names of its ``arrays``."""
    must_stop: bool = Field(examples=[False])
    """Whether a finding says stop."""
    bearing_deg: float | None = Field(examples=[32.0])
    """Of the rows from true north; null before they are laid. [deg]"""
    frame: str = Field(examples=["+proj=topocentric +lat_0=-33 +lon_0=20 +h_0=210"])
    """The block's own grid."""
    grid: GridShape
    """The set-out grid."""
    tables: dict[str, list[dict[str, Any]]] | None = Field(
        default=None, examples=[{"bearings": [{"bearing_deg": 32.0, "vines": 19183}]}]
    )
    """Lists asked for, as ``plan.json`` holds them."""
