import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader
from shapely.geometry import Point

from aanplant.report.paper import PADDING_MM, SCALES, Box, choose_paper
from aanplant.report.sheet import draw_sheet, sheet, view_of
from aanplant.working import Finding
from tests.report import blocks

MM = 72.0 / 25.4
PAPERS = {"A4": (210.0, 297.0), "A3": (297.0, 420.0)}
ALL = ("kiepersol", "tiny", "long_and_thin", "hundred_hectares", "northern")


def drawn(plan, folder, **options):
    paths = [folder / f"sheet.{kind}" for kind in ("pdf", "svg", "png")]
    draw_sheet(plan, *paths, made=blocks.MADE, **options)
    return paths


def text_of(path):
    text = "\n".join(page.extract_text() for page in PdfReader(path).pages)
    return text.replace("\u202f", " ").replace("\u2009", " ")


def path_of(svg, name):
    (found,) = re.findall(rf'class="{name}" d="([^"]+)"', svg)
    return found


def strokes_of(svg, name):
    pairs = re.findall(r"M([-\d.]+) ([-\d.]+)L([-\d.]+) ([-\d.]+)", path_of(svg, name))
    return np.array(pairs, dtype=float).reshape(-1, 2, 2)


@pytest.mark.parametrize("name", ALL)
def test_the_sheet_is_one_page_of_a_standard_size(name, tmp_path):
    plan = getattr(blocks, name)()

    pdf, _, png = drawn(plan, tmp_path)

    reader = PdfReader(pdf)
    size = sorted(float(side) / MM for side in reader.pages[0].mediabox[2:])
    assert len(reader.pages) == 1
    assert size == pytest.approx(PAPERS[view_of(plan).paper.name], abs=0.01)
    assert png.read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize("name", ALL)
def test_the_sheet_says_what_it_shows(name, tmp_path):
    plan = getattr(blocks, name)()

    pdf, _, _ = drawn(plan, tmp_path)

    text = text_of(pdf)
    assert plan.inputs.estate in text
    assert plan.site.name in text
    assert f"{len(plan.layout.positions):,}".replace(",", " ") in text
    assert plan.site.grid.code in text
    assert "plan, not issued" in text
    assert "25 Nov 2026" in text
    assert "not by scaling off this sheet" in text.replace("\n", " ")


@pytest.mark.parametrize("name", ALL)
def test_rows_are_as_long_on_paper_as_the_scale_says(name):
    plan = getattr(blocks, name)()
    view = view_of(plan)

    rows = strokes_of(sheet(plan, made=blocks.MADE).svg(alone=False), "rows")

    on_paper = np.hypot(*(rows[:, 1] - rows[:, 0]).T)
    on_ground = plan.layout.positions.row_length_m[plan.layout.positions.vines > 0]
    assert on_paper == pytest.approx(on_ground * 1000 / view.paper.denominator, abs=0.002)


def test_millimetres_of_the_drawing_are_millimetres_of_the_pdf(tmp_path):
    pdf, svg, _ = drawn(blocks.kiepersol(), tmp_path)
    page = PdfReader(pdf).pages[0]
    printed = []

    def visit(text, cm, tm, *_):
        if text == "C":
            printed.append((cm[4] + tm[4] * cm[0], cm[5] + tm[5] * cm[3]))

    page.extract_text(visitor_text=visit)

    placed = re.findall(r'<text x="([\d.]+)" y="([\d.]+)"[^>]*>C\d\d<', svg.read_text())
    asked = np.array(placed, dtype=float) * MM
    asked[:, 1] = float(page.mediabox.height) - asked[:, 1]
    apart = np.hypot(*(asked[:, None, :] - np.array(printed)).transpose(2, 0, 1))
    assert len(asked) == 20
    assert apart.min(axis=1).max() < 0.02 * MM


@pytest.mark.parametrize("name", ALL)
def test_ticks_stand_where_the_grid_has_their_value(name):
    view = view_of(getattr(blocks, name)())

    ticks = view.ticks()

    for side, axis in (("top", 0), ("bottom", 0), ("left", 1), ("right", 1)):
        assert len(ticks[side]) >= 2
        for tick in ticks[side]:
            at = view.grid.from_frame(view.to_frame([[tick.x, tick.y]]))[0]
            assert at[axis] == pytest.approx(tick.value, abs=0.01 * view.paper.denominator / 1000)


def test_westings_and_southings_grow_to_the_left_and_downwards():
    ticks = view_of(blocks.kiepersol()).ticks()

    top = sorted(ticks["top"], key=lambda tick: tick.x)
    left = sorted(ticks["left"], key=lambda tick: tick.y)

    assert [tick.value for tick in top] == sorted((t.value for t in top), reverse=True)
    assert [tick.value for tick in left] == sorted(t.value for t in left)
    assert top[0].value < 0 < left[0].value


@pytest.mark.parametrize("name", ["kiepersol", "northern"])
def test_grid_north_is_up_and_true_north_off_by_the_convergence(name):
    plan = getattr(blocks, name)()
    view = view_of(plan)

    (x1, y1), (x2, y2) = view.to_paper([[0.0, 0.0], [0.0, 100.0]])

    true_north_deg = np.degrees(np.arctan2(x2 - x1, y1 - y2))
    assert true_north_deg == pytest.approx(-plan.site.grid.convergence_deg, abs=1e-6)
    assert abs(true_north_deg) > 0.1


@pytest.mark.parametrize("name", ALL)
def test_the_whole_block_lies_inside_the_map_window(name):
    plan = getattr(blocks, name)()
    view = view_of(plan)

    places = view.to_paper(np.asarray(plan.site.boundary.exterior.coords))

    room = view.window.shrunk(PADDING_MM - 0.01)
    assert (places >= [room.x, room.y]).all()
    assert (places <= [room.right, room.bottom]).all()


@given(
    width=st.floats(10, 8000),
    height=st.floats(10, 8000),
    row_width=st.floats(0.8, 15.0),
)
def test_no_paper_lets_map_and_title_block_overlap(width, height, row_width):
    paper = choose_paper(width, height, row_width)

    panel, window, frame = paper.panel, paper.map, paper.frame
    assert window.right < panel.x if paper.is_landscape else window.bottom < panel.y
    for area in (panel, window):
        assert area.x >= frame.x
        assert area.y >= frame.y
        assert area.right <= frame.right + 1e-9
        assert area.bottom <= frame.bottom + 1e-9
    room = window.shrunk(PADDING_MM)
    assert paper.denominator in SCALES
    assert width * 1000 / paper.denominator <= room.width
    assert height * 1000 / paper.denominator <= room.height


def test_a_block_too_large_for_any_scale_is_refused():
    with pytest.raises(ValueError, match="no scale"):
        choose_paper(1e6, 1e6, 2.5)


@pytest.mark.parametrize("name", ["kiepersol", "tiny", "northern"])
def test_the_sheet_has_a_dot_for_every_vine(name):
    plan = getattr(blocks, name)()
    svg = sheet(plan, made=blocks.MADE).svg(alone=False)

    runs = strokes_of(svg, "vines")
    (dash,) = re.findall(r'class="vines"[^>]*stroke-dasharray="0 ([\d.]+)"', svg)

    length = np.hypot(*(runs[:, 1] - runs[:, 0]).T)
    dots = np.floor(length / float(dash)).astype(int) + 1
    assert dots.sum() == len(plan.layout.positions)


def test_a_block_too_large_for_vines_shows_its_rows_and_says_so(tmp_path):
    pdf, svg, _ = drawn(blocks.hundred_hectares(), tmp_path)

    assert 'class="vines"' not in svg.read_text()
    assert 'class="rows"' in svg.read_text()
    assert "too close together for this scale" in text_of(pdf).replace("\n", " ")


@pytest.mark.parametrize("name", ALL)
def test_files_stay_small_however_many_vines_there_are(name, tmp_path):
    pdf, svg, png = drawn(getattr(blocks, name)(), tmp_path)

    assert pdf.stat().st_size < 1_000_000
    assert svg.stat().st_size < 1_000_000
    assert png.stat().st_size < 3_000_000


def test_the_same_plan_gives_the_same_bytes(tmp_path):
    first = [path.read_bytes() for path in drawn(blocks.kiepersol(), tmp_path)]

    second = [path.read_bytes() for path in drawn(blocks.kiepersol(), tmp_path)]

    assert first == second


def test_the_pdf_carries_its_fonts(tmp_path):
    pdf, svg, _ = drawn(blocks.tiny(), tmp_path)

    fonts = {
        str(font.get_object()["/BaseFont"]).partition("+")[2]
        for page in PdfReader(pdf).pages
        for font in page["/Resources"]["/Font"].values()  # type: ignore[index]
    }
    assert {"AtkinsonHyperlegible-Regular", "AtkinsonHyperlegible-Bold"} <= fonts
    assert "Literata-SemiBold" in fonts
    assert svg.read_text().count("@font-face") == 3


HOSTILE = (
    '#eval("1/0")',
    "<script>alert(1)</script>",
    "\"quotes\" & 'quotes' ]]>",
    '#image("/etc/passwd") \\ $x$ `raw` *b*',
    "Ελιά Вино 葡萄 עִבְרִית",
    "W" * 80,
)


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_is_only_ever_text(name, tmp_path):
    things = ((name, "rock", "avoid", Point(0, 0).buffer(4), 1.0, 0.0),)
    plan = blocks.planned(
        blocks.rectangle(90, 90), estate=name, block=name, things=things, cultivar=name
    )

    pdf, svg, _ = drawn(plan, tmp_path)

    root = ET.fromstring(svg.read_text(encoding="utf-8"))  # noqa: S314 - written just now, must be sound
    tags = {element.tag.rpartition("}")[2] for element in root.iter()}
    assert tags <= {"svg", "title", "style", "rect", "path", "circle", "text", "clipPath", "g"}
    assert len(PdfReader(pdf).pages) == 1
    if name.isascii() and len(name) < 20:
        assert name in text_of(pdf)


def test_a_thing_whose_name_is_no_sound_text_is_drawn_all_the_same(tmp_path):
    things = (("lone \ud800 surrogate\x07", "rock", "avoid", Point(0, 0).buffer(9), 1.0, 0.0),)

    pdf, svg, _ = drawn(blocks.planned(blocks.rectangle(90, 90), things=things), tmp_path)

    assert "lone \ufffd surrogate\ufffd" in svg.read_text(encoding="utf-8")
    assert "surrogate" in text_of(pdf)


def test_imperial_figures_and_a_scale_bar_in_feet(tmp_path):
    pdf, _, _ = drawn(blocks.tiny(), tmp_path, system="imperial")

    text = text_of(pdf)
    assert "acre" in text
    assert "8.202 ft × 3.937 ft" in text
    assert re.search(r"\d+ ft", text)
    assert " ha" not in text


def test_a_plan_that_says_stop_is_marked_on_its_sheet(tmp_path):
    plan = blocks.kiepersol()
    stopped = replace(
        plan,
        results={
            **plan.results,
            "stock": replace(
                plan.stock, findings=(Finding("stock", "stop", "stock.rootstock_breaks"),)
            ),
        },
    )

    pdf, _, _ = drawn(stopped, tmp_path)

    assert "STOP" in text_of(pdf)
    assert "STOP" not in text_of(drawn(plan, tmp_path)[0])


def test_legend_lists_what_is_drawn_and_nothing_else(tmp_path):
    full = text_of(drawn(blocks.kiepersol(), tmp_path)[0])
    plain = text_of(drawn(blocks.tiny(), tmp_path)[0])

    assert "power line, rows run on, nothing stands" in full
    assert "dam, rows stop" in full
    assert "11 kV line" in full
    assert "power line" not in plain.split("Set out from")[0]


def test_words_never_stand_on_one_another():
    from aanplant.report.labels import Room

    room = Room(Box(0, 0, 50, 50))

    taken = [
        area
        for x in range(0, 60, 3)
        for y in range(0, 60, 2)
        if (area := room.first_free([Box(x, y, 7, 3), Box(x + 1, y + 1, 7, 3)]))
    ]

    assert len(taken) > 50
    for index, one in enumerate(taken):
        assert one.right <= 50
        assert one.bottom <= 50
        for other in taken[:index]:
            assert (
                one.right <= other.x
                or other.right <= one.x
                or one.bottom <= other.y
                or other.bottom <= one.y
            )
