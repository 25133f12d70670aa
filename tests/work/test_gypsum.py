"""Gypsum by every printed rule, and phosphorus and potassium up to their norms."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.work.fertiliser import SUPERPHOSPHATE_P, norm, nutrient_need
from aanplant.work.gypsum import (
    exchangeable_sodium_percentage,
    gypsum_by_charge,
    gypsum_handbook_60,
    gypsum_oster,
    gypsum_south_african,
    sodium_to_replace,
)
from aanplant.work.product_amounts import product_with


@pytest.mark.published(
    source="Ali, irrigation textbook, example 8.7, after US Salinity Laboratory Handbook 60",
    quantity="gypsum, ESP 35 to 15, CEC 22, 400 mm",
    unit="t/ha",
)
def test_gypsum_by_handbook_60(published):
    sodium = sodium_to_replace(22.0, 35.0, 15.0)

    published.equal(sodium, printed=4.4, tolerance=1e-9, label="sodium replaced, cmol(+)/kg")
    # The book cuts 22.587 to 22.58.
    published.equal(gypsum_handbook_60(sodium, 0.4), printed=22.58, tolerance=0.01)
    published.equal(
        gypsum_handbook_60(sodium, 0.4, 1.25), printed=28.23, tolerance=0.005, label="× 1.25"
    )


@pytest.mark.published(
    source="molar mass of CaSO4·2H2O, by arithmetic",
    quantity="gypsum for 1 cmol(+)/kg, 300 mm",
    unit="t/ha",
)
def test_gypsum_by_charge(published):
    published.equal(gypsum_by_charge(1.0, 0.3, 1.5), printed=3.874, tolerance=0.0005)
    published.equal(
        gypsum_by_charge(1.0, 0.3, 1.333), printed=3.443, tolerance=0.0005, label="1.333 t/m3"
    )


@pytest.mark.published(
    source="gypsum requirement in the form of Oster, as a US state university prints it",
    quantity="gypsum, F 1.1, 0.3 m, 1.5 t/m3, CEC 20, ESP 15 to 6, 90 % pure",
    unit="t/ha",
)
def test_gypsum_in_the_form_of_oster(published):
    gypsum = gypsum_oster(20.0, 15.0, 6.0, 0.3, 1.5, efficiency_factor=1.1, purity=0.9)

    published.equal(gypsum, printed=8.514, tolerance=0.0005)


@pytest.mark.published(
    source="Fertiliser guidelines for the wine industry (South Africa)",
    quantity="gypsum for 230 mg/kg of sodium, 300 mm",
    unit="t/ha",
)
def test_gypsum_by_the_south_african_rule(published):
    gypsum = gypsum_south_african(230.0 / 230.0)

    published.equal(gypsum, printed=3.4, tolerance=0.05)
    # It stands for a density of about 1.32.
    published.equal(
        3.4 / gypsum_by_charge(1.0, 0.3, 1.0), printed=1.32, tolerance=0.005, label="density, t/m3"
    )


@given(st.floats(0.1, 40.0), st.floats(0.0, 60.0), st.floats(0.0, 60.0))
def test_more_sodium_never_needs_less_gypsum(cec, one, other):
    rates = [gypsum_oster(cec, esp, 6.0, 0.3, 1.5) for esp in sorted((one, other))]

    assert 0.0 <= rates[0] <= rates[1]


def test_sodium_as_a_share_of_the_exchange_capacity():
    assert exchangeable_sodium_percentage(2.2, 22.0) == pytest.approx(10.0)


@pytest.mark.published(
    source="Fertiliser guidelines for the wine industry (South Africa)",
    quantity="phosphorus, Bray II 12 to 30 mg/kg, 600 mm at 1.5 t/m3",
    unit="kg/ha",
)
def test_phosphorus_to_its_norm(published):
    norms = norm("P", "Bray II", 10.0)
    assert norms is not None
    need = nutrient_need(norms.target_mg_kg, 12.0, 0.6, 1.5)

    published.equal(
        nutrient_need(1.0, 0.0, 0.3, 1.5),
        printed=4.5,
        tolerance=1e-9,
        label="for 1 mg/kg in 300 mm",
    )
    published.equal(
        nutrient_need(1.0, 0.0, 0.6, 1.5),
        printed=9.0,
        tolerance=1e-9,
        label="for 1 mg/kg in 600 mm",
    )
    published.equal(need, printed=162.0, tolerance=0.5)
    published.equal(
        product_with(need, SUPERPHOSPHATE_P),
        printed=1543.0,
        tolerance=0.5,
        label="as superphosphate of 10.5 % P",
    )


@pytest.mark.published(
    source="Fertiliser guidelines for the wine industry (South Africa), tables 1 and 12; "
    "columns unclear in the copy seen",
    quantity="norm of phosphorus",
    unit="mg/kg",
)
def test_norms_of_phosphorus_by_test_and_clay(published):
    for test, clay, target, too_high in (
        ("Bray II", 6.0, 25, 50), ("Bray II", 15.0, 30, 60), ("citric acid", 16.0, 35, 70),
        ("Bray I", 3.0, 15, 50), ("Olsen", 10.0, 14, 60),
    ):  # fmt: skip
        found = norm("P", test, clay)
        assert found is not None
        published.equal(
            found.target_mg_kg, printed=target, tolerance=0.0, label=f"{test}, clay {clay} %"
        )
        published.equal(
            found.too_high_mg_kg,
            printed=too_high,
            tolerance=0.0,
            label=f"{test}, clay {clay} %, too high",
        )


def test_a_test_without_a_norm_has_none():
    assert norm("P", "Mehlich III", 10.0) is None
    assert norm("P", "", 10.0) is None


@given(st.floats(0.0, 100.0), st.floats(0.0, 100.0), st.floats(0.0, 90.0))
def test_a_nutrient_is_never_taken_away_and_stones_never_raise_it(target, found, stones):
    need = nutrient_need(target, found, 0.3, 1.5, stones)

    assert 0.0 <= need <= nutrient_need(target, found, 0.3, 1.5)
    assert found < target or need == 0.0
