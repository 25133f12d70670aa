"""The section of the brief on how vines are planted, and how many a day."""

from typing import Annotated, Literal

from pydantic import Field

from aanplant.brief.fields import PRACTICE, Quantity, Section

PlantingMethod = Literal["spade", "auger", "water jet", "towed planter", "guided planter"]
Keep = Literal["cold store", "heeled in", "none"]


class PlantingRules(Section):
    """How vines are planted, how many a day, and how they are kept until then."""

    method: Annotated[PlantingMethod, PRACTICE] = "spade"
    """spade: holes dug by pairs; auger: holes bored by tractor; water jet: a lance, on light soil
    only; towed planter; guided planter: steered by satellite."""
    rate: Annotated[float, Quantity("", 1.0, 50000.0)] | None = None
    """Vines a day by each worker, or by each machine with its own crew; the middle of the table's
    range when left out. nursery.planting_rate, the whole crew's, goes before it."""
    machines: Annotated[int, Field(ge=1, le=50), PRACTICE] = 1
    """Augers or planters at work at once."""
    longest_out: Annotated[float, Quantity("h", 1.0, 1000.0), PRACTICE] = 48.0
    """Longest time from store or heap to the ground, soaking included; warming up in closed, moist
    packing is not counted."""
    keep: Annotated[Keep, PRACTICE] = "cold store"
    """Where delivered vines wait on the farm: cold store, heeled in, or none."""
    basin: Annotated[int, Field(ge=0, le=200_000), PRACTICE] = 0
    """Vines that the soaking basins hold; 0 while it is not known."""
    least_soak: Annotated[float, Quantity("h", 0.0, 24.0)] | None = None
    """Shortest time in water; when left out 4 h, and 12 h before a planting machine."""
    holes_ahead: Annotated[int, Field(ge=0, le=10), PRACTICE] = 1
    """Days of work that holes are made ahead of planting."""
    tankers: Annotated[int, Field(ge=1, le=20), PRACTICE] = 1
    """Tankers that bring water, where first_season.by is a tanker."""
    water_hours: Annotated[float, Quantity("h", 1.0, 24.0), PRACTICE] = 10.0
    """Hours of a planting day in which sets of the drippers can run."""
    start_hour: Annotated[float, Quantity("h", 3.0, 12.0), PRACTICE] = 7.0
    """Hour of the day at which planting begins."""
    warm_up: Annotated[bool, PRACTICE] = True
    """Whether vines out of a cold store stand some days in the warm before they are planted."""
    stop_at_row_end: Annotated[float, Quantity("", 0.0, 0.5), PRACTICE] = 0.1
    """Share of a day's vines that may be left undone so that the day ends at a row end, where that
    costs no other day."""
