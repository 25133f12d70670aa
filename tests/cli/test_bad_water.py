"""Water that cannot serve, as a user meets it: what is refused, what stops, and what mends it."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.small_estate import PLAIN, REGULATING, small_estate

COMMAND = Path(sys.executable).with_name("aanplant")


def plan(block):
    done = subprocess.run(
        [COMMAND, "plan", str(block), "--json"],
        capture_output=True, text=True, check=False, env={**os.environ, "COLUMNS": "100"},
    )  # fmt: skip
    assert done.returncode in {0, 1, 2}, done.stderr
    return done


def refused(block):
    """The one line of a refusal; nothing may have been written."""
    done = plan(block)
    assert done.returncode == 2, done.stderr
    assert not (block.parents[1] / "plans").exists()
    assert "; expected " in done.stderr
    return " ".join(done.stderr.split())


def stops(block):
    """Messages of the findings that stop, with their values; the plan is written all the same."""
    done = plan(block)
    found = {
        one["message"]: one for one in json.loads(done.stdout)["findings"] if one["level"] == "stop"
    }
    assert done.returncode == (1 if found else 0), done.stderr
    assert (block.parents[1] / "plans/plot/plan.json").is_file()
    return found


def value(finding, name):
    """The number of a value as it is shown."""
    shown = finding["values"][name]
    return shown["value"] if isinstance(shown, dict) else shown


BAD = {
    "no source height": (
        {"pump_xy": (-30.0, -3000.0), "pump_height": False},
        "pump.geojson",
        "without a height",
        '"height"',
    ),
    "lateral without bore": (
        {"sections": "[pipes]\nlateral_bore = 0"},
        "pipes.lateral_bore",
        "0",
        "between 8 and 40 mm",
    ),
    "exponent above 1": (
        {"emitter": PLAIN.replace("exponent = 0.5", "exponent = 1.2")},
        "water.emitter.exponent",
        "1.2",
        "between 0 and 1",
    ),
    "exponent below 0": (
        {"emitter": PLAIN.replace("exponent = 0.5", "exponent = -0.1")},
        "water.emitter.exponent",
        "-0.1",
        "between 0 and 1",
    ),
    "exponent of two points above 1": (
        {
            "emitter": PLAIN.replace(
                "exponent = 0.5", 'second_flow = "6 L/h", second_pressure = "120 kPa"'
            )
        },
        "brief.toml: water.emitter.second_flow",
        "exponent of 5.42",
        "from 2 to 2.44898 at 120",
    ),
    "source without water": ({"flow": "0 m3/h"}, "water.flow_available", "0 m3/h", "0.05"),
    "pump whose head rises": (
        {"sections": "[pump]\ncurve = [[0, 20], [5, 30]]"},
        "pump.curve",
        "30",
        "",
    ),
}


@pytest.mark.parametrize("name", BAD)
def test_water_that_makes_no_sense_is_refused_by_its_key_and_nothing_is_written(tmp_path, name):
    changes, where, found, expected = BAD[name]

    line = refused(small_estate(tmp_path / "farm", **changes))

    assert where in line
    assert found in line.partition("found")[2].partition("; expected")[0]
    assert expected in line.partition("; expected")[2]


def test_a_source_weaker_than_one_row_is_refused_and_the_rows_it_names_are_short_enough(tmp_path):
    weak = small_estate(tmp_path / "weak", flow="0.12 m3/h")

    line = refused(weak)

    longest = re.search(r"rows\.longest of at most (\d+) m", line)
    flow = re.search(r"at least ([\d.]+) m3/h", line)
    assert longest
    assert flow
    short = small_estate(tmp_path / "short", flow="0.12 m3/h")
    _change(short, 'headland = "4 m"', f'headland = "4 m"\nlongest = "{longest[1]} m"')
    enough = small_estate(tmp_path / "enough", flow=f"{flow[1]} m3/h")
    for mended in (short, enough):
        assert "system.set_above_supply" not in stops(mended)


def test_a_lateral_too_narrow_is_refused_and_both_changes_it_names_work(tmp_path):
    narrow = "[pipes]\nlateral_bore = 8"

    line = refused(small_estate(tmp_path / "narrow", emitter=PLAIN, sections=narrow))

    assert "brief.toml: pipes.lateral_bore" in line
    bore = re.search(r"a bore of at least ([\d.]+) mm", line)
    longest = re.search(r"rows\.longest of at most (\d+) m", line)
    assert bore
    assert longest
    wider = small_estate(
        tmp_path / "wider", emitter=PLAIN, sections=f"[pipes]\nlateral_bore = {bore[1]}"
    )
    short = small_estate(tmp_path / "short", emitter=PLAIN, sections=narrow)
    _change(short, 'headland = "4 m"', f'headland = "4 m"\nlongest = "{longest[1]} m"')
    for mended in (wider, short):
        assert not stops(mended)


def test_a_pump_that_never_meets_the_system_stops_and_the_head_it_lacks_is_enough(tmp_path):
    curve = [[0, 12], [1, 11], [2, 9]]
    weak = small_estate(tmp_path / "weak", sections=f"[pump]\ncurve = {curve}")

    found = stops(weak)

    short = value(found["system.pump_short"], "short")
    assert short > 0.0
    better = [[flow, head + short] for flow, head in curve]
    mended = small_estate(tmp_path / "better", sections=f"[pump]\ncurve = {better}")
    assert not stops(mended)


def test_a_pump_short_of_head_for_its_sets_stops_and_the_smaller_sets_it_names_work(tmp_path):
    falling = "[pump]\ncurve = [[0, 24], [0.5, 22], [2, 9]]"

    found = stops(small_estate(tmp_path / "large", sections=falling))

    flow = value(found["system.pump_short_sets"], "serves")
    mended = small_estate(tmp_path / "small", sections=f"{falling}\n\n[sets]\nflow = {flow}")
    assert not stops(mended)


def test_a_pump_whose_curve_ends_too_soon_stops_and_the_smaller_sets_it_names_work(tmp_path):
    little = "[pump]\ncurve = [[0, 40], [0.8, 30]]"

    found = stops(small_estate(tmp_path / "large", sections=little))

    stop = found["system.pump_too_small_sets"]
    assert value(stop, "over") == pytest.approx(value(stop, "value") - 0.8)
    flow = value(stop, "serves")
    mended = small_estate(tmp_path / "small", sections=f"{little}\n\n[sets]\nflow = {flow}")
    assert not stops(mended)


def test_a_water_right_of_zero_stops_and_the_right_it_names_is_enough(tmp_path):
    found = stops(small_estate(tmp_path / "none", right="0 m3"))

    needed = value(found["water.no_right"], "needed")
    assert needed > 0.0
    mended = small_estate(tmp_path / "some", right=f"{needed} m3")
    assert not stops(mended)


@pytest.mark.parametrize("asked", ["number = 1", 'flow = "5 m3/h"'])
def test_sets_above_the_supply_stop_and_the_number_of_sets_named_works(tmp_path, asked):
    found = stops(small_estate(tmp_path / "large", sections=f"[sets]\n{asked}"))

    stop = found["system.set_above_supply"]
    assert value(stop, "over") == pytest.approx(value(stop, "flow") - 2.0)
    works = value(stop, "works")
    mended = small_estate(tmp_path / "small", sections=f"[sets]\n{asked}")
    text = f"number = {works}"
    _change(mended, asked, text if asked.startswith("number") else f"{asked}\n{text}")
    assert not stops(mended)


def test_a_pump_that_falls_short_is_not_said_to_give_what_is_asked(tmp_path):
    weak = small_estate(tmp_path / "weak", sections="[pump]\ncurve = [[0, 12], [2, 9]]")

    done = subprocess.run(
        [COMMAND, "plan", str(weak)], capture_output=True, text=True, check=False,
    )  # fmt: skip

    assert "the pump must give" in done.stdout
    assert "the pump gives" not in done.stdout


def test_a_catalogue_dripper_of_more_flow_is_counted_in_the_sets(tmp_path):
    named = REGULATING.replace('flow = "2 L/h"', 'product = "compensating 3.5"')
    block = small_estate(tmp_path / "farm", emitter=named)

    figures = {one["key"]: one["value"] for one in json.loads(plan(block).stdout)["figures"]}

    assert figures["water.set_flow"] <= 2.0
    assert figures["water.sets"] >= figures["water.system_drippers"] * 3.5 / 1000.0 / 2.0


def _change(block, old, new):
    brief = block / "brief.toml"
    text = brief.read_text()
    assert old in text
    brief.write_text(text.replace(old, new))
