"""The water of the vines in a plan: figures that reproduce, advice that says by how much."""

import dataclasses
from pathlib import Path

import numpy as np
import pytest

from aanplant import messages
from aanplant.brief import Brief
from aanplant.files import open_block, read_inputs
from aanplant.files.water_lines import water_tables
from aanplant.plan import make_plan
from aanplant.water.water_use import along_rows_m, survey_water_use, zone_of_vines

EXAMPLE = Path(__file__).parents[2] / "examples" / "lowquince" / "blocks" / "kiepersol"


@pytest.fixture(scope="module")
def block():
    return open_block(EXAMPLE)


@pytest.fixture(scope="module")
def laid(block):
    return make_plan(block.brief, read_inputs(block), until="layout")


def asked(laid, **sections):
    """Survey the water of the example with other keys in its brief."""
    data = laid.brief.model_dump(exclude_unset=True)
    for name, keys in sections.items():
        data[name] = {**data.get(name, {}), **keys}
    brief = Brief.model_validate(data)
    return survey_water_use(brief, laid.site, laid.stock, laid.layout)


def told(use, message):
    return [one for one in use.findings if one.message == message]


def figure(use, key):
    return next(one for one in use.figures if one.key == key)


def numbers(working):
    return {item.name: item.value for item in working.inputs}


@pytest.fixture(scope="module")
def use(laid):
    return asked(laid)


def test_every_arithmetic_figure_follows_from_what_it_lists(use):
    flow = numbers(figure(use, "water.vine_flow"))
    expected = flow["flow"] * flow["vine_spacing"] / flow["dripper_spacing"]
    assert figure(use, "water.vine_flow").value == pytest.approx(expected)
    for age in range(1, use.needs.demand.ages + 1):
        vine = figure(use, f"water.peak_vine.year_{age}")
        given = numbers(vine)
        litres = 1000.0 * given["peak_block"] * (1.0 - given["losses"]) / given["vines"]
        assert vine.value == pytest.approx(litres)
        hours = figure(use, f"water.set_hours.year_{age}")
        given = numbers(hours)
        assert hours.value == pytest.approx(given["peak_vine"] / given["vine_flow"])
        drunk = figure(use, f"water.peak_drunk.year_{age}")
        given = numbers(drunk)
        by_hand = given["peak"] * given["row_width"] * given["vine_spacing"]
        assert drunk.value == pytest.approx(by_hand)
        block = figure(use, f"water.peak_hours.year_{age}")
        given = numbers(block)
        assert block.value == pytest.approx(given["peak_block"] / given["flow_available"])
    first = numbers(figure(use, "water.first_season"))
    assert figure(use, "water.first_season").value == pytest.approx(
        first["planting"] + first["watering"]
    )
    drawn = numbers(figure(use, "water.first_season_drawn"))
    assert figure(use, "water.first_season_drawn").value == pytest.approx(
        drawn["first_season"] / (1.0 - drawn["losses"])
    )


def test_a_vine_gets_more_at_its_drippers_than_it_drinks(use):
    drunk = use.needs.demand.litres_per_vine(use.needs.peak_mm)

    assert (use.needs.peak_litres > drunk).all()


def test_every_sentence_has_all_its_values(laid):
    dry = asked(
        laid,
        water={"water_right": 9000.0, "flow_available": 8.0, "committed": 1000.0},
        demand={"water_held": 90.0},
        water_analysis={
            "conductivity": 2.6, "sodium": 300.0, "calcium": 40.0, "magnesium": 20.0,
            "iron": 6.0, "ph": 8.4,
        },
        head_works={"source_kind": "municipal"},
    )  # fmt: skip

    texts = [messages.sentence(one) for one in dry.findings]

    assert len(texts) > 10
    assert not [text for text in texts if "{" in text or "nan" in text]


def test_a_right_too_small_stops_and_says_what_area_it_carries(laid):
    use = asked(laid, water={"water_right": 10000.0})

    (found,) = told(use, "water.right_short")

    assert found.level == "stop"
    needed, there, short = (found.values[name][0] for name in ("needed", "there", "short"))
    assert short == pytest.approx(needed - there, abs=1.0)
    carried, planted = found.values["area"][0], found.values["planted"][0]
    assert carried == pytest.approx(planted * there / needed, abs=0.02)


def test_the_area_that_a_right_carries_is_enough(laid):
    use = asked(laid, water={"water_right": 10000.0})
    (found,) = told(use, "water.right_short")
    share = found.values["area"][0] / found.values["planted"][0]

    need = use.needs.right.inside_m3.max() * share

    assert need <= use.needs.right.left_m3 * 1.001


@pytest.mark.parametrize(
    ("water", "message"),
    [
        ({"water_right": 0.0}, "water.no_right"),
        ({"water_right": 9000.0, "committed": 9000.0}, "water.right_taken"),
        ({"right_months": "Jun-Oct"}, "water.outside_months"),
        ({"flow_available": 12.0}, "water.flow_short_hours"),
        ({"flow_available": 5.0}, "water.flow_short"),
    ],
)
def test_each_shortage_stops(laid, water, message):
    use = asked(laid, water=water)

    assert [one.level for one in told(use, message)] == ["stop"]


def test_a_canal_without_a_store_stops(laid):
    use = asked(laid, watering={"turn_every": 14, "turn_hours": 60.0})

    assert told(use, "water.store_short")
    assert figure(use, "water.turn_store.year_1").value > 0.0


def test_a_supply_that_suffices_is_said_to(use):
    assert told(use, "water.right_enough_decade") or told(use, "water.right_enough")


def test_planting_before_the_right_begins_needs_a_store(laid):
    assert told(asked(laid, first_season={"planted": "08-01"}), "water.first_outside_months")
    assert not told(asked(laid, first_season={"planted": "09-05"}), "water.first_outside_months")


def test_by_tanker_there_are_trips_and_no_hours_of_drippers(laid):
    use = asked(laid, first_season={"by": "tanker"})

    assert told(use, "water.first_by_tanker")
    assert not told(use, "water.first_by_dripper")
    given = numbers(figure(use, "water.planting_trips"))
    trips = np.ceil(given["vines"] * given["at_planting"] / given["tanker"])
    assert figure(use, "water.planting_trips").value == trips
    lines = water_tables(use.needs)["water_weeks"]
    assert all(line["hours_each"] is None for line in lines)


def test_without_weather_it_says_what_is_missing_and_still_judges_the_water(laid):
    site = dataclasses.replace(laid.site, climate=None)

    use = survey_water_use(laid.brief, site, laid.stock, laid.layout)

    assert use.needs is None
    assert [one.level for one in told(use, "water.no_weather")] == ["care"]
    assert use.wetting


def test_without_pits_one_soil_is_assumed_and_said_to_be(laid):
    site = dataclasses.replace(laid.site, soil=None)

    use = survey_water_use(laid.brief, site, laid.stock, laid.layout)

    assert len(use.needs.soils) == len(use.wetting) == 1
    assert told(use, "water.soil_assumed")


def test_drippers_that_creep_out_of_reach_on_sand_are_a_care(laid):
    use = asked(
        laid, wetting={"texture": "coarse"}, dripper_line={"root_ball": 0.02},
        water={"emitter": {"flow": 1.6, "spacing": 1.2}},
    )  # fmt: skip

    (found,) = told(use, "water.drippers_creep_on_sand")

    assert found.level == "care"
    assert found.place is not None
    tied = asked(
        laid, wetting={"texture": "coarse"},
        dripper_line={"root_ball": 0.02, "held_every": found.values["tie"][0] - 0.1},
        water={"emitter": {"flow": 1.6, "spacing": 1.2}},
    )  # fmt: skip
    assert not told(tied, "water.drippers_creep_on_sand")


def test_vines_are_counted_along_their_rows(laid):
    positions = laid.layout.positions

    along = along_rows_m(positions, laid.stock.vine_spacing_m, laid.brief.rows.end_gap)

    assert along.min() == pytest.approx(laid.brief.rows.end_gap)
    assert (along <= positions.row_length_m[positions.piece] + 1e-6).all()


def test_every_vine_stands_in_a_zone(laid):
    zones = laid.site.soil.zones

    found = zone_of_vines(laid.layout.positions.xy, zones)

    assert set(found.tolist()) <= set(range(len(zones)))
    assert len(set(found.tolist())) > 1
    assert zone_of_vines(laid.layout.positions.xy, ()).max() == 0


def test_the_lists_hold_every_age_and_every_week_of_every_zone(use):
    tables = water_tables(use.needs)

    assert [line["age"] for line in tables["water_by_age"]] == [1, 2, 3, 4]
    weeks = tables["water_weeks"]
    assert len(weeks) == use.needs.first.litres.size
    season = tables["water_by_age"][-1]
    assert season["season_m3_10"] <= season["season_m3_50"] <= season["season_m3_90"]
