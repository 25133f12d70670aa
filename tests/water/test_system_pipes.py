"""A whole system: cut into reaches, sized, and solved as the one network that it is."""

import numpy as np
import pytest

from aanplant.water.emitters import EmitterLaw
from aanplant.water.lateral_bores import tabulate
from aanplant.water.lateral_choice import LateralLimits, choose_bore
from aanplant.water.pipe_choice import size_pipes
from aanplant.water.pipes import pipes_of
from aanplant.water.system import MAINLINE, SUBMAIN
from aanplant.water.system_pipes import (
    hardest_laterals,
    lateral_lines,
    system_reaches,
)
from tests.water.blocks import block, ground, rectangle

HILL = ground(lambda x, y: 300.0 + 0.01 * y + 0.02 * x + 1.0 * np.sin(x / 40.0))
LAW = EmitterLaw(2.0 / 3.6e6, 10.0, 0.5)


@pytest.fixture(scope="module")
def laid():
    made = block(rectangle(150.0, 120.0), terrain=HILL, water={"flow_available": 7.0})
    return made, made.system((-95.0, -80.0))


@pytest.fixture(scope="module")
def sized(laid):
    made, system = laid
    chosen = choose_bore(
        lateral_lines(system, hardest_laterals(system)),
        [pipe.bore_m for pipe in pipes_of("LDPE")],
        LAW,
        LateralLimits(made.brief.pipes.flow_variation),
    )
    every = lateral_lines(system, np.arange(len(system.laterals)))
    inlet_m = tabulate(every, [chosen.bore_m], LAW).inlet_m[:, 0]
    reaches = system_reaches(system, inlet_m, valve_loss_m=2.0)
    highest = float(reaches.reaches.least_head_m.max())
    found = size_pipes(
        made.brief.pipes, reaches.reaches, reaches.kinds, reaches.low_m, highest + 5.0
    )
    return reaches, found, chosen.bore_m, inlet_m, highest + 5.0


def test_every_pipe_but_the_laterals_is_a_reach_with_the_flow_of_its_sets(laid, sized):
    _, system = laid
    reaches, *_ = sized

    assert len(system.sets) > 2
    own = reaches.reaches
    assert own.length_m.sum() == pytest.approx(
        system.total_length_m(MAINLINE) + system.total_length_m(SUBMAIN)
    )
    from_source = own.up == -1
    np.testing.assert_allclose(
        np.bincount(own.set[from_source], own.flow_m3_s[from_source]), system.sets.flow_m3_s
    )
    assert own.name[0].startswith("mainline, ")
    assert all(name.startswith(kind) for name, kind in zip(own.name, reaches.kinds, strict=True))


def test_the_hardest_laterals_are_even_and_so_are_all_others(laid, sized):
    made, system = laid
    _, _, lateral_bore_m, *_ = sized
    every = lateral_lines(system, np.arange(len(system.laterals)))

    table = tabulate(every, [lateral_bore_m], LAW)

    assert len(hardest_laterals(system)) <= 3 * len(system.sets)
    assert table.variation.max() <= made.brief.pipes.flow_variation
