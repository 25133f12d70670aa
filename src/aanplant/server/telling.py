"""Figures and findings as they go over the wire: in words, in a reader's language and units."""

from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from typing import Any

from aanplant import messages, tables
from aanplant.catalogues import languages
from aanplant.errors import InputError
from aanplant.estate import Estate
from aanplant.server.finding_blanks import blanks_of
from aanplant.speech import Speech, speaking
from aanplant.units import UnitSystem
from aanplant.working import Finding, Input, Working

ToLonLat = Callable[[Sequence[tuple[float, float]]], Any]
"""Turns places of a block's frame into longitude and latitude."""


@dataclass(frozen=True, slots=True)
class Reader:
    """For whom an answer is written.

    Parameters
    ----------
    language : str
        Of the words.
    units : {"metric", "imperial"}
        Of what is shown.
    locale, decimal_mark : str
        How numbers and dates are written, as the estate says.
    """

    language: str
    units: UnitSystem
    locale: str = ""
    decimal_mark: str = ""

    def spoken_to(self) -> AbstractContextManager[Speech]:
        """Speak the reader's language for as long as the block runs."""
        return speaking(self.language, locale=self.locale, decimal_mark=self.decimal_mark)


def reader_of(estate: Estate, language: str, units: UnitSystem | None) -> Reader:
    """Return who reads: as asked, else as the estate writes.

    Raises
    ------
    InputError
        If nobody knows the language.
    """
    if language not in languages():
        raise InputError("language", repr(language), f"one of {', '.join(languages())}")
    return Reader(language, units or estate.units, estate.locale, estate.decimal_mark)


def told_figure(figure: Working, system: UnitSystem) -> dict[str, Any]:
    """Tell a figure with its working, each value also as it is shown."""
    return {
        "key": figure.key,
        "label": messages.label(figure),
        "value": figure.value,
        "unit": figure.unit,
        "shown": messages.show_value(figure.value, figure.unit, system),
        "formula": messages.formula(figure),
        "inputs": [_told_input(item, system) for item in figure.inputs],
        "source": told_source(figure.source),
    }


def told_finding(finding: Finding, to_lonlat: ToLonLat, system: UnitSystem) -> dict[str, Any]:
    """Tell a finding as its sentence, with what it points at."""
    place = None
    if finding.place is not None:
        longitude, latitude = to_lonlat([finding.place])[0].tolist()
        place = {
            "x_m": finding.place[0],
            "y_m": finding.place[1],
            "longitude_deg": longitude,
            "latitude_deg": latitude,
        }
    return {
        "stage": finding.stage,
        "level": finding.level,
        "message": finding.message,
        "text": messages.sentence(finding, system),
        "figure": finding.figure,
        "source": told_source(finding.source),
        "place": place,
        "blanks": list(blanks_of(finding.message)),
    }


def told_source(name: str) -> dict[str, str]:
    """Tell a source with how sure it is."""
    source = tables.sources()[name]
    return {"id": source.id, "text": source.text, "certainty": source.certainty}


def _told_input(item: Input, system: UnitSystem) -> dict[str, Any]:
    return {
        "name": item.name,
        "value": item.value,
        "unit": item.unit,
        "shown": messages.show_value(item.value, item.unit, system),
        "origin": item.origin,
        "source": told_source(item.source) if item.source else None,
    }
