"""What goes over the wire as JSON, each shape with an example for the documentation."""

from datetime import datetime
from typing import Annotated, Any, Literal

from pydantic import Field, StringConstraints

from aanplant.report.paper import SCALES
from aanplant.server.layers import LAYERS
from aanplant.server.told_shapes import FigureShape, FindingShape, ReferenceShape
from aanplant.server.wire import ProblemShape, Shape
from aanplant.stages import STAGE_NAMES
from aanplant.units import UnitSystem

StageName = Annotated[str, StringConstraints(pattern=f"^({'|'.join(STAGE_NAMES)})$")]
LayerName = Annotated[str, StringConstraints(pattern=f"^({'|'.join(LAYERS)})$")]
ShortText = Annotated[str, StringConstraints(max_length=80)]


class EstateShape(Shape):
    """The estate and its blocks."""

    name: str = Field(examples=["Lowquince"])
    """Name of the estate."""
    place: str = Field(examples=["invented"])
    """Where it lies."""
    currency: str = Field(examples=["ZAR"])
    """Currency of all prices."""
    units: UnitSystem = Field(examples=["metric"])
    """Units in which results are shown."""
    locale: str = Field(examples=["en-ZA"])
    """How dates and numbers are written."""
    languages: list[str] = Field(examples=[["en", "af"]])
    """Languages that have words."""
    stages: list[str] = Field(examples=[["site", "stock", "layout"]])
    """Stages of a plan, in order."""
    file_groups: list[str] = Field(examples=[["csv", "dxf", "report"]])
    """Groups of files that a plan can write."""
    version: str = Field(examples=["0.1.0"])
    """Of the program."""
    blocks: list[str] = Field(examples=[["kiepersol", "onderveld"]])
    """Blocks by the name of their folder."""


class BriefShape(Shape):
    """A brief as it lies on disk, and what it says."""

    block: str = Field(examples=["kiepersol"])
    """Block it belongs to."""
    version: str = Field(examples=["5f1d0c6b2a7e4d3f8b9c0a1e2d3f4a5b"])
    """Of the text; send it back in ``If-Match`` to save over this one only."""
    text: str = Field(examples=['[block]\nboundary = "boundary.gpx"\n'])
    """TOML, comments and all."""
    values: dict[str, Any] = Field(examples=[{"rows": {"headland": 8.0}}])
    """Every key in its fixed unit, defaults included; empty where the text is no brief."""
    written: dict[str, Any] = Field(examples=[{"rows": {"headland": "8 m"}}])
    """The keys that stand in the text, as its owner wrote them; empty where it is no TOML."""
    given: list[str] = Field(examples=[["block.boundary", "rows.headland"]])
    """Keys that its owner wrote."""
    trouble: str = Field(examples=[""])
    """What is wrong with it; "" when it can be used."""


class ChangesShape(Shape):
    """Changes to a brief, by dotted key."""

    changes: dict[str, Any] = Field(
        default_factory=dict,
        max_length=500,
        examples=[{"rows.bearing": 32, "rows.headland": "9 m"}],
    )
    """New values; null lets the default stand again."""


class PreviewShape(ChangesShape):
    """A question for a plan under changes that are not saved."""

    page: str = Field(default="", max_length=64, examples=["a3f0"])
    """Which page asks; its next question about the same block overtakes this one."""
    until: StageName = Field(default="layout", examples=["layout"])
    """Last stage to run."""
    layers: list[LayerName] | None = Field(default=None, examples=[["rows", "vines"]])
    """Layers wanted; all of the stages that run when left out."""
    tables: list[ShortText] = Field(default_factory=list, max_length=60, examples=[["bearings"]])
    """Lists wanted, as ``plan.json`` names them."""
    known: dict[StageName, ShortText] = Field(default_factory=dict, examples=[{"site": "9b1c"}])
    """Digests of stages that the page has already: what belongs to them is not sent again."""


class SheetShape(ChangesShape):
    """A question for the sheet of a block under changes that are not saved, to scale."""

    paper: Literal["A4", "A3"] | None = Field(default=None, examples=["A3"])
    """Paper; chosen when left out."""
    scale: int | None = Field(default=None, ge=SCALES[0], le=SCALES[-1], examples=[1000])
    """One metre on paper is so many on the ground; chosen when left out."""


class NewBlockShape(Shape):
    """A block to be made from an outline."""

    block: str = Field(examples=["bo-kamp"])
    """Name of its folder: small letters, digits and hyphens."""
    name: str = Field(default="", max_length=80, examples=["Bo-kamp"])
    """What people call it."""
    boundary_name: str = Field(examples=["boundary.csv"])
    """Name of the file with its outline; its ending tells the format."""
    boundary_base64: str = Field(
        max_length=4_000_000,
        examples=["bG9uLGxhdAoyMC4wLC0zMy4wCjIwLjAwMiwtMzMuMAoyMC4wMDIsLTMzLjAwMgo="],
    )
    """The file's bytes, in base64."""
    grid: str = Field(default="", max_length=80, examples=[""])
    """Grid of the file, where it does not say."""
    row_width: float | str = Field(default=2.5, examples=["2.5 m"])
    """Distance between rows."""
    vine_spacing: float | str = Field(default=1.2, examples=["1.2 m"])
    """Distance between vines in a row."""


class PlanOrderShape(Shape):
    """A plan to be made and written."""

    files: list[str] = Field(default_factory=list, max_length=40, examples=[["dxf", "orders"]])
    """Groups of further files, as ``aanplant plan --files`` knows them; ``all`` for all."""


class JobResultShape(Shape):
    """What came of a plan in the making."""

    files: list[str] = Field(examples=[["plan.json", "sheet.pdf"]])
    """Names of the files that were written."""
    must_stop: bool = Field(examples=[False])
    """Whether a finding says stop."""


class JobShape(Shape):
    """How far a plan in the making is."""

    id: str = Field(examples=["0b8e6c1c5f4f4f0d9a7c7f7b3a1d2e3f"])
    """Name of the job."""
    block: str = Field(examples=["kiepersol"])
    """Block that is planned."""
    step: int = Field(examples=[7])
    """Counts up with every change."""
    state: Literal["waiting", "running", "done", "failed", "cancelled"] = Field(
        examples=["running"]
    )
    """Where it stands."""
    stage: str = Field(examples=["layout"])
    """Stage it is in; "" before the first, ``files`` while they are written."""
    fraction: float = Field(examples=[0.42])
    """Done of the whole, 0 to 1."""
    result: JobResultShape | None
    """What came of it, when done."""
    problem: ProblemShape | None
    """Why it failed."""


class FilesShape(Shape):
    """Files of a block's plan."""

    files: list[str] = Field(examples=[["plan.json", "sheet.pdf"]])
    """Their names; empty before the block was planned."""


class WrittenPlanShape(Shape):
    """The plan of a block that was written last."""

    id: str = Field(examples=["5f1d0c6b2a7e4d3f8b9c0a1e2d3f4a5b"])
    """Its name: of exactly these bytes."""
    made: datetime = Field(examples=["2026-11-26T08:00:00Z"])
    """When."""
    engine: str = Field(examples=["0.1.0"])
    """Version that made it."""
    is_current: bool = Field(examples=[True])
    """Whether brief and files are still those it was made from."""
    figures: list[FigureShape]
    """Figures with their workings."""
    findings: list[FindingShape]
    """Findings, the gravest first."""


class SourceShape(Shape):
    """A file beside a brief."""

    name: str = Field(examples=["boundary.gpx"])
    """Its name."""
    bytes: int = Field(examples=[5312])
    """Its size."""
    version: str = Field(examples=["5f1d0c6b2a7e4d3f8b9c0a1e2d3f4a5b"])
    """Of its content; send it back in ``If-Match`` to save over this one only."""
    used_as: list[str] = Field(examples=[["block.boundary"]])
    """Keys of the brief that name it."""


class SourcesShape(Shape):
    """The files beside a brief."""

    sources: list[SourceShape]
    """In order of their names."""


class GeoShape(Shape):
    """What a file holds, as GeoJSON in longitude and latitude."""

    type: Literal["FeatureCollection"] = Field(
        default="FeatureCollection", examples=["FeatureCollection"]
    )
    """Always this."""
    features: list[dict[str, Any]] = Field(
        examples=[[{
            "type": "Feature",
            "properties": {"name": "Kiepersol"},
            "geometry": {"type": "Point", "coordinates": [20.0, -33.0]},
        }]]
    )  # fmt: skip
    """Features; empty for what has no place, such as weather."""


class FieldShape(Shape):
    """One blank of the brief: what may stand in it, and what it means."""

    key: str = Field(examples=["rows.headland"])
    """Dotted key; in a table the name of the column."""
    kind: Literal[
        "quantity", "number", "whole number", "choice", "flag", "text", "file", "list", "table"
    ] = Field(examples=["quantity"])
    """What stands in it. A list has one field in ``of``, a list of pairs two, a table one for
    each of its columns."""
    name: str = Field(default="", examples=["headland"])
    """Its short name, as the reader says it."""
    help: str = Field(examples=["Clear room at row ends, beyond the anchors."])
    """What it means."""
    unit: str = Field(default="", examples=["m"])
    """Unit of a bare number and of all values told."""
    shown_unit: str = Field(default="", examples=["ft"])
    """Unit in which the reader wants to see it."""
    shown_factor: float = Field(default=1.0, examples=[3.28084])
    """A value in ``unit`` times this is one in ``shown_unit``."""
    low: float | None = Field(default=None, examples=[0.0])
    """Least value, in ``unit``."""
    high: float | None = Field(default=None, examples=[50.0])
    """Greatest value, in ``unit``."""
    options: list[str] = Field(default_factory=list, examples=[[]])
    """Words that may stand in it; beside a number or a text, such as ``choose``."""
    option_words: list[str] = Field(default_factory=list, examples=[[]])
    """The same words as the reader says them."""
    suggestions: list[str] = Field(default_factory=list, examples=[[]])
    """Names the program knows; others may stand there too where the estate describes them."""
    pattern: str = Field(default="", examples=[""])
    """Form of a text, as a regular expression."""
    default: Any = Field(default=None, examples=[8.0])
    """What stands when it is left out."""
    default_source: ReferenceShape | None = None
    """Where the default comes from."""
    is_required: bool = Field(default=False, examples=[False])
    """Whether it must be filled in."""
    may_be_empty: bool = Field(default=False, examples=[False])
    """Whether null means something of its own: not known, or left to the program."""
    of: list["FieldShape"] = Field(default_factory=list)
    """Fields of a list or table."""


class SectionShape(Shape):
    """A section of the brief."""

    name: str = Field(examples=["rows"])
    """Its name."""
    help: str = Field(examples=["How rows are laid in the field."])
    """What it is about."""
    fields: list[FieldShape]
    """Its blanks, in order."""


class FieldsShape(Shape):
    """All blanks of a brief."""

    sections: list[SectionShape]
    """In the order of the schema."""


class WordsShape(Shape):
    """Words of the page in a language."""

    language: str = Field(examples=["af"])
    """Language asked for."""
    words: dict[str, str] = Field(examples=[{"sheet.scale": "skaal"}])
    """Words by id; English stands in where the language has none."""
    terms: dict[str, str] = Field(examples=[{"square": "vierkant"}])
    """The trade's words, as brief and tables write them, in the language."""
