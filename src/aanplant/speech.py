"""For whom a text is written: in which language, with which marks in its numbers and dates.

Whoever writes a paper says so once, ``with speaking("af", locale="af-ZA"):``, and all that is
written inside it follows. Outside of it the house form holds: English, a point before the
decimals, a thin space between thousands, the day before the month.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from babel import Locale

HOUSE_LOCALE = "en_ZA"
"""English of South Africa is the house form: its trade writes the point, though the locale
data give the comma of the country's metric rules. ``decimal_mark = ","`` sets that."""
THIN_SPACE = "\u202f"
_PATTERNS = {"yMMMd": "d MMM y", "yMMM": "MMM y", "MMMd": "d MMM", "MMMMd": "d MMMM"}


class Marks(NamedTuple):
    """What stands before the decimals and between thousands."""

    decimal: str
    group: str


@dataclass(frozen=True, slots=True)
class Speech:
    """How a reader is spoken to.

    Parameters
    ----------
    language : str
        Language of the words, such as ``en``.
    locale : str
        Locale of numbers and dates, such as ``en-ZA``; "" for the language's own.
    decimal_mark : str
        Mark before the decimals, "" for the locale's.
    """

    language: str = "en"
    locale: str = ""
    decimal_mark: str = ""


_HOUSE = Speech()
_CURRENT: ContextVar[Speech] = ContextVar("speech", default=_HOUSE)


def speech() -> Speech:
    """Return how the current reader is spoken to."""
    return _CURRENT.get()


@contextmanager
def speaking(language: str, *, locale: str = "", decimal_mark: str = "") -> Iterator[Speech]:
    """Speak a language for as long as the block runs; parameters as those of ``Speech``."""
    told = Speech(language, locale, decimal_mark)
    token = _CURRENT.set(told)
    try:
        yield told
    finally:
        _CURRENT.reset(token)


def language_of(locale: str) -> str:
    """Return the language of a locale: ``en`` of ``en-ZA``."""
    return locale.replace("-", "_").partition("_")[0].lower()


def is_locale(name: str) -> bool:
    """Whether a locale such as ``en-ZA`` is known."""
    spelled = _spelled(name)
    if spelled == HOUSE_LOCALE:
        return True
    from babel import localedata  # noqa: PLC0415 - not needed for the house form

    return localedata.exists(spelled)


def marks() -> Marks:
    """Return the marks in the current reader's numbers."""
    return _marks(speech())


def date_pattern(skeleton: str) -> str:
    """Return the order of the parts of a date, as ``d MMM y``, from what is to be shown.

    Parameters
    ----------
    skeleton : str
        One of ``yMMMd``, ``yMMM``, ``MMMd``, ``MMMMd``, as Unicode's locale data name them.
    """
    return _date_pattern(speech(), skeleton)


def money_around(currency: str) -> tuple[str, str]:
    """Return what stands before and behind an amount of money, such as ``("R", "")``."""
    return _money_around(speech(), currency)


@cache
def _marks(told: Speech) -> Marks:
    decimal, group = ".", THIN_SPACE
    if not _is_house(told):
        symbols = _number_locale(told).number_symbols["latn"]
        decimal, group = symbols["decimal"], symbols["group"]
    if told.decimal_mark:
        decimal = told.decimal_mark
    if group.isspace() or group == decimal:
        group = THIN_SPACE
    return Marks(decimal, group)


@cache
def _date_pattern(told: Speech, skeleton: str) -> str:
    if _is_house(told):
        return _PATTERNS[skeleton]
    return str(_date_locale(told).datetime_skeletons[skeleton])


@cache
def _money_around(told: Speech, currency: str) -> tuple[str, str]:
    from babel.numbers import get_currency_symbol  # noqa: PLC0415

    locale = _number_locale(told)
    pattern = locale.currency_formats["standard"]
    symbol = get_currency_symbol(currency, locale)
    before, behind = (text.replace("¤", symbol) for text in (pattern.prefix[0], pattern.suffix[0]))
    if before and before[-1].isalpha() and len(symbol) > 1:
        before += THIN_SPACE
    return before.replace("\xa0", THIN_SPACE), behind.replace("\xa0", THIN_SPACE)


def _is_house(told: Speech) -> bool:
    return told.language == "en" and _spelled(told.locale) in {"", HOUSE_LOCALE}


def _spelled(locale: str) -> str:
    """Write a locale as its data are named: ``en_ZA``."""
    language, bar, territory = locale.replace("-", "_").partition("_")
    return f"{language.lower()}{bar}{territory.upper()}"


def _in_its_country(told: Speech) -> str:
    """Locale of the language in the locale's country, "" where none is known."""
    _, _, territory = _spelled(told.locale or HOUSE_LOCALE).partition("_")
    name = f"{told.language}_{territory}"
    return name if territory and is_locale(name) else ""


def _number_locale(told: Speech) -> "Locale":
    from babel import Locale  # noqa: PLC0415 - see is_locale

    own = _in_its_country(told)
    return Locale.parse(own or _spelled(told.locale) or told.language)


def _date_locale(told: Speech) -> "Locale":
    from babel import Locale  # noqa: PLC0415 - see is_locale

    return Locale.parse(_in_its_country(told) or told.language)
