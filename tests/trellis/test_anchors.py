"""What anchors hold: printed values, and the laws they must keep."""

import dataclasses

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.trellis.anchors import (
    AnchorSoil,
    bearing_n,
    breakout_n,
    deadman_n,
    deadman_uplift_n,
    helix_area_m2,
    helix_from_torque_n,
    helix_n,
    overburden_factor,
    plate_n,
    torque_for_nm,
)

OWN = "own working from the formulas of docs/ends.md, vineyard reference notes A7"
CLAY = AnchorSoil(50e3, 30.0, 17e3)
SAND = AnchorSoil(0.0, 30.0, 17e3)

diameters = st.floats(50.0, 600.0)
depths = st.floats(0.2, 4.0)
frictions = st.floats(20.0, 45.0)


@pytest.mark.published(source=OWN, quantity="area of a helix of 150 mm", unit="m2")
def test_the_area_of_a_helix(published):
    published.equal(helix_area_m2(150.0), printed=0.01767, tolerance=0.000005)


@pytest.mark.published(
    source=f"{OWN}; Nc = 9 and a factor of 2 as notes of a supplier of helical anchors print them",
    quantity="what a helix holds in clay of 50 kPa",
    unit="kN",
)
def test_what_a_helix_holds_in_clay(published):
    deep = helix_n(150.0, 1.2, CLAY) / 1000.0
    small = helix_n(100.0, 1.2, CLAY) / 1000.0

    published.equal(deep, printed=7.95, tolerance=0.005, label="150 mm")
    published.equal(deep / 2.0, printed=3.98, tolerance=0.005, label="150 mm, allowed")
    published.equal(small / 2.0, printed=1.77, tolerance=0.005, label="100 mm, allowed")


@pytest.mark.published(
    source="trellis slides, Iowa State University (2002): helices of 4 in and 6 in for rows of "
    "250 and 600 ft; ratio by own working",
    quantity="area of a 4 in helix over a 6 in one",
    unit="%",
)
def test_the_areas_of_two_helices(published):
    share = helix_area_m2(4 * 25.4) / helix_area_m2(6 * 25.4)

    # 4/9 is 44.44: the notes' 44.5 is rounded to the half.
    published.equal(100.0 * share, printed=44.5, tolerance=0.1)


@pytest.mark.published(
    source="notes of a supplier of helical anchors: Kt = 10 to the foot for a shaft of 1.5 in",
    quantity="pull over torque, a torque of 1000 lbf ft",
    unit="lbf",
)
def test_the_torque_of_a_helix(published):
    torque_nm = 1000.0 * 4.44822 * 0.3048

    published.equal(helix_from_torque_n(torque_nm) / 4.44822, printed=10000, tolerance=0.5)


@pytest.mark.published(
    source=f"{OWN}; formula from memory", quantity="what a deadman holds sideways", unit="kN"
)
def test_what_a_deadman_holds(published):
    published.equal(deadman_n(0.9, 1.2, SAND) / 1000.0, printed=22.0, tolerance=0.05)


@pytest.mark.published(
    source="Nq of Prandtl and Reissner as handbooks of foundations print it; from memory",
    quantity="bearing factor Nq",
    unit="",
)
@pytest.mark.parametrize(("phi", "printed"), [(0, 1.0), (20, 6.4), (30, 18.4), (40, 64.2)])
def test_the_bearing_factor_of_friction(published, phi, printed):
    published.equal(overburden_factor(phi), printed=printed, tolerance=0.05, label=f"{phi} deg")


@given(diameters, depths, frictions)
def test_a_deeper_or_wider_helix_never_holds_less(diameter, depth, friction):
    for soil in (CLAY, AnchorSoil(0.0, friction, 17e3)):
        held = helix_n(diameter, depth, soil)

        assert helix_n(diameter, 1.1 * depth, soil) >= held * (1 - 1e-12)
        assert helix_n(1.1 * diameter, depth, soil) >= held * (1 - 1e-12)


@given(diameters, depths)
def test_a_helix_holds_no_more_than_either_way_of_failing(diameter, depth):
    area = helix_area_m2(diameter)

    assert helix_n(diameter, depth, CLAY) <= bearing_n(area, 50e3)
    assert helix_n(diameter, depth, SAND) <= breakout_n(diameter, depth, SAND)


@given(depths, st.floats(0.3, 4.0), frictions)
def test_stronger_soil_never_holds_less(depth, length, friction):
    weak, strong = AnchorSoil(0.0, friction, 17e3), AnchorSoil(0.0, friction + 1.0, 17e3)

    assert deadman_n(depth, length, strong) > deadman_n(depth, length, weak)
    assert deadman_uplift_n(depth, length, 0.4, strong) > deadman_uplift_n(depth, length, 0.4, weak)


def test_twice_the_depth_holds_up_to_six_times_as_much():
    # A page on ground anchors: doubling the depth can raise the capacity up to six times.
    ratio = helix_n(150.0, 0.6, SAND) / helix_n(150.0, 0.3, SAND)

    assert 2.0 < ratio < 6.0


def test_water_in_the_ground_halves_what_an_anchor_holds():
    wet_clay = dataclasses.replace(CLAY, is_waterlogged=True)
    wet_sand = dataclasses.replace(SAND, is_waterlogged=True)

    assert helix_n(150.0, 1.2, wet_clay) == pytest.approx(helix_n(150.0, 1.2, CLAY) / 2.0)
    assert deadman_n(0.9, 1.2, wet_sand) == pytest.approx(deadman_n(0.9, 1.2, SAND) / 2.0)


def test_a_plate_holds_as_a_round_one_of_its_area():
    side = np.sqrt(helix_area_m2(200.0))

    assert plate_n(side, side, 1.0, CLAY) == pytest.approx(helix_n(200.0, 1.0, CLAY))


def test_the_torque_asked_for_holds_what_was_asked():
    assert helix_from_torque_n(torque_for_nm(7950.0)) == pytest.approx(7950.0)


def test_a_deadman_comes_up_with_its_soil_and_the_friction_on_its_sides():
    # 17 kN/m3: soil 0.9 x 1.2 x 0.4 m; sides 0.81 x 0.95 x tan 30 x 1.6 m3.
    by_hand = 17e3 * (0.432 + 0.81 * 0.95 * np.tan(np.pi / 6) * 1.6)

    assert deadman_uplift_n(0.9, 1.2, 0.4, SAND) == pytest.approx(by_hand)


@pytest.mark.parametrize(("diameter", "depth"), [(0.0, 1.0), (150.0, 0.0), (np.nan, 1.0)])
def test_a_helix_of_no_size_or_depth_is_refused(diameter, depth):
    with pytest.raises(ValueError, match="above 0"):
        helix_n(diameter, depth, CLAY)
