"""Water beside the tables of FAO 29 and the South African handbook, leaching and yield by hand."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.brief.reading import parse_brief
from aanplant.brief.water_analysis import WaterAnalysis
from aanplant.errors import InputError
from aanplant.site.salinity import relative_yield_pct
from aanplant.site.soil_classes import rated
from aanplant.tables import rows
from aanplant.water import quality

# Where the next class begins: none to slight or moderate, and that to severe.
RESTRICTIONS = {
    "conductivity": (0.7, 3.0), "dissolved salts": (450, 2000), "SAR": (3, 9), "chloride": (4, 10),
    "boron": (0.7, 3.0), "nitrate nitrogen": (5, 30),
}  # fmt: skip
HAZARDS = {
    "suspended solids": (50, 100), "pH": (7.0, 8.0), "dissolved salts": (500, 2000),
    "manganese": (0.1, 1.5), "iron": (0.2, 1.5), "sulphide": (0.5, 2.0), "hardness": (150, 300),
    "bacteria": (10_000, 50_000),
}  # fmt: skip
INFILTRATION = {3: (0.7, 0.2), 6: (1.2, 0.3), 12: (1.9, 0.5), 20: (2.9, 1.3), 40: (5.0, 2.9)}


def limits(table, measure):
    return [float(row["up_to"]) for row in rows(table) if row["measure"] == measure]


@pytest.mark.published(
    source="Ayers and Westcot (1985), FAO Irrigation and Drainage Paper 29, as an open article "
    "reprints it; unit of chloride from memory",
    quantity="limits of restriction on water",
    unit="as the table has it",
)
@pytest.mark.parametrize("measure", list(RESTRICTIONS))
def test_limits_of_restriction(published, measure):
    found = limits(quality.RESTRICTIONS, measure)

    for ours, printed, label in zip(
        found, RESTRICTIONS[measure], ("first", "severe"), strict=False
    ):
        published.equal(ours, printed=printed, tolerance=0, label=f"{measure}, {label}")
    for value, name in zip(RESTRICTIONS[measure], ("slight to moderate", "severe"), strict=True):
        assert rated(measure, 1.001 * value, table=quality.RESTRICTIONS).name == name


@pytest.mark.published(
    source="Ayers and Westcot (1985), FAO Irrigation and Drainage Paper 29, as an open article "
    "reprints it",
    quantity="conductivity that keeps water soaking in",
    unit="dS/m",
)
@pytest.mark.parametrize("ratio", list(INFILTRATION))
def test_limits_of_infiltration(published, ratio):
    row = next(row for row in rows("infiltration_limits.csv") if float(row["sar_to"]) == ratio)
    none, severe = INFILTRATION[ratio]

    published.equal(
        float(row["none_above_ds_m"]), printed=none, tolerance=0, label=f"SAR {ratio}, none above"
    )
    published.equal(
        float(row["severe_below_ds_m"]),
        printed=severe,
        tolerance=0,
        label=f"SAR {ratio}, severe below",
    )
    names = [
        quality.infiltration_class(ratio, salt).name
        for salt in (1.01 * none, none, severe, 0.99 * severe)
    ]
    assert names == ["none", "slight to moderate", "slight to moderate", "severe"]


@pytest.mark.published(
    source="Myburgh (2018), Handbook for irrigation of wine grapes in South Africa, table 4.6",
    quantity="limits of clogging",
    unit="as the table has it",
)
@pytest.mark.parametrize("measure", list(HAZARDS))
def test_limits_of_clogging(published, measure):
    found = limits(quality.CLOGGING, measure)
    moderate, severe = HAZARDS[measure]

    published.equal(found[0], printed=moderate, tolerance=0, label=f"{measure}, moderate from")
    published.equal(found[1], printed=severe, tolerance=0, label=f"{measure}, severe above")
    names = [
        rated(measure, value, table=quality.CLOGGING).name
        for value in (0.9 * moderate, 1.01 * moderate, 1.01 * severe)
    ]
    assert names == ["slight", "moderate", "severe"]


@pytest.mark.published(
    source="Van Zyl (1981) and McCarthy (1988), as Myburgh (2018) prints them",
    quantity="elements in water for continuous use",
    unit="mg/L",
)
def test_elements_in_water(published):
    table = {
        (row["element"], row["note"]): float(row["most_mg_l"]) for row in rows("element_limits.csv")
    }
    for element, printed in (
        ("boron", 0.75), ("iron", 5.0), ("manganese", 0.20), ("copper", 0.20), ("zinc", 2.0),
        ("fluoride", 1.0), ("aluminium", 5.0), ("cadmium", 0.01), ("lead", 5.0),
    ):  # fmt: skip
        ours = table[element, "for continuous use"]
        published.equal(ours, printed=printed, tolerance=0, label=element)
    published.equal(
        table["boron", "suits grapes below it"], printed=0.5, tolerance=0, label="boron, grapes"
    )


@pytest.mark.published(
    source="irrigation textbook: wheat, ECw 1.5, ECe 6.0, ET 76 cm; form of FAO 29",
    quantity="leaching requirement",
    unit="-, cm",
)
def test_leaching_of_wheat(published):
    share = float(quality.leaching_requirement(1.5, 6.0))

    published.equal(share, printed=0.0526, tolerance=5e-5, label="share")
    published.equal(
        float(quality.water_with_leaching(76, share)), printed=80.22, tolerance=0.005, label="water"
    )


@pytest.mark.published(
    source="FAO Irrigation and Drainage Paper 29, example of maize, from memory",
    quantity="leaching requirement",
    unit="-, mm",
)
def test_leaching_of_maize(published):
    share = float(quality.leaching_requirement(1.2, 2.5))

    # The paper rounds 0.106 to 0.10 before it goes on, which makes 5 mm of water.
    published.equal(share, printed=0.10, tolerance=0.007, label="ECe 2.5")
    published.equal(
        float(quality.water_with_leaching(800, share)), printed=890, tolerance=6, label="water"
    )
    published.equal(
        float(quality.leaching_requirement(1.2, 1.7)),
        printed=0.16,
        tolerance=0.005,
        label="ECe 1.7",
    )


@pytest.mark.published(
    source="ECw/(5 ECe - ECw) for grapes at ECe 1.5, worked by hand",
    quantity="leaching requirement",
    unit="-",
)
@pytest.mark.parametrize(("water", "printed"), [(0.75, 0.1111), (1.0, 0.1538), (1.5, 0.2500)])
def test_leaching_of_grapes(published, water, printed):
    ours = float(quality.leaching_requirement(water, 1.5))

    published.equal(ours, printed=printed, tolerance=5e-5, label=f"grapes, ECw {water}")


@pytest.mark.published(
    source="ECw/(2 max ECe), max ECe 12, worked by hand",
    quantity="leaching requirement under drip",
    unit="-",
)
@pytest.mark.parametrize(("water", "printed"), [(1.5, 0.0625), (1.0, 0.0417)])
def test_leaching_under_drip(published, water, printed):
    ours = float(quality.drip_leaching_requirement(water))

    published.equal(ours, printed=printed, tolerance=5e-5, label=f"ECw {water}")


@pytest.mark.published(
    source="FAO Irrigation and Drainage Paper 29, table 4, grape; rows from memory",
    quantity="conductivity of water for a yield of grapes",
    unit="dS/m",
)
@pytest.mark.parametrize(
    ("share_pct", "water"), [(100, 1.0), (90, 1.7), (75, 2.7), (50, 4.5), (0, 7.9)]
)
def test_water_for_a_yield_of_grapes(published, share_pct, water):
    extract = 1.5 + (100 - share_pct) / 9.6
    # The exact value for no yield is 7.944.
    published.equal(
        extract / quality.EXTRACT_PER_WATER, printed=water, tolerance=0.05, label=f"{share_pct} %"
    )
    left = float(relative_yield_pct(quality.extract_of_water_ds_m(extract / 1.5)))
    assert left == pytest.approx(share_pct, abs=1e-6)


@pytest.mark.published(
    source="FAO Irrigation and Drainage Paper 29, table 14, from memory: check before use",
    quantity="chloride that vines bear in water",
    unit="me/L",
)
def test_chloride_that_vines_bear(published):
    for vine, printed in (
        ("Ramsey", 27), ("1613C", 27), ("Dog Ridge", 20), ("Thompson Seedless", 13.3),
        ("Perlette", 13.3), ("Cardinal", 6.7), ("Black Rose", 6.7),
    ):  # fmt: skip
        limit = quality.chloride_limit_me_l(vine)
        assert limit is not None
        published.equal(limit[0], printed=printed, tolerance=0, label=vine)
        assert limit[1] == "fao-29-chloride"
    assert quality.chloride_limit_me_l("99R") is None
    by_extract = [
        float(row["extract_me_l"]) / float(row["water_me_l"]) for row in rows("chloride_limits.csv")
    ]
    assert by_extract == pytest.approx([1.5] * 7, abs=0.02)


@given(st.floats(0.05, 3), st.floats(0.05, 3), st.floats(4, 10))
def test_saltier_water_never_needs_less_leaching(first, second, extract):
    less, more = quality.leaching_requirement(sorted((first, second)), extract)

    assert 0 < less <= more < 1


def test_a_water_too_salty_to_leach_with_is_refused():
    with pytest.raises(ValueError, match="no leaching keeps"):
        quality.leaching_requirement(8.0, 1.5)
    with pytest.raises(ValueError, match="from 0 to below 1"):
        quality.water_with_leaching(80, 1.0)


def test_an_analysis_in_milligrams_is_judged_in_the_units_of_the_tables():
    # Na 10, Ca 4, Mg 2 me/L: SAR 5.7735; hardness 50.04 times 6.
    found = quality.judge(
        WaterAnalysis(
            conductivity=1.6, sodium=229.9, calcium=80.156, magnesium=24.306, chloride=177.3,
            ph=7.4, iron=2.0, boron=0.6,
        )
    )  # fmt: skip
    classes = {one.measure: one.name for one in found.restrictions}
    hazards = {one.measure: one.name for one in found.clogging}

    assert found.sodium_adsorption_ratio == pytest.approx(5.7735, abs=1e-4)
    assert classes == {
        "conductivity": "slight to moderate",
        "dissolved salts": "slight to moderate",
        "SAR": "slight to moderate",
        "chloride": "slight to moderate",
        "boron": "none",
        "pH": "normal",
    }
    assert found.infiltration.name == "none"
    assert hazards["iron"] == found.worst_clogging == "severe"
    assert hazards["hardness"] == "severe"
    assert [(one.element, one.limit_mg_l) for one in found.over_limit] == [("boron", 0.5)]
    assert found.extract_ds_m == pytest.approx(2.4)
    assert found.leaching == pytest.approx(1.6 / 24)
    assert found.yield_pct == pytest.approx(100 - 9.6 * 0.9)
    assert {"bacteria", "manganese", "nitrate nitrogen"} <= set(found.unknown)
    assert "iron" not in found.unknown


def test_nothing_measured_is_unknown_not_good():
    found = quality.judge(WaterAnalysis())

    assert (found.restrictions, found.clogging, found.infiltration) == ((), (), None)
    assert found.worst_clogging == "unknown"
    assert found.leaching is None
    assert found.yield_pct is None
    assert len(found.unknown) == len(set(found.unknown)) > 15


def test_sodium_beyond_the_table_is_judged_by_its_last_row():
    assert quality.infiltration_class(60.0, 2.0).name == "severe"
    assert math.isclose(float(quality.milliequivalents("chloride", 35.453)), 1.0)


@pytest.mark.parametrize(
    ("key", "told"),
    [("ph = 15", "between 0 and 14"), ("conductivity = 120", "between 0 and 80 dS/m")],
)
def test_an_analysis_no_water_has_is_refused(key, told):
    smallest = '[block]\nboundary = "b"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'

    with pytest.raises(InputError, match=told):
        parse_brief(f"{smallest}[water_analysis]\n{key}\n", "brief.toml")
