"""The estate: what all its blocks share."""

import re
from functools import cache
from typing import Annotated, Literal, Self
from zoneinfo import available_timezones

from pydantic import AfterValidator, Field, StringConstraints, model_validator

from aanplant.brief import Name, Section, parse_toml, refusal, validated
from aanplant.catalogues import FIRST_LANGUAGE, languages
from aanplant.speech import is_locale, language_of
from aanplant.workforce import Crew, EstateMachine, Labour, OwnTask, WorkCalendar

_TILES = re.compile(r"https?://[^\s/?#{}\"';,]+/[^\s\"';,]*", re.ASCII | re.IGNORECASE)
_TILE_PARTS = ("{z}", "{x}", "{y}")
_WEB_ADDRESS = re.compile(r"https?://[^\s/?#]+(/[^\s?#]*)?", re.ASCII | re.IGNORECASE)


@cache
def _timezones() -> frozenset[str]:
    """Names of all zones; finding them reads the whole data base."""
    return frozenset(available_timezones())


def _known_timezone(name: str) -> str:
    if name and name not in _timezones():
        raise refusal(repr(name), 'an IANA time zone, such as "Africa/Johannesburg"')
    return name


def _known_locale(name: str) -> str:
    if not is_locale(name):
        raise refusal(repr(name), 'a locale, such as "en-ZA", "af-ZA" or "es-CL"')
    return name


def _known_language(name: str) -> str:
    if name and name not in languages():
        raise refusal(repr(name), f"one of {', '.join(languages())}")
    return name


def _web_address(address: str) -> str:
    if address and not _WEB_ADDRESS.fullmatch(address):
        raise refusal(repr(address), 'a web address, such as "https://field.example.org"')
    return address.rstrip("/")


def _tile_address(address: str) -> str:
    parts = re.findall(r"\{[^{}]*\}", address)
    if address and not (_TILES.fullmatch(address) and sorted(parts) == sorted(_TILE_PARTS)):
        raise refusal(
            repr(address),
            "a web address with {z}, {x} and {y} once each, such as "
            '"https://tiles.example.org/{z}/{x}/{y}.png"',
        )
    return address


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
    locale: Annotated[
        str,
        StringConstraints(pattern=r"^[A-Za-z]{2,3}([-_][A-Za-z]{2})?$"),
        AfterValidator(_known_locale),
    ] = "en-ZA"
    """How dates, numbers and money are written, and the language of the papers for the crew."""
    crew_language: Annotated[str, AfterValidator(_known_language)] = ""
    """Language of the papers for the crew, such as "af"; that of locale when left out."""
    decimal_mark: Literal["", ".", ","] = ""
    """Mark before the decimals; that of locale when left out, a point in en-ZA."""
    field_address: Annotated[
        str, StringConstraints(max_length=200), AfterValidator(_web_address)
    ] = ""
    """Address under which the field page is served; the codes on the row sheets lead there."""
    ground_tiles: Annotated[
        str, StringConstraints(max_length=300), AfterValidator(_tile_address)
    ] = ""
    """Address of tiles in Web Mercator below the desk page's sheet, with {z}, {x} and {y} in it."""
    ground_tiles_credit: Name = ""
    """Whose tiles they are, as their terms ask it to be shown."""
    timezone: Annotated[Name, AfterValidator(_known_timezone)] = ""
    """IANA time zone, such as "Africa/Johannesburg"."""
    units: Literal["metric", "imperial"] = "metric"
    """Units in which results are shown."""
    season_start: Annotated[
        str, StringConstraints(pattern=r"^(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$")
    ] = "07-01"
    """First day of the season, month-day."""
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

    @property
    def spoken_by_crew(self) -> str:
        """Language of the papers for the crew: the one asked for, or the locale's if known."""
        own = self.crew_language or language_of(self.locale)
        return own if own in languages() else FIRST_LANGUAGE


def parse_estate(text: str, where: str) -> Estate:
    """Read and check ``estate.toml``.

    Raises
    ------
    InputError
        For the first thing that is wrong, by key.
    """
    return validated(Estate, parse_toml(text, where), where)
