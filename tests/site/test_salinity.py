"""Salt and sodium: the published rows, and what is known only by name stays unknown."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.pits import PitLayer
from aanplant.site import salinity
from aanplant.site.soil_classes import rated

BASES = {
    "calcium_cmol_kg": 4.0,
    "magnesium_cmol_kg": 2.0,
    "potassium_mg_kg": 391.0,
    "acidity_cmol_kg": 1.0,
}


def layer(**values):
    return PitLayer(0.0, 0.3, **values)


@pytest.mark.published(
    source="Maas and Hoffman (1977) as rows of FAO Irrigation and Drainage Paper 29, table 4, "
    "grape; rows from memory",
    quantity="yield left by salt",
    unit="%",
)
@pytest.mark.parametrize(
    ("ece_ds_m", "printed"), [(1.5, 100), (2.5, 90), (4.1, 75), (6.7, 50), (12, 0)]
)
def test_the_yield_that_salt_leaves_of_grapes(published, ece_ds_m, printed):
    ours = salinity.relative_yield_pct(ece_ds_m)

    # The table rounds ECe to 0.1 dS/m, which is 0.5 % of the yield, and the yield to 1 %.
    published.equal(ours, printed=printed, tolerance=1.0, label=f"ECe {ece_ds_m} dS/m")


@pytest.mark.published(
    source="SAR by its definition: Na 10, Ca 4, Mg 2 me/L, worked by hand",
    quantity="sodium adsorption ratio",
    unit="-",
)
def test_the_sodium_adsorption_ratio_of_a_water(published):
    published.equal(
        salinity.sodium_adsorption_ratio(10.0, 4.0, 2.0), printed=5.7735, tolerance=5e-5
    )


@given(st.floats(0, 30), st.floats(0, 30))
def test_more_salt_never_leaves_more_yield(first, second):
    less, more = sorted((first, second))

    yields = salinity.relative_yield_pct([less, more])

    assert 0 <= yields[1] <= yields[0] <= 100


@pytest.mark.parametrize(
    ("measured", "expected"),
    [
        ({"conductivity_ds_m": 0.7, "conductivity_method": "ECe"}, "not saline"),
        ({"conductivity_ds_m": 1.5, "conductivity_method": "ECe"}, "doubtful"),
        ({"conductivity_ds_m": 1.6, "conductivity_method": "ECe"}, "harmful"),
        ({"conductivity_ds_m": 4.1, "conductivity_method": "ECe"}, "saline"),
        ({"resistance_ohm": 301.0}, "not saline"),
        ({"resistance_ohm": 299.0}, "harmful"),
        ({"resistance_ohm": 200.0}, "saline"),
    ],
)
def test_salt_is_classed_by_the_limits_of_the_sources(measured, expected):
    assert salinity.salinity(layer(**measured)).name == expected


def test_the_graver_of_two_measures_decides():
    found = salinity.salinity(
        layer(conductivity_ds_m=0.5, conductivity_method="ECe", resistance_ohm=180.0)
    )

    assert (found.measure, found.name) == ("resistance", "saline")


@pytest.mark.parametrize("method", ["EC 1:5", "EC 1:2.5", ""])
def test_a_conductivity_of_another_extract_gives_no_class(method):
    assert salinity.salinity(layer(conductivity_ds_m=2.0, conductivity_method=method)) is None


@pytest.mark.parametrize(
    ("sodium_cmol_kg", "esp_pct", "name"),
    [(0.3, 100 * 0.3 / 8.3, "not sodic"), (1.0, 100 / 9.0, "doubtful"), (2.0, 20.0, "sodic")],
)
def test_sodium_is_a_share_of_all_exchangeable_ions(sodium_cmol_kg, esp_pct, name):
    soil = layer(sodium_cmol_kg=sodium_cmol_kg, **BASES)

    assert salinity.exchangeable_sodium_pct(soil) == pytest.approx(esp_pct)
    assert salinity.sodicity(soil).name == name


def test_a_measured_exchange_capacity_goes_before_the_sum():
    soil = layer(sodium_cmol_kg=1.0, cec_cmol_kg=20.0, **BASES)

    assert salinity.exchangeable_sodium_pct(soil) == pytest.approx(5.0)


@pytest.mark.parametrize("missing", sorted(BASES))
def test_one_ion_not_measured_leaves_sodicity_unknown(missing):
    soil = layer(sodium_cmol_kg=1.0, **{key: BASES[key] for key in BASES if key != missing})

    assert salinity.exchangeable_sodium_pct(soil) is None
    assert salinity.sodicity(soil) is None


def test_acidity_is_not_missed_where_there_is_none():
    bases = {key: BASES[key] for key in BASES if key != "acidity_cmol_kg"}

    sour = layer(sodium_cmol_kg=1.0, ph=5.4, ph_method="KCl", **bases)
    sweet = layer(sodium_cmol_kg=1.0, ph=5.5, ph_method="KCl", **bases)
    in_water = layer(sodium_cmol_kg=1.0, ph=6.5, ph_method="water", **bases)

    assert salinity.exchange_capacity_cmol_kg(sour) is None
    assert salinity.exchange_capacity_cmol_kg(in_water) is None
    assert salinity.exchange_capacity_cmol_kg(sweet) == pytest.approx(8.0)


@given(
    st.sampled_from(["depth", "ECe", "ESP", "SAR"]),
    st.floats(0, 100, allow_nan=False),
)
def test_every_number_has_one_class(measure, value):
    assert rated(measure, value).name


def test_a_number_that_cannot_be_is_refused():
    with pytest.raises(ValueError, match="ESP"):
        rated("ESP", 101.0)
