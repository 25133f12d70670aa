"""The keys of the brief on drippers, their line and the soil they wet."""

from typing import Annotated, Literal

from aanplant.brief.fields import MEMORY, PRACTICE, Default, Name, Quantity, Section

FROM_PITS: Literal["from pits"] = "from pits"
Held = Literal["inlet", "middle"]
Texture = Literal["coarse", "medium", "fine"]
_Pressure = Annotated[float, Quantity("kPa", 1.0, 1000.0)]
_Flow = Annotated[float, Quantity("L/h", 0.1, 60.0)]


class DripperLaw(Section):
    """How a dripper's flow follows the pressure."""

    product: Name = ""
    """Row of the table of drippers; keys written in the brief stand before it."""
    pressure: _Pressure | None = None
    """Pressure at which the dripper gives its flow."""
    exponent: Annotated[float, Quantity("", 0.0, 1.0)] | None = None
    """Exponent of the flow law: about 0 pressure-compensating, 0.5 turbulent, 1 laminar."""
    second_flow: _Flow | None = None
    """Flow at a second pressure, from which the exponent is found when it isn't given."""
    second_pressure: _Pressure | None = None
    """The second pressure."""
    variation: Annotated[float, Quantity("", 0.0, 0.5)] | None = None
    """Coefficient of variation among new drippers at one pressure."""
    lowest_pressure: _Pressure | None = None
    """Where regulation of a pressure-compensating dripper starts."""
    highest_pressure: _Pressure | None = None
    """Highest pressure the dripper is made for."""
    passage: Annotated[float, Quantity("mm", 0.1, 5.0)] | None = None
    """Narrowest passage for the water in the dripper, which the filter must guard."""


class UniformityRules(Section):
    """How even the watering must be."""

    emission: Annotated[float, Quantity("%", 50.0, 99.0), MEMORY] = 90.0
    """Least emission uniformity of the design."""
    start_margin: Annotated[float, Quantity("kPa", 0.0, 200.0), PRACTICE] = 10.0
    """Least by which the pressure at a regulating dripper must lie above the start of its
    regulation: pipes are sized for it."""


class WettingRules(Section):
    """What the drippers wet."""

    texture: Annotated[Texture | Literal["from pits"], PRACTICE] = FROM_PITS
    """coarse, medium or fine, or from the pits."""
    least: Annotated[float, Quantity("%", 1.0, 100.0), MEMORY] = 20.0
    """Least share of the ground to wet in the root zone; 33 % in dry country."""
    most: Annotated[float, Quantity("%", 1.0, 100.0), MEMORY] = 67.0
    """Share above which a drip system wets more than it need."""


class DripperLineRules(Section):
    """The dripper line in heat and cold."""

    laid_at: Annotated[float, Quantity("degC", -10.0, 80.0), PRACTICE] = 30.0
    """Temperature of the line's wall when it was laid out beside the vines."""
    coldest: Annotated[float, Quantity("degC", -20.0, 60.0), PRACTICE] = 5.0
    """Wall on the coldest morning on which vines are watered."""
    hottest: Annotated[float, Quantity("degC", 0.0, 90.0), MEMORY] = 60.0
    """Wall of an empty black line in full sun."""
    expansion: Annotated[float, Quantity("mm/m/K", 0.05, 0.5), Default("pe-expansion")] = 0.2
    """Growth of polyethylene; public pages print 0.13 to 0.24."""
    held: Annotated[Held, PRACTICE] = "inlet"
    """Where the line can't move: at its inlet, or at the middle of the row."""
    held_every: Annotated[float, Quantity("m", 0.5, 500.0)] | None = None
    """Distance between points at which the line is tied so that it can't slide."""
    root_ball: Annotated[float, Quantity("m", 0.02, 1.0), PRACTICE] = 0.1
    """Reach of a young vine's roots around it in the first weeks."""
