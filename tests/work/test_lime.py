"""Lime by three methods: the printed examples, and what must hold whatever the soil."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.work.lime import (
    exchangeable_acid_lime,
    mineral_acidity,
    organic_factor,
    stoichiometric_lime,
    stone_factor,
    wants_dolomite,
)
from aanplant.work.lime_buffers import (
    T_HA_PER_SHORT_TON_ACRE,
    adams_evans_acidity,
    adams_evans_lime,
    base_unsaturation,
    mehlich_acidity,
    mehlich_lime,
    smp_lime,
)
from aanplant.work.product_amounts import lime_product, product_with

WINE = "Fertiliser guidelines for the wine industry (South Africa)"
ACIDITY = st.floats(0.0, 10.0)
BASE = st.floats(0.0, 20.0)


@pytest.mark.published(
    source=f"{WINE}, exchangeable-acid method; values by arithmetic from its formula",
    quantity="lime for 300 mm",
    unit="t/ha",
)
def test_lime_by_exchangeable_acid(published):
    wide = exchangeable_acid_lime(1.5, 3.5, 0.5)
    stony = wide * stone_factor(30.0)

    published.equal(wide, printed=7.997, tolerance=0.0005, label="Ca:Mg 7")
    published.equal(stony, printed=5.598, tolerance=0.0005, label="Ca:Mg 7, 30 % stone")
    published.equal(
        exchangeable_acid_lime(1.2, 2.0, 1.0), printed=6.9065, tolerance=5e-5, label="Ca:Mg 2"
    )


@pytest.mark.published(
    source=f"{WINE}, exchangeable-acid method on either side of its switch at Ca:Mg 6",
    quantity="lime for 300 mm, acidity 1, Mg 1",
    unit="t/ha",
)
def test_the_printed_switch_makes_a_step_and_the_continuous_form_none(published):
    above = exchangeable_acid_lime(1.0, 6.0, 1.0)
    below = exchangeable_acid_lime(1.0, 5.99, 1.0)
    smooth = [
        exchangeable_acid_lime(1.0, calcium, 1.0, credit="continuous") for calcium in (5.99, 6.0)
    ]

    published.equal(above, printed=2.181, tolerance=0.0005, label="Ca 6.00")
    published.equal(below, printed=1.827, tolerance=0.0005, label="Ca 5.99")
    published.equal(above - below, printed=0.35, tolerance=0.005, label="step at the switch")
    assert abs(smooth[1] - smooth[0]) < 0.01


def test_the_two_forms_meet_where_calcium_is_four_times_magnesium():
    switched = exchangeable_acid_lime(1.5, 2.0, 0.5)

    assert switched == pytest.approx(
        exchangeable_acid_lime(1.5, 2.0, 0.5, credit="continuous"), rel=1e-12
    )


@pytest.mark.published(
    source="molar mass of CaCO3, 100.09 g/mol, by arithmetic",
    quantity="lime for 1 cmol(+)/kg, 300 mm at 1.5 t/m3",
    unit="t/ha",
)
def test_lime_by_charge_alone(published):
    by_charge = stoichiometric_lime(1.0, 0.3, 1.5)

    published.equal(by_charge, printed=2.25, tolerance=0.005)


@pytest.mark.published(
    source=f"{WINE}: factor 0.727 = 8/11, beside chemistry at a density of 1.5",
    quantity="lime by exchangeable acid over lime by charge",
    unit="-",
)
def test_the_printed_factor_is_no_stoichiometric_one(published):
    # With ratio 10, one cmol of acidity removed moves 10 H - bases by 11.
    printed_per_cmol = exchangeable_acid_lime(1.1, 0.0, 0.0)

    published.equal(printed_per_cmol, printed=8.0, tolerance=0.05, label="t per cmol removed")
    published.equal(
        printed_per_cmol / stoichiometric_lime(1.0, 0.3, 1.5),
        printed=3.6,
        tolerance=0.05,
        label="ratio",
    )


@pytest.mark.published(
    source="Conradie (1994), in the fertiliser guidelines for the wine industry (South Africa)",
    quantity="multiplier of lime by organic matter",
    unit="-",
)
def test_humus_takes_off_lime_by_steps(published):
    for organic_matter, printed in ((0.5, 1.0), (1.5, 0.8), (2.5, 0.6), (3.5, 0.4)):
        factor = organic_factor(organic_matter)
        assert factor is not None
        published.equal(factor, printed=printed, tolerance=0.0, label=f"{organic_matter} %")
    assert organic_factor(4.1) is None


def test_humus_takes_off_acidity_by_carbon():
    assert mineral_acidity(2.0, 4.5, 2.0) == pytest.approx(2.0 - 2.5 * 2.0 * 0.202)
    assert mineral_acidity(0.5, 4.0, 3.0) == 0.0


@pytest.mark.parametrize(
    ("calcium", "magnesium", "clay", "rule", "dolomite"),
    [
        (3.5, 0.5, 20.0, "ratio", True),
        (3.0, 0.6, 20.0, "ratio", False),
        (1.0, 0.3, 20.0, "ratio", True),
        (3.0, 0.6, 10.0, "clay", True),
        (3.0, 0.6, 10.0, "ratio", False),
    ],
)
def test_dolomite_is_chosen_by_either_handbook(calcium, magnesium, clay, rule, dolomite):
    assert wants_dolomite(calcium, magnesium, clay, rule=rule) is dolomite


@pytest.mark.published(
    source="North Carolina state laboratory, lime page (prints 1.2 × 0.625 = 0.76)",
    quantity="lime by the Mehlich buffer",
    unit="short tons/acre",
)
def test_lime_by_the_mehlich_buffer(published):
    lime = mehlich_lime(5.0, mehlich_acidity(6.3), 6.0) / T_HA_PER_SHORT_TON_ACRE

    published.equal(mehlich_acidity(6.3), printed=1.2, tolerance=0.05, label="acidity, meq")
    published.equal(lime, printed=0.75, tolerance=0.0005, label="exact")
    # The page rounds up: its own factors multiply to 0.75.
    published.equal(lime, printed=0.76, tolerance=0.0101, label="as printed")


@pytest.mark.published(
    source="Adams and Evans, saturation curve recalled from memory",
    quantity="acid saturation",
    unit="-",
)
def test_acid_saturation_by_adams_and_evans(published):
    for ph, printed in ((5.0, 0.7073), (5.5, 0.5256), (6.0, 0.3823), (6.5, 0.2601), (7.0, 0.1518)):
        published.equal(base_unsaturation(ph), printed=printed, tolerance=5e-5, label=f"pH {ph}")


@pytest.mark.published(
    source="Adams and Evans, form as printed, saturation curve recalled from memory",
    quantity="lime by the Adams-Evans buffer, pH 5.0 to 6.5, buffer 7.60",
    unit="t/ha",
)
def test_lime_by_the_adams_evans_buffer(published):
    lime = adams_evans_lime(5.0, 7.60, 6.5)

    published.equal(lime, printed=3.402, tolerance=0.0005)
    published.equal(
        lime / T_HA_PER_SHORT_TON_ACRE, printed=1.517, tolerance=0.0005, label="short tons/acre"
    )
    published.equal(
        lime / T_HA_PER_SHORT_TON_ACRE * 2000.0, printed=3035, tolerance=0.5, label="lb/acre"
    )
    # The paper that prints 8000 with × 2.24 as tonnes is two thousand times too high.
    published.equal(
        8000 * 0.4 / 0.7073 * (0.7073 - 0.2601) * 1.5 * 2.2417 / lime,
        printed=2000,
        tolerance=2.0,
        label="slip of units, factor",
    )
    assert adams_evans_acidity(7.60) == pytest.approx(3.2)


@pytest.mark.published(
    source="Shoemaker, McLean and Pratt buffer table, recalled from memory",
    quantity="lime by the SMP buffer",
    unit="short tons/acre",
)
def test_lime_by_the_smp_buffer(published):
    for buffer, target, printed in (
        (6.8, 6.0, 1.0),
        (6.4, 6.0, 3.8),
        (6.0, 6.5, 8.1),
        (4.8, 6.8, 22.1),
    ):
        published.equal(
            smp_lime(buffer, target) / T_HA_PER_SHORT_TON_ACRE,
            printed=printed,
            tolerance=0.0005,
            label=f"buffer {buffer} to {target}",
        )
    slope = (smp_lime(6.0) - smp_lime(6.8)) / T_HA_PER_SHORT_TON_ACRE / -0.8
    published.equal(slope, printed=-8.6, tolerance=0.05, label="slope to 6.5")


def test_buffers_refuse_what_their_tables_do_not_hold():
    with pytest.raises(ValueError, match="begins at"):
        smp_lime(4.5)
    with pytest.raises(ValueError, match="target_ph"):
        smp_lime(6.0, 7.5)
    with pytest.raises(ValueError, match=r"6\.6"):
        mehlich_lime(6.7, 1.0, 6.5)
    with pytest.raises(ValueError, match=r"4\.4"):
        base_unsaturation(4.0)
    assert smp_lime(7.0) == 0.0
    assert adams_evans_lime(6.8, 7.9, 6.0) == 0.0


@pytest.mark.published(
    source="definition of the neutralising value, by arithmetic",
    quantity="lime product for 1 t of carbonate",
    unit="t",
)
def test_weaker_coarser_and_wetter_lime_makes_more_tonnes(published):
    published.equal(
        lime_product(1.0, 80.0, 75.0, 0.1),
        printed=1.852,
        tolerance=0.0005,
        label="80 %, three quarters fine, 10 % water",
    )


@pytest.mark.parametrize("wrong", [(0, 100, 0), (90, 0, 0), (90, 101, 0), (90, 100, 1.0)])
def test_a_product_that_cannot_be_is_refused(wrong):
    with pytest.raises(ValueError, match="expected"):
        lime_product(1.0, *wrong)
    with pytest.raises(ValueError, match="content"):
        product_with(1.0, 0.0)


@given(ACIDITY, ACIDITY, BASE, BASE, st.sampled_from(["switched", "continuous"]))
def test_more_acid_never_needs_less_lime(one, other, calcium, magnesium, credit):
    lime = [
        float(exchangeable_acid_lime(acidity, calcium, magnesium, credit=credit))
        for acidity in sorted((one, other))
    ]

    assert 0.0 <= lime[0] <= lime[1]


@given(ACIDITY, BASE, BASE, BASE)
def test_more_calcium_never_needs_more_lime_by_the_continuous_form(acidity, one, other, magnesium):
    lime = [
        float(exchangeable_acid_lime(acidity, calcium, magnesium, credit="continuous"))
        for calcium in sorted((one, other))
    ]

    assert lime[1] <= lime[0] + 1e-9


@given(st.floats(0.0, 100.0), st.floats(0.0, 100.0))
def test_stones_never_raise_a_rate(one, other):
    fewer, more = sorted((one, other))

    assert 0.0 <= stone_factor(more) <= stone_factor(fewer) <= 1.0


def test_layers_are_reckoned_all_at_once():
    lime = exchangeable_acid_lime([1.5, 1.2, 0.0], [3.5, 2.0, 5.0], [0.5, 1.0, 1.0])

    np.testing.assert_allclose(lime, [7.997, 6.9065, 0.0], atol=5e-4)
