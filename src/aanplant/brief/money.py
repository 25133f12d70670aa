"""The section of the brief on what the grapes bring in, and what money costs over the years."""

from typing import Annotated, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from aanplant.brief.fields import MEMORY, PRACTICE, Name, Quantity, Section, refusal

Basis = Literal["real", "nominal"]
_Price = Annotated[float, Quantity("", 0.0, 1e9)]
_Rate = Annotated[float, Quantity("", -0.99, 2.0), PRACTICE]
_Spread = Annotated[float, Quantity("", 0.0, 1.0), PRACTICE]


class Renewal(Section):
    """A thing that wears out and is bought again."""

    name: Annotated[Name, StringConstraints(min_length=1)]
    """What it is, such as "dripper line"."""
    year: Annotated[int, Field(ge=1, le=60)]
    """Year in which it is first renewed, counted from the year of planting."""
    every: Annotated[int, Field(ge=1, le=60)] | None = None
    """Years from one renewal to the next; once when left out."""
    cost: _Price
    """What it costs for a hectare of vines, in money of today."""


class MoneyRules(Section):
    """What the grapes bring in, and what money costs over the years, value-added tax left out."""

    grape_price: _Price | None = None
    """Price of a tonne of grapes on the vine or delivered, in money of today; without it the plan
    knows costs alone."""
    harvest_cost: _Price | None = None
    """Picking and carting of a tonne of grapes, in money of today."""
    young_cost: _Price | None = None
    """What a hectare costs a year while the vines are trained, beside the hours of aftercare:
    sprays, feeding, water, power."""
    running_cost: _Price | None = None
    """What a hectare of trained vines costs a year without the harvest, labour counted in."""
    overhead: _Price | None = None
    """Share of the estate's standing costs that a hectare carries each year; none when left
    out."""
    contingency: Annotated[float, Quantity("", 0.0, 1.0), PRACTICE] = 0.0
    """Put on top of the cost of establishment for what nobody foresees, as a fraction of it."""
    renewals: tuple[Renewal, ...] = ()
    """Things that wear out and are bought again, one table each."""
    salvage: Annotated[_Price, PRACTICE] = 0.0
    """What a hectare of the old vineyard still brings in at the end, in money of today."""
    horizon: Annotated[int, Field(ge=3, le=60), PRACTICE] = 25
    """Years from planting to the last harvest counted."""
    basis: Annotated[Basis, PRACTICE] = "real"
    """real: all results in money of today; nominal: prices rise by the inflation."""
    discount_rate: _Rate = 0.06
    """What money must earn a year: above inflation with basis = "real", with it when "nominal"."""
    inflation: _Rate = 0.05
    """How much all prices rise in a year."""
    loan_share: Annotated[float, Quantity("", 0.0, 1.0), PRACTICE] = 0.0
    """Share of the money spent to the end of the year of planting that a loan pays."""
    loan_rate: Annotated[float, Quantity("", 0.0, 2.0), PRACTICE] = 0.11
    """Interest a year as the bank states it, inflation counted in."""
    loan_years: Annotated[int, Field(ge=1, le=40), PRACTICE] = 10
    """Years until the loan is paid back, counted from the year of planting, grace included."""
    loan_grace: Annotated[int, Field(ge=0, le=20), PRACTICE] = 0
    """Years in which interest alone is paid."""
    sensitivity: Annotated[float, Quantity("", 0.01, 0.9), PRACTICE] = 0.2
    """How far each price, yield and cost is moved to see what the result hangs on."""
    price_spread: _Spread = 0.15
    """Spread of the lasting level of the grape price about the one given, as a fraction of it."""
    price_swing: _Spread = 0.12
    """Spread of one year's grape price about that level."""
    yield_spread: _Spread = 0.10
    """Spread of the lasting level of the yield about the one given."""
    yield_swing: _Spread = 0.15
    """Spread of one year's yield about that level."""
    cost_spread: _Spread = 0.10
    """Spread of the cost of establishment about the one reckoned."""
    delay_chance: Annotated[float, Quantity("", 0.0, 1.0), PRACTICE] = 0.1
    """Chance that planting must wait for the next season."""
    draws: Annotated[int, Field(ge=100, le=1_000_000), MEMORY] = 10_000
    """Futures that are drawn by chance."""
    seed: Annotated[int, Field(ge=0, le=2**32 - 1), PRACTICE] = 1
    """Start of the row of random numbers: the same seed draws the same futures."""

    @model_validator(mode="after")
    def _a_nominal_rate_is_given(self) -> Self:
        if self.basis == "nominal" and "discount_rate" not in self.model_fields_set:
            raise refusal(
                'money.basis = "nominal" without money.discount_rate',
                "a rate with inflation in it, such as 0.113 for 0.06 above an inflation of 0.05",
            )
        return self

    @model_validator(mode="after")
    def _a_loan_is_paid_back(self) -> Self:
        if self.loan_grace >= self.loan_years:
            raise refusal(
                f"money.loan_grace = {self.loan_grace} with loan_years = {self.loan_years}",
                "fewer years of grace than years of the loan",
            )
        if self.loan_years > self.horizon:
            raise refusal(
                f"money.loan_years = {self.loan_years} with horizon = {self.horizon}",
                "a loan paid back within the horizon",
            )
        return self
