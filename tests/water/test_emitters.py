"""The law of a dripper beside worked cases, and how it enters the network."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.brief.reading import parse_brief
from aanplant.errors import InputError
from aanplant.tables import rows
from aanplant.water.emitters import (
    KPA_PER_M,
    LITRES_PER_HOUR,
    EmitterLaw,
    exponent_between,
    law_of,
)
from aanplant.water.network import solve

SMALLEST = '[block]\nboundary = "b"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'


def brief_with(emitter):
    return parse_brief(f"{SMALLEST}[water.emitter]\n{emitter}\n", "brief.toml")


@pytest.mark.published(
    source="x = ln(q1/q2)/ln(h1/h2), worked by hand", quantity="exponent of a dripper", unit="-"
)
def test_exponent_from_two_points(published):
    published.equal(
        exponent_between(2.00, 10, 2.40, 14.4),
        printed=0.50000,
        tolerance=5e-6,
        label="2.0, 2.4 L/h",
    )
    exponent = exponent_between(3.78, 10.55, 5.00, 21.1)
    published.equal(exponent, printed=0.40354, tolerance=5e-6, label="3.78, 5.00 L/h")
    # k is in L/h for the pressure in metres, as the case prints it.
    law = EmitterLaw(3.78, 10.55, exponent)
    published.equal(law.coefficient, printed=1.46072, tolerance=5e-6, label="k of 3.78, 5.00 L/h")


@given(st.floats(0, 1), st.floats(0.1, 100), st.floats(0.1, 100))
def test_more_pressure_never_gives_less_water(exponent, head_m, other_m):
    law = EmitterLaw(1e-6, 10.0, exponent)

    low, high = law.flow(sorted((head_m, other_m)))

    assert low <= high * (1 + 1e-12)


@given(st.floats(0.02, 1), st.floats(0.01, 100))
def test_head_and_flow_are_inverse(exponent, head_m):
    law = EmitterLaw(1e-6, 10.0, exponent)

    assert float(law.head(law.flow(head_m))) == pytest.approx(head_m)


def test_nothing_flows_at_or_below_no_pressure():
    laws = (
        EmitterLaw(1e-6, 10.0, 0.5),
        EmitterLaw(1e-6, 10.0, 0.0),
        EmitterLaw(1e-6, 10.0, 0.0, is_compensating=True, lowest_head_m=5.0, highest_head_m=30.0),
    )

    assert [law.flow([0.0, -3.0]).tolist() for law in laws] == [[0.0, 0.0]] * 3


def test_a_compensating_dripper_is_level_in_its_range_and_a_hole_outside_it():
    law = law_of(brief_with("flow = 2.3\npressure_compensating = true"))
    kpa = np.array([12.5, 50.0, 100.0, 350.0, 1400.0])

    shares = law.flow(kpa / KPA_PER_M) / law.flow_m3_s

    assert shares == pytest.approx([0.5, 1.0, 1.0, 1.0, 2.0])
    with pytest.raises(ValueError, match="keeps its flow"):
        law.head(1e-7)


@pytest.mark.parametrize(
    "emitter",
    [
        "flow = 2.3\npressure_compensating = true",
        "flow = 2.0\npressure_compensating = false",
        "flow = 2.0\npressure_compensating = true\nexponent = 0.1",
    ],
)
def test_the_network_gives_what_the_law_gives(emitter):
    law = law_of(brief_with(emitter))
    node = law.as_node
    heads_m = np.array([0.5, 2.0, 8.0, 20.0, 60.0])
    # One wide and short pipe to each dripper, so that nothing is lost on the way.
    for head_m in heads_m:
        flows = solve(
            [-1, 0],
            [0.0, 0.1],
            [1.0, 0.2],
            [0.0, 0.0],
            [0.0, node.coefficient],
            node.exponent,
            head_m,
            regulation_start_m=node.regulation_start_m,
            regulation_end_m=node.regulation_end_m,
        )

        assert flows.emitter_flow_m3_s[1] == pytest.approx(float(law.flow(head_m)), rel=1e-6)


def test_the_brief_stands_before_the_table():
    plain = law_of(brief_with('product = "turbulent 2.0"'))
    own = law_of(brief_with('product = "turbulent 2.0"\nexponent = 0.45\npassage = "0.6 mm"'))

    assert plain.exponent == 0.5
    assert plain.flow_m3_s == pytest.approx(2.0 * LITRES_PER_HOUR)
    assert not plain.is_compensating
    assert own.exponent == 0.45
    assert own.passage_m == pytest.approx(0.6e-3)


def test_two_points_give_the_exponent():
    law = law_of(
        brief_with(
            'flow = "2 L/h"\npressure = 100\npressure_compensating = false\n'
            'second_flow = "2.4 L/h"\nsecond_pressure = "144 kPa"'
        )
    )

    assert law.exponent == pytest.approx(0.5)
    assert law.head_m == pytest.approx(100.0 / 9.789, rel=1e-4)


@pytest.mark.parametrize(
    ("emitter", "told"),
    [
        ("exponent = 1.2", "between 0 and 1"),
        ("exponent = -0.1", "between 0 and 1"),
        (
            "flow = 2\npressure = 100\nsecond_flow = 5\nsecond_pressure = 200",
            r"exponent of 1.32, 0.32 outside 0 to 1; expected .* so from 2 to 4 at 200",
        ),
        (
            "flow = 2\npressure = 100\nsecond_flow = 1\nsecond_pressure = 200",
            r"exponent of -1.00, 1.00 outside 0 to 1",
        ),
        ("second_flow = 3", "second_pressure: found nothing; expected both"),
        ("pressure = 100\nsecond_flow = 3\nsecond_pressure = 100", "two pressures that differ"),
        ('product = "miracle"', "one of compensating 1.0,"),
        ("lowest_pressure = 300\nhighest_pressure = 200", "a range that ends above its start"),
        ("flow = 0", "between 0.2 and 30 L/h"),
    ],
)
def test_a_law_no_dripper_has_is_refused(emitter, told):
    with pytest.raises(InputError, match=told):
        law_of(brief_with(emitter))


def test_every_row_of_the_table_makes_a_law():
    names = [row["name"] for row in rows("emitters.csv")]

    laws = [law_of(brief_with(f'product = "{name}"')) for name in names]

    assert len(set(names)) == len(names) > 5
    assert all(0 < law.passage_m < 0.005 and 0 <= law.variation <= 0.15 for law in laws)
    assert {law.keeps_flow for law in laws} == {True, False}
    assert all(math.isfinite(law.highest_head_m) for law in laws)
