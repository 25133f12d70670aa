"""Languages and locales: who speaks which words, and how numbers, dates and money are written."""

from datetime import date
from decimal import Decimal

import pytest
from babel.dates import format_date, format_skeleton
from babel.numbers import format_currency, format_decimal

from aanplant import messages
from aanplant.catalogues import catalogue, languages
from aanplant.errors import InputError
from aanplant.estate import parse_estate
from aanplant.messages import fill, show_date, show_day, show_month, word
from aanplant.speech import Speech, is_locale, speaking, speech
from aanplant.units import show, show_fixed, show_money, show_number

THIN = "\u202f"
LOCALES = ("af-ZA", "en-US", "en-GB", "en-AU", "es-CL", "de-DE", "fr-FR", "pt-PT", "it-IT")


def _plain(text):
    """One kind of space, however wide."""
    return text.replace(THIN, " ").replace("\xa0", " ")


def test_a_language_is_spoken_as_long_as_its_block_runs():
    with speaking("af"):
        inside = word("month_name.03")

    assert inside == "Maart"
    assert word("month_name.03") == "March"
    assert speech() == Speech()


def test_a_language_within_another_gives_way_to_it_again():
    with speaking("af"):
        with speaking("en"):
            inner = word("list.and")
        outer = word("list.and")

    assert (inner, outer) == ("and", "en")


def test_english_lends_the_words_a_language_lacks():
    with speaking("af"):
        assert word("bearings.title") == catalogue("en")["word"]["bearings.title"]


def test_a_word_that_no_language_has_is_an_error():
    with speaking("af"), pytest.raises(KeyError):
        word("no.such_word")


def test_the_files_of_a_language_are_those_named_after_it_alone(tmp_path, monkeypatch):
    for name, text in (("en", "one"), ("en_topic", "two"), ("enx", "three"), ("e", "four")):
        (tmp_path / f"{name}.toml").write_text(f'[word]\n"{text}" = "{text}"\n')
    monkeypatch.setattr("aanplant.catalogues.files", lambda _: tmp_path)

    words = catalogue.__wrapped__("en")["word"]

    assert set(words) == {"one", "two"}
    assert languages.__wrapped__() == ("en", "e", "enx")


@pytest.mark.parametrize("locale", ["", "en-ZA", "en_ZA"])
def test_the_house_form_has_a_point_and_a_thin_space(locale):
    with speaking("en", locale=locale):
        assert show_number(24118.25) == f"24{THIN}118"
        assert show(7.84, "ha") == "7.84 ha"
        assert show_date(date(2026, 11, 5)) == "5 Nov 2026"


@pytest.mark.parametrize("locale", LOCALES)
@pytest.mark.parametrize("number", [0.5, 7.84, 999.0, 24118.0, 1234567.0, -3.25])
def test_numbers_are_written_as_the_locale_data_write_them(locale, number):
    language = locale[:2] if locale[:2] in languages() else "en"

    with speaking(language, locale=locale):
        ours = show_number(number)

    country = locale.replace("-", "_")
    own = f"{language}_{country[3:]}" if is_locale(f"{language}-{country[3:]}") else country
    assert _plain(ours) == _plain(format_decimal(number, locale=own))


@pytest.mark.parametrize("locale", ["af-ZA", "en-US", "en-GB", "en-AU", "en-DE"])
def test_dates_stand_in_the_order_of_the_locale(locale):
    day = date(2026, 11, 5)
    language, spelled = locale[:2], locale.replace("-", "_")

    with speaking(language, locale=locale):
        ours = (show_date(day), show_month(2026, 11), show_day("11-05"))

    theirs = [format_skeleton(name, day, locale=spelled) for name in ("yMMMd", "yMMM", "MMMMd")]
    assert ours == tuple(theirs)


def test_months_have_the_names_of_the_locale_data():
    with speaking("af"):
        names = [word(f"month_name.{month:02d}") for month in range(1, 13)]
        short = [word(f"month.{month}") for month in range(1, 13)]

    days = [date(2026, month, 1) for month in range(1, 13)]
    assert names == [format_date(day, "MMMM", locale="af") for day in days]
    assert short == [format_date(day, "MMM", locale="af") for day in days]


@pytest.mark.parametrize(("locale", "currency"), [
    ("af-ZA", "ZAR"), ("en-US", "USD"), ("en-US", "ZAR"), ("en-GB", "EUR"), ("es-CL", "CLP"),
    ("de-DE", "EUR"), ("fr-FR", "EUR"), ("en-AU", "AUD"),
])  # fmt: skip
def test_money_is_written_as_the_locale_data_write_it(locale, currency):
    amount = Decimal("1234567.50")
    language = locale[:2] if locale[:2] in languages() else "en"

    with speaking(language, locale=locale):
        ours = show_money(amount, currency)

    own = f"{language}_{locale[3:]}" if is_locale(f"{language}_{locale[3:]}") else locale
    theirs = format_currency(amount, currency, locale=own.replace("-", "_"), currency_digits=False)
    assert _plain(ours).replace(" ", "") == _plain(theirs).replace(" ", "")


def test_money_at_home_has_the_point_of_the_house():
    with speaking("en", locale="en-ZA"):
        assert show_money(Decimal("-1234.5"), "ZAR") == f"-R1{THIN}234.50"
        assert show_money(Decimal(1234), "", 0) == f"1{THIN}234"


def test_the_mark_before_the_decimals_may_be_set():
    with speaking("en", locale="en-ZA", decimal_mark=","):
        assert show_fixed(1234.5, 2) == f"1{THIN}234,50"
    with speaking("en", locale="en-US", decimal_mark=","):
        assert show_fixed(1234.5, 1) == f"1{THIN}234,5"  # two commas would mislead


def test_a_crew_in_an_english_estate_gets_the_numbers_of_its_language():
    with speaking("af", locale="en-ZA"):
        assert show(1.25, "m") == "1,25 m"


def test_plurals_work_in_every_language():
    with speaking("af"):
        one, many = (fill("sheet.stops", count=count) for count in (1, 2))

    assert one != many


@pytest.mark.parametrize(
    ("line", "key"),
    [
        ('locale = "xx-ZA"', "locale"),
        ('locale = "english"', "locale"),
        ('crew_language = "xx"', "crew_language"),
        ('crew_language = "../en"', "crew_language"),
        ('decimal_mark = ";"', "decimal_mark"),
        ('field_address = "ftp://field.example.org"', "field_address"),
        ('field_address = "field.example.org"', "field_address"),
        ('field_address = "https://a b"', "field_address"),
        ('field_address = "https://field.example.org?x=1"', "field_address"),
    ],
)
def test_an_estate_that_cannot_be_spoken_for_is_refused_by_key(line, key):
    with pytest.raises(InputError) as refused:
        parse_estate(line, "estate.toml")

    assert key in refused.value.where


def test_the_crew_speaks_the_language_of_the_locale_where_there_is_a_catalogue():
    assert parse_estate('locale = "af-ZA"', "").spoken_by_crew == "af"
    assert parse_estate('locale = "es-CL"', "").spoken_by_crew == "en"
    assert parse_estate('crew_language = "af"', "").spoken_by_crew == "af"
    assert parse_estate("", "").spoken_by_crew == "en"


def test_a_trailing_stroke_of_the_field_address_is_dropped():
    estate = parse_estate('field_address = "https://field.example.org/"', "")

    assert estate.field_address == "https://field.example.org"


def test_a_name_without_translation_stays_as_it_is():
    with speaking("af"):
        assert messages.term("Kiepersol") == "Kiepersol"
