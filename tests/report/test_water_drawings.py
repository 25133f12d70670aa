"""The drip system on paper: the sheet, the map of pressures and the card for the valves."""

import dataclasses
import re
from pathlib import Path

import numpy as np
import pytest
import shapely
from pypdf import PdfReader

from aanplant.files import open_block, read_inputs
from aanplant.plan import make_plan
from aanplant.report.block_map import Tone
from aanplant.report.pressure_map import (
    BINS,
    Steps,
    draw_pressures,
    pressure_map,
    steps_of,
    stretches,
)
from aanplant.report.set_card import (
    rows_watered,
    set_card_data,
    valve_gauges,
    write_set_card,
)
from aanplant.report.water_chapters import water_chapters
from aanplant.report.water_marks import TONES, set_grounds
from aanplant.report.water_sheet import (
    draw_water,
    short_name,
    show_head,
    show_pressure,
    water_sheet,
    water_view,
)
from aanplant.units import show_number
from aanplant.water.emitters import KPA_PER_M
from aanplant.water.pipe_runs import device_codes, pipe_runs
from tests.report import blocks, watered
from tests.report.test_sheet import HOSTILE, path_of

PLANS = ("watered", "little")

EXAMPLE = Path(__file__).parents[2] / "examples" / "lowquince" / "blocks" / "kiepersol"


def words_of(svg):
    return re.findall(r"<text[^>]*>([^<]*)</text>", svg)


def length_mm(svg, name):
    """Length of all lines of a class on paper."""
    total = 0.0
    for line in path_of(svg, name).split("M")[1:]:
        xy = np.array(re.findall(r"([-\d.]+) ([-\d.]+)", line), dtype=float)
        total += float(np.hypot(*np.diff(xy, axis=0).T).sum())
    return total


@pytest.mark.parametrize("name", PLANS)
def test_pipes_are_as_long_on_paper_as_the_scale_says(name):
    plan = getattr(watered, name)()
    runs, view = pipe_runs(plan.water.system), water_view(plan)

    svg = water_sheet(plan, made=blocks.MADE).svg(alone=False)

    for kind in ("mainline", "submain", "lateral"):
        laid = sum(shapely.LineString(run.xy).length for run in runs if run.kind == kind)
        assert length_mm(svg, kind) == pytest.approx(laid * view.mm_per_m, rel=1e-3)


def test_the_sheet_names_every_set_every_valve_and_the_size_of_the_longest_run():
    plan = watered.watered()
    made = plan.water.system

    words = words_of(water_sheet(plan, made=blocks.MADE).svg(alone=False))

    valves = [
        code
        for code, kind in zip(device_codes(made), made.system.devices.kind, strict=True)
        if kind == "valve"
    ]
    longest = max((run for run in pipe_runs(made) if run.lateral < 0), key=lambda run: run.length_m)
    assert set(valves) <= set(words)
    assert {f"Set {number + 1}" for number in range(len(made.runs))} <= set(words)
    assert short_name(made.pipes[longest.pipe]) in words
    assert str(len(made.runs)) in words
    head = round(float(made.duties.head_m[made.duties.worst]), 1)
    assert any(f"at {head:g} m of head" in text for text in words)


@pytest.mark.parametrize("name", PLANS)
def test_every_vine_stands_on_the_ground_of_its_own_set_and_of_no_other(name):
    plan = getattr(watered, name)()
    made, vines = plan.water.system, plan.layout.positions.xy

    grounds = set_grounds(plan, made)

    inside = np.array([shapely.contains_xy(ground, *vines.T) for ground in grounds])
    np.testing.assert_array_equal(inside.sum(axis=0), 1)
    np.testing.assert_array_equal(inside.argmax(axis=0), made.system.vine_set)


def test_neighbouring_sets_are_told_apart_without_colour():
    looks = [(tone.tint, tone.hatch_deg, tone.apart_mm) for tone in TONES]

    assert len(set(looks)) == len(TONES)
    for one, other in zip(TONES, (*TONES[1:], TONES[0]), strict=True):
        assert isinstance(one, Tone)
        assert one.hatch_deg != other.hatch_deg


@pytest.mark.parametrize("name", PLANS)
def test_a_step_of_pressure_holds_what_its_bounds_say(name):
    made = getattr(watered, name)().water.system
    pressure = made.pressure_m[made.system.is_emitter] * KPA_PER_M

    steps = steps_of(made)

    which = steps.of(pressure)
    assert 1 <= len(steps.bounds_kpa) - 1 <= BINS
    assert (pressure >= steps.bounds_kpa[which] - 1e-9).all()
    assert (pressure <= steps.bounds_kpa[which + 1] + 1e-9).all()


def test_a_pressure_on_a_bound_belongs_to_the_step_above():
    steps = Steps(np.array([50.0, 100.0, 150.0]))

    assert steps.of(np.array([50.0, 99.0, 100.0, 150.0])).tolist() == [0, 0, 1, 1]


def test_stretches_of_one_pressure_cover_each_dripper_line_once():
    made = watered.watered().water.system
    step = steps_of(made).of(made.pressure_m * KPA_PER_M)

    lines = stretches(made, step)

    laterals = made.system.laterals
    own = [
        shapely.LineString(
            np.vstack([made.system.xy[inlet], made.system.xy[first : first + count]])
        ).length
        for inlet, first, count in zip(
            laterals.inlet.tolist(),
            laterals.first.tolist(),
            laterals.emitters.tolist(),
            strict=True,
        )
    ]
    drawn = sum(shapely.LineString(xy).length for _, xy in lines)
    assert drawn == pytest.approx(sum(own), rel=1e-9)
    assert {number for number, _ in lines} == set(step[made.system.is_emitter].tolist())


def test_darker_means_less_pressure_also_in_grey():
    made = watered.watered().water.system
    plan = watered.watered()

    svg = pressure_map(plan, made=blocks.MADE).svg(alone=False)

    drawn = re.findall(r'class="pressure"[^>]*stroke="#(\w{6})" stroke-width="([\d.]+)"', svg)
    grey = [
        0.299 * int(colour[:2], 16) + 0.587 * int(colour[2:4], 16) + 0.114 * int(colour[4:], 16)
        for colour, _ in drawn
    ]
    widths = [float(width) for _, width in drawn]
    assert len(drawn) == len(
        np.unique(steps_of(made).of(made.pressure_m[made.system.is_emitter] * KPA_PER_M))
    )
    assert grey == sorted(grey)
    assert widths == sorted(widths, reverse=True)


def test_the_map_names_the_row_of_the_weakest_dripper():
    plan = watered.watered()
    made = plan.water.system
    worst = int(made.runs.least_node[made.runs.least_m.argmin()])

    words = words_of(pressure_map(plan, made=blocks.MADE).svg(alone=False))

    kpa = round(float(made.pressure_m[worst]) * KPA_PER_M)
    assert f"row {made.row_of(worst)[0]}: {kpa} kPa" in words


def test_the_card_names_every_row_of_every_set_once():
    plan = watered.watered()
    made, laterals, rows = plan.water.system, plan.water.system.system.laterals, plan.layout.rows

    told = [rows_watered(plan, made, number) for number in range(len(made.runs))]

    parts = {(int(rows.row[piece]), int(rows.part[piece])) for piece in laterals.piece.tolist()}
    found = []
    for text in told:
        for item in text.split(", "):
            numbers, _, part = item.partition(" part ")
            first, _, last = numbers.partition(" to ")
            for row in range(int(first), int(last or first) + 1):
                found += [
                    one for one in parts if one[0] == row and (not part or one[1] == int(part))
                ]
    assert sorted(found) == sorted(parts)


def test_the_card_tells_the_pressure_behind_each_valve():
    plan = watered.watered()
    made = plan.water.system

    gauges = [valve_gauges(made, number) for number in range(len(made.runs))]

    assert [len(gauge) for gauge in gauges] == np.bincount(made.system.submains.set_of).tolist()
    for number, gauge in enumerate(gauges):
        least = min(pressure for _, pressure in gauge)
        assert least == pytest.approx(float(made.runs.valve_m[number]) * KPA_PER_M)


def test_the_card_speaks_of_chemicals_only_where_they_are_injected():
    plan = watered.watered()
    works = plan.brief.head_works.model_copy(update={"injects": False})
    plain = make_plan(
        plan.brief.model_copy(update={"head_works": works}), plan.inputs, until="water"
    )

    with_them, without = (
        set_card_data(made, made=blocks.MADE, system="metric") for made in (plan, plain)
    )

    said = [text for text in with_them["cautions"] if text.startswith("Chemicals")]
    assert len(said) == int(plan.brief.head_works.injects)
    assert not [text for text in without["cautions"] if text.startswith("Chemicals")]


def test_where_a_canal_brings_water_by_turns_the_card_promises_no_hours_of_the_day():
    block = open_block(EXAMPLE)
    watering = block.brief.watering.model_copy(update={"turn_every": 7, "turn_hours": 168.0})
    storage = block.brief.water.model_copy(update={"storage": 0.0})
    changed = block.brief.model_copy(update={"watering": watering, "water": storage})
    plan = make_plan(changed, read_inputs(block), until="water")

    card = set_card_data(plan, made=blocks.MADE, system="metric")

    assert {line[-1] for line in card["sets"]} == {""}
    hours = show_number(round(7 * plan.water.running.hours_each, 1))
    assert f"each set needs {hours} h in every turn" in card["notes"][1]


@pytest.mark.parametrize("system", ["metric", "imperial"])
def test_all_three_papers_are_written_and_can_be_opened(system, tmp_path):
    plan = watered.watered()

    draw_water(plan, tmp_path / "water.pdf", made=blocks.MADE, system=system)
    draw_water(plan, tmp_path / "water.svg", made=blocks.MADE, system=system)
    draw_pressures(plan, tmp_path / "pressures.svg", made=blocks.MADE, system=system)
    write_set_card(plan, tmp_path / "set-card.pdf", made=blocks.MADE, system=system)

    card = PdfReader(tmp_path / "set-card.pdf")
    text = card.pages[0].extract_text()
    assert len(PdfReader(tmp_path / "water.pdf").pages) == 1
    assert "Kiepersol" in text
    assert "V1" in text
    assert ("US gal/min" in text) == (system == "imperial")
    svg = (tmp_path / "pressures.svg").read_text(encoding="utf-8")
    assert ("US gal/min" in svg) == (system == "imperial")


@pytest.mark.parametrize("name", HOSTILE)
def test_what_a_person_wrote_is_only_ever_text(name, tmp_path):
    plan = watered.little()
    plan = dataclasses.replace(plan, inputs=dataclasses.replace(plan.inputs, estate=name))

    write_set_card(plan, tmp_path / "set-card.pdf", made=blocks.MADE)
    svg = water_sheet(plan, made=blocks.MADE).svg(alone=True)

    assert len(PdfReader(tmp_path / "set-card.pdf").pages) >= 1
    assert "<script" not in svg


def test_a_plan_without_a_source_has_no_system_to_draw():
    brief, inputs = watered.little().brief, watered.little().inputs
    plan = make_plan(brief, dataclasses.replace(inputs, water_source=None), until="water")

    with pytest.raises(ValueError, match="without a source of water"):
        water_sheet(plan, made=blocks.MADE)


@pytest.mark.parametrize(
    ("system", "feet", "psi"), [("metric", 1.0, 1.0), ("imperial", 3.28084, 0.1450377)]
)
def test_card_sheet_and_report_write_one_head_and_one_pressure(system, feet, psi):
    plan = watered.watered()
    made = plan.water.system
    worst = made.duties.worst

    head = show_head(float(made.duties.head_m[worst]), system)
    cells = [
        cell
        for chapter in water_chapters(plan, blocks.MADE, system)
        for table in chapter.tables
        for row in table.rows
        for cell in row
    ]

    assert float(head.split()[0]) == round(float(made.duties.head_m[worst]) * feet, 1)
    assert head in cells
    assert any(
        head in text
        for text in words_of(water_sheet(plan, made=blocks.MADE, system=system).svg(alone=False))
    )
    least = show_pressure(float(made.runs.least_m[worst]), system)
    kpa = float(made.runs.least_m[worst]) * KPA_PER_M
    assert float(least.split()[0]) == round(kpa * psi, 0 if system == "metric" else 1)
    assert any(least in cell for cell in cells)
