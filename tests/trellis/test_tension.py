"""Sag, pull and warmth of wires beside printed numbers, and the laws they must keep."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.trellis.tension import (
    catenary_sag_m,
    growth_m,
    pull_for_tension_n,
    sag_m,
    stretch_m,
    tension_from_pull_n,
    thermal_change_n,
)
from aanplant.trellis.wire_strength import STEEL_EXPANSION_PER_K, axial_stiffness_n, weight_n_per_m
from aanplant.trellis.wires import change_of_state

STIFFNESS_N = axial_stiffness_n(2.5)
OWN_N_M = weight_n_per_m(2.5)
SPAN_M = 6.0
STRAINED_N = 1000.0
INCH_M = 0.0254

pulls = st.floats(50.0, 10_000.0)
spans = st.floats(0.5, 30.0)
loads = st.floats(0.0, 300.0)
warmths = st.floats(-60.0, 60.0)


def changed(load_n_m, warmer_k, tension_n=STRAINED_N, span_m=SPAN_M):
    return change_of_state(
        tension_n, span_m, OWN_N_M, load_n_m, STIFFNESS_N, STEEL_EXPANSION_PER_K, warmer_k
    )


@pytest.mark.published(
    source="parabola f = w L2 / 8T and catenary of any handbook of statics, reckoned apart",
    quantity="sag of a 2.5 mm wire over 6 m at 1000 N",
    unit="mm",
)
def test_sag_of_a_span_under_its_own_weight_and_under_crop(published):
    published.equal(1e3 * sag_m(OWN_N_M, 6.0, 1000.0), printed=1.70, tolerance=0.005, label="bare")
    published.equal(
        1e3 * sag_m(40.0, 6.0, 1000.0), printed=180.0, tolerance=0.05, label="40 N/m, parabola"
    )
    published.equal(
        1e3 * catenary_sag_m(40.0, 6.0, 1000.0),
        printed=180.2,
        tolerance=0.05,
        label="40 N/m, catenary",
    )


@pytest.mark.published(
    source="Iowa viticulture article on the board tester: reading times 20",
    quantity="pull of a wire over the reading, pegs 40 in apart, drawn aside by half an inch",
    unit="",
)
def test_the_board_tester_multiplies_its_reading_by_twenty(published):
    reading_n = 50.0

    pull_n = tension_from_pull_n(reading_n, 0.5 * INCH_M, 40.0 * INCH_M)

    published.equal(pull_n / reading_n, printed=20, tolerance=1e-9)
    assert pull_for_tension_n(pull_n, 0.5 * INCH_M, 40.0 * INCH_M) == pytest.approx(reading_n)


@pytest.mark.published(
    source="dT = -EA alpha dtheta, E 200 GPa and alpha 12e-6 from memory, reckoned apart",
    quantity="change of pull of a straight 2.5 mm wire between fixed ends",
    unit="N",
)
def test_warmth_slackens_a_straight_wire(published):
    def change(warmer_k):
        return thermal_change_n(STIFFNESS_N, STEEL_EXPANSION_PER_K, warmer_k)

    published.equal(change(1.0), printed=-11.78, tolerance=0.005, label="1 K")
    published.equal(change(20.0), printed=-235.6, tolerance=0.05, label="20 K")


@pytest.mark.published(
    source="dL = T L / EA and alpha L dtheta, E 200 GPa from memory, reckoned apart",
    quantity="length gained by 100 m of 2.5 mm wire",
    unit="mm",
)
def test_stretch_of_a_hundred_metres(published):
    published.equal(
        1e3 * stretch_m(1000.0, 100.0, STIFFNESS_N), printed=101.9, tolerance=0.05, label="1000 N"
    )
    published.equal(
        1e3 * growth_m(100.0, STEEL_EXPANSION_PER_K, 20.0),
        printed=24.0,
        tolerance=0.05,
        label="20 K warmer",
    )


@pytest.mark.published(
    source="change of state of a conductor between fixed ends, a table reckoned apart",
    quantity="pull of a 2.5 mm wire strained to 1000 N over 6 m",
    unit="N",
)
def test_change_of_state_table(published):
    printed = {
        (OWN_N_M, 20.0): 764.5,
        (OWN_N_M, -20.0): 1235.5,
        (OWN_N_M, 30.0): 646.9,
        (40.0, 0.0): 1760.2,
        (40.0, 20.0): 1640.1,
        (60.0, 0.0): 2148.4,
        (60.0, 20.0): 2039.1,
    }
    for (load_n_m, warmer_k), pull_n in printed.items():
        published.equal(
            changed(load_n_m, warmer_k),
            printed=pull_n,
            tolerance=0.05,
            label=f"{load_n_m:.4g} N/m, {warmer_k:+.0f} K",
        )


@pytest.mark.published(
    source="change of state of a conductor between fixed ends, a table reckoned apart",
    quantity="sag of a 2.5 mm wire strained to 1000 N over 6 m",
    unit="mm",
)
def test_sag_after_a_change_of_state(published):
    printed = {(40.0, 0.0): 102.3, (40.0, 20.0): 109.7, (60.0, 0.0): 125.7, (60.0, 20.0): 132.4}
    for (load_n_m, warmer_k), sag_mm in printed.items():
        published.equal(
            1e3 * sag_m(load_n_m, SPAN_M, changed(load_n_m, warmer_k)),
            printed=sag_mm,
            tolerance=0.05,
            label=f"{load_n_m:g} N/m, {warmer_k:+.0f} K",
        )


@given(loads, spans, pulls, st.floats(0.0, 5000.0))
def test_more_pull_never_more_sag(load_n_m, span_m, pull_n, more_n):
    assert sag_m(load_n_m, span_m, pull_n + more_n) <= sag_m(load_n_m, span_m, pull_n)


@given(st.floats(0.01, 100.0), spans, pulls)
def test_the_catenary_sags_no_less_than_the_parabola_and_meets_it_when_flat(w, span_m, pull_n):
    parabola, catenary = sag_m(w, span_m, pull_n), catenary_sag_m(w, span_m, pull_n)

    assert catenary >= parabola
    if parabola < span_m / 50:
        assert catenary == pytest.approx(parabola, rel=2e-3)


@given(loads, st.floats(0.0, 100.0), warmths, pulls, spans)
def test_more_load_never_less_pull(load_n_m, more_n_m, warmer_k, pull_n, span_m):
    light = changed(load_n_m, warmer_k, pull_n, span_m)
    heavy = changed(load_n_m + more_n_m, warmer_k, pull_n, span_m)

    assert heavy >= light * (1.0 - 1e-12)


@given(loads, warmths, st.floats(0.0, 40.0), pulls, spans)
def test_more_heat_never_more_pull(load_n_m, warmer_k, more_k, pull_n, span_m):
    cool = changed(load_n_m, warmer_k, pull_n, span_m)
    warm = changed(load_n_m, warmer_k + more_k, pull_n, span_m)

    assert warm <= cool * (1.0 + 1e-12)


@given(loads, warmths, pulls, spans)
def test_the_new_pull_solves_the_equation(load_n_m, warmer_k, pull_n, span_m):
    after_n = float(changed(load_n_m, warmer_k, pull_n, span_m))

    stretched = (OWN_N_M * span_m / pull_n) ** 2 * STIFFNESS_N / 24.0 - pull_n
    warmed = STIFFNESS_N * STEEL_EXPANSION_PER_K * warmer_k
    if load_n_m == 0.0 and stretched + warmed >= 0.0:
        assert after_n == 0.0
        return
    sagging = (load_n_m * span_m) ** 2 * STIFFNESS_N / 24.0
    terms = (after_n**3, after_n**2 * (stretched + warmed), sagging)
    scale = max(abs(term) for term in terms)
    assert abs(terms[0] + terms[1] - terms[2]) <= 1e-9 * scale


@given(st.floats(0.1, 300.0), warmths, pulls, spans)
def test_there_and_back_again_the_pull_is_as_it_was(load_n_m, warmer_k, pull_n, span_m):
    there = changed(load_n_m, warmer_k, pull_n, span_m)
    back = change_of_state(
        there, span_m, load_n_m, OWN_N_M, STIFFNESS_N, STEEL_EXPANSION_PER_K, -warmer_k
    )

    assert back == pytest.approx(pull_n, rel=1e-6)


def test_a_bare_wire_without_weight_goes_slack_and_no_further():
    slack = change_of_state(100.0, 6.0, 0.0, 0.0, STIFFNESS_N, STEEL_EXPANSION_PER_K, 50.0)

    assert slack == 0.0


def test_rows_and_lines_and_cases_broadcast():
    span_m = np.array([4.0, 6.0, 8.0])[:, None, None]
    load_n_m = np.array([0.4, 40.0])[:, None]
    warmer_k = np.array([-20.0, 0.0, 20.0, 30.0])

    pull_n = changed(load_n_m, warmer_k, 1000.0, span_m)

    assert pull_n.shape == (3, 2, 4)
    assert pull_n[1, 1, 2] == pytest.approx(float(changed(40.0, 20.0)))


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({"tension_n": 0.0}, "tension_n"),
        ({"tension_n": math.nan}, "tension_n"),
        ({"span_m": 0.0}, "span_m"),
        ({"span_m": [6.0, -1.0]}, "span_m"),
        ({"axial_stiffness_n": -1.0}, "axial_stiffness_n"),
        ({"load_before_n_m": -0.1}, "load_before_n_m"),
        ({"load_after_n_m": -40.0}, "load_after_n_m"),
    ],
)
def test_what_no_wire_can_be_is_refused(change, named):
    usual = {
        "tension_n": 1000.0,
        "span_m": 6.0,
        "load_before_n_m": 0.4,
        "load_after_n_m": 40.0,
        "axial_stiffness_n": STIFFNESS_N,
        "expansion_per_k": STEEL_EXPANSION_PER_K,
        "temperature_change_k": 0.0,
    }

    with pytest.raises(ValueError, match=named):
        change_of_state(**(usual | change))


@pytest.mark.parametrize("tension_n", [0.0, -5.0])
def test_sag_without_pull_is_refused(tension_n):
    with pytest.raises(ValueError, match="tension_n"):
        sag_m(40.0, 6.0, tension_n)
    with pytest.raises(ValueError, match="tension_n"):
        catenary_sag_m(40.0, 6.0, tension_n)
    with pytest.raises(ValueError, match="deflection_m"):
        tension_from_pull_n(50.0, 0.0, 1.0)
