"""Laterals flushed together."""

import numpy as np
import pytest

from aanplant.water.flushing import flushing
from aanplant.water.network import solve
from aanplant.water.velocity import FLUSHING_M_S, open_ends
from tests.water.networks import comb

BLOCK = comb([80] * 12, slope_x=0.0, slope_y=0.0, bores=(0.0206,), source_m=5.0)
ENDS = np.arange(1, 13) * 81


def slowest(number):
    opened = open_ends(ENDS[-number:], BLOCK.diameter_m, BLOCK.coefficient, BLOCK.exponent)
    flows = solve(*BLOCK.arguments[:4], opened.coefficient, opened.exponent, BLOCK.source_m)
    return flows.velocity_m_s[ENDS[-number:]].min()


def test_as_many_laterals_are_flushed_at_once_as_all_run_fast_enough():
    found = flushing(*BLOCK.arguments, ENDS)

    assert 1 <= found.at_once < 12
    assert found.slowest_m_s == slowest(found.at_once) >= FLUSHING_M_S
    assert slowest(found.at_once + 1) < FLUSHING_M_S


def test_a_small_pump_flushes_fewer_laterals():
    free = flushing(*BLOCK.arguments, ENDS)

    held = flushing(*BLOCK.arguments, ENDS, flow_available_m3_s=0.999 * free.flow_m3_s)

    assert held.at_once < free.at_once
    assert held.flow_m3_s < free.flow_m3_s


def test_with_little_head_no_lateral_is_washed_clean():
    weak = BLOCK.but(source_m=1.2)

    found = flushing(*weak.arguments, ENDS)

    assert found.at_once == 0
    assert 0 < found.slowest_m_s < FLUSHING_M_S


def test_nothing_to_flush_is_refused():
    with pytest.raises(ValueError, match="ends must name"):
        flushing(*BLOCK.arguments, [])
