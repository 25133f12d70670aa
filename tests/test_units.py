"""Quantities: read with their units, refused when of another kind, shown in either system."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.errors import InputError
from aanplant.units import _IMPERIAL, parse_quantity, show, shown_in


@pytest.mark.parametrize(
    ("written", "unit", "expected"),
    [
        (2.5, "m", 2.5),
        ("2.75 m", "m", 2.75),
        ("9 ft", "m", 2.7432),
        ("8 ft 6 in", "m", 2.5908),
        ("0.2 in", "mm", 5.08),
        ("40 m3/h", "m3/h", 40.0),
        ("52000 m³", "m3", 52000.0),
        ("2.3 L/h", "L/h", 2.3),
        ("200 US gal/min", "m3/h", 45.42494141),
        ("3 %", "", 0.03),
        ("32 deg", "deg", 32.0),
        (" 2.5m ", "m", 2.5),
    ],
)
def test_a_quantity_is_read_in_the_unit_of_its_key(written, unit, expected):
    assert parse_quantity(written, unit, "key") == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    "written",
    [
        "3 kg",
        "",
        "m",
        "4 5",
        "3 ft 4",
        "2,5 m",
        "9**9 m",
        "1 m^99999",
        "nan m",
        "1 " + "m" * 80,
        True,
        None,
        [2],
        float("nan"),
        float("inf"),
        "inf",
        "2 parsecs per moon",
        "__import__('os')",
    ],
)
def test_what_is_no_length_is_refused_in_words(written):
    with pytest.raises(InputError, match=r"expected .*m"):
        parse_quantity(written, "m", "brief.toml: rows.headland")


@pytest.mark.published(
    source="NIST Special Publication 811 (2008), appendix B.8: foot, acre, US gallon, from memory",
    quantity="unit conversion",
    unit="SI",
)
def test_exact_conversion_factors(published):
    published.equal(
        parse_quantity("1 ft", "m", ""), printed=0.3048, tolerance=1e-12, label="foot, m"
    )
    published.equal(
        1e4 / shown_in(1.0, "ha", "imperial")[0], printed=4046.856, tolerance=5e-4, label="acre, m2"
    )
    published.equal(
        1 / shown_in(1.0, "L", "imperial")[0],
        printed=3.785412,
        tolerance=5e-7,
        label="US gallon, L",
    )


@pytest.mark.parametrize(
    ("value", "unit", "system", "expected"),
    [
        (24118, "vines", "metric", "24\u202f118 vines"),
        (7.8412, "ha", "metric", "7.841 ha"),
        (7.8412, "ha", "imperial", "19.38 acre"),
        (32.0, "deg", "metric", "32°"),
        (0.0, "m", "metric", "0 m"),
        (-1234.5, "m", "metric", "-1\u202f234 m"),
        ("unknown", "", "metric", "unknown"),
    ],
)
def test_figures_are_written_for_people(value, unit, system, expected):
    assert show(value, unit, system) == expected


@given(st.floats(min_value=1e-3, max_value=1e6))
def test_feet_written_out_come_back_as_the_same_metres(metres):
    feet, name = shown_in(metres, "m", "imperial")

    assert math.isclose(parse_quantity(f"{feet!r} {name}", "m", ""), metres, rel_tol=1e-12)


@pytest.mark.parametrize("unit", sorted(set(_IMPERIAL) - {"vines/ha"}))
def test_every_imperial_unit_is_read_back_as_the_metric_it_came_from(unit):
    """Reading goes by pint's own factors; its acre is the survey acre, 4e-6 larger."""
    name, factor = _IMPERIAL[unit]

    assert parse_quantity(f"1 {name}", unit, "") == pytest.approx(1.0 / factor, rel=1e-5)


def test_a_pressure_is_shown_in_pounds_to_the_square_inch():
    assert show(100, "kPa", "imperial") == "14.5 psi"
    assert show(100, "kPa", "metric") == "100 kPa"
