"""Words: every message the program uses is in the catalogue, and none is there for nothing."""

import re
import tomllib
from importlib.resources import files
from pathlib import Path

import pytest

from aanplant import messages, tables
from aanplant.stages import STAGE_NAMES
from aanplant.working import Finding

SOURCE = Path(str(files("aanplant")))
CODE = "\n".join(path.read_text(encoding="utf-8") for path in SOURCE.rglob("*.py"))


def test_every_finding_has_its_sentence_and_every_sentence_its_finding():
    made = set(re.findall(r'"(?:stop|care|note)",\s*"([a-z_]+\.[a-z_]+)"', CODE))

    assert made == set(messages.catalogue()["finding"])


def test_every_figure_has_a_label_and_a_formula():
    made = set(re.findall(r'(?:Working\(|per_vine\()\s*"([a-z_.]+)"', CODE))
    made |= set(re.findall(r'message="([a-z_.]+)"', CODE))
    catalogue = messages.catalogue()["figure"]

    assert made == set(catalogue)
    assert all(entry["label"] and entry["formula"] for entry in catalogue.values())


COUNTED = (
    "acceptances|alleys|batches|buds|days|ends|grapes|heights|lots|months|notes|permissions|pieces|"
    "pits|points|portions|rows|seasons|springs|units|vines|weeks|years|zones"
)


def test_no_plural_follows_a_number_that_may_be_one():
    catalogue = messages.catalogue()
    texts = [entry["text"] for entry in catalogue["finding"].values()]
    texts += list(catalogue["word"].values())
    # A number, at most two words, and a plural: it must choose its form by the number.
    plural = re.compile(rf"\{{[a-z_]+\}} (?:[a-z-]+ ){{0,2}}(?:{COUNTED})\b")

    found = [match for text in texts for match in plural.finditer(text)]

    assert [match.group() for match in found if not _is_fixed(match)] == []


def _is_fixed(found):
    """Whether what stands in the braces is no number of the plural behind it."""
    return bool(re.match(r"\{(depth|form|most|shallow|slope)\}", found.group()))


@pytest.mark.parametrize(("springs", "told"), [(1, "1 spring is"), (7, "7 springs are")])
def test_a_word_behind_a_number_takes_its_singular_at_one(springs, told):
    finding = Finding(
        "site", "note", "climate.frost_refused", {"springs": springs, "needed": 5}, ""
    )

    assert f"Only {told} known" in messages.sentence(finding)


def test_a_heading_takes_its_singular_too():
    assert "1 pit in 1 zone:" in messages.fill(
        "site_report.say.soil", pits=1, zones="1", depth="0.9 m", water="90 mm"
    )


@pytest.mark.parametrize(
    ("system", "language", "told"),
    [
        ("metric", "en", "Less than 0.6 m of rooting"),
        ("imperial", "en", "Less than 1.969 ft of rooting"),
    ],
)
def test_a_fixed_quantity_of_a_sentence_is_told_in_the_units_of_its_reader(system, language, told):
    finding = Finding("work", "care", "prepare.shallow", {"zone": "P1", "depth": (0.2, "m")})

    assert told in messages.sentence(finding, system, language)


def test_no_finding_holds_a_length_in_one_system_of_units():
    """Degrees of depth, width and height go by the reader; names of indices keep their metres."""
    fixed = re.compile(r"(?<![\w{:.])\d[\d.]* (?:m|mm|cm|km|kPa|m/s|t/ha|kg|ha|L)\b")

    assert {
        name: text
        for name, entry in messages.catalogue()["finding"].items()
        if (text := entry["text"]) and fixed.search(re.sub(r"\{[^}]*\}", "", text))
    } == {}


def test_every_singular_stands_beside_the_number_it_belongs_to():
    catalogue = messages.catalogue()
    texts = [entry["text"] for entry in catalogue["finding"].values()]
    texts += list(catalogue["word"].values())
    forms = [(text, name) for text in texts for name in re.findall(r"\{([a-z_]+):[^}]*\|", text)]

    assert len(forms) > 40
    assert [text for text, name in forms if f"{{{name}}}" not in text] == []


def test_every_heading_is_used_by_some_drawing_or_document():
    templates = "\n".join(path.read_text(encoding="utf-8") for path in SOURCE.rglob("*.typ"))
    text = CODE + templates

    def is_used(word):
        return word in text or f"{word.partition('.')[0]}.{{" in text

    unused = [word for word in messages.catalogue()["word"] if not is_used(word)]

    assert unused == []


def test_every_table_row_has_a_source_that_is_known():
    known = tables.sources()
    checked = 0
    for path in (SOURCE / "tables").glob("*.csv"):
        rows = tables.rows(path.name)
        assert rows, path.name
        if path.name == "sources.csv":
            assert all(row["text"] and row["certainty"] for row in rows)
            continue
        for row in rows:
            assert row["source"] in known, f"{path.name}: {row}"
            assert row["certainty"] == known[row["source"]].certainty, f"{path.name}: {row}"
            checked += 1
    assert checked > 10


def test_every_source_named_in_the_code_is_known():
    named = set(re.findall(r'source="([a-z-]+)"', CODE)) | set(
        re.findall(r'Default\("([a-z-]+)"\)', CODE)
    )

    assert named <= set(tables.sources())


def test_no_id_stands_in_two_files():
    held = [
        (part.name.partition(".")[0].partition("_")[0], table, name)
        for part in files(messages.__name__).iterdir()
        if part.name.endswith(".toml")
        for table, entries in tomllib.loads(part.read_text(encoding="utf-8")).items()
        for name in entries
    ]

    assert [one for one in set(held) if held.count(one) > 1] == []


def test_a_day_is_written_with_the_whole_name_of_its_month():
    values = {
        "asked": "words:month_name.12",
        "opens": ("10-06", "month-day"),
        "closes": ("06-20", "month-day"),
    }
    told = messages.sentence(Finding("site", "care", "climate.planting_outside", values, ""))

    assert "December" in told
    assert "6 October to 20 June" in told


def test_every_stage_has_a_name_for_its_advice():
    assert [name for name in STAGE_NAMES if not messages.word(f"advice_stage.{name}")] == []


def test_a_date_in_a_sentence_is_written_as_the_reader_writes_it():
    values = {"begins": "2026-03-05", "tasks": 40, "planted": "2027-09-15"}
    finding = Finding("calendar", "note", "calendar.proved", values, "work.calendar.planted")

    told = messages.sentence(finding)

    assert "begin on 5 Mar 2026" in told
    assert "planted on 15 Sep 2027" in told
