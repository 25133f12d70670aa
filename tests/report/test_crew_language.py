"""Real papers of a crew hold no word that isn't Afrikaans, the estate's own, or a unit's."""

import re
import shutil
from pathlib import Path

import pytest
from pypdf import PdfReader

from aanplant.cli.writing import CREW_PAPERS, write_plan
from aanplant.files import open_block, read_inputs
from aanplant.messages import catalogue
from aanplant.plan import make_plan
from aanplant.report.card_parts import COMPARED
from tests.report.blocks import MADE

EXAMPLE = Path(__file__).parents[2] / "examples" / "lowquince"
GROUPS = ("tape", "trellis", "water", "soil", "cards", "days", "row-sheets", "calendar")
SYMBOLS = frozenset((
    "cm", "m³", "lb", "kpa", "psi", "min", "km", "ft", "gal", "us", "mph", "pvc", "iso", "kcl",
    "abcd",
))  # fmt: skip
"""Units and signs that are the same in every language."""
READ = 4
"""Pages read of a paper; those behind go on in the same words."""
_WORD = re.compile(r"[^\W\d_]{2,}")


def words_in(text):
    return {found.lower() for found in _WORD.findall(text)}


def afrikaans():
    """All words of the Afrikaans catalogue."""
    found = set()
    for table in catalogue("af").values():
        for entry in table.values():
            texts = entry.values() if isinstance(entry, dict) else [entry]
            found |= {
                word for text in texts for word in words_in(re.sub(r"\{[a-z_0-9]+", "", text))
            }
    return found


def names_of(plan):
    """All that the estate itself named, and the keys of its brief."""
    inputs, brief = plan.inputs, plan.brief
    texts = [inputs.estate, brief.block.name, *COMPARED.values(), "sampling.found"]
    texts += [brief.vines.cultivar, brief.vines.rootstock, brief.nursery.name]
    texts += [text for lot in brief.nursery.lots for text in (lot.id, lot.scion_clone)]
    texts += [crew.name for crew in inputs.crews]
    texts += [item.name for item in plan.site.exclusions]
    texts += [zone.zone.name for zone in plan.work.soil.zones]
    texts += [by.supplier for by in plan.planting.orders]
    return {word for text in texts for word in words_in(text)}


def is_known(name, known):
    """Whether a word is known, or two cells of a table that were run together in reading."""
    return name in known or any(
        (name[:at] == "m" or (at > 2 and name[:at] in known)) and is_known(name[at:], known)
        for at in range(1, len(name) - 2)
    )


def text_of(path):
    if path.suffix == ".pdf":
        return "\n".join(page.extract_text() for page in PdfReader(path).pages[:READ])
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".svg":
        return " ".join(re.findall(r"<(?:text|title)[^>]*>([^<]*)<", text))
    if path.suffix == ".ics":
        unfolded = text.replace("\n ", "").replace("\\n", " ")
        return "\n".join(re.findall(r"\n(?:SUMMARY|DESCRIPTION|CATEGORIES):(.*)", unfolded))
    return text


@pytest.fixture(scope="module", params=["kiepersol", "onderveld"])
def papers(request, tmp_path_factory):
    """The plan of a block of the example, and its papers in Afrikaans."""
    folder = tmp_path_factory.mktemp("af") / "lowquince"
    shutil.copytree(EXAMPLE, folder)
    block = open_block(folder / "blocks" / request.param)
    plan = make_plan(block.brief, read_inputs(block))
    target = folder / "plan"
    write_plan(plan, target, made=MADE, groups=GROUPS, system="metric", language="af")
    return plan, target


def test_a_paper_of_the_crew_holds_only_words_of_its_language_names_and_units(papers):
    plan, target = papers
    known = afrikaans() | names_of(plan) | SYMBOLS

    foreign = {
        path.name: sorted(name for name in words_in(text_of(path)) if not is_known(name, known))
        for path in sorted(target.iterdir())
        if path.name in CREW_PAPERS
    }

    assert len(foreign) > 6
    assert {name: found for name, found in foreign.items() if found} == {}
