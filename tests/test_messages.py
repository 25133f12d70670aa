"""Words: every message the program uses is in the catalogue, and none is there for nothing."""

import re
from importlib.resources import files
from pathlib import Path

from aanplant import messages, tables

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
