"""The stock report: its chapters with and without data, its marks, and its drawings."""

import re
import time
import xml.etree.ElementTree as ET
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pypdf import PdfReader

from aanplant.cli.demo import example_estate
from aanplant.files import open_block, read_inputs
from aanplant.messages import sentence, word
from aanplant.plan import make_plan
from aanplant.report.ripening_chart import ripening_chart
from aanplant.report.rootstock_chart import rootstock_chart
from aanplant.report.rootstock_view import view_of
from aanplant.report.spacing_tables import consequence_table
from aanplant.report.stock_chapters import stock_findings
from aanplant.report.stock_report import write_stock_report
from aanplant.report.style import FONTS
from aanplant.stock.ripening import Heat
from aanplant.units import show_number
from tests.report import blocks, sites
from tests.report.test_sheet import HOSTILE

CHAPTERS = ("rootstock", "cultivar", "spacing", "spares", "sources")
TABLES = ("demands", "left", "fallen", "cultivar", "rules", "consequences", "sides")


@cache
def example(name):
    block = open_block(example_estate() / "blocks" / name)
    return make_plan(block.brief, read_inputs(block))


def written(plan, folder, **options):
    path = Path(folder) / "stock-report.pdf"
    write_stock_report(plan, path, made=options.pop("made", blocks.MADE), **options)
    return path


def plain(text):
    return re.sub(r"\s+", " ", text.replace("\u202f", " ").replace("\u2060", ""))


def text_of(path):
    return plain("\n".join(page.extract_text() for page in PdfReader(path).pages))


def texts_in(drawing):
    root = ET.fromstring(drawing.svg(alone=False))  # noqa: S314 - drawn just now
    return [plain("".join(one.itertext())) for one in root.iter() if one.tag.endswith("text")]


@pytest.fixture(scope="module")
def hillside():
    return example("kiepersol")


@pytest.fixture(scope="module")
def told(hillside, tmp_path_factory):
    return text_of(written(hillside, tmp_path_factory.mktemp("report")))


def test_every_chapter_and_table_stands_on_two_to_four_pages(hillside, tmp_path):
    path = written(hillside, tmp_path)

    text = text_of(path)
    assert 2 <= len(PdfReader(path).pages) <= 4
    assert [name for name in CHAPTERS if word(f"stock_report.chapter.{name}") not in text] == []
    assert [name for name in TABLES if word(f"stock_report.table.{name}") not in text] == []


def test_the_vine_proposed_its_order_and_its_spares_open_the_report(hillside, told):
    spares = hillside.work.spares

    start = told.partition(word("stock_report.chapter.rootstock"))[0]
    assert f"Chenin blanc on {hillside.stock.rootstock_choice.picked}" in start
    assert plain(f"Order {show_number(spares.order.value)}") in start
    assert plain(f"with {show_number(spares.cheapest)} spares") in start
    assert word("stock_report.open") in start


def test_every_finding_of_the_stage_and_on_spares_is_told(hillside, told):
    found = stock_findings(hillside)

    of_the_stage = [item for item in hillside.findings if item.stage == "stock"]
    assert set(map(id, of_the_stage)) <= set(map(id, found))
    assert any(item.message.startswith("stock.hold_") for item in found)
    # A line may break inside a word that is longer than a line, and nowhere else.
    assert [item.message for item in found if plain(sentence(item)) not in told] == []


def test_every_stock_is_either_ranked_or_stands_with_the_limit_it_does_not_hold(hillside, told):
    choice = hillside.stock.rootstock_choice

    left, _, fallen = told.partition(word("stock_report.table.fallen"))
    for stock, name in enumerate(choice.stocks):
        assert name in (left if choice.ranks[stock] else fallen), name


def test_a_rootstock_that_the_brief_names_is_set_beside_the_ground(tmp_path):
    block = open_block(example_estate() / "blocks" / "kiepersol")
    vines = block.brief.vines.model_copy(update={"rootstock": "99R"})
    plan = make_plan(block.brief.model_copy(update={"vines": vines}), read_inputs(block))

    text = text_of(written(plan, tmp_path))

    assert "Chenin blanc on 99R, the rootstock that the brief names." in text
    assert f"99R does not hold {word('stock_report.limit.waterlogging')} here." in text
    first = plan.stock.rootstock_choice.stocks[plan.stock.rootstock_choice.order[0]]
    assert f"By the ground the plan puts {first} first." in text


def test_what_is_recalled_is_marked_and_its_source_said(told):
    sources = told.rpartition(word("stock_report.chapter.sources"))[2]

    assert word("stock_report.certainty.memory") in sources
    assert word("stock_report.certainty.published") in sources
    assert "recalled from memory, not checked." in told


def test_what_the_table_holds_of_the_cultivar_is_not_called_unknown(told):
    # cultivars.csv: Chenin blanc, bud_break 2, from memory
    assert re.search(r"bud-break, 1 early to 5 late 2 memory", told)


def test_what_acid_soil_counts_for_is_said_beside_the_weight_given(told):
    assert "Acid soil counts as far as the soil is acid: here 0.38 of its weight of 1." in told


def test_without_pits_no_rootstock_is_ranked_and_the_chapter_says_what_is_missing(tmp_path):
    plan = example("onderveld")

    text = text_of(written(plan, tmp_path, system="imperial"))

    assert word("stock_report.missing.pits") in text
    assert word("stock_report.table.left") not in text
    assert word("stock_report.missing.weather") in text
    assert "9 ft" in text
    assert "vines/acre" in text


@pytest.mark.parametrize("name", HOSTILE)
def test_a_name_is_only_ever_text(name, tmp_path):
    path = written(sites.planned(name=name, pit=name), tmp_path)

    assert 2 <= len(PdfReader(path).pages) <= 6


def test_every_letter_of_the_report_is_in_its_typefaces(hillside, tmp_path):
    from matplotlib.ft2font import FT2Font

    known = set()
    for path in FONTS.glob("*.ttf"):
        known |= set(FT2Font(str(path)).get_charmap())

    pages = PdfReader(written(hillside, tmp_path)).pages
    written_here = {ord(letter) for page in pages for letter in page.extract_text()}
    assert written_here - known - {ord("\n"), 0x2060} == set()


def test_a_screen_reader_finds_headings_tables_and_what_each_drawing_is(hillside, tmp_path):
    pdf = PdfReader(written(hillside, tmp_path))

    root: Any = pdf.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    found = _tags(root["/StructTreeRoot"])
    kinds = {tag["/S"] for tag in found if "/S" in tag}
    assert {"/H1", "/H2", "/Table", "/TH", "/Figure"} <= kinds
    figures = [tag for tag in found if tag.get("/S") == "/Figure"]
    assert all(tag.get("/Alt") for tag in figures)


def _tags(part):
    found, waiting = [], [part]
    while waiting:
        one = waiting.pop().get_object()
        if isinstance(one, list):
            waiting.extend(one)
        elif isinstance(one, dict):
            found.append(one)
            waiting.extend([one["/K"]] if "/K" in one else [])
    return found


def test_the_same_plan_at_the_same_time_gives_the_same_bytes(hillside, tmp_path):
    first, again = tmp_path / "first", tmp_path / "again"
    first.mkdir()
    again.mkdir()

    assert written(hillside, first).read_bytes() == written(hillside, again).read_bytes()


def test_the_report_takes_little_time(hillside, tmp_path):
    written(hillside, tmp_path)  # typefaces are read once

    start = time.perf_counter()
    written(hillside, tmp_path)

    assert time.perf_counter() - start < 1.0


def test_the_chart_draws_what_rests_on_memory_open(hillside):
    view = view_of(hillside)

    svg = rootstock_chart(view).svg(alone=False)

    asked = view.asked_criteria()
    open_dots = sum(
        any(view.is_doubtful(stock, name) for name in asked)
        + sum(view.is_doubtful(stock, name) for name in asked)
        for stock in view.shown
    )
    dots = len(view.shown) * (1 + len(asked))
    in_the_key = 1
    assert len(re.findall(r'<circle [^>]*fill="#FFFEFB"', svg)) == open_dots + in_the_key
    assert len(re.findall(r'<circle [^>]*fill="#1D4C9E"', svg)) == dots - open_dots + in_the_key


def test_the_chart_names_the_ranked_stocks_the_best_first(hillside):
    view = view_of(hillside)

    names = [text for text in texts_in(rootstock_chart(view)) if text in view.choice.stocks]

    assert names == [view.choice.stocks[stock] for stock in view.shown]


def test_a_stock_that_wins_on_a_criterion_suits_better_than_the_middle(hillside):
    view = view_of(hillside)

    middle = np.median(view.suits[list(view.choice.order)], axis=0)
    for stock in view.shown:
        wins, losses = view.won(stock)
        at = dict(zip(("vigour", "drought", "acid", "ripening"), view.suits[stock] - middle,
                      strict=True))  # fmt: skip
        assert all(at[name] > 0 for name in wins)
        assert all(at[name] < 0 for name in losses)


def test_other_spacings_change_vines_and_wire_in_proportion(hillside):
    table = consequence_table(hillside, "metric")

    rows = {row[0]: [float(plain(cell).replace(" ", "")) for cell in row[1:]] for row in table.rows}
    asked = rows[next(name for name in rows if "asked" in name)]
    wider = rows[
        "2.7\u00a0m × 1.2\u00a0m" if "2.7\u00a0m × 1.2\u00a0m" in rows else "2.7 m × 1.2 m"
    ]
    # 2.7 m for 2.5 m: 2.5 / 2.7 of the vines, posts and wire, rounded to hundreds.
    assert wider[0] == pytest.approx(asked[0] * 2.5 / 2.7, abs=50)
    assert wider[3] == pytest.approx(asked[3] * 2.5 / 2.7, abs=50)


def test_a_season_short_of_the_heat_is_drawn_open():
    heat = Heat(np.array([2024.0, 2025.0, 2026.0]), np.array([1200.0, 1380.0, 1600.0]))

    svg = ripening_chart(heat, 1250.0, 1350.0, "31 March").svg(alone=False)

    assert len(re.findall(r'<circle [^>]*fill="#FFFEFB"', svg)) == 1
    assert len(re.findall(r'<circle [^>]*fill="#22302B"', svg)) == 2
