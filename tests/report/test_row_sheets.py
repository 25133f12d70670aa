import re
from dataclasses import replace

import numpy as np
import pytest
import segno
from pypdf import PdfReader
from pypdf.generic import ContentStream

from aanplant.messages import languages, speaking, word
from aanplant.report.row_codes import LEAST_MODULE_MM, QUIET, codes, row_address
from aanplant.report.row_drawing import CODE_MM, JOBS
from aanplant.report.row_sheets import draw_row_sheets, paper_of, write_row_sheets
from aanplant.report.row_strips import row_strips
from tests.report import blocks
from tests.report.test_sheet import HOSTILE, text_of

ADDRESS = "https://field.example"
STROKE_MM = 5.2
STROKES_IN_KEY = 2
"""The key of a page shows a vine that grows and one that was replanted."""
MM = 72.0 / 25.4
LEAST_BOX_MM, LEAST_PLACE_MM = 6.0, 4.0
"""A pencil's cross by a gloved hand (common practice, no source)."""
SHAPES = ("kiepersol", "tiny", "long_and_thin", "northern")


def with_inputs(plan, **changes):
    return replace(plan, inputs=replace(plan.inputs, **changes))


def written(plan, folder, system="metric"):
    path = folder / "row-sheets.pdf"
    write_row_sheets(plan, path, made=blocks.MADE, system=system)
    return path


def paths_on(page):
    """Every path on a page as it is painted: its corners in mm, and how it is painted."""
    at, kept = np.eye(3), []
    corners: list[list[tuple[float, float]]] = []
    for values, operator in ContentStream(page.get_contents(), page.pdf).operations:
        if operator == b"q":
            kept.append(at)
        elif operator == b"Q":
            at = kept.pop()
        elif operator == b"cm":
            a, b, c, d, e, f = map(float, values)
            at = np.array([[a, b, 0.0], [c, d, 0.0], [e, f, 1.0]]) @ at
        elif operator in {b"m", b"l"}:
            x, y, _ = np.array([*map(float, values), 1.0]) @ at
            if operator == b"m":
                corners.append([])
            corners[-1].append((x / MM, (float(page.mediabox.height) - y) / MM))
        elif operator in {b"S", b"f", b"f*", b"n"}:
            yield operator.decode(), [np.array(one) for one in corners]
            corners = []


def vine_strokes(page):
    """Count the upright strokes of a vine's height."""
    return sum(
        len(one) == 2 and abs(one[0, 0] - one[1, 0]) < 0.01
        and abs(abs(one[0, 1] - one[1, 1]) - STROKE_MM) < 0.01
        for painted, corners in paths_on(page) if painted == "S" for one in corners
    )  # fmt: skip


def codes_on(page, version):
    """Read the modules of every code on a page back from its filled pieces."""
    size = 17 + 4 * version
    module = CODE_MM / (size + 2 * QUIET)
    found = []
    for painted, corners in paths_on(page):
        if painted != "f*" or len(corners) < 100:
            continue
        x, y = np.vstack(corners).min(axis=0)
        modules = np.zeros((size, size), np.int64)
        for piece in corners:
            left, top = np.rint((piece.min(axis=0) - (x, y)) / module).astype(int)
            right, low = np.rint((piece.max(axis=0) - (x, y)) / module).astype(int)
            modules[top:low, left:right] += 1
        found.append(modules)
    return found


@pytest.mark.parametrize("name", ["kiepersol", "tiny", "long_and_thin"])
def test_every_row_and_every_vine_stands_on_a_sheet_exactly_once(name, tmp_path):
    plan = getattr(blocks, name)()
    positions = plan.layout.positions

    path = written(plan, tmp_path)

    rows = [int(row) for row in re.findall(r"^Row (\d+)$", text_of(path), re.MULTILINE)]
    vines = sum(vine_strokes(page) for page in PdfReader(path).pages)
    assert rows == sorted(set(positions.row.tolist()))
    assert vines == len(positions) + STROKES_IN_KEY * len(PdfReader(path).pages)


@pytest.mark.parametrize("name", SHAPES)
def test_a_strip_holds_the_vines_of_its_row_by_their_numbers(name):
    positions = getattr(blocks, name)().layout.positions

    strips = row_strips(positions)

    held = [(strip.row, int(vine)) for strip in strips for vine in strip.vines]
    assert held == sorted(zip(positions.row.tolist(), positions.number.tolist(), strict=True))
    assert sum(len(strip.posts) for strip in strips) == len(positions.line_posts_xy)
    assert sum(strip.ends.size for strip in strips) == 2 * int((positions.vines > 0).sum())


@pytest.mark.parametrize("name", ["kiepersol", "long_and_thin"])
def test_a_line_post_is_drawn_between_two_vines_of_its_row(name):
    strips = row_strips(getattr(blocks, name)().layout.positions)

    for strip in strips:
        assert (strip.posts > strip.ends.min()).all()
        assert (strip.posts < strip.ends.max()).all()
        assert (strip.posts % 1.0 == 0.5).all()


def test_line_posts_of_an_open_row_stand_every_so_many_vines():
    plan = blocks.tiny()

    for strip in row_strips(plan.layout.positions):
        assert (np.diff(strip.posts) == plan.brief.trellis.post_every).all()


def test_vine_37_is_found_by_the_tens_above_the_strokes():
    plan = blocks.long_and_thin()
    longest = int(plan.layout.positions.number.max())

    pages = draw_row_sheets(plan, made=blocks.MADE, system="metric")

    texts = {text for page in pages for text in re.findall(r">(\d+)<", page.svg(alone=False))}
    assert longest > 500
    assert {str(ten) for ten in range(10, longest + 1, 10)} <= texts


def test_a_row_too_long_for_a_page_goes_on_over_the_next(tmp_path):
    plan = blocks.long_and_thin()

    text = text_of(written(plan, tmp_path))

    assert plan.layout.positions.number.max() > 500
    assert "Row 1, continued" in text
    assert len(re.findall(r"^Row 1$", text, re.MULTILINE)) == 1


def test_the_code_of_a_row_is_that_of_its_address_in_the_field_page(tmp_path):
    plan = with_inputs(blocks.tiny(), field_address=ADDRESS)
    rows = [strip.row for strip in row_strips(plan.layout.positions)]

    path = written(plan, tmp_path)

    longest = segno.make(f"{ADDRESS}/Agterplaas/row/{max(rows)}", error="m", micro=False)
    found = [code for page in PdfReader(path).pages for code in codes_on(page, longest.version)]
    expected = [
        segno.make(f"{ADDRESS}/Agterplaas/row/{row}", error="m", micro=False,
                   version=longest.version, mask=mask)
        for row in rows for mask in [_mask_of(found[0])]
    ]  # fmt: skip
    assert len(found) == len(rows)
    for code, by_segno in zip(found, expected, strict=True):
        assert (code == np.array([list(line) for line in by_segno.matrix])).all()
    assert "No code to scan" not in text_of(path)


def _mask_of(code):
    """Mask by the format bits beside the upper left finder (ISO/IEC 18004, 7.9)."""
    bits = int("".join(map(str, code[8, 2:5])), 2)
    return bits ^ 0b101


def test_modules_of_a_code_are_wide_enough_or_no_code_is_drawn():
    (short,) = codes([row_address(ADDRESS, "Kiepersol", 1)], CODE_MM)

    assert CODE_MM / (len(short) + 2 * QUIET) >= LEAST_MODULE_MM
    assert codes([row_address(ADDRESS, "W" * 300, 1)], CODE_MM) == []


def test_a_block_of_any_name_gets_an_address_of_its_own():
    assert row_address(ADDRESS, "Bo Kamp/2?", 3) == f"{ADDRESS}/Bo%20Kamp%2F2%3F/row/3"


def test_without_an_address_there_is_no_code_and_it_is_said_once(tmp_path):
    path = written(blocks.tiny(), tmp_path)

    assert text_of(path).count("No code to scan") == 1
    assert not any(codes_on(page, 3) for page in PdfReader(path).pages)


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("address", ["", "https://field.example/" + "w" * 300])
def test_why_there_is_no_code_is_said_in_full_in_every_language(language, address):
    plan = with_inputs(blocks.tiny(), field_address=address)
    why = "long" if address else "no"

    with speaking(language):
        (page, *_) = draw_row_sheets(plan, made=blocks.MADE, system="metric")

        assert word(f"row_sheet.{why}_address") in page.svg(alone=False)


def test_each_page_says_which_block_when_and_which_page_it_is(tmp_path):
    path = written(blocks.tiny(), tmp_path)

    pages = PdfReader(path).pages
    for number, page in enumerate(pages, 1):
        text = page.extract_text()
        assert "Lowquince · Agterplaas" in text
        assert "25 Nov 2026" in text
        assert f"{number} / {len(pages)}" in text


def test_paper_is_letter_where_the_country_uses_it():
    assert paper_of("en-US") == paper_of("es_CL") == "us-letter"
    assert paper_of("en-ZA") == paper_of("") == paper_of("de-DE") == "a4"


def test_boxes_and_places_are_large_enough_for_gloves_and_a_pencil():
    (page, *_) = draw_row_sheets(blocks.tiny(), made=blocks.MADE, system="metric")

    svg = page.svg(alone=False)

    boxes = [float(side) for side in re.findall(r'd="M[\d.]+ [\d.]+h([\d.]+)v\1h-\1z"', svg)]
    (first, *_) = re.findall(r'class="vine" d="([^"]+)"', svg)
    strokes = [float(x) for x in re.findall(r"M([\d.]+) ", first)]
    assert sum(side >= LEAST_BOX_MM for side in boxes) >= len(JOBS)
    assert np.diff(strokes[:9]).min() >= LEAST_PLACE_MM


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_is_only_ever_text(name, tmp_path):
    plan = blocks.planned(blocks.rectangle(40, 40), estate=name, block=name, cultivar=name)

    path = written(with_inputs(plan, field_address=ADDRESS), tmp_path)

    assert re.search(r"^Row 1$", text_of(path), re.MULTILINE)


def test_lengths_are_in_feet_where_the_estate_counts_in_feet(tmp_path):
    text = text_of(written(blocks.tiny(), tmp_path, "imperial"))

    assert re.search(r"\d ft · \d+ vines", text)
