"""The estate: what all its blocks share."""

from typing import Annotated, Literal, Self
from zoneinfo import available_timezones

from pydantic import AfterValidator, Field, StringConstraints, model_validator

from aanplant.brief import Name, Section, parse_toml, refusal, validated
from aanplant.workforce import Crew, EstateMachine, Labour, OwnTask, WorkCalendar


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
    field_address: Name = ""
    """Web address under which the field page is served, for the codes on row sheets."""
    labour: Labour = Labour()
    """Wages, hours and norms of work."""
    crews: tuple[Crew, ...] = ()
    """Crews, one table each; those who plant work alone when left out."""
    machines: dict[Name, EstateMachine] = Field(default_factory=dict)
    """Machines by name."""
    calendar: WorkCalendar = WorkCalendar()
    """The days on which the estate works."""
    tasks: tuple[OwnTask, ...] = ()
    """Tasks of the estate's own, one table each."""

    @model_validator(mode="after")
    def _names_of_their_own(self) -> Self:
        for kind, names in (
            ("crew", [crew.name for crew in self.crews]),
            ("task", [task.id for task in self.tasks]),
        ):
            twice = sorted({name for name in names if names.count(name) > 1})
            if twice:
                raise refusal(
                    f"the {kind} {twice[0]!r} twice", f"a name of its own for each {kind}"
                )
        return self


def parse_estate(text: str, where: str) -> Estate:
    """Read and check ``estate.toml``.

    Raises
    ------
    InputError
        For the first thing that is wrong, by key.
    """
    return validated(Estate, parse_toml(text, where), where)
