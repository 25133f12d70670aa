"""The sections of the brief on how the cultivar and the spacing are judged."""

from typing import Annotated, Literal

from aanplant.brief.climate import MonthDay
from aanplant.brief.fields import MEMORY, PRACTICE, Quantity, Section

Training = Literal["", "spur", "cane"]
CanopyForm = Literal["vertical", "divided", "free"]


class CultivarRules(Section):
    """How the cultivar is set beside the heat and the frost of the block."""

    heat_from: MonthDay = ""
    """First day from which heat is summed; when left out 1 October, north of the equator 1 April
    (recalled, not checked)."""
    ripe_by: MonthDay = ""
    """Day by which the crop must be ripe; when left out 31 March, north of the equator
    30 September (a judgement)."""
    days_per_bud_break_class: Annotated[float, Quantity("", 0.0, 30.0), MEMORY] = 7.0
    """Days from one class of bud-break to the next, very early to very late in five."""
    training: Training = ""
    """Pruning to spurs or canes, to be set beside the cultivar's usual; "" for open."""


class SpacingRules(Section):
    """How the spacing is set beside the rules."""

    canopy: Annotated[CanopyForm, PRACTICE] = "vertical"
    """vertical: one curtain; divided: two; free: bush vines and others without a rule."""
