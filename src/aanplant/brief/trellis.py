"""The section of the brief on the trellis: its system, or wires, arms and posts of your own."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, field_validator

from aanplant.brief.fields import MEMORY, PRACTICE, Name, NumberRange, Quantity, Section, refusal
from aanplant.brief.loads import LoadRules
from aanplant.errors import InputError
from aanplant.units import parse_quantity

CHOOSE: Literal["choose"] = "choose"
LEAST_TENSION_N, MOST_TENSION_N = 50.0, 10_000.0
"""Slack by any measure, and more than any wire of a trellis holds."""
WireRole = Literal["cordon", "fruit", "foliage", "support"]
_PostLength = Annotated[float, Quantity("m", 0.8, 5.0)]
_Embedment = Annotated[float, Quantity("m", 0.1, 2.5)]
_Temperature = Quantity("degC", -40.0, 70.0)


def _tension(value: object) -> float | str:
    if value == CHOOSE:
        return CHOOSE
    try:
        number = parse_quantity(value, "N", "")
    except InputError as error:
        raise refusal(error.found, f'"choose" or {error.expected}') from None
    if not LEAST_TENSION_N <= number <= MOST_TENSION_N:
        allowed = f"between {LEAST_TENSION_N:g} and {MOST_TENSION_N:g} N"
        raise refusal(repr(value), f'"choose" or {allowed}, such as "600 N" or "1.2 kN"')
    return number


class WireRule(Section):
    """One kind of wire in the trellis."""

    name: Name
    """What the wire carries: cordon, foliage pair."""
    height: Annotated[float, Quantity("m", 0.1, 3.5)]
    """Height above the ground."""
    diameter: Annotated[float, Quantity("mm", 1.0, 6.0)]
    """Diameter of the strand."""
    grade: Annotated[Name, PRACTICE] = "mild"
    """Strength class of the steel: mild or high strain; any other is reckoned as the weakest."""
    strands: Annotated[int, Field(ge=1, le=4)] = 1
    """Strands at this height; a movable pair counts two."""
    role: Annotated[WireRole | Literal["choose"], PRACTICE] = CHOOSE
    """cordon, fruit and support wires carry the crop, a foliage wire does not; when left out the
    lowest wire is the cordon wire and the others hold foliage."""
    movable: Annotated[bool, PRACTICE] = False
    """Whether the strands are lifted with the shoots, on hooks instead of staples."""
    tension: Annotated[
        float | Literal["choose"],
        BeforeValidator(_tension),
        NumberRange("N", LEAST_TENSION_N, MOST_TENSION_N),
        MEMORY,
    ] = CHOOSE
    """Pull in each strand when it is strained, in N, or "choose"."""
    offset: Annotated[float, Quantity("m", 0.0, 2.0), PRACTICE] = 0.0
    """From the middle of the row, for wires on arms: half the strands on either side."""


class ArmRule(Section):
    """A cross arm on every post."""

    height: Annotated[float, Quantity("m", 0.2, 3.5)]
    """Where the arm meets the post, above the ground."""
    width: Annotated[float, Quantity("m", 0.1, 4.0)]
    """From tip to tip, on the level."""
    slope: Annotated[float, Quantity("deg", -60.0, 75.0), PRACTICE] = 0.0
    """How steeply either side rises from the post outward."""


class TrellisRules(LoadRules):
    """What holds the vines up."""

    system: Annotated[Name, PRACTICE] = "vertical-5"
    """Trellis system by name."""
    post_every: Annotated[int, Field(ge=1, le=30), MEMORY] = 5
    """Vines between line posts."""
    post_length: _PostLength | None = None
    """Length of a line post; when left out materials.line_post_length if you gave it, or the
    system's."""
    post_embedment: _Embedment | None = None
    """Of it in the ground; the system's when left out."""
    end_post_length: _PostLength | None = None
    """Length of an end post; when left out materials.end_post_length if you gave it, or the
    system's."""
    end_post_embedment: _Embedment | None = None
    """Of it in the ground; the system's when left out."""
    install_temperature: Annotated[float, _Temperature, PRACTICE] = 20.0
    """Of the wires on the day they are strained."""
    hottest_wire: Annotated[float, _Temperature, PRACTICE] = 45.0
    """Of the wires in the sun on a hot day before harvest."""
    coldest_wire: Annotated[float, _Temperature, PRACTICE] = -3.0
    """Of the wires on the coldest night of winter."""
    wires: tuple[WireRule, ...] = ()
    """Your own wires instead of the system's."""
    arms: tuple[ArmRule, ...] = ()
    """Your own cross arms instead of the system's."""

    @field_validator("wires")
    @classmethod
    def _wires_have_names_of_their_own(cls, wires: tuple[WireRule, ...]) -> tuple[WireRule, ...]:
        names = [wire.name for wire in wires]
        twice = next((name for name in names if names.count(name) > 1), None)
        if twice is not None:
            raise refusal(f"two wires named {twice!r}", "a name of its own for each wire")
        return wires
