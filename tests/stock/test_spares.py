"""How many vines to order: beside another program's quantiles, simulation and laws."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.stock.spares import order_quantity, survival_probability

QUANTILES = (0.50, 0.80, 0.90, 0.95, 0.99)
# Computed once with scipy.stats (negative binomial, beta-binomial and their convolution),
# which our code does not use; nobody printed them.
SPARES = {
    (100, 0.03): (3, 5, 5, 6, 8),
    (500, 0.05): (26, 31, 33, 35, 39),
    (1000, 0.03): (31, 36, 38, 40, 45),
    (3000, 0.01): (30, 35, 37, 40, 44),
    (3000, 0.02): (61, 68, 71, 75, 80),
    (3000, 0.03): (93, 101, 105, 109, 116),
    (3000, 0.05): (158, 169, 175, 179, 189),
    (3000, 0.10): (333, 349, 358, 365, 379),
    (10000, 0.03): (309, 324, 332, 339, 352),
}
LOSSES = {
    (100, 0.03): (3, 4, 5, 6, 8),
    (500, 0.05): (25, 29, 31, 33, 37),
    (1000, 0.03): (30, 34, 37, 39, 43),
    (3000, 0.01): (30, 35, 37, 39, 43),
    (3000, 0.02): (60, 66, 70, 73, 79),
    (3000, 0.05): (150, 160, 165, 170, 178),
    (3000, 0.10): (300, 314, 321, 327, 339),
    (10000, 0.03): (300, 314, 322, 328, 340),
}
LOSSES_BY_CORRELATION = {
    0.0: (90, 98, 102, 106, 112),
    0.0005: (89, 102, 109, 115, 127),
    0.001: (89, 105, 115, 122, 138),
    0.005: (85, 119, 140, 159, 197),
    0.01: (81, 129, 160, 189, 250),
    0.02: (71, 140, 188, 234, 335),
    0.05: (47, 151, 238, 326, 529),
}
LOSSES_BY_BATCHES = {10: (89, 105, 115, 122, 138), 3: (87, 115, 131, 146, 176)}


def losses_at(quantile, vines=3000, loss=0.03, correlation=0.0, batches=1):
    """Smallest number of losses not exceeded with the given probability."""
    return next(
        lost
        for lost in range(vines)
        if survival_probability(vines, vines - lost, loss, correlation, batches) >= quantile
    )


@pytest.mark.published(
    source="not printed: negative binomial of scipy.stats, a program our code does not use",
    quantity="spare vines when spares die like the rest",
    unit="vines",
)
@pytest.mark.parametrize(("vines", "loss"), SPARES)
def test_spares_agree_with_the_quantiles_of_another_program(published, vines, loss):
    for assurance, printed in zip(QUANTILES, SPARES[vines, loss], strict=True):
        published.equal(
            order_quantity(vines, loss, assurance) - vines, printed=printed, tolerance=0,
            label=f"{vines} vines, {loss:.0%} lost, {assurance:.0%} sure",
        )  # fmt: skip


@pytest.mark.published(
    source="not printed: binomial of scipy.stats, a program our code does not use",
    quantity="losses of vines, spares held safe",
    unit="vines",
)
@pytest.mark.parametrize(("vines", "loss"), LOSSES)
def test_independent_losses_agree_with_another_program(published, vines, loss):
    for quantile, printed in zip(QUANTILES, LOSSES[vines, loss], strict=True):
        published.equal(
            losses_at(quantile, vines, loss), printed=printed, tolerance=0,
            label=f"{vines} vines, {loss:.0%} lost, not exceeded in {quantile:.0%}",
        )  # fmt: skip


@pytest.mark.published(
    source="not printed: distributions of scipy.stats, a program our code does not use",
    quantity="losses of 3000 vines, 3 % lost, one batch",
    unit="vines",
)
@pytest.mark.parametrize("correlation", LOSSES_BY_CORRELATION)
def test_losses_of_one_batch_agree_with_another_program(published, correlation):
    for quantile, printed in zip(QUANTILES, LOSSES_BY_CORRELATION[correlation], strict=True):
        published.equal(
            losses_at(quantile, correlation=correlation), printed=printed, tolerance=0,
            label=f"correlation {correlation:g}, not exceeded in {quantile:.0%}",
        )  # fmt: skip


@pytest.mark.published(
    source="not printed: convolved beta-binomials of scipy.stats, a program our code does not use",
    quantity="losses of 3000 vines, 3 % lost, correlation 0.01",
    unit="vines",
)
@pytest.mark.parametrize("batches", LOSSES_BY_BATCHES)
def test_losses_of_several_batches_agree_with_another_program(published, batches):
    for quantile, printed in zip(QUANTILES, LOSSES_BY_BATCHES[batches], strict=True):
        published.equal(
            losses_at(quantile, correlation=0.01, batches=batches), printed=printed, tolerance=0,
            label=f"{batches} batches, not exceeded in {quantile:.0%}",
        )  # fmt: skip


@pytest.mark.published(
    source="not printed: beta-binomial of scipy.stats, a program our code does not use",
    quantity="spare vines for 3000, 3 % lost, correlation 0.01, one batch",
    unit="vines",
)
def test_spares_for_a_batch_that_varies_agree_with_another_program(published):
    for assurance, spares in ((0.80, 135), (0.90, 169), (0.95, 201)):
        published.equal(
            order_quantity(3000, 0.03, assurance, batch_correlation=0.01) - 3000,
            printed=spares,
            tolerance=0,
            label=f"{assurance:.0%} sure",
        )


@given(st.integers(1, 5000), st.floats(0.001, 0.5), st.floats(0.01, 0.999))
def test_an_order_is_the_negative_binomial_quantile(vines, loss, assurance):
    from scipy.stats import nbinom

    spares = order_quantity(vines, loss, assurance) - vines

    # On a quantile's very edge the two programs may round to different sides.
    assert nbinom.cdf(spares, vines, 1 - loss) >= assurance - 1e-9
    assert spares == 0 or nbinom.cdf(spares - 1, vines, 1 - loss) < assurance + 1e-9


@given(
    st.integers(1, 400),
    st.integers(0, 60),
    st.floats(0.005, 0.5),
    st.floats(1e-4, 0.5),
)
def test_survival_of_one_batch_is_the_beta_binomial_of_another_program(
    needed, spares, loss, correlation
):
    from scipy.stats import betabinom

    spread = 1 / correlation - 1
    expected = betabinom.cdf(spares, needed + spares, loss * spread, (1 - loss) * spread)

    ours = survival_probability(needed + spares, needed, loss, correlation)

    assert ours == pytest.approx(expected, abs=1e-8)


def test_survival_in_uneven_batches_agrees_with_simulation():
    random = np.random.default_rng(20270304)
    loss, correlation, ordered, needed, times = 0.05, 0.02, 1003, 940, 200_000
    spread = 1 / correlation - 1
    lost = sum(
        random.binomial(size, random.beta(loss * spread, (1 - loss) * spread, times))
        for size in (335, 334, 334)
    )

    ours = survival_probability(ordered, needed, loss, correlation, batches=3)

    standard_error = np.sqrt(ours * (1 - ours) / times)
    assert ours == pytest.approx(np.mean(ordered - lost >= needed), abs=4 * standard_error)


@given(
    st.integers(0, 600),
    st.floats(0.0, 0.3),
    st.floats(0.05, 0.95),
    st.floats(0.0, 0.05),
    st.integers(1, 5),
)
def test_an_order_suffices_with_the_assurance_and_one_vine_fewer_does_not(
    vines, loss, assurance, correlation, batches
):
    order = order_quantity(vines, loss, assurance, batch_correlation=correlation, batches=batches)

    assert order >= vines
    if vines and loss:
        given_batches = (loss, correlation, batches)
        assert survival_probability(order, vines, *given_batches) >= assurance
        assert survival_probability(order - 1, vines, *given_batches) < assurance


@given(st.integers(1, 2000), st.floats(0.01, 0.3), st.floats(0.5, 0.99))
def test_more_loss_or_more_assurance_never_needs_fewer_vines(vines, loss, assurance):
    order = order_quantity(vines, loss, assurance)

    assert order_quantity(vines, loss * 1.1, assurance) >= order
    assert order_quantity(vines, loss, assurance + 0.005) >= order
    assert order_quantity(vines + 1, loss, assurance) > order


def test_batches_that_vary_need_more_than_independent_losses():
    independent = order_quantity(3000, 0.03, 0.95)

    assert order_quantity(3000, 0.03, 0.95, batch_correlation=0.01) > independent
    assert order_quantity(3000, 0.03, 0.95, batch_correlation=0.01, batches=10) > independent


def test_without_loss_or_without_vines_nothing_is_spare():
    assert order_quantity(500, 0.0, 0.99) == 500
    assert order_quantity(0, 0.2, 0.99) == 0
    assert survival_probability(99, 100, 0.1) == 0.0


def test_an_assurance_that_no_sensible_order_gives_is_refused():
    with pytest.raises(ValueError, match="assurance"):
        order_quantity(100, 0.5, 0.99, batch_correlation=0.9)


@pytest.mark.parametrize(
    ("arguments", "name"),
    [
        ((-1, 0.1, 0.9), "vines_needed"),
        ((10, 1.0, 0.9), "loss_fraction"),
        ((10, -0.1, 0.9), "loss_fraction"),
        ((10, 0.1, 1.0), "assurance"),
        ((10, 0.1, 0.0), "assurance"),
        ((10, float("nan"), 0.9), "loss_fraction"),
    ],
)
def test_what_is_out_of_range_is_refused_by_name(arguments, name):
    with pytest.raises(ValueError, match=name):
        order_quantity(*arguments)


@pytest.mark.parametrize(
    ("batches", "name"),
    [({"batch_correlation": 1.0}, "batch_correlation"), ({"batches": 0}, "batches")],
)
def test_batches_out_of_range_are_refused_by_name(batches, name):
    with pytest.raises(ValueError, match=name):
        order_quantity(10, 0.1, 0.9, **batches)
