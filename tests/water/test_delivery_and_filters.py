"""The test of an installed system, and the filter before it."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.brief.reading import parse_brief
from aanplant.errors import InputError
from aanplant.tables import rows
from aanplant.water import filters
from aanplant.water.delivery_test import delivery_test, places_to_measure
from aanplant.water.emitters import LITRES_PER_HOUR, EmitterLaw

SMALLEST = '[block]\nboundary = "b"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'
FLOWS = np.array([
    2.05, 1.98, 2.10, 1.88, 1.95, 2.02, 1.76, 2.00, 1.91, 2.08, 1.83, 1.99, 2.04, 1.70, 1.96, 2.01,
])  # fmt: skip
SQUARE_FOOT_M2, GALLON_A_MINUTE_M3_H = 0.3048**2, 3.785411784e-3 * 60


@pytest.mark.published(
    source="sixteen flows (L/h), worked by hand",
    quantity="uniformity of a delivery test",
    unit="%",
)
def test_volumes_of_six_minutes_give_the_uniformity_of_the_flows(published):
    found = delivery_test(FLOWS * 100.0, 360.0)

    published.equal(found.low_quarter_pct, printed=91.7466, tolerance=5e-5, label="DUlq")
    published.equal(found.statistical_pct, printed=94.2338, tolerance=5e-5, label="Us")
    published.equal(found.christiansen_pct, printed=95.5694, tolerance=5e-5, label="CU")
    assert found.flow_m3_s / LITRES_PER_HOUR == pytest.approx(FLOWS)
    assert (found.grade.name, found.is_small) == ("excellent", False)
    assert np.isnan(found.share_of_design).all()
    assert math.isnan(found.design_low_quarter_pct)


def test_the_worst_places_are_those_farthest_from_their_own_design():
    design = np.full(16, 2.0) * LITRES_PER_HOUR
    design[5] = 1.0 * LITRES_PER_HOUR  # as low as designed
    caught = np.full(16, 200.0)
    caught[[2, 5, 9]] = 0.0, 100.0, 150.0

    found = delivery_test(caught, 360.0, design_m3_s=design)

    assert found.worst.tolist() == [2, 9]
    assert found.share_of_design[[2, 5, 9]] == pytest.approx([0.0, 1.0, 0.75])
    assert found.design_low_quarter_pct == pytest.approx(100 * 1.75 / (31 / 16))
    assert found.low_quarter_pct < found.design_low_quarter_pct


def test_variation_is_parted_into_pressure_and_drippers():
    heads = np.array([8.0, 9.0, 10.0, 11.0, 12.0, 10.0])
    by_pressure_only = 2.0 * np.sqrt(heads / 10.0)

    found = delivery_test(by_pressure_only * 100, 360.0, head_m=heads)
    whole = np.std(by_pressure_only, ddof=1) / by_pressure_only.mean()

    assert found.pressure_variation == pytest.approx(whole, rel=0.02)
    assert found.dripper_variation < 0.15 * whole
    assert found.is_small


@given(st.lists(st.floats(50, 500), min_size=4, max_size=30), st.floats(0.1, 10))
def test_uniformity_does_not_depend_on_how_long_water_was_caught(caught, times):
    short = delivery_test(caught, 60.0)
    long = delivery_test(np.array(caught) * times, 60.0 * times)

    assert long.low_quarter_pct == pytest.approx(short.low_quarter_pct)
    assert long.flow_m3_s == pytest.approx(short.flow_m3_s)


@pytest.mark.parametrize(
    ("volumes", "seconds", "more", "told"),
    [
        ([200.0, 210.0, 190.0], 360, {}, "found 3 volumes; expected at least 4, and better 16"),
        ([200, 210, -1, 200], 360, {}, "volumes below 0"),
        ([0, 0, 0, 0], 360, {}, "all 0"),
        ([200, 210, 190, 200], 0, {}, "above 0 s"),
        ([200, 210, 190, 200], [360, 360], {}, "2 times"),
        ([200, 210, 190, 200], 360, {"head_m": [10, 9]}, "2 pressures for 4 volumes"),
        ([200, 210, 190, 200], 360, {"head_m": [10, 9, 0, 8]}, "pressures of 0 or less"),
    ],
)
def test_a_test_that_makes_no_sense_is_refused(volumes, seconds, more, told):
    with pytest.raises(InputError, match=told) as error:
        delivery_test(volumes, seconds, where="form.csv", **more)

    assert error.value.where == "form.csv"


def test_sixteen_places_are_four_on_each_of_four_laterals():
    chosen = places_to_measure([200] * 100)

    assert sorted(set(chosen.lateral.tolist())) == [0, 33, 66, 99]
    assert chosen.dripper.tolist() == [0, 66, 133, 199] * 4


def test_a_small_set_gives_the_places_it_has():
    chosen = places_to_measure([3, 1])

    assert list(zip(chosen.lateral.tolist(), chosen.dripper.tolist(), strict=True)) == [
        (0, 0), (0, 1), (0, 2), (1, 0),
    ]  # fmt: skip
    assert places_to_measure([]).lateral.size == 0


def works(text=""):
    return parse_brief(f"{SMALLEST}[head_works]\n{text}\n", "brief.toml")


def dripper(passage_m=None):
    return EmitterLaw(1e-6, 10.0, 0.5, passage_m=passage_m)


@pytest.mark.published(
    source="University of California, Maintenance of microirrigation systems; media filters from "
    "memory",
    quantity="rate of a filter",
    unit="m3/h/m2",
)
@pytest.mark.parametrize(("kind", "low", "high"), [("screen", 150, 200), ("media", 15, 25)])
def test_rates_of_filters(published, kind, low, high):
    row = next(row for row in rows("filter_rates.csv") if row["filter"] == kind)

    # The source prints gallons a minute and square foot.
    for column, gallons in (("low_m3_h_m2", low), ("high_m3_h_m2", high)):
        ours = float(row[column]) / GALLON_A_MINUTE_M3_H * SQUARE_FOOT_M2
        published.equal(ours, printed=gallons, tolerance=0.2, label=f"{kind}, {gallons} gpm/ft2")


@pytest.mark.published(
    source="Agriculture Victoria, Filtration for drip irrigation: 120 mesh or finer",
    quantity="opening of a drip filter",
    unit="um",
)
def test_the_usual_grade_is_the_coarsest(published):
    published.equal(filters.opening_um(None), printed=130, tolerance=0)
    assert filters.mesh_for(filters.opening_um(2e-3)) == 120
    assert filters.opening_um(0.8e-3) == pytest.approx(80.0)
    assert filters.mesh_for(80.0) == 200
    assert filters.mesh_for(50.0) == 0


def test_a_dam_with_algae_wants_media_and_a_screen_behind_it():
    found = filters.choose_filter(works('source_kind = "dam"'), dripper(), 36.7 / 3600)

    assert (found.kind, found.guards_media, found.takes_out_sand_first) == ("media", True, False)
    assert found.area_m2 == pytest.approx(36.7 / 37)
    assert found.least_area_m2 == pytest.approx(36.7 / 61)
    assert found.dirty_m == pytest.approx(40 / 9.789, rel=1e-3)


def test_a_borehole_with_sand_wants_it_taken_out_and_a_screen():
    brief = works('source_kind = "borehole"\ncarries_sand = true')

    found = filters.choose_filter(brief, dripper(0.7e-3), 36.7 / 3600)

    assert (found.kind, found.takes_out_sand_first) == ("screen or disc", True)
    assert found.area_m2 == pytest.approx(0.1)
    assert found.opening_um == pytest.approx(70.0)
