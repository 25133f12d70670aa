"""The section of the brief on the line posts, their wind and their ground."""

import difflib
from typing import Annotated, Literal

from pydantic import Field, field_validator

from aanplant import tables
from aanplant.brief.fields import MEMORY, PRACTICE, Default, Name, Quantity, Section, refusal
from aanplant.errors import InputError
from aanplant.units import parse_quantity

FROM_PITS = "from pits"
SLOWEST_GUST_M_S, FASTEST_GUST_M_S = 5.0, 70.0
"""Gusts a trellis is planned for lie between; a faster one is beyond any code's map."""


def known_in(table: str, column: str, value: str) -> str:
    """Return the value if the table knows it, or refuse it with the nearest that it knows."""
    known = list(dict.fromkeys(row[column] for row in tables.rows(table)))
    if value not in known:
        near = difflib.get_close_matches(value, known, n=3, cutoff=0.4) or known
        raise refusal(repr(value), " or ".join(f'"{name}"' for name in near))
    return value


class PostRules(Section):
    """The line posts, the wind on them and the ground they stand in."""

    group: Annotated[Name, PRACTICE] = "softwood"
    """Timber of the posts, or the kind of steel post; the table of post strengths names them."""
    size: Annotated[Name, PRACTICE] = "75-100"
    """Size as the trade sells round posts, in mm; the thin end is reckoned with.
    100-125 for single-wire, lyre and gable."""
    exposed_size: Annotated[Name, PRACTICE] = "100-125"
    """Size in the rows that meet the full wind; never thinner than the others unless you say so.
    125-150 for single-wire, lyre and gable."""
    diameter: Annotated[float, Quantity("mm", 30.0, 400.0)] | None = None
    """Diameter of every round post at the ground line, where you measured it."""
    strength: Annotated[float, Quantity("MPa", 5.0, 700.0)] | None = None
    """Bending strength that 95 posts of 100 reach, where you know it; the table's when left out."""
    working_factor: Annotated[float, Quantity("", 1.0, 5.0), MEMORY] = 2.2
    """What the strength is divided by, for wet wood, long loads and safety."""
    wind: Annotated[float, Quantity("m/s", SLOWEST_GUST_M_S, FASTEST_GUST_M_S), PRACTICE] = 25.0
    """Strongest gust in leaf that line posts shall bear, at 10 m as wind maps and stations give it.
    A judgement: gusts of storms that come once in decades, 36 to 40 m/s in the Western Cape, bend a
    usual post in full leaf past its strength."""
    porosity: Annotated[float, Quantity("", 0.0, 0.95), MEMORY] = 0.2
    """Share of sky seen through the foliage, from the side."""
    exposed_rows: Annotated[int, Field(ge=0, le=1000), MEMORY] = 2
    """Rows from each side of the block that meet the full wind."""
    sheltered_wind: Annotated[float, Quantity("", 0.0, 1.0), MEMORY] = 0.4
    """Share of the wind's force that reaches the rows inside."""
    streamlining: Annotated[float, Quantity("", 0.1, 1.0), MEMORY] = 1.0
    """Share of the drag left when leaves fold in a gale; 1 counts on no folding."""
    soil: Annotated[Name, PRACTICE] = FROM_PITS
    """Soil that holds the posts: from pits, or a class of the table of lateral bearing; clay or
    silt, the weakest, where there are no pits."""
    lateral_bearing: Annotated[float, Quantity("kPa/m", 1.0, 500.0)] | None = None
    """Lateral bearing of the soil for a metre of depth, where it was measured."""
    isolated_factor: Annotated[float, Quantity("", 1.0, 2.0), MEMORY] = 2.0
    """Bearing of a lone post that may move 12 mm at the ground, over the printed one."""
    wind_factor: Annotated[float, Quantity("", 1.0, 1.5), Default("ibc-bearing")] = 1.3333
    """Bearing under short wind, over the printed one."""
    cohesion: Annotated[float, Quantity("kPa", 5.0, 300.0), MEMORY] = 50.0
    """Undrained strength of clay, moist as in winter; that under [ends] where only it is given."""
    unit_weight: Annotated[float, Quantity("kN/m3", 8.0, 24.0), MEMORY] = 17.0
    """Weight of the soil."""
    friction_angle: Annotated[float, Quantity("deg", 20.0, 45.0), MEMORY] = 30.0
    """Angle of friction of sand or gravel; that under [ends] where only it is given."""
    set_by: Annotated[Literal["driving", "digging and ramming"], PRACTICE] = "driving"
    """How posts are set."""
    utilisation: Annotated[float, Quantity("", 0.1, 1.0), PRACTICE] = 0.9
    """Share of a post's working moment that the choice of spacing and size may use."""
    least_ground_wind: Annotated[float, Quantity("m/s", 0.0, FASTEST_GUST_M_S)] | None = None
    """Gust at 10 m that the ground must stand before a spacing and size are chosen; not asked when
    left out, since formulas for buildings refuse posts that have long stood."""

    @field_validator("group")
    @classmethod
    def _group_is_known(cls, group: str) -> str:
        return known_in("post_strengths.csv", "group", group)

    @field_validator("size", "exposed_size")
    @classmethod
    def _size_is_known(cls, size: str) -> str:
        return known_in("post_sizes.csv", "size", size)

    @field_validator("soil")
    @classmethod
    def _soil_is_known(cls, soil: str) -> str:
        return soil if soil == FROM_PITS else known_in("lateral_bearing.csv", "soil", soil)

    @field_validator("wind", mode="before")
    @classmethod
    def _wind_is_no_kilometres_an_hour(cls, value: object) -> object:
        try:
            speed = parse_quantity(value, "m/s", "")
        except InputError:
            return value  # the key's own reading says what is wrong
        if speed > FASTEST_GUST_M_S:
            asked = f'; is it km/h? Then write "{speed:g} km/h"' if _is_bare(value) else ""
            raise refusal(
                repr(value), f"between {SLOWEST_GUST_M_S:g} and {FASTEST_GUST_M_S:g} m/s{asked}"
            )
        return value


def _is_bare(value: object) -> bool:
    """Whether a speed came without a unit, or in the key's own."""
    return not isinstance(value, str) or value.replace(" ", "").endswith("m/s")
