"""Sampling of deliveries and intervals: beside another program and the laws of chance."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.stock.acceptance import (
    acceptance_of_endless_lot,
    acceptance_probability,
    bad_share_accepted_with,
    judge,
    plan_for,
    sample_to_find_one,
    smallest_plan,
    standard_plan,
)
from aanplant.stock.intervals import clopper_pearson, wilson

# Computed once with scipy.stats, which our code does not use; nobody printed them.
SHARES = (0.01, 0.02, 0.03, 0.05, 0.08, 0.10)
ACCEPTED = {
    (3000, 125, 3): (0.96599, 0.76111, 0.47818, 0.11852, 0.00739, 0.00087),
    (3000, 125, 7): (0.99998, 0.99700, 0.96797, 0.71424, 0.20332, 0.05629),
    (3000, 125, 10): (1.0, 0.99997, 0.99894, 0.95446, 0.58335, 0.27933),
    (3000, 50, 1): (0.91188, 0.73584, 0.55394, 0.27689, 0.08097, 0.03278),
    (3000, 30, 0): (0.73861, 0.54386, 0.39920, 0.21300, 0.08093, 0.04171),
    (1000, 80, 2): (0.96075, 0.78925, 0.56407, 0.21864, 0.03489, 0.00860),
    (1000, 80, 5): (0.99996, 0.99660, 0.97283, 0.79637, 0.36647, 0.16582),
}
ENDLESS = {
    (125, 3): (0.96255, 0.75867, 0.48141, 0.12378),
    (125, 7): (None, 0.99619, 0.96477, 0.71172),
    (125, 10): (None, None, None, 0.95078),
}
SHARES_AT = {
    (125, 3): (1.100, 2.930, 5.266),
    (125, 7): (3.224, 6.119, 9.237),
    (80, 2): (1.030, 3.329, 6.516),
    (200, 10): (3.115, 5.325, 7.599),
}
TO_FIND_ONE = {
    None: (299, 149, 59, 29),
    3000: (284, 145, 58, 29),
    500: (225, 129, 56, 28),
    100: (95, 78, 45, 25),
}
INTERVALS = {
    (0, 20): ((0, 0.161125), (0, 0.168433)),
    (0, 100): ((0, 0.036993), (0, 0.036217)),
    (3, 100): ((0.010255, 0.084519), (0.006230, 0.085176)),
    (5, 50): ((0.043476, 0.213602), (0.033275, 0.218135)),
    (10, 100): ((0.055229, 0.174366), (0.049005, 0.176223)),
    (29, 30): ((0.833296, 0.994091), (0.827831, 0.999156)),
    (90, 3000): ((0.024471, 0.036731), (0.024191, 0.036748)),
    (81, 263): ((0.255289, 0.366210), (0.252737, 0.367622)),
    (15, 148): ((0.062386, 0.160487), (0.057844, 0.161650)),
}
NEWCOMBE = {(81, 263): (0.2553, 0.3662), (15, 148): (0.0624, 0.1605)}


@pytest.mark.published(
    source="not printed: hypergeometric of scipy.stats, a program our code does not use",
    quantity="chance that a delivery is accepted",
    unit="",
)
@pytest.mark.parametrize(("lot", "sample", "accept"), ACCEPTED)
def test_acceptance_agrees_with_another_program(published, lot, sample, accept):
    bad = [round(lot * share) for share in SHARES]

    ours = acceptance_probability(lot, bad, sample, accept)

    for share, value, printed in zip(SHARES, ours, ACCEPTED[lot, sample, accept], strict=True):
        published.equal(
            value, printed=printed, tolerance=5e-6,
            label=f"{sample} of {lot}, {accept} accepted, {share:.0%} bad",
        )  # fmt: skip


@pytest.mark.published(
    source="not printed: binomial of scipy.stats, a program our code does not use",
    quantity="chance that a delivery without end is accepted",
    unit="",
)
@pytest.mark.parametrize(("sample", "accept"), ENDLESS)
def test_acceptance_of_an_endless_lot_agrees_with_another_program(published, sample, accept):
    for share, printed in zip(SHARES, ENDLESS[sample, accept], strict=False):
        if printed is not None:
            published.equal(
                acceptance_of_endless_lot(share, sample, accept), printed=printed, tolerance=5e-6,
                label=f"{sample} looked over, {accept} accepted, {share:.0%} bad",
            )  # fmt: skip


@pytest.mark.published(
    source="not printed: beta quantiles of scipy.stats, a program our code does not use",
    quantity="share of bad vines accepted with a chance",
    unit="%",
)
@pytest.mark.parametrize(("sample", "accept"), SHARES_AT)
def test_the_share_accepted_with_a_chance_agrees_with_another_program(published, sample, accept):
    for chance, printed in zip((0.95, 0.5, 0.1), SHARES_AT[sample, accept], strict=True):
        published.equal(
            100 * bad_share_accepted_with(chance, sample, accept), printed=printed,
            tolerance=5e-4, label=f"{sample} looked over, {accept} accepted, {chance:.0%} sure",
        )  # fmt: skip


@pytest.mark.published(
    source="not printed: distributions of scipy.stats, a program our code does not use",
    quantity="vines to look over to find one bad vine, 95 % sure",
    unit="vines",
)
@pytest.mark.parametrize("lot", TO_FIND_ONE)
def test_the_sample_that_finds_one_bad_vine_agrees_with_another_program(published, lot):
    for share, printed in zip((0.01, 0.02, 0.05, 0.10), TO_FIND_ONE[lot], strict=True):
        published.equal(
            sample_to_find_one(share, lot=lot), printed=printed, tolerance=0,
            label=f"{share:.0%} bad in {lot or 'an endless lot'}",
        )  # fmt: skip


@pytest.mark.published(
    source="Newcombe (1998), Statistics in Medicine 17: 857-872, recalled from memory",
    quantity="Wilson interval of a share",
    unit="",
)
@pytest.mark.parametrize(("count", "of"), NEWCOMBE)
def test_wilson_intervals_are_those_of_newcombe(published, count, of):
    for name, ours, printed in zip(
        ("low", "high"), wilson(count, of), NEWCOMBE[count, of], strict=True
    ):
        published.equal(ours, printed=printed, tolerance=5e-5, label=f"{count} of {of}, {name}")


@pytest.mark.published(
    source="not printed: binomtest of scipy.stats, a program our code does not use",
    quantity="95 % interval of a share",
    unit="",
)
@pytest.mark.parametrize(("count", "of"), INTERVALS)
def test_intervals_agree_with_another_program(published, count, of):
    by_score, by_tails = INTERVALS[count, of]

    for name, ours, theirs in (
        ("Wilson", wilson(count, of), by_score),
        ("Clopper and Pearson", clopper_pearson(count, of), by_tails),
    ):
        for end, value, printed in zip(("low", "high"), ours, theirs, strict=True):
            published.equal(
                value, printed=printed, tolerance=5e-7, label=f"{count} of {of}, {name}, {end}"
            )


@given(st.integers(1, 2000), st.data())
def test_intervals_are_those_of_another_program(of, data):
    from scipy.stats import binomtest

    count = data.draw(st.integers(0, of))
    counted = binomtest(count, of)
    by_score = counted.proportion_ci(method="wilson")
    by_tails = counted.proportion_ci(method="exact")

    assert wilson(count, of) == pytest.approx((by_score.low, by_score.high), abs=1e-9)
    assert clopper_pearson(count, of) == pytest.approx((by_tails.low, by_tails.high), abs=1e-9)


@pytest.mark.parametrize(
    ("lot", "limit", "plan"),
    [
        (501, "1.0", (80, 2)), (1200, "2.5", (80, 5)), (900, "4.0", (80, 7)),
        (1201, "1.0", (125, 3)), (3200, "2.5", (125, 7)), (3000, "4.0", (125, 10)),
        (3201, "1.0", (200, 5)), (10000, "2.5", (200, 10)), (5000, "4.0", (200, 14)),
        (100, "1.0", None), (50_000, "1.0", None),
    ],
)  # fmt: skip
def test_the_standards_numbers_are_as_recalled_from_memory(lot, limit, plan):
    assert standard_plan(lot, limit) == plan


@given(st.integers(1, 3000), st.data())
def test_more_bad_vines_are_never_accepted_more_often(lot, data):
    sample = data.draw(st.integers(1, lot))
    accept = data.draw(st.integers(0, min(20, sample)))
    bad = np.unique(np.linspace(0, lot, 40).astype(int))

    chances = acceptance_probability(lot, bad, sample, accept)

    assert (np.diff(chances) <= 1e-9).all()
    assert chances[0] == pytest.approx(1.0, abs=1e-9)


@given(st.integers(20, 4000), st.floats(0.002, 0.05), st.floats(1.5, 6.0))
def test_the_smallest_plan_holds_both_risks_and_one_vine_fewer_does_not(lot, good, times):
    shares = {"good_share": good, "bad_share": good * times}

    plan = smallest_plan(lot, **shares)

    if plan.sample < lot:
        assert plan.producer_risk <= 0.05
        assert plan.consumer_risk <= 0.10
        fewer = plan_for(lot, plan.sample - 1, plan.accept, **shares)
        assert fewer.consumer_risk > 0.10


def test_a_delivery_is_refused_at_once_and_accepted_only_when_enough_were_checked():
    plan = plan_for(3000, 125, 3, good_share=0.01, bad_share=0.05)

    assert judge(60, 4, plan).judgement == "refuse"
    assert judge(60, 1, plan).judgement == "look at more"
    assert judge(125, 3, plan).judgement == "accept"
    assert judge(125, 3, plan).wilson == wilson(3, 125)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: acceptance_probability(10, 11, 5, 1),
        lambda: acceptance_probability(10, 1, 11, 1),
        lambda: smallest_plan(100, good_share=0.1, bad_share=0.05),
        lambda: smallest_plan(100, good_share=0.1, bad_share=0.2, producer_risk=0),
        lambda: sample_to_find_one(0.001, lot=100),
        lambda: sample_to_find_one(1.0),
        lambda: standard_plan(100, "3.0"),
        lambda: wilson(3, 2),
        lambda: clopper_pearson(1, 2, 1.0),
    ],
)
def test_what_cannot_be_is_refused(wrong):
    with pytest.raises(ValueError, match=r"expected|must be|holds no|risks"):
        wrong()
