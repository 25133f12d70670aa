"""Pipe against the energy of the pump, in a whole system, and what a season's pumping costs."""

from decimal import Decimal

import numpy as np
import pytest

from aanplant.inputs import Inputs, Outline, PriceLine
from aanplant.water.design import design
from aanplant.water.energy import head_price, season_volume_m3
from aanplant.water.pipes import pipes_of
from aanplant.water.system import LATERAL
from tests.water.blocks import block, ground, rectangle
from tests.water.test_needs import ET0, RAIN

HILL = ground(lambda x, y: 300.0 + 0.012 * y + 0.02 * x)
DEAR = 100.0
PRICES = tuple(
    PriceLine(pipe.item, "m", Decimal(f"{60.0 * pipe.weight_kg_m:.4f}"), None)
    for pipe in pipes_of("PVC-U")
)
PLAIN = {"pressure_compensating": False, "exponent": 0.5, "pressure": 98.0, "variation": 0.03}
RECOVERY = 0.10 / (1.0 - 1.10**-15)


def watered(pump, *, water=None):
    made = block(
        rectangle(100, 100),
        terrain=HILL,
        water={"flow_available": 12, **(water or {})},
        demand={"et0_by_month": ET0, "rain_by_month": RAIN},
        pump=pump,
    )
    source = made.source((-300.0, -80.0))
    inputs = Inputs(Outline("b.geojson", "polygon", ()), prices=PRICES, water_source=source)
    return made.brief, design(made.brief, made.site, made.stock, made.layout, inputs)


def pipe_cost(system):
    price = {line.item: float(line.price) for line in PRICES}
    return sum(
        price[pipe.item] * metres
        for kind in ("mainline", "submain")
        for pipe, metres in system.metres[kind].items()
    )


def yearly(water, per_m):
    return pipe_cost(water.system) * RECOVERY + per_m * float(water.system.duties.head_m.max())


@pytest.fixture(scope="module")
def weighed():
    return watered({"energy_price": DEAR})


def test_dear_energy_widens_the_pipes_and_lowers_the_head(weighed):
    _, plain = watered({})
    _, dear = weighed

    assert dear.system.weighed_m3 == pytest.approx(season_volume_m3(dear.use.needs), rel=0.05)
    assert plain.system.weighed_m3 is None
    assert pipe_cost(dear.system) > pipe_cost(plain.system)
    assert dear.system.duties.head_m.max() < plain.system.duties.head_m.max()
    told = [one.message for one in dear.findings]
    assert "system.pipes_weighed" in told
    assert "system.pipes_weighed" not in [one.message for one in plain.findings]


@pytest.mark.parametrize("emitter", [{}, PLAIN])
def test_no_pump_of_any_head_makes_a_cheaper_year(emitter):
    """Every head in steps of a metre, by a pump of that head at any flow."""
    water = {"emitter": {"flow": 2.0, "spacing": 0.6, **emitter}}
    brief, chosen = watered({"energy_price": DEAR}, water=water)
    per_m = head_price(brief, chosen.system.weighed_m3)
    asked = float(chosen.system.duties.head_m.max())

    tried = []
    for head in np.arange(asked - 2.0, asked + 8.0, 1.0):
        _, other = watered({"curve": [(0.0, head + 0.01), (40.0, head)]}, water=water)
        if other.system.duties.head_m.max() <= head + 0.02:
            tried.append(pipe_cost(other.system) * RECOVERY + per_m * head)

    assert len(tried) > 4
    # Sizes change at junctions as laid, where the programme would part a pipe.
    assert yearly(chosen, per_m) <= min(tried) * 1.01


def test_the_cost_of_energy_is_that_of_the_season_pumped(weighed):
    _, water = weighed
    figures = {one.key: one.value for one in water.figures}
    duties, volume = water.system.duties, season_volume_m3(water.use.needs)
    share = duties.flow_m3_s / duties.flow_m3_s.sum()

    assert figures["water.pump.season_volume"] == pytest.approx(volume)
    assert figures["water.pump.energy_cost"] == pytest.approx(
        (share * volume * duties.kwh_per_m3).sum() * DEAR
    )
    assert figures["water.pump.recovery"] == pytest.approx(RECOVERY)
    assert figures["water.pump.head_price"] == pytest.approx(
        9.7890 * water.system.weighed_m3 / 3600.0 * DEAR / (0.70 * 0.90), rel=1e-4
    )
    assert water.system.system.total_length_m(LATERAL) > 0.0
