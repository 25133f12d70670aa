"""Findings point at blanks that exist, and at every blank that their sentence names."""

import re

from aanplant.catalogues import catalogue
from aanplant.server.brief_fields import told_fields
from aanplant.server.finding_blanks import blanks, blanks_of

FINDINGS = catalogue()["finding"]
KEYS = {field.key for section in told_fields("metric").sections for field in section.fields}


def test_every_finding_and_every_blank_of_the_list_exists():
    assert sorted(set(blanks()) - set(FINDINGS)) == []
    assert sorted({key for keys in blanks().values() for key in keys} - KEYS) == []
    assert all(blanks().values())


def test_a_key_that_stands_in_a_sentence_is_among_its_blanks():
    def named(text: str) -> set[str]:
        return {key for key in KEYS if re.search(rf"(?<![\w.]){re.escape(key)}(?![\w.])", text)}

    missing = {
        message: sorted(named(entry["text"]) - set(blanks_of(message)))
        for message, entry in FINDINGS.items()
    }

    assert {message: keys for message, keys in missing.items() if keys} == {}
