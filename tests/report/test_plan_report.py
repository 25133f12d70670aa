"""The report on a whole plan as PDF: its parts, every figure and finding, and its tags."""

import re
import subprocess
from functools import cache
from pathlib import Path

import pytest
from pypdf import PdfReader

from aanplant.cli.demo import example_estate
from aanplant.files import open_block, read_inputs
from aanplant.messages import sentence, word
from aanplant.plan import make_plan
from aanplant.report.decision import asked
from aanplant.report.plan_report import report_of, write_report_pdf
from aanplant.units import show_number
from tests.report import blocks, sites
from tests.report.test_sheet import HOSTILE

PARTS = ("ground", "stock", "rows", "wire", "water", "work", "money")


@cache
def example(name="kiepersol"):
    block = open_block(example_estate() / "blocks" / name)
    return make_plan(block.brief, read_inputs(block))


def written(plan, folder, **options):
    path = Path(folder) / "report.pdf"
    write_report_pdf(report_of(plan, made=blocks.MADE, **options), path, made=blocks.MADE)
    return path


def plain(text):
    """Text without what setting it puts in: spaces, line ends and soft breaks."""
    return re.sub(r"[\s\u200b\u202f\u2060]+", "", text)


@pytest.fixture(scope="module")
def told(tmp_path_factory):
    path = written(example(), tmp_path_factory.mktemp("report"))
    with path.open("rb") as file:
        yield PdfReader(file)


@pytest.fixture(scope="module")
def text(told):
    return plain("\n".join(page.extract_text() for page in told.pages))


def test_every_part_is_bookmarked_and_stands_in_the_contents_with_its_page(told):
    marks = [item for item in told.outline if not isinstance(item, list)]
    pages = {item.title: told.get_destination_page_number(item) + 1 for item in marks}
    contents = [
        re.sub(r"[ .\u2060]+", " ", line).strip()
        for line in subprocess.run(
            ["pdftotext", "-f", "3", "-l", "3", "-layout", told.stream.name, "-"],
            check=True, capture_output=True, text=True,
        ).stdout.splitlines()
    ]  # fmt: skip

    for number, name in enumerate(PARTS, start=1):
        title = f"{number} {word(f'plan_report.part.{name}')}"
        page = next(page for mark, page in pages.items() if title.split()[1] in mark)
        assert f"{title} {page}" in contents


def test_the_first_page_says_what_where_and_for_how_much(told):
    plan, first = example(), plain(told.pages[0].extract_text())

    assert plain(show_number(plan.figures.value("layout.vines"))) in first
    assert plan.stock.cultivar.replace(" ", "") in first
    assert plain(show_number(round(plan.money.establishment))) in first
    assert "August2027" in first


def test_every_finding_is_told(text):
    missing = [item.message for item in example().findings if plain(sentence(item)) not in text]

    assert missing == []


def test_the_owner_is_asked_of_every_matter_before_a_second_time_of_one():
    found = [item.message for item in asked(example())]

    assert [one for one in example().findings if one.message in found and one.is_danger] == []
    assert {"permissions.unanswered", "planting.ends_late", "climate.frost_often"} <= set(found)
    assert sum(name.startswith("history.") for name in found) == 1


def test_no_date_stands_as_a_machine_writes_it(text):
    assert re.findall(r"\b\d{4}-\d\d(?:-\d\d)?\b", text) == []


def test_the_first_page_says_how_deep_in_the_red_and_what_chance_of_a_loss(told):
    first = plain(told.pages[0].extract_text())

    assert plain("cost less income comes to") in first
    assert plain("with interest at 6 % a year") in first
    assert plain("of the futures drawn by chance") in first


def test_every_figure_is_worked_out_in_the_appendix(text):
    appendix = text.rpartition(plain(word("plan_report.workings_note")))[2]

    assert [figure.key for figure in example().figures if figure.key not in appendix] == []


def test_the_pdf_is_tagged_and_says_its_language_and_title(told):
    root = told.trailer["/Root"]

    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    assert "/StructTreeRoot" in root
    assert told.metadata.title.startswith("Lowquince")


def test_every_drawing_has_words_for_who_cannot_see_it(told):
    described, waiting = [], [told.trailer["/Root"]["/StructTreeRoot"]]
    while waiting:
        node = waiting.pop().get_object()
        if isinstance(node, list):
            waiting.extend(node)
        elif isinstance(node, dict):
            if node.get("/S") == "/Figure":
                described.append(node.get("/Alt", ""))
            if "/K" in node:
                waiting.append(node["/K"])

    report = report_of(example(), made=blocks.MADE, system="metric")
    assert len(described) == len(report.drawings)
    assert all(described)


def test_the_same_plan_gives_the_same_bytes(tmp_path):
    plan = example("onderveld")
    (tmp_path / "again").mkdir()

    first, second = written(plan, tmp_path), written(plan, tmp_path / "again")

    assert first.read_bytes() == second.read_bytes()


def test_imperial_units_are_set_on_letter_paper(tmp_path):
    page = PdfReader(written(example("onderveld"), tmp_path, system="imperial")).pages[0]

    assert [round(float(side)) for side in page.mediabox[2:]] == [612, 792]


@pytest.mark.parametrize("name", HOSTILE)
def test_a_name_is_only_ever_text(name, tmp_path):
    path = written(sites.planned(name=name, pit=name), tmp_path)

    assert len(PdfReader(path).pages) > len(PARTS)
