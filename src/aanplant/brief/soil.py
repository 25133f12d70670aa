"""The section of the brief on how soil pits are understood."""

from typing import Annotated

from aanplant.brief.fields import MEMORY, PRACTICE, Quantity, Section


class Soil(Section):
    """How the soil pits are understood."""

    rooting_depth: Annotated[float, Quantity("m", 0.2, 3.0), PRACTICE] = 0.9
    """Depth to which available water is counted, where no limit stops the roots above it."""
    matter_per_carbon: Annotated[float, Quantity("", 1.0, 2.5), MEMORY] = 1.724
    """Organic matter for one part of organic carbon, where a pit gives carbon."""
    pit_reach: Annotated[float, Quantity("m", 0.0, 500.0), MEMORY] = 50.0
    """A pit this far outside the boundary still speaks for its edge; one farther off is refused."""
