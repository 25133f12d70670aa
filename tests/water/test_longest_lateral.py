"""How long a lateral may be in each bore: by another search, at the limit, and in the plan."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from aanplant.water.emitters import EmitterLaw
from aanplant.water.lateral_bores import LateralLines, tabulate
from aanplant.water.lateral_choice import LateralLimits
from aanplant.water.lateral_run import Lateral, longest_emitters
from aanplant.water.longest_lateral import longest_laterals

BORES = (0.0122, 0.0142, 0.0176)
TWO_LPH = 2.0 / 3.6e6
PLAIN = EmitterLaw(TWO_LPH, 10.0, 0.5)
REGULATING = EmitterLaw(
    TWO_LPH, 10.0, 0.0, is_compensating=True, lowest_head_m=6.0, highest_head_m=35.0
)


def straight(drippers, rise=0.0, spacing=0.6):
    steps = np.full(drippers, spacing)
    return LateralLines(np.zeros(drippers, np.intp), steps, rise * np.cumsum(steps))


@pytest.mark.parametrize("rise", [0.0, 0.01])
def test_a_plain_lateral_is_as_long_as_another_search_finds(rise):
    found = longest_laterals(BORES, PLAIN, LateralLimits(0.10), 0.6, rise=rise)

    for one in found:
        line = Lateral(one.bore_m, 0.6, PLAIN.coefficient, first_m=0.6, slope=rise)
        expected = longest_emitters(line, TWO_LPH)
        got = one.length_m if rise == 0.0 else one.uphill_m
        assert got == pytest.approx(0.6 * expected)


@settings(max_examples=25)
@given(st.floats(0.0, 0.05), st.sampled_from(BORES), st.floats(15.0, 60.0))
def test_a_regulating_lateral_ends_where_one_dripper_more_asks_too_much(rise, bore, rated_m):
    limits = LateralLimits(0.10, rated_m)
    (found,) = longest_laterals([bore], REGULATING, limits, 0.6, rise=rise)

    for length, climbs in ((found.length_m, 0.0), (found.uphill_m, rise)):
        drippers = round(length / 0.6)
        fits = tabulate(straight(drippers, climbs), [bore], REGULATING)
        more = tabulate(straight(drippers + 1, climbs), [bore], REGULATING)
        most_m = REGULATING.highest_head_m
        assert fits.inlet_m[0, 0] <= rated_m
        assert fits.most_m[0, 0] <= most_m
        assert more.inlet_m[0, 0] > rated_m or more.most_m[0, 0] > most_m
    assert found.inlet_m == pytest.approx(
        tabulate(straight(round(found.length_m / 0.6)), [bore], REGULATING).inlet_m[0, 0]
    )
    assert found.uphill_m <= found.length_m


def test_a_line_too_weak_for_the_dripper_has_no_length():
    (found,) = longest_laterals([0.0142], REGULATING, LateralLimits(0.10, 5.0), 0.6)

    assert found.length_m == found.uphill_m == found.inlet_m == 0.0
    assert math.isfinite(found.rise)
