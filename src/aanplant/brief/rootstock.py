"""The sections of the brief on how the rootstock is chosen."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from aanplant.brief.fields import (
    MEMORY,
    PRACTICE,
    Default,
    Name,
    NumberRange,
    Quantity,
    Section,
    refusal,
)
from aanplant.brief.sections import CHOOSE
from aanplant.errors import InputError
from aanplant.units import parse_quantity

_Weight = Annotated[float, Quantity("", 0.0, 100.0), PRACTICE]
_Rating = Annotated[float, Quantity("", 1.0, 5.0), PRACTICE]
_LEAST, _GREATEST = 1.0, 5.0


def _vigour(value: object) -> float | str:
    if value == CHOOSE:
        return CHOOSE
    try:
        number = parse_quantity(value, "", "")
    except InputError as error:
        raise refusal(error.found, f'"choose" or {error.expected}') from None
    if not _LEAST <= number <= _GREATEST:
        raise refusal(repr(value), f'"choose" or between {_LEAST:g} and {_GREATEST:g}')
    return number


class RootstockWeights(Section):
    """What counts when rootstocks that hold all limits are ranked; 0 leaves a thing out."""

    vigour: _Weight = 2.0
    """The vigour that the soil asks for."""
    drought: _Weight = 1.0
    """Bearing drought."""
    acid: _Weight = 1.0
    """Bearing acid soil, as far as the soil is acid."""
    ripening: _Weight = 1.0
    """The effect on ripening, where rootstock.ripening asks for one."""


class RootstockRules(Section):
    """How the rootstock is chosen, or the one named is judged."""

    available: tuple[Name, ...] = ()
    """Rootstocks that can be had; when left out any that is known."""
    phylloxera_free_source: Name = ""
    """Who declares the area free of phylloxera, by what decision; when left out phylloxera is
    taken to be there."""
    lime_margin: Annotated[float, Quantity("", 0.0, 20.0), Default("rootstock-rhone")] = 3.0
    """Percentage points of active lime to keep below the limit of a stock, for limier subsoil."""
    least_yield: Annotated[float, Quantity("", 0.5, 1.0), PRACTICE] = 0.9
    """Share of the yield that salt must leave."""
    nematode_rating: _Rating = 3.0
    """Least resistance to a nematode that was found, 1 to 5."""
    phytophthora_rating: _Rating = 3.0
    """Least resistance to Phytophthora where it was found, 1 to 5."""
    phylloxera_rating: _Rating = 3.0
    """Least tolerance of phylloxera, 1 to 5."""
    vigour: Annotated[
        float | Literal["choose"],
        BeforeValidator(_vigour),
        NumberRange("", _LEAST, _GREATEST),
        PRACTICE,
    ] = CHOOSE
    """Vigour wanted, 1 to 5, or "choose" to take it from what the soil can carry."""
    ripening: Annotated[Literal["any", "early", "middle", "late"], PRACTICE] = "any"
    """Effect on ripening that is wanted."""
    weights: RootstockWeights = RootstockWeights()
    """What counts in the ranking."""
    memory_spread: Annotated[float, Quantity("", 0.0, 2.0), MEMORY] = 0.5
    """How far a rating from memory may be wrong; one in doubt twice as far."""
    draws: Annotated[int, Field(ge=100, le=100_000), PRACTICE] = 2000
    """How often the uncertain ratings are drawn."""
    seed: Annotated[int, Field(ge=0, le=2**31), PRACTICE] = 1
    """Where the draws begin; the same seed gives the same draws."""
