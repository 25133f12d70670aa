"""The section of the brief on what grew here before, and what it left in the ground."""

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from aanplant.brief.fields import MEMORY, PRACTICE, Name, Quantity, Section

Answer = Literal["yes", "no", "unknown"]
Found = Literal["found", "not found", "untested"]
Crop = Literal["vines", "orchard", "field crops", "pasture", "fallow", "virgin", "other", "unknown"]
_Month = Annotated[str, StringConstraints(pattern=r"^$|^\d{4}-(0[1-9]|1[0-2])$")]
_Day = Annotated[
    str, StringConstraints(pattern=r"^$|^\d{4}-(0[1-9]|1[0-2])(-(0[1-9]|[12]\d|3[01]))?$")
]


class NematodeCount(Section):
    """One line of a laboratory's report on nematodes."""

    species: Annotated[Name, StringConstraints(min_length=3)]
    """Species or genus as the report names it."""
    count: Annotated[float, Quantity("", 0.0, 1e7)]
    """How many were counted."""
    per: Name = "250 cm3 of soil"
    """In how much soil or root."""
    method: Name = ""
    """Method of extraction, such as "sieving and sugar flotation"."""
    laboratory: Name = ""
    """Who counted."""
    date: _Day = ""
    """When the sample was taken, year-month or year-month-day."""


class NeighbourVines(Section):
    """Vines next door."""

    name: Name = ""
    """What the neighbouring block is called."""
    distance: Annotated[float, Quantity("m", 0.0, 10_000.0)]
    """From edge to edge."""
    upwind: Answer = "unknown"
    """Whether the wind of the growing season blows from there."""
    leafroll: Found = "untested"
    """Leafroll virus."""
    mealybug: Found = "untested"
    """Vine mealybug."""


class LandHistory(Section):
    """What grew here before, and what it left."""

    last_crop: Annotated[Crop, PRACTICE] = "unknown"
    """The last crop."""
    pulled: _Month = ""
    """Month in which the old vines or trees were pulled, such as "2024-06"."""
    vine_age: Annotated[float, Quantity("", 0.0, 300.0)] | None = None
    """Age in years of the old vines, standing or when they were pulled."""
    host_free: Annotated[Answer, PRACTICE] = "unknown"
    """Kept free since pulling of vine roots, volunteers, and weeds that host the pest."""
    fallow: Annotated[float, Quantity("", 0.0, 240.0), MEMORY] = 24.0
    """Months a host-free fallow should last after vines with virus."""
    roots_out: Annotated[Answer, PRACTICE] = "unknown"
    """Old roots taken out."""
    poles_out: Annotated[Answer, PRACTICE] = "unknown"
    """Old poles and anchors taken out."""
    wire_out: Annotated[Answer, PRACTICE] = "unknown"
    """Old wire and pipe taken out."""
    leafroll: Annotated[Found, PRACTICE] = "untested"
    """Leafroll virus in the old vines."""
    mealybug: Annotated[Found, PRACTICE] = "untested"
    """Vine mealybug in the old vines."""
    neighbours: tuple[NeighbourVines, ...] = ()
    """Vines next door, one table each."""
    neighbour_reach: Annotated[float, Quantity("m", 0.0, 10_000.0), MEMORY] = 500.0
    """Neighbours nearer than this are spoken of; upwind ones to twice as far."""
    nematodes: tuple[NematodeCount, ...] = ()
    """Nematodes found, one table a species."""
    dagger_settled: Name = ""
    """With whom fallow and rootstock against dagger nematode are settled; empty while open."""
    ground_pearls: Annotated[Found, PRACTICE] = "untested"
    """Ground pearls (Margarodes) on roots or in the soil."""
    phylloxera: Annotated[Found, PRACTICE] = "untested"
    """Phylloxera."""
    crown_gall: Annotated[Found, PRACTICE] = "untested"
    """Crown gall in the old vines."""
    phytophthora: Annotated[Found, PRACTICE] = "untested"
    """Phytophthora in the soil."""
    herbicide_residue: Annotated[Found, PRACTICE] = "untested"
    """Residue of a herbicide that harms young vines."""
    old_vines: Annotated[float, Field(ge=5, le=200), PRACTICE] = 35.0
    """Age in years from which old vines deserve a thought before they are pulled."""
