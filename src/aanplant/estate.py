"""The estate: what all its blocks share."""

from typing import Annotated, Literal
from zoneinfo import available_timezones

from pydantic import AfterValidator, Field, StringConstraints

from aanplant.brief import Name, Quantity, Section, parse_toml, refusal, validated


def _known_timezone(name: str) -> str:
    if name and name not in available_timezones():
        raise refusal(repr(name), 'an IANA time zone, such as "Africa/Johannesburg"')
    return name


class Estate(Section):
    """Settings of an estate, from ``estate.toml``."""

    name: Name = ""
    """Name of the estate."""
    place: Name = ""
    """Where it lies, in words."""
    grid: Name = ""
    """Grid of the set-out files, such as "EPSG:2048"; the UTM zone of each block when left out."""
    currency: Annotated[str, StringConstraints(pattern=r"^$|^[A-Z]{3}$")] = ""
    """Currency of all prices, by its three letters."""
    locale: Annotated[str, StringConstraints(pattern=r"^[A-Za-z]{2,3}([-_][A-Za-z]{2})?$")] = (
        "en-ZA"
    )
    """How dates and numbers are written."""
    timezone: Annotated[Name, AfterValidator(_known_timezone)] = ""
    """IANA time zone, such as "Africa/Johannesburg"."""
    units: Literal["metric", "imperial"] = "metric"
    """Units in which results are shown."""
    season_start: Annotated[
        str, StringConstraints(pattern=r"^(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$")
    ] = "07-01"
    """First day of the season, month-day."""
    labour: dict[str, Annotated[float, Quantity("", 0.0, 1e6)]] = Field(default_factory=dict)
    """Labour norms and wages."""
    machines: dict[str, dict[str, float | str]] = Field(default_factory=dict)
    """Machines by name."""


def parse_estate(text: str, where: str) -> Estate:
    """Read and check ``estate.toml``.

    Raises
    ------
    InputError
        For the first thing that is wrong, by key.
    """
    return validated(Estate, parse_toml(text, where), where)
