"""The day sheets of planting: a page a day, with all that the day needs and nothing cut off."""

import re

import pytest
from pypdf import PdfReader

from aanplant.files import open_block, read_inputs
from aanplant.plan import make_plan
from aanplant.report.day_sheets import rows_text, write_day_sheets
from aanplant.speech import speaking
from tests.report import blocks
from tests.report.test_cards import EXAMPLE
from tests.report.test_sheet import HOSTILE


@pytest.fixture(scope="module")
def plan():
    block = open_block(EXAMPLE)
    return make_plan(block.brief, read_inputs(block))


def changed(plan, **sections):
    parts = {
        name: getattr(plan.brief, name).model_copy(update=update)
        for name, update in sections.items()
    }
    return make_plan(plan.brief.model_copy(update=parts), plan.inputs, earlier=plan)


def pages_of(plan, tmp_path, **options):
    path = tmp_path / "day-sheets.pdf"
    write_day_sheets(plan, path, made=blocks.MADE, **options)
    return [
        re.sub(r"\s+", " ", page.extract_text().replace("\u202f", " "))
        for page in PdfReader(path).pages
    ]


def test_every_day_has_one_page_with_its_numbers(plan, tmp_path):
    pages = pages_of(plan, tmp_path)

    assert len(pages) == len(plan.planting.days)
    for page, day in zip(pages, plan.planting.days, strict=True):
        assert f"day {day.number} of {len(pages)}" in page
        assert f"{day.vines} vines" in page
        for part in day.parts:
            assert f"Lot {part.lot}, delivery {part.delivery}: {part.vines} vines" in page
        for one in day.stretches:
            assert f"{one.row} {one.first} – {one.last} {one.vines}" in page
    (soak,) = plan.planting.days[0].soaks
    evening = f"{soak.start:%A} {soak.start.day} {soak.start:%b %Y}, 16:00"
    assert f"{evening}: put {soak.vines} vines into water" in pages[0]


def test_a_tankers_loads_are_boxes_to_strike_off(plan, tmp_path):
    tanked = changed(plan, first_season={"by": "tanker", "tanker": 1000.0})
    page = pages_of(tanked, tmp_path)[0]

    trips = tanked.planting.days[0].tanker_trips
    assert trips == -(-tanked.planting.days[0].vines * 5 // 1000)
    assert "Strike off each load: " + " ".join(str(load) for load in range(1, trips + 1)) in page


def test_the_sheets_speak_imperial_and_afrikaans(plan, tmp_path):
    page = pages_of(plan, tmp_path, system="imperial")[0]
    assert "m³" not in page
    assert "US gal" in page

    with speaking("af"):
        page = pages_of(plan, tmp_path)[0]
    assert "Maandag" in page
    assert "In hierdie volgorde" in page
    assert "vines" not in page


def test_many_short_rows_run_on_to_a_second_page_without_loss(plan, tmp_path):
    fast = changed(plan, nursery={"planting_rate": 9000}, work={"crew": 30})
    text = " ".join(pages_of(fast, tmp_path))

    for day in fast.planting.days:
        for one in day.stretches:
            assert f"{one.row} {one.first} – {one.last}" in text


def test_rows_are_named_as_ranges_and_parts_by_their_vines(plan):
    places = plan.planting.places
    first, last = 0, int((places.row <= 3).sum())

    assert rows_text(plan, places.named(first, last)) == "1 – 3"
    assert rows_text(plan, places.named(first, last - 1)).startswith("1 – 2, 3 (vines 1 – ")
    assert rows_text(plan, ()) == ""


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_is_only_ever_text(plan, name, tmp_path):
    lots = (plan.brief.nursery.lots[0].model_copy(update={"id": name, "vines": 20000}),)
    hostile = changed(plan, nursery={"lots": lots})

    assert len(pages_of(hostile, tmp_path)) == len(hostile.planting.days)
