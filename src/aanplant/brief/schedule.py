"""The section of the brief on when the block is made, and what the vines wait for."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from aanplant.brief.fields import MEMORY, PRACTICE, DayText, Quantity, Section, refusal


class ScheduleRules(Section):
    """When the block is made, and what the vines wait for."""

    months_before: Annotated[int, Field(ge=1, le=60), PRACTICE] = 27
    """Months before planting in which the work begins, or later, on nursery.as_of."""
    starts: DayText = ""
    """First day of the work, year-month-day, also one that is past; when left out, months_before
    and nursery.as_of say it."""
    planting_weeks: Annotated[float, Quantity("", 1.0, 26.0), PRACTICE] = 8.0
    """Weeks, from the first day of the month of planting, in which all vines must be planted."""
    store_weeks: Annotated[float, Quantity("", 0.0, 26.0), MEMORY] = 8.0
    """Weeks that a cold store keeps lifted vines well."""
    fence: Annotated[Literal["planned", "present", "none"], PRACTICE] = "planned"
    """Fence around the block: planned, present or none."""
    fumigation: Annotated[bool, PRACTICE] = False
    """Whether a licensed applicator fumigates the soil."""
    fumigation_wait: Annotated[float, Quantity("", 0.0, 104.0)] | None = None
    """Weeks that the fumigant's label asks between fumigation and planting."""
    search_limit: Annotated[float, Quantity("", 0.0, 1000.0), PRACTICE] = 1.0
    """Work that the search for the best calendar may do, in the solver's own measure."""
    simulated: Annotated[int, Field(ge=0, le=20_000), PRACTICE] = 400
    """Runs through the weather on record by which the chance of ending in time is found."""
    seed: Annotated[int, Field(ge=0, le=2**31), PRACTICE] = 1
    """Seed of those runs: the same seed draws the same weather."""

    @model_validator(mode="after")
    def _the_label_says_how_long(self) -> Self:
        if self.fumigation and self.fumigation_wait is None:
            raise refusal(
                "fumigation = true without fumigation_wait",
                "the weeks of waiting that the label of the fumigant asks",
            )
        return self
