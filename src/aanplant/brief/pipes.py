"""The keys of the brief on pipes: what they are made of, how fast water runs, how they are paid."""

from typing import Annotated, Literal

from aanplant.brief.fields import MEMORY, PRACTICE, Quantity, Section

BuriedPipe = Literal["PVC-U", "PE100"]
SurgeRule = Literal["share of the class", "sudden stop"]


class PipeRules(Section):
    """Mainline, submains and laterals."""

    mainline: Annotated[BuriedPipe, PRACTICE] = "PVC-U"
    """What the mainline is made of: PVC-U or PE100."""
    submain: Annotated[BuriedPipe, PRACTICE] = "PVC-U"
    """What the submains are made of."""
    lateral_bore: Annotated[float, Quantity("mm", 8.0, 40.0)] | None = None
    """Bore of the dripper line; the smallest of the table that waters evenly when left out."""
    velocity: Annotated[float, Quantity("m/s", 0.3, 3.0), MEMORY] = 1.5
    """Fastest that water may run in mainline and submains."""
    surge: Annotated[SurgeRule, MEMORY] = "share of the class"
    """How room is left for water hammer: by a share of the pipe's class, or by reckoning the surge
    of water that stops at once."""
    class_share: Annotated[float, Quantity("", 0.1, 1.0), MEMORY] = 0.72
    """Share of a pipe's class that pressure at rest may come to; less for black pipe in the sun."""
    taper: Annotated[bool, PRACTICE] = True
    """Whether no pipe may be wider than the one that feeds it."""
    whole_reaches: Annotated[bool, PRACTICE] = False
    """Whether pipe changes size at junctions only."""
    flow_variation: Annotated[float, Quantity("", 0.01, 0.5), MEMORY] = 0.10
    """Greatest share by which the weakest dripper of a lateral may lie under the strongest."""
    interest: Annotated[float, Quantity("", 0.0, 0.5), MEMORY] = 0.10
    """Yearly interest at which pipe is weighed against energy."""
    years: Annotated[float, Quantity("", 1.0, 60.0), MEMORY] = 15.0
    """Years over which pipe is paid."""
