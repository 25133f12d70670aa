"""What vines drink beside printed coefficients and worked cases of the handbooks."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.water.application import (
    counting_share,
    longest_interval_d,
    most_net_depth_mm,
    sets_in_a_day,
)
from aanplant.water.coefficients import (
    adjusted,
    basal_from_cover,
    density,
    full_stand,
    upper_limit,
)
from aanplant.water.demand import leaf_course, peak_of
from aanplant.water.evaporation import (
    available_mm,
    drying,
    easy_share,
    evaporation_coefficient,
    exposed_share,
    readily_evaporable_mm,
    stress,
    total_evaporable_mm,
)
from aanplant.water.quality import drip_leaching_requirement, water_with_leaching
from aanplant.water.wetting import application_rate_mm_h

DENSITY = (
    "Allen and Pereira (2009), Irrigation Science 28: 17-34, vines, reckoned apart by a script"
)
FAO = "FAO Irrigation and Drainage Paper 56 (1998)"
CASE_C = "worked drip case of 12 ha by Keller and Bliesner's formulas, reckoned apart by a script"


@pytest.mark.published(source=DENSITY, quantity="density coefficient of a stand", unit="-")
def test_a_thin_stand_counts_by_its_cover_and_a_dense_one_by_its_height(published):
    cover = (0.05, 0.10, 0.20, 0.30, 0.40, 0.50, 0.60, 0.70)
    printed = (0.0750, 0.1500, 0.3000, 0.4500, 0.6000, 0.7500, 0.8434, 0.8879)
    for ours, there, share in zip(density(cover, 2.0), printed, cover, strict=True):
        published.equal(ours, printed=there, tolerance=0.00005, label=f"cover {share:g}")


@pytest.mark.published(source=DENSITY, quantity="basal coefficient from cover", unit="-")
@pytest.mark.parametrize(
    ("grape", "stomatal", "printed"),
    [
        ("wine", 0.65, (0.1973, 0.2445, 0.3390, 0.4335, 0.5280, 0.6225, 0.6814, 0.7094)),
        ("table", 0.95, (0.2243, 0.2985, 0.4470, 0.5955, 0.7440, 0.8925, 0.9850, 1.0290)),
    ],
)
def test_basal_coefficient_of_vines_by_cover(published, grape, stomatal, printed):
    cover = (0.05, 0.10, 0.20, 0.30, 0.40, 0.50, 0.60, 0.70)
    full = full_stand(2.0, stomatal)

    found = basal_from_cover(cover, 2.0, full, bare_ground=0.15)

    for ours, there, share in zip(found, printed, cover, strict=True):
        published.equal(ours, printed=there, tolerance=0.00005, label=f"{grape}, cover {share:g}")


@pytest.mark.published(
    source="formulas of Allen and Pereira (2009) without bare ground, reckoned apart by a script;"
    " an Ontario ministry note (2020) finds 0.5 to 1 L a day in hot weeks for newly planted vines",
    quantity="water of a young vine on 3 m2 at an evapotranspiration of 7 mm",
    unit="L/d",
)
def test_litres_of_young_vines(published):
    for cover, height, printed in ((0.03, 0.5, 0.645), (0.08, 0.8, 1.77), (0.15, 1.2, 3.44)):
        found = 7.0 * 3.0 * basal_from_cover(cover, height, full_stand(height, 0.65))
        published.equal(
            float(found),
            printed=printed,
            tolerance=0.0005 if printed < 1 else 0.005,
            label=f"cover {cover:g}",
        )


@pytest.mark.published(
    source=f"{FAO}, example 28, inputs and print from memory",
    quantity="crop coefficient brought to a climate",
    unit="-",
)
def test_wind_and_dry_air_raise_a_coefficient(published):
    for label, wind, humidity, printed in (
        ("calm and moist", 1.3, 75.0, 1.07),
        ("windy and dry", 4.6, 44.0, 1.30),
    ):
        found = adjusted(1.20, 2.0, wind, humidity)
        published.equal(float(found), printed=printed, tolerance=0.005, label=label)


@pytest.mark.published(
    source=f"{FAO}, table 12 for grapes with equation 62, reckoned apart by a script",
    quantity="coefficient of grapes at 3 m/s and 30 % humidity",
    unit="-",
)
def test_coefficients_of_grapes_in_a_dry_wind(published):
    for label, value, height, printed in (
        ("wine, whole", 0.70, 1.75, 0.78507),
        ("wine, basal", 0.65, 1.75, 0.73507),
        ("table, whole", 0.85, 2.0, 0.93855),
    ):
        found = adjusted(value, height, 3.0, 30.0)
        published.equal(float(found), printed=printed, tolerance=0.000005, label=label)


@pytest.mark.published(
    source=f"{FAO}, example 35, inputs and print from memory",
    quantity="limits of a drying sandy loam",
    unit="mm or -",
)
def test_the_top_soil_of_example_35(published):
    evaporable = float(total_evaporable_mm(0.23, 0.10, 0.1))
    published.equal(evaporable, printed=18.0, tolerance=0.5, label="TEW")
    published.equal(
        float(upper_limit(0.3, 0.3, 1.6, 35.0)), printed=1.21, tolerance=0.005, label="Kc max"
    )
    reduction = drying(10.77, evaporable, 8.0)
    published.equal(float(reduction), printed=0.723, tolerance=0.0005, label="Kr on day 3")
    found = evaporation_coefficient(reduction, 1.212, 0.32, 0.8)
    published.equal(float(found), printed=0.645, tolerance=0.0005, label="Ke on day 3")


@pytest.mark.published(
    source=f"{FAO}, example 36, inputs from memory, results reckoned apart by a script",
    quantity="water that roots can take",
    unit="mm",
)
def test_available_water_of_three_soils(published):
    soils = (("loamy sand", 0.15, 0.06), ("silt", 0.32, 0.15), ("silty clay", 0.35, 0.23))
    crops = (
        ("onion", 0.4, 0.30, (36, 68, 48), (10.8, 20.4, 14.4)),
        ("tomato", 0.8, 0.40, (72, 136, 96), (28.8, 54.4, 38.4)),
        ("maize", 1.2, 0.55, (108, 204, 144), (59.4, 112.2, 79.2)),
    )
    for crop, depth, share, whole, easy in crops:
        for (soil, capacity, wilting), all_of_it, easily in zip(soils, whole, easy, strict=True):
            found = float(available_mm(capacity, wilting, depth))
            label = f"{crop} on {soil}"
            published.equal(found, printed=all_of_it, tolerance=0.5, label=f"{label}, all")
            published.equal(share * found, printed=easily, tolerance=0.05, label=f"{label}, easy")


@pytest.mark.published(
    source=f"{FAO}, table 19, ranges of readily evaporable water from memory",
    quantity="readily evaporable water, middle of the range",
    unit="mm",
)
def test_readily_evaporable_water_lies_in_the_printed_ranges(published):
    # The rule is a line through ranges some 2 to 5 mm wide: half a range apart at most.
    for soil, evaporable, middle, half in (
        ("loamy sand", 11.5, 6.0, 2.0),
        ("sandy loam", 17.5, 8.0, 2.0),
        ("loam", 19.0, 9.0, 1.3),
        ("silt loam", 21.5, 9.5, 1.5),
        ("clay", 25.5, 10.0, 2.0),
    ):
        found = float(readily_evaporable_mm(evaporable))
        published.equal(found, printed=middle, tolerance=half, label=soil)


@pytest.mark.published(source=CASE_C, quantity="demand of vines under drip", unit="as named")
def test_a_drip_block_from_peak_use_to_flow_of_a_set(published):
    area = 2.5 * 1.2
    use = 0.1 * 5.5 * 50.0**0.5  # Keller and Bliesner
    given = use / counting_share(0.90)
    rate = float(application_rate_mm_h(2 * 2.0, area))
    hours = given / rate
    sets = sets_in_a_day(20.0, hours)
    depth = most_net_depth_mm(0.3, 0.32, 120.0 * 0.6)

    published.equal(given, printed=4.3212, tolerance=0.00005, label="gross, mm/d")
    published.equal(given * area, printed=12.9636, tolerance=0.00005, label="litres a vine")
    published.equal(rate, printed=1.3333, tolerance=0.00005, label="rate, mm/h")
    published.equal(hours, printed=3.2409, tolerance=0.00005, label="hours a day")
    published.equal(sets, printed=6, tolerance=0, label="sets")
    published.equal(depth, printed=6.912, tolerance=0.0005, label="most at once, mm")
    published.equal(
        longest_interval_d(depth, use), printed=1.7773, tolerance=0.00005, label="interval, d"
    )
    salt = float(drip_leaching_requirement(1.0, 12.0))
    published.equal(salt, printed=0.0417, tolerance=0.00005, label="leaching share")
    published.equal(
        float(water_with_leaching(given, salt)), printed=4.5091, tolerance=0.00005,
        label="gross with leaching, mm/d",
    )  # fmt: skip
    published.equal(
        use / counting_share(0.90, salt), printed=4.3212, tolerance=0.00005,
        label="gross, leaching below a tenth left out, mm/d",
    )  # fmt: skip


@pytest.mark.published(
    source="South Africa Wine Technical Yearbook 2025, p. 106-108",
    quantity="application rate of 2.3 L/h at 2.5 by 0.6 m",
    unit="mm/h",
)
def test_rate_of_a_dripper_line(published):
    rate = float(application_rate_mm_h(2.3, 2.5 * 0.6))
    published.equal(rate, printed=1.53, tolerance=0.005, label="of the line")
    published.equal(rate * 0.9, printed=1.38, tolerance=0.005, label="at 90 % efficiency")


def test_leaves_come_with_bud_break_and_are_gone_after_the_last_stage():
    leaves, pores = leaf_course(132, (30, 60, 40, 80), full_leaf=0.65, ageing_leaf=0.43)

    assert leaves[131] == 0.0
    assert leaves[132 + 90] == pytest.approx(1.0)
    assert leaves[132 + 209] == pytest.approx(1.0)
    assert leaves[132 + 210] == 0.0
    assert pores[132 + 130] == pytest.approx(0.65)
    assert pores[132 + 170] == pytest.approx(0.54)


def test_leaves_that_last_over_the_end_of_the_year_go_on_at_its_beginning():
    leaves, _ = leaf_course(300, (30, 60, 40, 80), full_leaf=0.65, ageing_leaf=0.43)

    assert leaves[0] > 0.5
    assert leaves[200] == 0.0


def test_the_peak_is_the_thirstiest_spell():
    daily = np.ones((30, 2))
    daily[10:14, 0] = 5.0

    assert peak_of(daily, 4).tolist() == [5.0, 1.0]
    assert peak_of(daily, 8)[0] == pytest.approx(3.0)


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.1, 3.0))
def test_more_shade_never_means_less_water(one, other, height):
    low, high = sorted((one, other))
    full = full_stand(height, 0.65)

    assert basal_from_cover(low, height, full) <= basal_from_cover(high, height, full) + 1e-12


@given(st.floats(0.0, 100.0), st.floats(0.1, 0.8), st.floats(0.0, 12.0))
def test_stress_and_easy_share_stay_in_their_ranges(lacking, printed, demand):
    easy = easy_share(printed, demand)

    assert 0.1 <= easy <= 0.8
    assert 0.0 <= stress(lacking, 100.0, easy) <= 1.0


def test_drippers_under_the_leaves_wet_less_sunlit_ground():
    assert exposed_share(0.3, 0.4, drip_under_canopy=True) == pytest.approx(0.32)
    assert exposed_share(0.3, 0.4) == pytest.approx(0.4)
    assert exposed_share(0.9, 0.4) == pytest.approx(0.1)


def test_impossible_shares_are_refused():
    with pytest.raises(ValueError, match="cover"):
        density(1.2, 1.0)
    with pytest.raises(ValueError, match="uniformity"):
        counting_share(0.0)
    with pytest.raises(ValueError, match="hours_each"):
        sets_in_a_day(20.0, 0.0)
