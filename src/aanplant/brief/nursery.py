"""The section of the brief on the nursery's order, its lots, and how vines are planted."""

from typing import Annotated, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from aanplant.brief.fields import (
    MEMORY,
    PRACTICE,
    DayText,
    Default,
    Name,
    Quantity,
    Section,
    refusal,
)

Answer = Literal["yes", "no", "unknown"]
OrderState = Literal["not ordered", "asked", "confirmed"]
LotState = Literal["promised", "lifted", "delivered", "accepted", "refused"]
LotMixing = Literal["rows of one lot", "recorded to the vine"]
_Count = Annotated[int, Field(ge=0, le=10_000_000)]


class VirusTest(Section):
    """One test of a lot or of its mother block."""

    organism: Annotated[Name, StringConstraints(min_length=2)]
    """What was looked for, such as "leafroll virus 3"."""
    method: Name = ""
    """How, such as ELISA or PCR."""
    date: DayText = ""
    """When the sample was taken, year-month-day."""
    result: Literal["found", "not found", "unknown"] = "unknown"
    """What was found."""


class VineLot(Section):
    """One delivery of one nursery batch."""

    id: Annotated[Name, StringConstraints(min_length=1)]
    """Name of the lot, as on its label."""
    scion_clone: Name = ""
    """Clone of the scion."""
    rootstock_clone: Name = ""
    """Clone of the rootstock."""
    mother_block: Name = ""
    """Where the scion wood was cut."""
    nursery: Name = ""
    """Who grafted it; the order's nursery when left out."""
    year: Annotated[int, Field(ge=1950, le=2200)] | None = None
    """Year of grafting."""
    certificate: Name = ""
    """Number of the certificate."""
    certificate_class: Name = ""
    """Class of the certificate."""
    virus_tests: tuple[VirusTest, ...] = ()
    """Tests, one table each."""
    hot_water_treatment: Annotated[Answer, PRACTICE] = "unknown"
    """Whether the vines were treated with hot water."""
    transport_permit: Name = ""
    """Number of the permit to move the vines."""
    vines: _Count = 0
    """How many vines."""
    state: Annotated[LotState, PRACTICE] = "promised"
    """promised, lifted, delivered, accepted or refused."""


class OrderPart(Section):
    """A part of the order: one clone on one rootstock."""

    clone: Name = ""
    """Clone of the scion; the block's when left out."""
    rootstock: Name = ""
    """Rootstock; the block's when left out."""
    share: Annotated[float, Quantity("", 0.0, 1.0)] = 1.0
    """Share of the order, as a fraction."""


class Nursery(Section):
    """What is ordered from the nursery, what it delivers, and how it is planted."""

    name: Name = ""
    """The nursery."""
    order_state: Annotated[OrderState, PRACTICE] = "not ordered"
    """How far the order is: not ordered, asked or confirmed."""
    grade: Annotated[Name, Default("california-vine-grades")] = (
        "California number 1 dormant bench graft"
    )
    """Grade standard wanted; a name in the program's table prints its numbers on the cards."""
    certification: Annotated[Answer, PRACTICE] = "yes"
    """Whether certified vines are wanted."""
    certificate_class: Name = ""
    """Class of certificate wanted."""
    parts: tuple[OrderPart, ...] = ()
    """Clones and rootstocks the order is split into, one table each; shares add up to 1."""
    deliveries: Annotated[int, Field(ge=1, le=60), PRACTICE] = 1
    """Deliveries the order comes in; spares.batches when left out."""
    planting_rate: Annotated[int, Field(ge=0, le=200_000), PRACTICE] = 0
    """Vines the whole crew plants a day; 0 while it is not known."""
    as_of: DayText = ""
    """Today, year-month-day: dates before it are judged late, none while it is empty. Unless
    schedule.starts says when the work begins, nothing that is left is planned before it."""
    lots_in_rows: Annotated[LotMixing, PRACTICE] = "rows of one lot"
    """rows of one lot, or lots recorded to the vine."""
    lots: tuple[VineLot, ...] = ()
    """Lots promised or delivered, one table each."""
    union_height: Annotated[float, Quantity("m", 0.0, 0.4), Default("planting-guides")] = 0.05
    """Graft union above the soil once it has settled."""
    soil_settling: Annotated[float, Quantity("m", 0.0, 0.3), MEMORY] = 0.04
    """How far loosened soil sinks after planting; when left out, settling_share of the depth that
    is loosened, and this where that depth is not known."""
    settling_share: Annotated[float, Quantity("", 0.0, 0.2), MEMORY] = 0.045
    """Share of its loosened depth by which soil sinks after planting: 4 cm on 0.9 m."""
    soaking: Annotated[float, Quantity("h", 0.0, 48.0), Default("planting-guides")] = 24.0
    """Longest time that roots lie in water before planting."""
    hole_width: Annotated[float, Quantity("m", 0.05, 1.5), Default("planting-guides")] = 0.3
    """Least width of the planting hole."""
    hole_depth: Annotated[float, Quantity("m", 0.05, 1.5), Default("planting-guides")] = 0.3
    """Least depth of the planting hole."""
    sand_water: Annotated[float, Quantity("L", 0.0, 100.0), MEMORY] = 10.0
    """Water for each vine at planting on dry sand."""
    root_trim: Annotated[Literal["uncut unless damaged", "trimmed"], Default("planting-guides")] = (
        "uncut unless damaged"
    )
    """Roots left uncut unless damaged, or trimmed to 12 to 15 cm; guides disagree."""
    mound: Annotated[bool, PRACTICE] = True
    """Whether loose soil is heaped over the new vine in dry air."""
    mound_weeks: Annotated[float, Quantity("", 1.0, 26.0), PRACTICE] = 8.0
    """Weeks after planting by which the mounds are opened again."""
    first_cut_buds: Annotated[int, Field(ge=1, le=6), Default("planting-guides")] = 2
    """Buds kept above the union at the first cut."""

    @model_validator(mode="after")
    def _lots_have_names_of_their_own(self) -> Self:
        names = [lot.id for lot in self.lots]
        twice = sorted({name for name in names if names.count(name) > 1})
        if twice:
            raise refusal(f"the lot {twice[0]!r} twice", "a name of its own for every lot")
        return self

    @model_validator(mode="after")
    def _shares_add_up(self) -> Self:
        total = sum(part.share for part in self.parts)
        if self.parts and abs(total - 1.0) > 1e-6:  # noqa: PLR2004 - rounding of decimals
            raise refusal(f"parts with shares of {total:g} in all", "shares that add up to 1")
        return self
