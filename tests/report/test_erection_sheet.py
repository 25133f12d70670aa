"""The erection sheet: cautions first, every row once, sums that add up, pulls as a board reads."""

import dataclasses
import re
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader

from aanplant import messages
from aanplant.files import open_block, read_inputs
from aanplant.plan import make_plan
from aanplant.report.erection_sheet import CAUTIONS, write_erection_sheet
from aanplant.report.erection_tables import row_table
from aanplant.report.style import FONTS
from aanplant.report.trellis_view import view_of
from aanplant.report.wire_list import (
    BOARD_ASIDE_M,
    BOARD_PEGS_M,
    board_reading_kg,
    tension_when_n,
)
from aanplant.trellis.systems import system_names
from aanplant.trellis.wire_strength import installed_tension_n, tension_limit_n
from tests.report import blocks
from tests.report.test_sheet import HOSTILE, text_of

EXAMPLE = Path(__file__).parents[2] / "examples" / "lowquince" / "blocks" / "kiepersol"


@pytest.fixture(scope="module")
def plan():
    block = open_block(EXAMPLE)
    return make_plan(block.brief, read_inputs(block), until="trellis")


def small(system="vertical-5", **ends):
    """Plan a block of a few rows with a trellis of its own."""
    plan = blocks.tiny()
    brief = plan.brief.model_copy(
        update={
            "trellis": plan.brief.trellis.model_copy(update={"system": system}),
            "ends": plan.brief.ends.model_copy(update=ends),
        }
    )
    return make_plan(brief, plan.inputs, until="trellis")


def written(plan, folder, **options):
    path = folder / "erection-sheet.pdf"
    write_erection_sheet(plan, path, made=blocks.MADE, **options)
    return path


def flat(path):
    return re.sub(r"\s+", " ", text_of(path))


def test_cautions_stand_before_the_first_step(plan, tmp_path):
    text = flat(written(plan, tmp_path))

    assert len(CAUTIONS) == 5
    for said in ("Goggles and gloves", "Post driver", "Overhead lines", "Buried cables"):
        assert text.index(said) < text.index("Order of work")
    assert "Local code" in text
    assert text.index("Order of work") < text.index("How hard to strain") < text.index("Row by row")


def test_every_row_stands_on_it_once_and_the_sums_are_the_plans(plan, tmp_path):
    table = row_table(plan, "metric")

    rows, trellis = table["rows"], plan.trellis
    assert len(rows) == len(trellis.rows) == len({row[0] for row in rows})
    assert sum(int(row[2]) for row in rows) == trellis.counts.line_posts
    assert sum(float(row[1]) for row in rows) == pytest.approx(
        float(trellis.rows.length_m.sum()), abs=0.05 * len(rows)
    )
    metres = np.array([[float(cell.replace("\u202f", "")) for cell in row[6:]] for row in rows])
    assert metres.sum() == pytest.approx(sum(trellis.wire_length_m), abs=0.5 * metres.size)
    anchors = sum(int(number) for row in rows for number in re.findall(r"(\d+) anchor", row[5]))
    assert anchors == trellis.counts.anchors
    text = flat(written(plan, tmp_path))
    for row in rows:
        assert " ".join(row[:3]) in text


def test_no_row_is_lost_between_pages(plan, tmp_path):
    reader = PdfReader(written(plan, tmp_path))

    text = "\n".join(page.extract_text() for page in reader.pages)
    assert len(re.findall(r"(?<!\d)2 anchors", text)) == len(plan.trellis.rows)
    assert len(reader.pages) < 10


@pytest.mark.published(
    source="Iowa viticulture article: board of 40 in and half an inch, reading times 20",
    quantity="pull over reading of the board tester",
    unit="-",
)
def test_the_board_of_the_sheet_reads_a_twentieth_of_the_pull(published):
    published.equal(BOARD_PEGS_M / (4.0 * BOARD_ASIDE_M), printed=20, tolerance=0.5)

    assert board_reading_kg(20.0 * 9.80665) == pytest.approx(1.0)


def test_a_warm_wire_is_strained_less_and_none_above_its_limit(plan):
    for mark in view_of(plan).marks:
        cold, usual, warm = (tension_when_n(mark, warmer) for warmer in (-10.0, 0.0, 10.0))

        limit = tension_limit_n(mark.wire.diameter_mm, mark.wire.grade)
        assert warm < usual <= cold <= limit
        assert usual == pytest.approx(installed_tension_n(mark.wire))


def test_a_cordon_wire_of_2_5_mm_loses_the_pull_that_warmth_takes(plan):
    # EA alpha of 2.5 mm wire is 11.78 N/K: references A2, by arithmetic.
    cordon = next(mark for mark in view_of(plan).marks if mark.wire.diameter_mm == 2.5)

    lost = tension_when_n(cordon, 0.0) - tension_when_n(cordon, 10.0)

    assert lost == pytest.approx(117.8, abs=0.05)


@pytest.mark.parametrize("name", system_names())
def test_every_system_gets_its_sheet(name, tmp_path):
    plan = small(name)

    text = flat(written(plan, tmp_path))

    assert "Putting up the trellis" in text
    if plan.trellis.wires:
        assert all(wire.name in text for wire in plan.trellis.wires)
        assert f"every {1200 * 5:,}".replace(",", " ") in text
    else:
        assert "No wires, no posts" in text
        assert "How hard to strain" not in text


@pytest.mark.parametrize(
    ("assembly", "said"),
    [("tie-back", "Tie the end post"), ("h-brace", "Second post"), ("strut", "Strut on the row")],
)
def test_the_order_of_work_is_that_of_the_ends(assembly, said, tmp_path):
    text = flat(written(small(assembly=assembly), tmp_path))

    assert said in text
    assert ("2 anchors" in text) == (assembly == "tie-back")
    assert ("2 braces" in text) == (assembly == "h-brace")


def test_feet_inches_and_pounds_where_asked(tmp_path):
    text = flat(written(small(), tmp_path, system="imperial"))

    assert "length, ft" in text
    assert re.search(r"281 lb 14\.1 lb", text)  # 1 250 N, and a twentieth of it
    assert "kg" not in text


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_of_a_wire_is_only_ever_text(name, tmp_path):
    plan = small()
    first = dataclasses.replace(plan.trellis.wires[0], name=name)
    rules = plan.brief.trellis
    wires = [
        {
            "name": wire.name,
            "height": wire.height_m,
            "diameter": wire.diameter_mm,
            "grade": wire.grade,
        }
        for wire in (first, *plan.trellis.wires[1:])
    ]
    brief = plan.brief.model_copy(
        update={"trellis": type(rules).model_validate({"system": "own", "wires": wires})}
    )

    path = written(make_plan(brief, plan.inputs, until="trellis"), tmp_path)

    assert len(PdfReader(path).pages) >= 3


def test_the_same_plan_gives_the_same_bytes(plan, tmp_path):
    first = written(plan, tmp_path).read_bytes()

    assert written(plan, tmp_path).read_bytes() == first


def test_the_typeface_has_every_letter_of_the_sheets_words():
    fonts = pytest.importorskip("fontTools.ttLib")
    known = set.intersection(
        *(set(fonts.TTFont(path).getBestCmap()) for path in FONTS.glob("Atkinson*.ttf"))
    )
    words = messages.catalogue()["word"]

    written = "".join(text for name, text in words.items() if name.startswith("erection."))

    assert len(written) > 1000
    assert {letter for letter in written if ord(letter) not in known} == set()


def test_ends_at_an_alley_without_anchors_get_struts_and_short_rows_their_lighter_ones(
    plan, tmp_path
):
    rules = plan.brief
    brief = rules.model_copy(
        update={
            "rows": rules.rows.model_copy(update={"alley_anchors": "inside"}),
            "ends": rules.ends.model_copy(
                update={"lighter_short_rows": True, "lighter_helix": 180.0}
            ),
        }
    )
    changed = make_plan(brief, plan.inputs, until="trellis")

    table = row_table(changed, "metric")

    lighter = changed.trellis.holding.ends.is_lighter
    assert changed.trellis.counts.inside_ends > 0
    assert lighter.any()
    assert not lighter.all()
    for row, is_light in zip(table["rows"], lighter.tolist(), strict=True):
        if "×" in row[5]:
            assert ("180 mm" in row[5]) == is_light
    struts = sum(
        int(number) for row in table["rows"] for number in re.findall(r"(\d) strut", row[5])
    )
    assert struts == changed.trellis.counts.struts
    assert "without an anchor get a strut" in flat(written(changed, tmp_path))
