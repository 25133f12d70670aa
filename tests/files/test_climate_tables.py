"""The climate of the example block as lists that hold no number that isn't known."""

import json
from pathlib import Path

import pytest

from aanplant.files import open_block, read_inputs
from aanplant.files.climate_tables import climate_tables
from aanplant.site.climate import survey_climate
from aanplant.site.frame import Frame

EXAMPLE = Path(__file__).parents[2] / "examples" / "lowquince" / "blocks" / "kiepersol"


@pytest.fixture(scope="module")
def made():
    block = open_block(EXAMPLE)
    weather = read_inputs(block).weather
    climate = survey_climate(block.brief, weather, Frame(19.3004, -33.5988), 5.0)
    assert climate is not None
    return climate_tables(climate)


def test_every_season_of_the_example_has_a_line(made):
    years = [line["harvest_year"] for line in made["climate_years"]]

    assert len(years) >= 12
    assert years == sorted(years)
    assert all(line["degree_days_oct_apr"] for line in made["climate_years"][1:-1])


def test_what_is_not_known_is_null(made):
    text = json.dumps(made, allow_nan=False)

    assert "null" in text


def test_faults_left_in_the_example_are_listed(made):
    kinds = {line["kind"] for line in made["weather_faults"]}

    assert {"gap", "repeated", "crossed", "stuck", "radiation_high", "bridged"} <= kinds
    assert all(line["days"] > 0 and line["treatment"] for line in made["weather_faults"])


def test_protection_says_what_it_takes(made):
    water = {line["option"]: line["water_flow_m3_h_ha"] for line in made["frost_protection"]}

    assert water["overhead water"] == 35.0
    assert water["wind machine"] == 0.0
