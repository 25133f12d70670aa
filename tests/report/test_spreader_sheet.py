"""The spreader sheet: every product of every zone stands on it, and what must wait says so."""

import csv
import dataclasses
import re
from pathlib import Path

import pytest
from pypdf import PdfReader

from aanplant.files import open_block, read_inputs
from aanplant.files.spreader_csv import COLUMNS, write_spreader_csv
from aanplant.plan import make_plan
from aanplant.report.spreader_sheet import write_spreader_pdf
from tests.report import blocks
from tests.report.test_sheet import HOSTILE, text_of

EXAMPLE = Path(__file__).parents[2] / "examples" / "lowquince" / "blocks" / "kiepersol"


@pytest.fixture(scope="module")
def plan():
    block = open_block(EXAMPLE)
    return make_plan(block.brief, read_inputs(block))


def test_every_line_stands_in_the_table_with_its_status(plan, tmp_path):
    path = tmp_path / "spreader-sheet.csv"

    write_spreader_csv(plan, path)

    with path.open(encoding="utf-8", newline="") as file:
        lines = list(csv.DictReader(file))
    assert tuple(lines[0]) == COLUMNS
    assert len(lines) == len(plan.work.soil.spreading) > 10
    for line, wanted in zip(lines, plan.work.soil.spreading, strict=True):
        assert line["zone"] == wanted.zone
        assert float(line["amount"]) == pytest.approx(wanted.amount, abs=1e-4)
        assert line["status"] == wanted.status


def test_every_zone_and_product_stands_on_the_paper(plan, tmp_path):
    path = tmp_path / "spreader-sheet.pdf"

    write_spreader_pdf(plan, path, made=blocks.MADE)

    text = re.sub(r"\s+", " ", text_of(path))
    assert len(PdfReader(path).pages) >= 2
    for zone in plan.work.soil.zones:
        assert f"Zone {zone.zone.name}" in text
    for line in plan.work.soil.spreading:
        assert line.product.split(",")[0] in text
    assert text.count("spread on") == len({line.zone for line in plan.work.soil.spreading})
    assert "to confirm by an adviser" in text
    assert "burns skin and eyes" in text
    assert text.index("Amend:") < text.index("Loosen and mix") < text.index("Set out the rows")


def test_the_paper_speaks_feet_and_acres_where_asked(plan, tmp_path):
    path = tmp_path / "spreader-sheet.pdf"

    write_spreader_pdf(plan, path, made=blocks.MADE, system="imperial")

    text = text_of(path)
    assert "lb/acre" in text
    assert "short ton" in text
    assert "kg/ha" not in text


def test_a_hostile_name_of_a_zone_is_only_text(plan, tmp_path):
    soil = plan.work.soil
    first = soil.zones[0]
    strange_name = " ".join(HOSTILE)
    named = dataclasses.replace(first, zone=dataclasses.replace(first.zone, name=strange_name))
    strange = dataclasses.replace(soil, zones=(named, *soil.zones[1:]))
    work = dataclasses.replace(plan.work, soil=strange)
    path = tmp_path / "spreader-sheet.pdf"

    write_spreader_pdf(
        dataclasses.replace(plan, results={**plan.results, "work": work}), path, made=blocks.MADE
    )

    assert "#eval" in text_of(path)


def test_a_zone_name_that_a_spreadsheet_would_run_is_disarmed(plan, tmp_path):
    soil = plan.work.soil
    lines = (dataclasses.replace(soil.spreading[0], zone="=1+1"),)
    work = dataclasses.replace(plan.work, soil=dataclasses.replace(soil, spreading=lines))
    path = tmp_path / "spreader-sheet.csv"

    write_spreader_csv(dataclasses.replace(plan, results={**plan.results, "work": work}), path)

    assert path.read_text(encoding="utf-8").splitlines()[1].startswith("1,'=1+1")
