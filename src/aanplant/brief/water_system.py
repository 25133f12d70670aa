"""The sections of the brief that say how the irrigation system lies in the field."""

from typing import Annotated, Literal

from pydantic import Field

from aanplant.brief.fields import PRACTICE, FileName, Quantity, Section

SubmainPlace = Literal["choose", "row start", "row end", "middle"]


class SetRules(Section):
    """How rows are grouped into sets, the rows that are watered together."""

    flow: Annotated[float, Quantity("m3/h", 0.05, 5000.0)] | None = None
    """Largest flow of one set; water.flow_available when left out."""
    number: Annotated[int, Field(ge=1, le=500)] | None = None
    """Number of sets wanted; as many as serve best when left out."""
    soil_weight: Annotated[float, Quantity("", 0.0, 100.0), PRACTICE] = 0.5
    """What a set wholly outside its main soil zone would count beside one more set."""
    valve_weight: Annotated[float, Quantity("", 0.0, 100.0), PRACTICE] = 0.25
    """What one more valve in a set counts beside one more set."""
    even_weight: Annotated[float, Quantity("", 0.0, 100.0), PRACTICE] = 1.0
    """What a set of twice the mean flow, or none, counts beside one more set."""


class MainRules(Section):
    """Where mainline and submains lie."""

    route: FileName = ""
    """File with the line along which the mainline leaves the source; the shortest way when left
    out."""
    submains: Annotated[SubmainPlace, PRACTICE] = "choose"
    """row start, row end or middle: where submains cross the rows; or "choose" by the slope."""
    level_grade: Annotated[float, Quantity("%", 0.0, 30.0), PRACTICE] = 2.0
    """Rows that fall less than this are fed as level ones; steeper ones from their upper end."""
    longest_lateral: Annotated[float, Quantity("m", 10.0, 1000.0), PRACTICE] = 120.0
    """Level rows longer than this are fed in their middle."""
    room: Annotated[float, Quantity("m", 0.0, 10.0), PRACTICE] = 1.0
    """From an anchor to a submain that runs past it, so that the trench leaves the anchor firm."""
    source_height_tolerance: Annotated[float, Quantity("m", 0.1, 500.0), PRACTICE] = 10.0
    """How far the stated height of the source may lie from the ground before it is questioned."""
