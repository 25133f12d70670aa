"""The pull in every wire of every row: what breaks is named, with its row."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.brief import parse_brief
from aanplant.trellis.systems import system_names, system_of
from aanplant.trellis.wire_states import CASES, wire_states
from aanplant.trellis.wire_strength import (
    STANDARD_GRAVITY,
    STEEL_EXPANSION_PER_K,
    axial_stiffness_n,
    break_load_n,
    usual_tension_n,
    weight_n_per_m,
)
from aanplant.trellis.wires import change_of_state

SMALLEST = '[block]\nboundary = "a.gpx"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'
SPANS_M = np.array([5.0, 6.0, 7.5])
HOT_K, COLD_K = 25.0, -23.0


def system(lines=""):
    return system_of(parse_brief(SMALLEST + lines, "brief.toml"))


def cordon(diameter_mm, grade, tension_n):
    return system(
        f'[[trellis.wires]]\nname = "cordon"\nheight = 0.9\ndiameter = {diameter_mm}\n'
        f'grade = "{grade}"\ntension = {tension_n}\n'
    )


def states(of, span_m=SPANS_M, crop_n_m=25.0, canopy_n_m=15.0):
    return wire_states(of, span_m, crop_n_m, canopy_n_m, hot_k=HOT_K, cold_k=COLD_K)


def test_each_cell_is_the_change_of_state_of_its_row_and_line():
    made = system()
    found = states(made)
    wire = made.wires[0]
    own = weight_n_per_m(wire.diameter_mm)

    alone = change_of_state(
        found.installed_n[2, 0],
        7.5,
        own,
        own + 40.0,
        axial_stiffness_n(wire.diameter_mm),
        STEEL_EXPANSION_PER_K,
        HOT_K,
    )

    assert found.hot_n.shape == (3, len(made.wires))
    assert found.hot_n[2, 0] == pytest.approx(float(alone))


def test_only_load_bearing_wires_carry_the_crop():
    bare, laden = states(system(), crop_n_m=0.0, canopy_n_m=0.0), states(system())

    assert (laden.crop_n[:, 0] > bare.crop_n[:, 0]).all()
    np.testing.assert_array_equal(laden.crop_n[:, 1:], bare.crop_n[:, 1:])
    np.testing.assert_allclose(bare.crop_n, bare.installed_n)


def test_strands_side_by_side_share_the_crop():
    two = system('[trellis]\nsystem = "lyre"')

    shared, alone = states(two), states(two, crop_n_m=12.5, canopy_n_m=7.5)

    assert (shared.crop_n[:, 0] > alone.crop_n[:, 0]).all()
    assert shared.sag_crop_m[1, 0] * shared.crop_n[1, 0] == pytest.approx(
        (20.0 + weight_n_per_m(2.5)) * 36.0 / 8.0
    )


def test_the_heaviest_year_counts():
    by_year = states(system(), crop_n_m=[0.0, 10.0, 25.0, 20.0], canopy_n_m=[2.0, 5.0, 9.0, 15.0])

    np.testing.assert_allclose(by_year.crop_n, states(system(), crop_n_m=20.0).crop_n)


def test_the_references_usual_pull_on_mild_wire_is_caught():
    """1.25 kN in 2.5 mm mild wire: above a third of its break load, and crop breaks it."""
    found = states(cordon(2.5, "mild", usual_tension_n("cordon")))

    assert {breach.kind for breach in found.breaches()} == {
        "installed_above_limit",
        "crop_above_safe",
        "cold_above_safe",
    }
    crop = next(breach for breach in found.breaches() if breach.kind == "crop_above_safe")
    assert crop.row == 2
    assert crop.limit == pytest.approx(0.6 * break_load_n(2.5, "mild"))
    assert found.worst_case.tolist() == [["crop"]] * 3
    assert found.utilisation[2, 0] > 1.0


def test_the_same_pull_in_high_strain_wire_is_within_its_limits():
    assert states(cordon(2.8, "high strain", usual_tension_n("cordon"))).breaches() == ()


def test_a_default_pull_is_never_itself_a_breach():
    for name in ("single-wire", "vertical-7", "double-cordon", "lyre", "gable"):
        found = states(system(f'[trellis]\nsystem = "{name}"'))

        assert "installed_above_limit" not in {breach.kind for breach in found.breaches()}


@pytest.mark.parametrize("name", system_names())
def test_every_system_of_the_table_bears_a_common_crop(name):
    """12 t/ha in rows of 2.5 m and 4 kg/m of canopy, posts 6 m apart."""
    crop_n_m, canopy_n_m = 3.0 * STANDARD_GRAVITY, 4.0 * STANDARD_GRAVITY

    found = states(system(f'[trellis]\nsystem = "{name}"'), 6.0, crop_n_m, canopy_n_m)

    assert found.breaches() == ()


def test_the_coldest_night_can_be_the_worst_case():
    found = states(cordon(2.24, "high strain", 2000.0), crop_n_m=0.0, canopy_n_m=0.0)

    assert found.worst_case.tolist() == [["cold"]] * 3
    assert found.utilisation.max() == pytest.approx(
        found.cold_n.max() / break_load_n(2.24, "high strain")
    )


def test_pull_and_moment_of_a_row_add_up_over_its_strands():
    """Published case of a seven-strand row: cordon 1500 N, six foliage strands of 500 N."""
    heights = {"cordon": (0.75, 1, 1500), "a": (1.05, 2, 500), "b": (1.35, 2, 500)}
    heights["c"] = (1.7, 2, 500)
    made = system(
        "".join(
            f'[[trellis.wires]]\nname = "{name}"\nheight = {height}\ndiameter = 2.5\n'
            f"strands = {strands}\ntension = {pull}\n"
            for name, (height, strands, pull) in heights.items()
        )
    )

    found = states(made)

    assert found.row_pull_n("installed") == pytest.approx(np.full(3, 4500.0))
    assert found.row_moment_nm("installed") == pytest.approx(np.full(3, 5225.0))
    assert (found.row_pull_n("crop") > 4500.0).all()


def test_bush_vines_have_no_wires_and_no_trouble():
    found = states(system('[trellis]\nsystem = "bush"'))

    assert found.crop_n.shape == (3, 0)
    assert found.breaches() == ()
    assert found.row_pull_n("crop").tolist() == [0.0, 0.0, 0.0]


def test_a_block_without_rows_breaks_nothing():
    assert states(system(), np.empty(0)).breaches() == ()


def test_a_pull_asked_too_high_is_no_matter_of_one_row():
    installed = states(cordon(2.5, "mild", 700.0)).breaches()[0]

    assert (installed.kind, installed.row) == ("installed_above_limit", None)
    assert (installed.value, installed.unit) == (700.0, "N")
    assert installed.limit == pytest.approx(break_load_n(2.5, "mild") / 3.0)


@given(st.floats(1.0, 15.0), st.floats(0.0, 150.0), st.floats(0.0, 50.0), st.floats(0.0, 30.0))
def test_heat_slackens_crop_tightens_and_longer_spans_sag_more(span_m, crop, canopy, more_m):
    found = states(system(), np.array([span_m, span_m + more_m]), crop, canopy)

    assert (found.hot_n <= found.crop_n * (1 + 1e-12)).all()
    assert (found.crop_n >= found.installed_n * (1 - 1e-12)).all()
    assert (found.cold_n >= found.installed_n * (1 - 1e-12)).all()
    assert (found.sag_hot_m >= found.sag_crop_m * (1 - 1e-12)).all()
    assert (found.sag_crop_m[1] >= found.sag_crop_m[0] * (1 - 1e-12)).all()
    assert set(found.worst_case.ravel()) <= set(CASES)


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({"span_m": [6.0, 0.0]}, "span_m"),
        ({"crop_n_m": -1.0}, "crop_n_m"),
        ({"canopy_n_m": [2.0, -1.0]}, "canopy_n_m"),
        ({"hot_k": -1.0}, "hot_k"),
        ({"cold_k": 5.0}, "cold_k"),
    ],
)
def test_what_cannot_be_is_refused(change, named):
    usual = {"span_m": 6.0, "crop_n_m": 25.0, "canopy_n_m": 15.0, "hot_k": 25.0, "cold_k": -23.0}

    with pytest.raises(ValueError, match=named):
        wire_states(system(), **(usual | change))
