import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest

from aanplant.layout.direction_choice import pareto
from aanplant.layout.direction_criteria import slope_criteria, wind_criteria
from aanplant.messages import word
from aanplant.report.direction_chart import direction_chart, draw_direction_chart
from aanplant.units import show_number
from tests.report import blocks


def chosen():
    return blocks.planned(blocks.rectangle(120, 90, 30), bearing="choose")


def compared():
    plan = chosen()
    return plan.layout.sweep, plan.layout.bearing_deg


def test_the_chart_marks_the_bearing_that_was_taken_with_its_figures(tmp_path):
    plan = chosen()
    sweep, bearing = plan.layout.sweep, plan.layout.bearing_deg

    draw_direction_chart(plan, tmp_path / "c.svg")
    draw_direction_chart(plan, tmp_path / "c.png")

    text = " ".join(ET.parse(tmp_path / "c.svg").getroot().itertext())  # noqa: S314 - written just now
    at = int(np.flatnonzero(sweep.bearing_deg == bearing)[0])
    assert f"{bearing:g}° taken: {show_number(int(sweep.vines[at]))}" in text
    assert show_number(int(sweep.row_ends[at])) in text
    assert (tmp_path / "c.png").read_bytes().startswith(b"\x89PNG")


def test_a_bearing_that_was_asked_for_has_no_chart(tmp_path):
    with pytest.raises(ValueError, match="asked for"):
        draw_direction_chart(blocks.tiny(), tmp_path / "c.svg")


def test_the_chart_rings_every_bearing_that_no_other_beats():
    sweep, bearing = compared()

    svg = direction_chart(sweep, bearing).svg(alone=False)

    rings = len(re.findall(r'<circle [^>]*r="0.750"', svg))
    assert rings == 5 * int(pareto(sweep).sum()) + 1


def test_curves_run_over_the_whole_half_turn():
    sweep, bearing = compared()

    svg = direction_chart(sweep, bearing).svg(alone=False)

    curves = re.findall(r'class="curve" d="([^"]+)"', svg)
    assert len(curves) == 5
    for curve in curves:
        x = [float(pair.split()[0]) for pair in curve[1:].split("L")]
        assert len(x) == len(sweep) + 1
        assert x == sorted(x)


def test_slope_and_wind_have_panels_of_their_own_where_they_were_compared():
    sweep, bearing = compared()
    plain = direction_chart(sweep, bearing)
    slopes = np.array([[0.1, 0.02], [0.08, 0.0]])
    for criterion in (
        *slope_criteria(sweep.bearing_deg, slopes),
        *wind_criteria(sweep.bearing_deg, 150.0),
    ):
        sweep = sweep.with_criterion(criterion)

    fuller = direction_chart(sweep, bearing)

    assert fuller.svg(alone=False).count('class="curve"') == 8
    assert fuller.height_mm > plain.height_mm
    assert word("bearings.wind_across") in fuller.svg(alone=False)
