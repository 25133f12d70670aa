"""Classes and sizes of pipe by velocity, pressure, surge and price."""

import math
from decimal import Decimal
from itertools import product

import numpy as np
import pytest

from aanplant.brief.pipes import PipeRules
from aanplant.brief.reading import parse_brief
from aanplant.errors import InputError
from aanplant.inputs import PriceLine
from aanplant.water.pipe_choice import gradient_of, size_pipes
from aanplant.water.pipes import pipes_of
from aanplant.water.reaches import reaches_of
from aanplant.water.shortfall import CannotBeSized
from aanplant.water.sizing_model import HeadForSale
from aanplant.water.surge import wave_speed_m_s

RULES = PipeRules()


def rules(**keys):
    return PipeRules.model_validate(keys)


def line(flow_m3_h=40.0, least_m=10.0, length_m=(300.0, 100.0)):
    """A mainline and a submain behind it."""
    flow = flow_m3_h / 3600.0
    return reaches_of(
        [-1, 0], length_m, [flow, flow], [-np.inf, least_m], name=("mainline", "submain of set 1")
    )


def sized(reaches=None, *, by=RULES, low_m=(0.0, 0.0), head_m=30.0, **more):
    return size_pipes(by, reaches or line(), ("mainline", "submain"), low_m, head_m, **more)


def priced(per_kg=60.0, material="PVC-U"):
    """Every pipe of a material at a price by its plastic."""
    return tuple(
        PriceLine(pipe.item, "m", Decimal(f"{per_kg * pipe.weight_kg_m:.4f}"), None)
        for pipe in pipes_of(material)
    )


@pytest.mark.published(
    source="Darcy and Weisbach with Swamee and Jain, roughness 1.5 um, worked by hand",
    quantity="head lost",
    unit="m",
)
@pytest.mark.parametrize(
    ("flow_m3_h", "bore_mm", "length_m", "printed"),
    [
        (0.4, 14.2, 120, 6.62232),
        (40, 103.6, 100, 1.44278),
        (10, 59.2, 100, 1.76169),
        (3.6, 50, 100, 0.64604),
    ],
)
def test_friction_that_sizes_are_chosen_by(published, flow_m3_h, bore_mm, length_m, printed):
    ours = gradient_of(flow_m3_h / 3600.0, bore_mm / 1e3) * length_m

    published.equal(
        ours, printed=printed, tolerance=5e-6, label=f"{flow_m3_h:g} m3/h, {bore_mm:g} mm"
    )


def test_pipes_are_the_least_plastic_that_keeps_velocity_and_head():
    found = sized()

    assert not found.is_priced
    assert found.sizes.spare_m[1] >= -1e-4
    bores = np.array([pipe.bore_m for pipe in found.pipes])
    used = found.sizes.length_m > 0.0
    velocity = 40.0 / 3600.0 / (np.pi / 4.0 * bores**2)
    assert np.all(velocity[used.any(axis=0)] <= 1.5)
    assert sum(found.metres().values()) == pytest.approx(400.0)
    wide_first = [pipe.bore_m for pipe, _ in found.pieces(0)]
    assert wide_first == sorted(wide_first, reverse=True)


def test_class_follows_the_lowest_place_of_a_reach():
    # At rest 60 m at the foot of the hill: 0.72 of class 6 is 44 m, of class 9 66 m.
    found = sized(low_m=(-5.0, -30.0))

    assert {pipe.series for pipe, _ in found.pieces(0)} == {"class 6"}
    assert {pipe.series for pipe, _ in found.pieces(1)} == {"class 9"}


def test_standing_water_of_a_pump_asks_for_a_stronger_class():
    found = sized(rest_head_m=60.0)

    assert {pipe.series for reach in (0, 1) for pipe, _ in found.pieces(reach)} == {"class 9"}


def test_surge_of_water_that_stops_at_once_needs_more_class():
    # 30 m at rest is within 0.72 of class 6; with some 40 m of surge it is above the class.
    share = sized()
    sudden = sized(by=rules(surge="sudden stop"))

    assert {pipe.series for pipe in share.metres()} == {"class 6"}
    for pipe in sudden.metres():
        velocity = 40.0 / 3600.0 / (math.pi / 4.0 * pipe.bore_m**2)
        wave = wave_speed_m_s(pipe.bore_m, pipe.wall_m, pipe.elasticity_pa)
        surge_m = float(wave) * velocity / 9.80665
        assert 30.0 + surge_m <= pipe.rated_head_m
    assert sudden.sizes.cost > share.sizes.cost


def test_prices_decide_where_they_are_known():
    by_weight = sized()
    of_one_class = tuple(price for price in priced() if "class-9" in price.item)

    found = sized(prices=of_one_class)

    assert found.is_priced
    assert {pipe.series for pipe in found.metres()} == {"class 9"}
    assert sized(prices=priced()).sizes.length_m == pytest.approx(
        by_weight.sizes.length_m, abs=0.05
    )


def test_a_material_without_prices_is_weighed_against_the_other_by_plastic():
    found = sized(by=rules(submain="PE100"), prices=priced())

    assert not found.is_priced
    assert {pipe.material for pipe, _ in found.pieces(1)} == {"PE100"}


def test_pump_head_and_pipe_are_weighed_together_and_classes_follow_the_head():
    tried = []
    for head in np.arange(10.0, 90.0, 0.5):
        try:
            at = sized(head_m=head, prices=priced())
        except CannotBeSized:
            continue
        tried.append(at.sizes.cost * 0.131474 + 900.0 * head)

    found = sized(head_m=0.0, prices=priced(), pump=HeadForSale(0.0, 90.0, 900.0))

    assert found.sizes.total_cost <= min(tried) * (1.0 + 1e-6)
    assert found.sizes.total_cost == pytest.approx(min(tried), rel=0.01)
    assert found.rest_head_m >= found.sizes.pump_head_m - 1e-9
    weakest = min(pipe.rated_head_m for pipe in found.metres())
    assert found.rest_head_m <= 0.72 * weakest + 1e-9


@pytest.mark.parametrize("per_m", [20.0, 900.0, 6000.0])
def test_pipe_against_energy_is_the_least_of_every_pair_of_pipes(per_m):
    """All pairs of pipes on a mainline and a submain, each with the head that it asks for."""
    reaches, flow, length_m, least_m = line(), 40.0 / 3600.0, (300.0, 100.0), 10.0
    pipes = pipes_of("PVC-U")
    share = 0.10 / (1.0 - 1.10**-15)
    costs = []
    for main, sub in product(pipes, repeat=2):
        if sub.outside_m > main.outside_m or flow / (math.pi / 4 * sub.bore_m**2) > 1.5:
            continue
        losses = [gradient_of(flow, one.bore_m) for one in (main, sub)]
        head = least_m + float(np.dot(losses, length_m))
        if flow / (math.pi / 4 * main.bore_m**2) > 1.5 or head > 0.72 * min(
            main.rated_head_m, sub.rated_head_m
        ):
            continue
        spent = 60.0 * np.dot([main.weight_kg_m, sub.weight_kg_m], length_m)
        costs.append(spent * share + per_m * head)

    found = sized(
        reaches,
        by=rules(whole_reaches=True),
        head_m=0.0,
        prices=priced(),
        pump=HeadForSale(0.0, 90.0, per_m),
    )

    assert found.sizes.total_cost == pytest.approx(min(costs), rel=1e-5)


def test_dear_energy_buys_wider_pipe_and_less_head():
    cheap = sized(head_m=0.0, prices=priced(), pump=HeadForSale(0.0, 90.0, 50.0))
    dear = sized(head_m=0.0, prices=priced(), pump=HeadForSale(0.0, 90.0, 5000.0))

    assert dear.sizes.pump_head_m < cheap.sizes.pump_head_m
    assert dear.sizes.cost > cheap.sizes.cost


def test_pump_head_without_prices_is_a_mistake():
    with pytest.raises(ValueError, match="only where pipe has prices"):
        sized(pump=HeadForSale(0.0, 50.0, 100.0))


def test_too_much_flow_is_refused_with_the_bore_it_needs():
    with pytest.raises(CannotBeSized) as refused:
        sized(line(flow_m3_h=400.0))

    short = refused.value.shortfall
    assert (short.kind, short.name) == ("velocity", "mainline")
    assert short.least_bore_m == pytest.approx(math.sqrt(4 * 400 / 3600 / math.pi / 1.5))
    assert str(refused.value) == (
        "water: mainline: found 2.55 m/s in the largest pipe, above 1.50 m/s; "
        "expected a bore of at least 308 mm, or sets with less flow"
    )


def test_too_much_pressure_is_refused_with_what_the_strongest_pipe_bears():
    with pytest.raises(CannotBeSized, match=r"submain of set 1: found .* kPa at rest") as refused:
        sized(low_m=(0.0, -200.0))

    short = refused.value.shortfall
    assert short.kind == "pressure"
    assert short.value == pytest.approx(230.0 * 9789.0, rel=1e-3)
    assert short.limit == pytest.approx(0.72 * 1.2e6)


def test_a_strong_pipe_that_is_too_narrow_is_told_so():
    prices = (
        *(price for price in priced() if price.item.endswith("class-6-250")),
        *(price for price in priced() if price.item.endswith("class-12-50")),
    )

    with pytest.raises(CannotBeSized, match="stronger class with a bore of at least") as refused:
        sized(low_m=(0.0, -40.0), prices=prices)

    assert refused.value.shortfall.kind == "velocity and pressure"


def test_missing_head_names_the_submain_and_the_bore():
    with pytest.raises(CannotBeSized, match="water: submain of set 1: found") as refused:
        sized(line(flow_m3_h=230.0, least_m=29.9))

    assert refused.value.shortfall.least_bore_m > 0.25


def test_sizes_taper_unless_told_otherwise():
    # The submain lies so low that it needs a class whose bore is smaller at the same size.
    def grows(found):
        narrowest = min(pipe.outside_m for pipe, _ in found.pieces(0))
        return any(pipe.outside_m > narrowest for pipe, _ in found.pieces(1))

    reaches = line(flow_m3_h=42.0, least_m=26.0)
    free = sized(reaches, by=rules(taper=False), low_m=(0.0, -55.0))
    tapered = sized(reaches, low_m=(0.0, -55.0))

    assert grows(free)
    assert not grows(tapered)
    assert tapered.sizes.cost > free.sizes.cost


def test_the_brief_reads_pipes_and_refuses_what_is_not_sold():
    text = '[block]\nboundary = "b"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n[pipes]\n'

    brief = parse_brief(text + 'velocity = "5 ft/s"\nmainline = "PE100"\n', "brief.toml")

    assert brief.pipes.velocity == pytest.approx(1.524)
    with pytest.raises(InputError, match="mainline"):
        parse_brief(text + 'mainline = "copper"\n', "brief.toml")
