"""The sections of the brief on weather, the time of planting, and shelter."""

from typing import Annotated, Literal

from pydantic import AfterValidator, StringConstraints

from aanplant.brief.fields import MEMORY, PRACTICE, FileName, Quantity, Section, refusal

PlantForm = Literal["dormant", "potted", "green"]
Drainage = Literal["free", "moderate", "slow"]
_DAYS_IN_MONTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def _real_day(text: str) -> str:
    if text and int(text[3:]) > _DAYS_IN_MONTH[int(text[:2]) - 1]:
        raise refusal(repr(text), 'a month and day of any year, such as "09-10"')
    return text


MonthDay = Annotated[
    str,
    StringConstraints(pattern=r"^$|^(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$"),
    AfterValidator(_real_day),
]
_Celsius = Annotated[float, Quantity("degC", -30.0, 50.0)]
_Price = Annotated[float, Quantity("", 0.0, 1e9)]


class ClimateRules(Section):
    """The weather of the block, what frost and heat mean, and when vines can be planted."""

    weather: FileName = ""
    """Daily weather for this block; when left out, the estate's weather.csv if it was measured
    near enough."""
    station_reach: Annotated[float, Quantity("km", 0.0, 1000.0), PRACTICE] = 50.0
    """The estate's weather.csv serves blocks up to this far from where it was measured."""
    wind_height: Annotated[float, Quantity("m", 0.5, 50.0)] | None = None
    """Height at which wind was measured, where the file does not say; 2 m when left out."""
    near_coast: Annotated[bool, PRACTICE] = False
    """Whether the sea makes the air, which matters where radiation must be estimated."""
    colder_than_station: Annotated[float, Quantity("", -10.0, 10.0), PRACTICE] = 0.0
    """Degrees Celsius by which the block's coldest place is colder than the station on a clear
    night; counts for frost alone."""
    frost_threshold: Annotated[_Celsius, PRACTICE] = 0.0
    """Air temperature in the screen at or below which green growth is taken as damaged."""
    bud_break: MonthDay = ""
    """Day of bud-break, such as "09-10"; when left out 10 September, north of the equator
    10 March (a judgement)."""
    plant_form: Annotated[PlantForm, PRACTICE] = "dormant"
    """dormant: bare-rooted vines at rest; potted: in leaf, hardened; green: soft growth."""
    delivery: MonthDay = ""
    """First day on which the nursery delivers, such as "07-01"; when left out 15 June for dormant
    and 15 September for other vines, six months later in the north."""
    planting_days: Annotated[float, Quantity("", 1.0, 60.0), PRACTICE] = 5.0
    """Days of fit soil that the planting takes."""
    weeks_before_bud_break: Annotated[float, Quantity("", 0.0, 20.0), PRACTICE] = 3.0
    """Weeks that dormant vines should stand before bud-break."""
    weeks_before_heat: Annotated[float, Quantity("", 0.0, 26.0), PRACTICE] = 6.0
    """Weeks that new vines should stand before the first hot spell."""
    heat: Annotated[_Celsius, PRACTICE] = 32.0
    """A hot spell: the mean daily highest temperature of five days reaches this."""
    least_soil_temperature: Annotated[_Celsius, MEMORY] = 7.0
    """Roots grow little below this; the soil is taken as the mean air of the last 14 days."""
    soil_drainage: Annotated[Drainage, PRACTICE] = "moderate"
    """How fast water above field capacity leaves the top soil: free, moderate or slow."""
    frost_risk: Annotated[float, Quantity("", 0.0, 0.5), PRACTICE] = 0.1
    """Fraction of years in which frost after planting is accepted for potted or green vines."""


class ProtectionRules(Section):
    """Shelter against frost and wind, and what it costs; prices in the estate's currency."""

    wind_machine_price: _Price | None = None
    """Price of one wind machine, standing and ready."""
    overhead_price: _Price | None = None
    """Price of overhead sprinklers a hectare, with their pipes and pump."""
    windbreak_height: Annotated[float, Quantity("m", 1.0, 30.0)] | None = None
    """Height of a windbreak, grown; no windbreak is looked at when left out."""
