"""The chart of spare vines marks what was ordered and what risks least."""

import xml.etree.ElementTree as ET

from aanplant.report.spares_chart import draw_spares_chart
from aanplant.units import show_number
from tests.files.plans import planned


def test_the_chart_names_the_spares_ordered(tmp_path):
    plan = planned()

    draw_spares_chart(plan, tmp_path / "s.svg")

    text = " ".join(ET.parse(tmp_path / "s.svg").getroot().itertext())  # noqa: S314 - written just now
    assert f"{show_number(plan.work.spares.spares)} by the assurance asked" in text
