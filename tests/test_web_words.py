"""Words of the page: every one it uses is in both catalogues, and none is there for nothing."""

import json
import re
from pathlib import Path

import pytest

from aanplant.catalogues import catalogue
from aanplant.server.brief_fields import told_fields

PAGE = Path(__file__).parents[1] / "web" / "planner"
LANGUAGES = ("en", "af")
WORDS = {
    language: json.loads((PAGE / "words" / f"{language}.json").read_text(encoding="utf-8"))
    for language in LANGUAGES
}
CODE = "\n".join(
    path.read_text(encoding="utf-8")
    for path in sorted(PAGE.rglob("*"))
    if path.suffix in {".svelte", ".ts"} and not path.name.endswith((".test.ts", "schema.ts"))
)
ASKED = set(re.findall(r"words\.(?:say|lines|has)\(\s*'([^']+)'", CODE))
BEGINNINGS = set(re.findall(r"`([a-z_]+\.(?:[a-z_]+\.)*)\$\{", CODE))
"""Of ids that the page puts together, such as ``view.`` of ``view.${name}``."""


LETTER = sorted(
    key
    for name, sentences in WORDS["en"].items()
    if name.startswith("letter.") and isinstance(sentences, list)
    for key in re.findall(r"\{([a-z0-9_]+\.[a-z0-9_.]+)\}", "\n".join(sentences))
)
"""Blanks that the sentences of the letter hold."""


def values_in(text: str | list[str]) -> list[str]:
    return sorted(
        re.findall(r"\{([a-z0-9_.]+)\}", "\n".join([text] if isinstance(text, str) else text))
    )


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_word_that_the_page_asks_for_is_in_its_catalogue(language: str):
    assert len(ASKED) > 60
    assert sorted(ASKED - set(WORDS[language])) == []
    assert [
        start for start in BEGINNINGS if not any(name.startswith(start) for name in WORDS[language])
    ] == []


def test_no_word_of_the_page_is_there_for_nothing():
    def is_used(name: str) -> bool:
        return f"'{name}'" in CODE or any(name.startswith(start) for start in BEGINNINGS)

    assert [name for name in WORDS["en"] if not is_used(name)] == []


def test_both_languages_say_the_same_with_the_same_values():
    assert list(WORDS["af"]) == list(WORDS["en"])
    differing = [
        name
        for name, text in WORDS["en"].items()
        if values_in(text) != values_in(WORDS["af"][name])
    ]
    assert differing == []
    assert [name for name, text in WORDS["af"].items() if not text] == []


def test_every_blank_of_the_letter_is_named_and_told_in_afrikaans():
    known = catalogue("af")
    fields = {
        field.key: field
        for section in told_fields("metric", "af").sections
        for field in section.fields
    }

    assert len(LETTER) > 60
    assert [key for key in LETTER if key not in known["help"]] == []
    assert [
        key for key in LETTER if key.rpartition(".")[2].replace("_", " ") not in known["name"]
    ] == []
    assert [
        f"{key}: {option}"
        for key in LETTER
        if fields[key].kind == "choice"
        for option in fields[key].options
        if option != "choose" and f"option.{key}.{option}" not in WORDS["af"]
    ] == []


def test_every_word_and_meaning_in_afrikaans_belongs_to_a_blank():
    told = told_fields("metric", "en").sections
    fields = [field for section in told for field in section.fields]
    keys = {field.key for field in fields} | {section.name for section in told}
    options = {f"option.{field.key}.{option}" for field in fields for option in field.options}

    assert sorted(set(catalogue("af")["help"]) - keys) == []
    assert sorted({name for name in WORDS["af"] if name.startswith("option.")} - options) == []
