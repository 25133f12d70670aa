"""A lateral by itself: handbook factors, heads at the inlet, the longest that is even enough."""

import numpy as np
import pytest

from aanplant.water.friction import darcy_weisbach, head_loss_m, reynolds_number
from aanplant.water.lateral_run import Lateral, longest_emitters, of_bore
from aanplant.water.outlets import (
    barb_loss,
    inlet_head_estimate_m,
    outlets_factor,
)

LITRES_PER_HOUR = 3.6e6
NOTES = "Our note on drip hydraulics, section 1: computed apart with numpy"
HANDBOOK = "Christiansen (1942) as handbooks print it, from memory"
TWO_LPH = 2.0 / LITRES_PER_HOUR
FACTORS = {
    # outlets: full spacing for exponents 1.75, 1.852, 2.0, then half spacing
    1: (1.0, 1.0, 1.0, 1.0, 1.0, 1.0),
    2: (0.6487, 0.6385, 0.6250, 0.5315, 0.5180, 0.5000),
    3: (0.5460, 0.5342, 0.5185, 0.4552, 0.4411, 0.4222),
    4: (0.4975, 0.4852, 0.4688, 0.4258, 0.4116, 0.3929),
    5: (0.4694, 0.4568, 0.4400, 0.4104, 0.3964, 0.3778),
    8: (0.4284, 0.4155, 0.3984, 0.3903, 0.3766, 0.3583),
    10: (0.4151, 0.4022, 0.3850, 0.3843, 0.3707, 0.3526),
    15: (0.3976, 0.3846, 0.3674, 0.3768, 0.3634, 0.3456),
    20: (0.3890, 0.3760, 0.3588, 0.3733, 0.3600, 0.3423),
    25: (0.3839, 0.3709, 0.3536, 0.3713, 0.3580, 0.3404),
    30: (0.3805, 0.3675, 0.3502, 0.3700, 0.3567, 0.3392),
    40: (0.3762, 0.3632, 0.3459, 0.3683, 0.3552, 0.3377),
    50: (0.3737, 0.3607, 0.3434, 0.3674, 0.3542, 0.3368),
    100: (0.3687, 0.3556, 0.3383, 0.3655, 0.3524, 0.3350),
    200: (0.3661, 0.3531, 0.3358, 0.3646, 0.3515, 0.3342),
}
CASES = {
    # slope, friction: inlet head, most, least, least at, least and most pressure, DUlq, estimate
    (0.0, "darcy-weisbach"): (
        (11.74199, 2.16568, 1.93953, 200, 9.40449, 11.72544, 97.0480, 11.80175)
    ),
    (0.0, "blasius"): (11.76039, 2.16736, 1.93766, 200, 9.38634, 11.74360, 96.9573, 11.82976),
    (0.0, "hazen-williams"): (
        (11.45241, 2.13899, 1.95014, 200, 9.50762, 11.43822, 97.5555, 11.49265)
    ),
    (-0.01, "darcy-weisbach"): (
        (11.15322, 2.11089, 1.96638, 125, 9.66665, 11.13967, 98.4130, 11.20325)
    ),
    (0.01, "darcy-weisbach"): (
        (12.33643, 2.21963, 1.87976, 200, 8.83378, 12.31687, 94.8365, 12.40025)
    ),
}
LOST_M = {"darcy-weisbach": 2.40234, "blasius": 2.43968, "hazen-williams": 1.99020}


def dripper(flow_lph=2.0, head_m=10.0, exponent=0.5):
    return flow_lph / LITRES_PER_HOUR / head_m**exponent


@pytest.mark.published(source=NOTES, quantity="factor of equal outlets", unit="-")
@pytest.mark.parametrize("outlets", FACTORS)
def test_outlets_take_the_share_of_friction_that_tables_print(published, outlets):
    printed = iter(FACTORS[outlets])
    for first in ("full", "half"):
        for exponent in (1.75, 1.852, 2.0):
            published.equal(
                outlets_factor(outlets, exponent, first=first),
                printed=next(printed),
                tolerance=5e-5,
                label=f"N {outlets}, m {exponent}, {first} spacing",
            )


@pytest.mark.published(source=HANDBOOK, quantity="factor of equal outlets", unit="-")
def test_outlets_take_the_share_of_friction_that_handbooks_print(published):
    published.equal(outlets_factor(10, 1.85), printed=0.402, tolerance=0.0005, label="N 10")
    published.equal(outlets_factor(20, 1.85), printed=0.376, tolerance=0.0005, label="N 20")
    published.equal(outlets_factor(10, 2.0), printed=0.385, tolerance=0.0005, label="N 10, m 2")


def test_the_factor_is_the_loss_of_a_pipe_whose_outlets_take_equal_shares():
    # 40 outlets, the first at half a spacing: reach k carries what 40 - k + 1 outlets take.
    spacing_m, each = 0.6, np.arange(40, 0, -1) ** 2.0
    length = np.full(40, spacing_m)
    length[0] = spacing_m / 2.0

    lost = (length * each).sum()

    assert outlets_factor(40, 2.0, first="half") == pytest.approx(
        lost / (length.sum() * each[0]), rel=1e-12
    )


@pytest.mark.published(source=NOTES, quantity="lateral of 200 drippers of 2 L/h", unit="m")
@pytest.mark.parametrize(("slope", "friction"), CASES)
def test_a_lateral_needs_the_head_worked_out_apart(published, slope, friction):
    lateral = Lateral(0.0142, 0.6, dripper(), slope=slope, friction=friction)
    head, most, least, at, low, high, even, estimate = CASES[slope, friction]

    inlet = lateral.inlet_head_m(200, TWO_LPH)
    flows = lateral.run(200, inlet)
    flow = flows.emitter_flow_m3_s[1:] * LITRES_PER_HOUR
    ours = inlet_head_estimate_m(10.0, LOST_M[friction], slope * lateral.length_m(200))

    label = f"{friction}, slope {slope:g}"
    published.equal(inlet, printed=head, tolerance=5e-6, label=f"{label}, inlet head")
    published.equal(flow.max(), printed=most, tolerance=5e-6, label=f"{label}, most, L/h")
    published.equal(flow.min(), printed=least, tolerance=5e-6, label=f"{label}, least, L/h")
    published.equal(flow.argmin() + 1, printed=at, tolerance=0, label=f"{label}, least at")
    pressure = flows.pressure_m[1:]
    published.equal(pressure.min(), printed=low, tolerance=5e-6, label=f"{label}, least head")
    published.equal(pressure.max(), printed=high, tolerance=5e-6, label=f"{label}, most head")
    quarter = np.sort(flow)[:50].mean() / flow.mean() * 100.0
    published.equal(quarter, printed=even, tolerance=5e-5, label=f"{label}, DUlq, %")
    published.equal(ours, printed=estimate, tolerance=6e-6, label=f"{label}, estimate")


@pytest.mark.published(source=NOTES, quantity="friction of even flow on that lateral", unit="m")
def test_a_lateral_of_even_flow_loses_what_was_worked_out_apart(published):
    carried = np.arange(200, 0, -1) * TWO_LPH
    length = np.full(200, 0.6)
    length[0] = 0.3
    reynolds = reynolds_number(carried, 0.0142)
    product, _ = darcy_weisbach(reynolds, 1.5e-6 / 0.0142)

    lost = head_loss_m(carried, 0.0142, length, product / reynolds).sum()

    published.equal(lost, printed=2.40234, tolerance=5e-6, label="Darcy-Weisbach")


@pytest.mark.published(source=NOTES, quantity="lateral of three outlets of 40 L/h", unit="m")
@pytest.mark.parametrize(
    ("friction", "heads", "flows"),
    [
        (
            "hazen-williams",
            (9.949450, 9.925614, 9.919014),
            (39.898772, 39.850951, 39.837698),
        ),
        ("blasius", (9.932465, 9.909776, 9.898434), (39.864700, 39.819142, 39.796350)),
    ],
)
def test_three_outlets_agree_with_the_hand_case(published, friction, heads, flows):
    lateral = Lateral(0.0142, 10.0, dripper(40.0), first_m=10.0, friction=friction)

    found = lateral.run(3, 10.0)

    for number, (head, flow) in enumerate(zip(heads, flows, strict=True), start=1):
        label = f"{friction}, outlet {number}"
        published.equal(found.head_m[number], printed=head, tolerance=5e-7, label=label)
        ours = found.emitter_flow_m3_s[number] * LITRES_PER_HOUR
        published.equal(ours, printed=flow, tolerance=5e-7, label=f"{label}, L/h")


@pytest.mark.published(source=NOTES, quantity="longest flat lateral, flows within 10 %", unit="")
@pytest.mark.parametrize(
    ("bore_mm", "flow_lph", "drippers", "length_m"),
    [
        (13.6, 2.0, 182, 108.9),
        (13.6, 1.6, 210, 125.7),
        (14.2, 2.0, 196, 117.3),
        (14.2, 1.6, 226, 135.3),
        (17.6, 2.0, 284, 170.1),
        (17.6, 1.6, 327, 195.9),
        (20.6, 2.0, 373, 223.5),
        (20.6, 1.6, 430, 257.7),
    ],
)
def test_a_lateral_may_be_as_long_as_was_worked_out_apart(
    published, bore_mm, flow_lph, drippers, length_m
):
    lateral = of_bore(Lateral(0.01, 0.6, dripper(flow_lph)), bore_mm / 1000.0)

    found = longest_emitters(lateral, flow_lph / LITRES_PER_HOUR)

    label = f"{bore_mm} mm, {flow_lph} L/h"
    published.equal(found, printed=drippers, tolerance=0, label=label)
    published.equal(
        lateral.length_m(found), printed=length_m, tolerance=0.05, label=f"{label}, length, m"
    )


@pytest.mark.published(
    source="UNESP BIOENG, paper 19: fit of K by obstruction; its definition from memory",
    quantity="loss coefficient of a barb",
    unit="-",
)
def test_a_barb_disturbs_the_flow_as_fitted(published):
    published.equal(barb_loss(0.90), printed=0.131, tolerance=0.0005, label="90 % open")
    published.equal(barb_loss(0.85), printed=0.210, tolerance=0.0005, label="85 % open")
    published.equal(barb_loss(0.80), printed=0.299, tolerance=0.0005, label="80 % open")
    published.equal(barb_loss(1.0), printed=0.0, tolerance=0.0, label="no barb")


def test_barbs_shorten_the_longest_lateral():
    free = Lateral(0.0142, 0.6, dripper())
    barbed = Lateral(0.0142, 0.6, dripper(), local_loss=float(barb_loss(0.85)))

    assert longest_emitters(barbed, TWO_LPH) < longest_emitters(free, TWO_LPH)


def test_downhill_a_lateral_may_be_too_short_and_yet_long_enough():
    falling, allowed = Lateral(0.0142, 0.6, dripper(), slope=-0.04), 0.1125

    longest = longest_emitters(falling, TWO_LPH, flow_variation=allowed)

    assert falling.evenness(160, TWO_LPH).variation > allowed
    assert falling.evenness(longest, TWO_LPH).variation <= allowed
    assert falling.evenness(longest + 1, TWO_LPH).variation > allowed
    assert longest > 200


def test_no_lateral_is_even_enough_up_a_wall():
    assert longest_emitters(Lateral(0.0142, 0.6, dripper(), slope=5.0), TWO_LPH) == 0


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: outlets_factor(0, 1.75), "outlets must be at least 1, got 0"),
        (lambda: outlets_factor(5, 0.5), "exponent must be at least 1, got 0.5"),
        (lambda: barb_loss(0.0), "open_share must lie above 0"),
        (lambda: Lateral(0.01, 0.6, 1e-6).inlet_head_m(5, 0.0), "mean_flow_m3_s must be above 0"),
        (
            lambda: longest_emitters(Lateral(0.01, 0.6, 1e-6), 1e-6, flow_variation=1.0),
            "flow_variation must lie between 0 and 1",
        ),
        (lambda: Lateral(0.0, 0.6, 1e-6).run(5, 10.0), "diameter_m must be above 0"),
    ],
)
def test_what_makes_no_lateral_is_refused(call, words):
    with pytest.raises(ValueError, match=words):
        call()
