"""Papers for the crew speak Afrikaans in full, with the same values in every sentence."""

import re

import pytest

from aanplant import messages
from aanplant.report.spreader_sheet import CAUTIONS

GROUPS = (
    "axis", "cards", "day_sheets", "erection", "moisture", "month", "month_name", "round",
    "round_note", "row_sheet", "set_card", "spreader", "tape", "task", "trellis_drawing",
    "work_condition", "work_entry", "work_file", "work_group", "work_key", "work_unit",
)  # fmt: skip
"""First parts of the ids of words on the papers for the crew."""
OFFICE = frozenset((
    "cards.nursery_order", "cards.know", "cards.open", "cards.none", "cards.nursery",
    "cards.state", "cards.grade", "cards.certification", "cards.vines", "cards.asked",
    "cards.kinds", "cards.deliveries", "cards.dates", "cards.lots", "cards.step.site_work",
    "cards.step.vines_ordered", "cards.step.vines_lifted", "cards.step.vines_planted",
    "cards.head.cultivar", "cards.head.clone", "cards.head.rootstock", "cards.head.step",
    "cards.head.from", "cards.head.to", "cards.head.lot", "cards.head.certificate",
    "cards.head.tests", "cards.head.hot_water", "cards.head.permit", "cards.head.state",
))  # fmt: skip
"""Words of the nursery order, which is in the language of the office."""
CREW_WORDS = sorted(
    name for name in messages.catalogue()["word"]
    if name.partition(".")[0] in GROUPS and name not in OFFICE
)  # fmt: skip


def values_in(text):
    return set(re.findall(r"\{([a-z_0-9]+)(?::[^}]*)?\}", text))


def test_every_word_of_a_paper_for_the_crew_has_its_afrikaans():
    own = messages.catalogue("af")["word"]

    assert [name for name in CREW_WORDS if name not in own] == []


def test_every_finding_that_stands_on_a_paper_for_the_crew_has_its_afrikaans():
    own = messages.catalogue("af")["finding"]

    assert [name for name in CAUTIONS if name not in own] == []


@pytest.mark.parametrize("table", ["word", "finding", "figure"])
def test_afrikaans_translates_only_what_english_has_with_the_same_values(table):
    english, own = messages.catalogue()[table], messages.catalogue("af")[table]

    assert sorted(set(own) - set(english)) == []
    for name, entry in own.items():
        pairs = [(entry, english[name])] if table == "word" else [
            (text, english[name][part]) for part, text in entry.items()
        ]  # fmt: skip
        for text, original in pairs:
            assert values_in(text) == values_in(original), name
