"""What goes over the wire as JSON, each shape with an example for the documentation."""

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field


class _Shape(BaseModel):
    model_config = ConfigDict(extra="forbid", use_attribute_docstrings=True)


class EstateShape(_Shape):
    """The estate and its blocks."""

    name: str = Field(examples=["Lowquince"])
    """Name of the estate."""
    place: str = Field(examples=["invented"])
    """Where it lies."""
    currency: str = Field(examples=["ZAR"])
    """Currency of all prices."""
    units: Literal["metric", "imperial"] = Field(examples=["metric"])
    """Units in which results are shown."""
    blocks: list[str] = Field(examples=[["kiepersol", "onderveld"]])
    """Blocks by the name of their folder."""


class BriefShape(_Shape):
    """A brief as it lies on disk, and what it says."""

    block: str = Field(examples=["kiepersol"])
    """Block it belongs to."""
    version: str = Field(examples=["5f1d0c6b2a7e4d3f8b9c0a1e2d3f4a5b"])
    """Of the text; send it back in ``If-Match`` to save over this one only."""
    text: str = Field(examples=['[block]\nboundary = "boundary.gpx"\n'])
    """TOML, comments and all."""
    values: dict[str, Any] = Field(examples=[{"rows": {"headland": 8.0}}])
    """Every key in its fixed unit, defaults included; empty where the text is no brief."""
    given: list[str] = Field(examples=[["block.boundary", "rows.headland"]])
    """Keys that its owner wrote."""
    trouble: str = Field(examples=[""])
    """What is wrong with it; "" when it can be used."""


class ChangesShape(_Shape):
    """Changes to a brief, by dotted key."""

    changes: dict[str, Any] = Field(
        default_factory=dict,
        max_length=500,
        examples=[{"rows.bearing": 32, "rows.headland": "9 m"}],
    )
    """New values; null lets the default stand again."""


class PreviewShape(ChangesShape):
    """A question for the layout under changes that are not saved."""

    page: str = Field(default="", max_length=64, examples=["a3f0"])
    """Which page asks; its next question overtakes this one."""


class NewBlockShape(_Shape):
    """A block to be made from an outline."""

    block: str = Field(examples=["bo-kamp"])
    """Name of its folder: small letters, digits and hyphens."""
    name: str = Field(default="", max_length=80, examples=["Bo-kamp"])
    """What people call it."""
    boundary_name: str = Field(examples=["boundary.gpx"])
    """Name of the file with its outline."""
    boundary_base64: str = Field(examples=["PGdweD4uLi48L2dweD4="])
    """The file's bytes, in base64."""
    grid: str = Field(default="", max_length=80, examples=["EPSG:2048"])
    """Grid of the file, where it does not say."""
    row_width: float | str = Field(default=2.5, examples=["2.5 m"])
    """Distance between rows."""
    vine_spacing: float | str = Field(default=1.2, examples=["1.2 m"])
    """Distance between vines in a row."""


class PlanOrderShape(_Shape):
    """A plan to be made and written."""

    files: list[str] = Field(default_factory=list, max_length=40, examples=[["dxf", "orders"]])
    """Groups of further files, as ``aanplant plan --files`` knows them; ``all`` for all."""


class JobShape(_Shape):
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
    """Stage it is in; "" before the first."""
    fraction: float = Field(examples=[0.42])
    """Done of the whole, 0 to 1."""
    result: dict[str, Any] | None = Field(examples=[{"files": ["plan.json"], "must_stop": False}])
    """What came of it, when done: the names of the files, and whether something says stop."""
    problem: dict[str, Any] | None = Field(examples=[None])
    """Why it failed, as problem details."""


class FilesShape(_Shape):
    """Files of a block's plan."""

    files: list[str] = Field(examples=[["plan.json", "sheet.pdf"]])
    """Their names; empty before the block was planned."""


class ProblemShape(BaseModel):
    """Problem details by RFC 9457."""

    type: str = Field(examples=["about:blank"])
    title: str = Field(examples=["Unprocessable Entity"])
    status: int = Field(examples=[422])
    detail: str = Field(
        examples=["brief.toml: rows.headland: found '-3 m'; expected between 0 and 100 m"]
    )
    where: str | None = Field(default=None, examples=["brief.toml: rows.headland"])
    found: str | None = Field(default=None, examples=["'-3 m'"])
    expected: str | None = Field(default=None, examples=["between 0 and 100 m"])
