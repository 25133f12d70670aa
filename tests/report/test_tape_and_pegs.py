import re

import pytest
from pypdf import PdfReader

from aanplant.report.rendering import Press, RenderingError
from aanplant.report.tape_and_pegs import write_tape_and_pegs_pdf, write_tape_and_pegs_text
from tests.report import blocks
from tests.report.test_sheet import HOSTILE, text_of


def written(plan, folder, **options):
    pdf, txt = folder / "tape-and-pegs.pdf", folder / "tape-and-pegs.txt"
    write_tape_and_pegs_pdf(plan, pdf, made=blocks.MADE, **options)
    write_tape_and_pegs_text(plan, txt, made=blocks.MADE, **options)
    return pdf, txt


@pytest.mark.parametrize("name", ["kiepersol", "tiny", "long_and_thin", "northern"])
def test_every_piece_of_row_stands_in_the_tables(name, tmp_path):
    plan = getattr(blocks, name)()

    pdf, txt = written(plan, tmp_path)

    pieces = int((plan.layout.positions.vines > 0).sum())
    text = text_of(pdf)
    rows = txt.read_text(encoding="utf-8").split("Rows\n----")[1]
    assert len(re.findall(r"^\s*\d+E\d+\b", txt.read_text(), re.MULTILINE)) == 2 * pieces
    assert len(re.findall(r"\b\d+E\d+\b", text)) == 2 * pieces
    assert len(re.findall(r"^\d+(?:, piece \d+)? +-?\d", rows, re.MULTILINE)) == pieces
    assert sum(map(int, re.findall(r"(\d+): [\d.]+", rows))) == len(plan.layout.positions) + len(
        plan.layout.positions.line_posts_xy
    )


def test_a_small_block_takes_two_pages_and_a_large_one_all_it_needs(tmp_path):
    small, _ = written(blocks.tiny(), tmp_path)
    pages = len(PdfReader(small).pages)
    large, _ = written(blocks.kiepersol(), tmp_path)

    assert pages == 2
    assert 8 <= len(PdfReader(large).pages) <= 14


def test_the_sheet_says_how_and_warns(tmp_path):
    pdf, txt = written(blocks.kiepersol(), tmp_path)

    for text in (text_of(pdf), txt.read_text(encoding="utf-8")):
        flat = re.sub(r"\s+", " ", text)
        assert "30 – 40 – 50 m" in flat
        assert "Tape both diagonals" in flat
        assert "Do not set rows out by compass" in flat
        assert "never for pegs" in flat
        assert "each degree Celsius" in flat
        assert "plan, not issued" in flat


def test_a_tape_in_feet_gets_triangles_in_feet(tmp_path):
    _, txt = written(blocks.kiepersol(), tmp_path, system="imperial")

    flat = re.sub(r"\s+", " ", txt.read_text(encoding="utf-8"))

    assert "90 – 120 – 150 ft triangle" in flat
    assert "0.39 in wrong" in flat
    # c × error of c / (a × b) = 150 × 0.0328 / (90 × 120) = 0.026 degrees.
    assert "90 – 120 – 150 ft 0.026°" in flat
    assert " – 50 m" not in flat


def test_columns_of_the_plain_text_are_aligned(tmp_path):
    _, txt = written(blocks.tiny(), tmp_path)

    lines = txt.read_text(encoding="utf-8").split("Rows\n----\n")[1].splitlines()
    start = next(index for index, line in enumerate(lines) if line.startswith("row "))
    rows = lines[start + 1 : start + 1 + 15]

    ends = {match.end() for line in rows for match in [re.match(r"\S+ +\S+", line)] if match}
    assert len(rows) == 15
    assert len(ends) == 1


def test_imperial_tapes_are_in_feet(tmp_path):
    metric = written(blocks.tiny(), tmp_path)[1].read_text(encoding="utf-8")
    imperial = written(blocks.tiny(), tmp_path, system="imperial")[1].read_text(encoding="utf-8")

    (length_m,) = re.findall(r"A\s+to\s+B\s+must\s+be\s+([\d.]+)\s+m;", metric)
    (length_ft,) = re.findall(r"A\s+to\s+B\s+must\s+be\s+([\d.]+)\s+ft;", imperial)
    assert float(length_ft) * 0.3048 == pytest.approx(float(length_m), abs=0.01)


def test_the_same_plan_gives_the_same_bytes(tmp_path):
    first = [path.read_bytes() for path in written(blocks.tiny(), tmp_path)]

    second = [path.read_bytes() for path in written(blocks.tiny(), tmp_path)]

    assert first == second


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_is_only_ever_text(name, tmp_path):
    plan = blocks.planned(blocks.rectangle(60, 60), estate=name, block=name)

    pdf, txt = written(plan, tmp_path)

    assert len(PdfReader(pdf).pages) == 3
    assert txt.stat().st_size > 1000
    if name.isascii() and len(name) < 20:
        assert name in text_of(pdf)


def test_a_warning_of_the_typesetter_fails_the_build(tmp_path):
    source = '#set text(font: "No Such Type")\nwords'

    with pytest.raises(RenderingError, match="font"):
        Press(source, {}, made=blocks.MADE).print_to({"pdf": tmp_path / "x.pdf"})


def test_an_error_of_the_typesetter_names_the_paper(tmp_path):
    with pytest.raises(RenderingError, match=r"broken\.pdf"):
        Press("#nothing()", {}, made=blocks.MADE).print_to({"pdf": tmp_path / "broken.pdf"})
