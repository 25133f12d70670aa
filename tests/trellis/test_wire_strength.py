"""What wires hold beside printed numbers; strength hangs on diameter and grade together."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant import tables
from aanplant.trellis.wire_strength import (
    STEEL_EXPANSION_PER_K,
    area_mm2,
    axial_stiffness_n,
    break_load_n,
    coil_length_m,
    default_tension_n,
    is_known_grade,
    mass_g_per_m,
    tension_limit_n,
    usual_tension_n,
)

# d mm: area mm2, mass g/m, m in 25 kg, m in 50 kg, F at 1050, 1200, 400 and 600 MPa N, EA kN, N/K
WIRES = {
    2.00: (3.142, 24.66, 1014, 2027, 3299, 3770, 1257, 1885, 628.3, 7.54),
    2.24: (3.941, 30.94, 808, 1616, 4138, 4729, 1576, 2364, 788.2, 9.46),
    2.50: (4.909, 38.53, 649, 1298, 5154, 5890, 1963, 2945, 981.7, 11.78),
    2.80: (6.158, 48.34, 517, 1034, 6465, 7389, 2463, 3695, 1231.5, 14.78),
    3.15: (7.793, 61.18, 409, 817, 8183, 9352, 3117, 4676, 1558.6, 18.70),
    4.00: (12.566, 98.65, 253, 507, 13195, 15080, 5027, 7540, 2513.3, 30.16),
}
RECKONED = "A = pi d2 / 4, steel 7.85 g/cm3, E 200 GPa and 12e-6 /K from memory, reckoned apart"
POUND_N = 4.44822


@pytest.mark.published(source=RECKONED, quantity="area of a wire", unit="mm2")
def test_areas(published):
    for diameter_mm, row in WIRES.items():
        published.equal(
            area_mm2(diameter_mm), printed=row[0], tolerance=0.0005, label=f"{diameter_mm} mm"
        )


@pytest.mark.published(source=RECKONED, quantity="mass of a wire", unit="g/m")
def test_masses(published):
    for diameter_mm, row in WIRES.items():
        published.equal(
            mass_g_per_m(diameter_mm), printed=row[1], tolerance=0.005, label=f"{diameter_mm} mm"
        )


@pytest.mark.published(source=RECKONED, quantity="length of a coil", unit="m")
def test_coils(published):
    for diameter_mm, row in WIRES.items():
        for coil_kg, printed in zip((25, 50), row[2:4], strict=True):
            published.equal(
                coil_length_m(diameter_mm, coil_kg),
                printed=printed,
                tolerance=0.5,
                label=f"{diameter_mm} mm, {coil_kg} kg",
            )


@pytest.mark.published(
    source="New Zealand newspaper advertisement of 1980, coils of 25 kg",
    quantity="length of a coil of 25 kg",
    unit="m",
)
def test_coils_as_they_were_sold(published):
    # A coil is sold by its mass: a thousandth of its length is within the tolerance of the wire.
    published.equal(coil_length_m(2.5, 25), printed=648, tolerance=0.65 + 0.5, label="2.50 mm")
    published.equal(coil_length_m(4.0, 25), printed=253, tolerance=0.5, label="4.00 mm")


@pytest.mark.published(source=RECKONED, quantity="break load of a wire", unit="N")
def test_break_loads(published):
    for diameter_mm, row in WIRES.items():
        for strength_mpa, printed in zip((1050, 1200, 400, 600), row[4:8], strict=True):
            published.equal(
                area_mm2(diameter_mm) * strength_mpa,
                printed=printed,
                tolerance=0.5,
                label=f"{diameter_mm} mm, {strength_mpa} MPa",
            )
        published.equal(
            break_load_n(diameter_mm, "mild"),
            printed=row[6],
            tolerance=0.5,
            label=f"{diameter_mm} mm, mild",
        )
    for diameter_mm in (2.00, 2.24):
        published.equal(
            break_load_n(diameter_mm, "high strain"),
            printed=WIRES[diameter_mm][4],
            tolerance=0.5,
            label=f"{diameter_mm} mm, high strain",
        )


@pytest.mark.published(
    source="US fence supplier's article: 12.5 gauge high-tensile wire breaks at 1100 to 1500 lb",
    quantity="break load of 2.51 mm high-strain wire, weak end",
    unit="lb",
)
def test_thick_high_strain_wire_is_taken_at_the_weak_end_of_what_is_sold(published):
    published.equal(
        break_load_n(2.51, "high strain") / POUND_N, printed=1100, tolerance=5, label="12.5 gauge"
    )


@pytest.mark.published(source=RECKONED, quantity="axial stiffness of a wire", unit="kN")
def test_stiffness(published):
    for diameter_mm, row in WIRES.items():
        published.equal(
            axial_stiffness_n(diameter_mm) / 1e3,
            printed=row[8],
            tolerance=0.05,
            label=f"{diameter_mm} mm",
        )


@pytest.mark.published(source=RECKONED, quantity="pull lost for each kelvin of heat", unit="N/K")
def test_pull_lost_to_heat(published):
    for diameter_mm, row in WIRES.items():
        published.equal(
            axial_stiffness_n(diameter_mm) * STEEL_EXPANSION_PER_K,
            printed=row[9],
            tolerance=0.005,
            label=f"{diameter_mm} mm",
        )


@pytest.mark.parametrize("grade", ["", "stainless", "High Strain", "mildd"])
@pytest.mark.parametrize("diameter_mm", [2.0, 2.5, 4.0])
def test_an_unknown_grade_counts_as_the_weakest(grade, diameter_mm):
    assert not is_known_grade(diameter_mm, grade)
    assert break_load_n(diameter_mm, grade) == break_load_n(diameter_mm, "mild")
    assert tension_limit_n(diameter_mm, grade) == tension_limit_n(diameter_mm, "mild")


def test_a_grade_at_a_diameter_nobody_sells_counts_as_the_weakest():
    assert not is_known_grade(5.0, "high strain")
    assert break_load_n(5.0, "high strain") == break_load_n(5.0, "mild")


def test_the_usual_pull_of_a_cordon_wire_is_too_much_for_mild_wire_and_is_lowered():
    usual_n = usual_tension_n("cordon")
    limit_n = tension_limit_n(2.5, "mild")

    assert limit_n == pytest.approx(break_load_n(2.5, "mild") / 3.0)
    assert usual_n > limit_n
    assert default_tension_n("cordon", 2.5, "mild") == limit_n


def test_high_strain_wire_bears_the_usual_pull():
    limit_n = tension_limit_n(2.24, "high strain")

    assert limit_n == pytest.approx(break_load_n(2.24, "high strain") / 2.0)
    assert default_tension_n("foliage", 2.24, "high strain") == usual_tension_n("foliage")


@given(
    st.sampled_from(["cordon", "fruit", "support", "foliage"]),
    st.floats(1.0, 6.0),
    st.sampled_from(["mild", "high strain", "unknown"]),
)
def test_a_default_pull_never_breaks_its_own_limit(role, diameter_mm, grade):
    pull_n = default_tension_n(role, diameter_mm, grade)

    assert 0.0 < pull_n <= tension_limit_n(diameter_mm, grade)


@pytest.mark.parametrize("diameter_mm", [0.0, -2.5, float("nan")])
def test_a_wire_without_thickness_is_refused(diameter_mm):
    with pytest.raises(ValueError, match="diameter_mm"):
        break_load_n(diameter_mm, "mild")


def test_the_tables_of_wire_hold_ranges():
    for row in tables.rows("wire_grades.csv"):
        assert 0.0 < float(row["least_diameter_mm"]) < float(row["greatest_diameter_mm"])
        assert 0.0 < float(row["least_strength_mpa"]) < float(row["greatest_strength_mpa"])
    for row in tables.rows("wire_tensions.csv"):
        least, usual, greatest = (float(row[f"{end}_n"]) for end in ("least", "usual", "greatest"))
        assert 0.0 < least <= usual <= greatest
