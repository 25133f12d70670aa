"""The sections of the brief on spare vines and on looking over what a nursery delivers."""

from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, model_validator

from aanplant.brief.fields import (
    MEMORY,
    PRACTICE,
    Default,
    FileName,
    Name,
    NumberRange,
    Quantity,
    Section,
    refusal,
)
from aanplant.errors import InputError
from aanplant.units import parse_quantity

FIT: Literal["fit"] = "fit"
Keep = Literal["bed", "bags"]
WIDEST_CORRELATION = 0.3
"""Batches that vary more are no batches of one nursery."""
_Share = Annotated[float, Quantity("", 0.0, 1.0)]
_Loss = Annotated[float, Quantity("", 0.0, 0.9), PRACTICE]
_Price = Annotated[float, Quantity("", 0.0, 1e9)]


def _correlation(value: object) -> float | str:
    if value == FIT:
        return FIT
    try:
        number = parse_quantity(value, "", "")
    except InputError as error:
        raise refusal(error.found, f'"fit" or {error.expected}') from None
    if not 0 <= number <= WIDEST_CORRELATION:
        raise refusal(repr(value), f'"fit" or between 0 and {WIDEST_CORRELATION:g}')
    return number


class SpareRules(Section):
    """How far delivery batches differ, what a gap costs, and how spare vines are kept."""

    batches: Annotated[int, Field(ge=1, le=100), PRACTICE] = 1
    """Delivery batches: vines lifted, stored and carried together share their fate."""
    batch_correlation: Annotated[
        float | Literal["fit"],
        BeforeValidator(_correlation),
        NumberRange("", 0.0, WIDEST_CORRELATION),
        PRACTICE,
    ] = 0.0
    """Correlation of the losses of two vines of one batch, or "fit" from past_losses; 0 takes every
    loss as independent of the next."""
    past_losses: FileName = ""
    """File of past batches: batch, vines, dead."""
    gap_price: _Price | None = None
    """What an empty place costs a year, in the estate's currency; money is left out when not
    given."""
    gap_years: Annotated[float, Quantity("", 0.0, 40.0), PRACTICE] = 2.0
    """Years a place stays behind when no spare vine was there for it."""
    first_year_share: Annotated[_Share, Default("replacement-losses")] = 0.6
    """Share of the losses seen by the end of the first year; the rest by the end of the second."""
    keep: Annotated[Keep, PRACTICE] = "bed"
    """bed: spares stand in a nursery bed; bags: in bags."""
    bed_loss: _Loss = 0.05
    """Share of the vines in a bed that die or fall below grade each year."""
    bag_loss: _Loss = 0.10
    """Share of the vines in bags that die or fall below grade each year."""
    bed_years: Annotated[int, Field(ge=1, le=5), PRACTICE] = 2
    """Years a vine in a bed stays fit to be planted in a gap."""
    bag_years: Annotated[int, Field(ge=1, le=5), PRACTICE] = 1
    """Years a vine in a bag stays fit to be planted in a gap."""

    @model_validator(mode="after")
    def _a_fit_needs_records(self) -> Self:
        if self.batch_correlation == FIT and not self.past_losses:
            raise refusal(
                'spares.batch_correlation = "fit" without spares.past_losses',
                "a file of past batches, or a number such as 0.01",
            )
        return self


class SampleFound(Section):
    """What was found in the sample of one delivery."""

    batch: Name
    """Name of the batch."""
    delivered: Annotated[int, Field(ge=1, le=10_000_000)]
    """Vines in the delivery."""
    checked: Annotated[int, Field(ge=1, le=10_000_000)]
    """Vines drawn at random and looked over."""
    bad: Annotated[int, Field(ge=0, le=10_000_000)]
    """Those below grade."""

    @model_validator(mode="after")
    def _no_more_than_there_are(self) -> Self:
        if self.checked > self.delivered:
            raise refusal(
                f"{self.checked} vines checked of {self.delivered} delivered",
                "no more checked than delivered",
            )
        if self.bad > self.checked:
            raise refusal(
                f"{self.bad} bad vines of {self.checked} checked", "no more bad than checked"
            )
        return self


class SamplingRules(Section):
    """How many vines of a delivery are looked over, and how many may be bad."""

    good_batch: Annotated[float, Quantity("", 0.0005, 0.5), PRACTICE] = 0.01
    """Share of bad vines that is still a good batch, which should be accepted."""
    bad_batch: Annotated[float, Quantity("", 0.001, 0.9), PRACTICE] = 0.05
    """Share of bad vines that makes a batch bad, which should be refused."""
    producer_risk: Annotated[float, Quantity("", 0.001, 0.5), MEMORY] = 0.05
    """Chance that a good batch is refused."""
    consumer_risk: Annotated[float, Quantity("", 0.001, 0.5), MEMORY] = 0.10
    """Chance that a bad batch is accepted."""
    rule: Annotated[Literal["smallest", "iso-2859"], PRACTICE] = "smallest"
    """smallest: the fewest vines that hold both risks; iso-2859: the standard's numbers, recalled
    from memory."""
    quality_limit: Annotated[Literal["1.0", "2.5", "4.0"], PRACTICE] = "1.0"
    """Acceptance quality limit of iso-2859, in percent."""
    found: tuple[SampleFound, ...] = ()
    """What was found in each delivery, one table each."""

    @model_validator(mode="after")
    def _bad_is_worse_than_good(self) -> Self:
        if self.bad_batch <= self.good_batch:
            raise refusal(
                f"sampling.bad_batch = {self.bad_batch:g} with good_batch = {self.good_batch:g}",
                "a bad batch to hold a larger share of bad vines than a good one",
            )
        return self
