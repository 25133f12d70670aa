"""What each set asks of the pump."""

import numpy as np
import pytest

from aanplant.brief.reading import parse_brief
from aanplant.water.duties import set_duties

HOUR = 3600.0
SMALLEST = '[block]\nboundary = "b"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'
CURVE = "[pump]\ncurve = [[0, 58], [10, 56.8], [20, 53.2], [30, 47.2], [40, 38.8]]\n"


def asked(flow_m3_h, head_m, text=CURVE):
    brief = parse_brief(SMALLEST + text, "brief.toml")
    return set_duties(brief, np.array(flow_m3_h) / HOUR, head_m)


@pytest.mark.published(
    source="P = rho g Q H/eta, 26.667 m3/h at 45 m, 0.70 and 0.90, worked by hand",
    quantity="power of a set without a pump curve",
    unit="kW",
)
def test_without_a_curve_a_set_pays_for_what_it_asks(published):
    found = asked([80 / 3, 20.0], [45.0, 30.0], text="")

    published.equal(found.input_kw[0], printed=5.1794, tolerance=5e-5)
    published.equal(found.kwh_per_m3[0], printed=0.1942, tolerance=5e-5, label="kWh/m3")
    assert np.isnan(found.spare_m).all()
    assert (found.worst, found.breaches) == (0, ())


def test_a_set_that_asks_for_less_pays_for_what_the_valve_takes():
    found = asked([20.0, 30.0], [40.0, 45.0])

    assert found.spare_m == pytest.approx([13.2, 2.2])
    assert found.pumped_head_m == pytest.approx([53.2, 47.2])
    assert found.worst == 1
    assert found.kwh_per_m3[0] / found.kwh_per_m3[1] == pytest.approx(53.2 / 47.2)


def test_a_set_the_pump_cannot_serve_is_named_with_what_is_missing():
    found = asked([20.0, 30.0, 45.0], [40.0, 50.0, 20.0])

    assert [(one.kind, one.row) for one in found.breaches] == [
        ("pump_head_short", 1),
        ("flow_outside_pump_curve", 2),
    ]
    short, outside = found.breaches
    assert (short.value, short.limit) == pytest.approx((50.0, 47.2))
    assert (outside.value, outside.limit, outside.unit) == (45.0, 40.0, "m3/h")
    assert found.worst == 1


def test_a_pump_without_sets_is_refused():
    with pytest.raises(ValueError, match="one set or more"):
        asked([], [])
