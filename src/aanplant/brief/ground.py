"""The section of the brief on the shape of the ground."""

from typing import Annotated, Literal

from aanplant.brief.fields import MEMORY, PRACTICE, Default, Quantity, Section

HeightUnit = Literal["", "m", "ft"]
_Percent = Annotated[float, Quantity("%", 0.5, 100.0)]


class GroundRules(Section):
    """The slope of the ground: the unit of its heights, and what slope work can stand."""

    heights_unit: HeightUnit = ""
    """Unit of the heights, "m" or "ft"; a file that does not say its unit is refused without."""
    machine_grade: Annotated[_Percent, MEMORY] = 25.0
    """Steepest grade along the rows for the machine; its maker's figure counts."""
    machine_side_slope: Annotated[_Percent, MEMORY] = 12.0
    """Steepest slope across the rows for the machine; its maker's figure counts."""
    row_grade: Annotated[_Percent, Default("contour-rows")] = 10.0
    """Steepest grade along the rows, with cover between them, before water scours."""
    listed_soil: Annotated[bool, MEMORY] = False
    """Whether the soil is one for which the law sets a lower slope limit."""
    hollow_depth: Annotated[float, Quantity("m", 0.01, 10.0), PRACTICE] = 0.2
    """A hollow at least this deep is spoken of."""
    gathering_area: Annotated[float, Quantity("ha", 0.01, 1000.0), PRACTICE] = 1.0
    """Ground that drains to one place before its water is spoken of."""
