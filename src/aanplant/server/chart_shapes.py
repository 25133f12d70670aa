"""What all charts have as they go over the wire: words of the report beside the numbers."""

from pydantic import Field

from aanplant.server.shapes import ChangesShape
from aanplant.server.wire import Shape


class ChartQuestionShape(ChangesShape):
    """A question for a chart under changes that are not saved."""

    page: str = Field(default="", max_length=64, examples=["a3f0"])
    """Which page asks; its next question for the same chart overtakes this one."""


class TableShape(Shape):
    """A table of the report, in words."""

    title: str = Field(examples=["What a number of spares risks on either side"])
    """Heading, "" for none."""
    heads: list[str] = Field(examples=[["choice", "spares", "all places filled"]])
    """Of its columns."""
    rows: list[list[str]] = Field(examples=[[["no spares", "0", "0 %"]]])
    """Its lines."""
    left: list[int] = Field(examples=[[0]])
    """Columns that begin at the left; the others end at the right."""


class ChartShape(Shape):
    """What all charts have."""

    title: str = Field(examples=["Row bearings compared"])
    """What it shows."""
    paragraphs: list[str] = Field(examples=[["99R comes first."]])
    """What the report says of it."""
    missing: list[str] = Field(examples=[[]])
    """What must be known before there is anything to draw; the columns are empty then."""
    tables: list[TableShape]
    """The same in words and numbers, and what the report sets beside it."""
