"""One thing moved at a time, and futures by chance, beside what probability says of them."""

import dataclasses

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import betabinom

from aanplant.work.cash_model import CashModel, crop_shares, net_flows, present_values
from aanplant.work.money_risk import Losses, break_even, simulate, tornado, worth

SHARES = np.array([0, 0, 0.4, 0.8, 1, 1, 1, 1, 1, 1, 1.0])
MODEL = CashModel(
    np.array([50_000.0, 90_000.0]), np.array([400_000.0, *[0.0] * 10]), np.full(11, 30_000.0),
    SHARES, 60.0, 4000.0, 500.0, 10_000.0, 80_000.0, 2, "real", 0.06, 0.05,
)  # fmt: skip
LOSSES = Losses(1000, 1060, 0.03, 0.02, 3)
SURE = Losses(1000, 1000, 0.0, 0.0, 1)
NO_CHANCE = {
    "price_spread": 0.0, "price_swing": 0.0, "yield_spread": 0.0, "yield_swing": 0.0,
    "cost_spread": 0.0, "delay_chance": 0.0,
}  # fmt: skip


def test_without_any_chance_every_future_is_the_plan():
    seen = simulate(MODEL, SURE, draws=100, seed=1, **NO_CHANCE)

    assert seen.npv == pytest.approx(np.full(100, worth(MODEL)))


def test_the_mean_of_the_futures_is_the_plan_where_only_prices_and_yields_move():
    spreads = NO_CHANCE | {"price_spread": 0.3, "yield_spread": 0.2, "price_swing": 0.3}
    seen = simulate(MODEL, SURE, draws=200_000, seed=3, **spreads)

    error = seen.npv.std() / np.sqrt(len(seen.npv))
    assert abs(seen.npv.mean() - worth(MODEL)) < 4 * error


def test_the_spread_of_a_lasting_price_is_that_of_its_present_value():
    seen = simulate(MODEL, SURE, draws=200_000, seed=5, **NO_CHANCE | {"price_spread": 0.2})

    income = worth(MODEL) - worth(MODEL, price=0.0)
    assert seen.npv.std() == pytest.approx(0.2 * income, rel=0.01)


def test_losses_are_drawn_from_the_model_of_the_spares():
    one_batch = dataclasses.replace(LOSSES, batches=1)
    drawn = one_batch.drawn(np.random.default_rng(2), 200_000)
    spread = 1 / 0.02 - 1
    beside = betabinom(1060, 0.03 * spread, 0.97 * spread)

    short = np.mean(drawn["gaps"] > 0)
    assert short == pytest.approx(beside.sf(60), abs=0.004)
    whole = (drawn["gaps"] + drawn["replaced"]) * 1000
    assert whole.mean() == pytest.approx(beside.mean(), rel=0.01)


def test_losses_without_batch_variation_are_binomial():
    alike = dataclasses.replace(LOSSES, correlation=0.0)
    drawn = alike.drawn(np.random.default_rng(2), 100_000)

    lost = (drawn["gaps"] + drawn["replaced"]) * 1000
    assert lost.var() == pytest.approx(1060 * 0.03 * 0.97, rel=0.03)


def test_replaced_vines_crop_a_year_later_and_gaps_later_still():
    shares = crop_shares(MODEL, 0.1, 0.05)[0]

    assert shares[2] == pytest.approx(0.85 * 0.4)
    assert shares[3] == pytest.approx(0.85 * 0.8 + 0.1 * 0.4)
    assert shares[4] == pytest.approx(0.85 + 0.1 * 0.8 + 0.05 * 0.4)
    assert shares[6] == pytest.approx(1.0)


@given(st.integers(0, 1), st.floats(0.0, 0.2))
def test_a_delay_moves_all_flows_from_planting_on(delay, rate):
    model = dataclasses.replace(MODEL, rate=rate)
    flows = net_flows(model, delay=delay)[0]

    assert flows[:2].tolist() == [-50_000, -90_000]
    assert flows[2 + delay] == -430_000
    later = flows[2 + delay :] @ (1 + rate) ** -np.arange(len(flows) - 2.0 - delay)
    expected = -50_000 - 90_000 / (1 + rate) + later * (1 + rate) ** -(2 + delay)
    assert present_values(flows[None], model)[0] == pytest.approx(expected * (1 + rate) ** 2)


def test_a_small_sum_a_year_before_all_others_moves_only_itself():
    """A bank's reader would not take it otherwise: 100 spent early cost little more than 100."""
    early = dataclasses.replace(MODEL, before=np.array([100.0, *MODEL.before]))

    assert worth(MODEL) - worth(early) == pytest.approx(100 * (1 + MODEL.rate) ** 3)


def test_the_tornado_starts_with_the_widest_and_moves_one_thing():
    moved = tornado(MODEL, LOSSES, 0.2)

    widths = [one.width for one in moved]
    assert widths == sorted(widths, reverse=True)
    price = next(one for one in moved if one.name == "price")
    assert price.npv_low < worth(MODEL, **LOSSES.expected()) < price.npv_high
    upkeep = next(one for one in moved if one.name == "upkeep")
    assert upkeep.npv_low > upkeep.npv_high


def test_break_even_by_hand():
    # One crop of 10 t a year from planting at no interest: 600 of cost pays at 60 a tonne.
    model = dataclasses.replace(
        MODEL, before=np.array([]), establishment=np.array([600.0, 0.0]), upkeep=np.zeros(2),
        crop_share=np.array([0.0, 1.0]), full_crop_t=10.0, price=100.0, harvest_cost=0.0,
        salvage=0.0, gap_cost=0.0, rate=0.0,
    )  # fmt: skip

    price, share = break_even(model, SURE)

    assert price == pytest.approx(60.0)
    assert share == pytest.approx(0.6)


def test_where_a_tonne_brings_less_than_its_harvest_no_crop_pays():
    assert break_even(dataclasses.replace(MODEL, price=400.0), SURE)[1] is None


def test_the_chance_of_loss_is_the_share_below_nought():
    seen = simulate(MODEL, SURE, draws=5000, seed=9, **NO_CHANCE | {"price_spread": 0.6})

    assert seen.chance_of_loss == pytest.approx(np.mean(seen.npv < 0))
    assert list(seen.quantiles.values()) == sorted(seen.quantiles.values())
