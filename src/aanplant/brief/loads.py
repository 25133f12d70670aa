"""The keys of the trellis on what hangs on its wires."""

from typing import Annotated

from pydantic import Field

from aanplant.brief.fields import MEMORY, Quantity, Section


class LoadRules(Section):
    """What hangs on the wires."""

    yield_full: Annotated[float, Quantity("t/ha", 0.0, 80.0), MEMORY] = 12.0
    """Crop of the grown vines."""
    yield_by_year: Annotated[
        tuple[Annotated[float, Quantity("", 0.0, 1.5)], ...],
        Field(min_length=1, max_length=60),
        MEMORY,
    ] = (0.0, 0.0, 0.4, 0.8, 1.0)
    """Crop of each year from planting as a share of the full one; the last share stays."""
    canopy_weight: Annotated[float, Quantity("kg/m", 0.0, 30.0), MEMORY] = 4.0
    """Leaves, shoots, old wood and rain on them, for a metre of grown row."""
