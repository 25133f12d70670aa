"""Batches that vary, what spares risk on either side, and vines held back."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.brief import parse_brief
from aanplant.errors import InputError
from aanplant.files.past_losses import read_past_losses
from aanplant.stock.batch_variation import fit_batches
from aanplant.stock.hold_back import vines_to_hold
from aanplant.stock.spares import loss_probabilities, order_quantity
from aanplant.stock.spares_curve import cheapest_spares, curve_at

PANELS = (0, 1, 0, 4, 2, 0, 0, 5, 1, 0)
BRIEF = '[block]\nboundary = "b.gpx"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'


@pytest.mark.published(
    source="not printed: worked by hand from the index of dispersion, ten panels of 20 vines",
    quantity="batch variation",
    unit="",
)
def test_the_fit_of_a_worked_example(published):
    fit = fit_batches([20] * 10, PANELS)

    published.equal(fit.dispersion, printed=2.751497, tolerance=5e-7, label="dispersion")
    published.equal(fit.correlation, printed=0.0922, tolerance=5e-5, label="correlation")
    assert fit.low <= fit.correlation <= fit.high
    assert fit == fit_batches([20] * 10, PANELS)


@pytest.mark.published(
    source="not printed: beta-binomial of scipy.stats, a program our code does not use",
    quantity="chance of 0 to 3 losses of 10, beta-binomial (2, 3)",
    unit="",
)
def test_chances_of_losses_in_a_small_batch(published):
    chances = loss_probabilities(10, 3, 2 / 5, 1 / 6)

    for lost, printed in enumerate((0.065934, 0.109890, 0.134865, 0.143856)):
        published.equal(chances[lost], printed=printed, tolerance=5e-7, label=f"{lost} lost")


def test_the_fit_finds_the_correlation_batches_were_drawn_with():
    random = np.random.default_rng(4)
    rho, loss, sizes = 0.02, 0.06, random.integers(500, 4000, 400)
    dead = random.binomial(sizes, random.beta(loss * 49, (1 - loss) * 49, 400))

    fit = fit_batches(sizes, dead)

    assert fit.correlation == pytest.approx(rho, rel=0.2)
    assert fit.low < rho < fit.high


@pytest.mark.parametrize(
    ("vines", "dead"), [([100], [3]), ([], []), ([100, 100], [0, 0]), ([1, 1], [0, 1])]
)
def test_records_that_tell_nothing_of_variation_are_refused(vines, dead):
    with pytest.raises(ValueError, match=r"batches|variation"):
        fit_batches(vines, dead)


@given(
    st.integers(1, 800), st.integers(0, 120), st.floats(0.005, 0.3),
    st.floats(1e-4, 0.1), st.integers(1, 6),
)  # fmt: skip
def test_wider_batches_never_leave_fewer_gaps_on_average(needed, spare, loss, rho, batches):
    spares = np.array([spare])

    near = curve_at(spares, needed, loss, rho, batches)
    wide = curve_at(spares, needed, loss, rho * 2, batches)

    assert near.gaps[0] <= wide.gaps[0] + 1e-6 * needed
    # What is left over less what is missing is what was ordered less what died, whatever varies.
    balance = (needed + spare) * (1 - loss) - needed
    assert near.left_over[0] - near.gaps[0] == pytest.approx(balance, abs=1e-6 * needed)


@given(st.integers(500, 5000), st.floats(0.02, 0.1), st.floats(0.0, 0.01), st.integers(1, 5))
def test_wider_batches_never_need_fewer_vines_in_the_range_of_real_ones(vines, loss, rho, batches):
    """Not a law for all numbers: batches that mostly live and seldom fail need fewer."""
    given_batches = {"batches": batches}

    near = order_quantity(vines, loss, 0.95, batch_correlation=rho, **given_batches)

    assert order_quantity(vines, loss, 0.95, batch_correlation=rho + 0.005, **given_batches) >= near


def test_batches_that_mostly_live_may_need_fewer_spares_at_a_low_assurance():
    assert order_quantity(3000, 0.03, 0.5, batch_correlation=0.05) < order_quantity(3000, 0.03, 0.5)


def test_the_least_risk_is_the_least_of_all_numbers():
    money = {"vine_price": 38.5, "gap_price": 120.0}

    best = cheapest_spares(900, 0.05, **money, batch_correlation=0.01, batches=3, most=300)

    curve = curve_at(np.arange(301), 900, 0.05, 0.01, 3)
    assert best == int(curve.risk(**money).argmin())


def test_held_vines_that_never_die_are_the_quantile_of_the_losses():
    # Computed once with scipy.stats: 95 % quantile of Binomial(3000, 0.03).
    assert vines_to_hold(3000, 0.03, 0.95) == 106
    assert vines_to_hold(3000, 0.03, 0.95, batch_correlation=0.01) == 189
    assert vines_to_hold(3000, 0.0, 0.95) == 0


def test_held_vines_fill_the_gaps_as_often_as_simulated():
    random = np.random.default_rng(11)
    held = vines_to_hold(2000, 0.03, 0.9, loss_held=0.1)
    gaps, fit = random.binomial(2000, 0.03, 200_000), random.binomial(held, 0.9, 200_000)

    assert np.mean(fit >= gaps) == pytest.approx(0.9, abs=0.02)
    assert held > vines_to_hold(2000, 0.03, 0.9)


def test_past_batches_are_read_in_order(tmp_path):
    path = tmp_path / "past.csv"
    path.write_text("# invented\nBatch;Vines;Dead\nA;1200;30\nB;900;8\n", encoding="utf-8")

    assert [(b.batch, b.vines, b.dead) for b in read_past_losses(path)] == [
        ("A", 1200, 30),
        ("B", 900, 8),
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("batch,vines,dead\nA,100,101\n", "line 2: found 101 dead of 100"),
        ("batch,vines,dead\nA,100,-1\n", "line 2: dead: found '-1'"),
        ("batch,vines,dead\nA,10.5,1\n", "line 2: vines: found '10.5'"),
        ("batch,vines,dead\nA,0,0\n", "no vines in 'A'"),
        ("batch,vines,dead\n,10,0\n", "no batch"),
        ("batch,vines,dead\nA,10,0\na,10,0\n", "'a' again"),
        ("batch,vines\nA,10\n", "no column 'dead'"),
        ("batch,vines,died\nA,10,1\n", "the column 'died'"),
    ],
)
def test_records_that_cannot_be_are_refused_by_line(tmp_path, text, said):
    path = tmp_path / "past.csv"
    path.write_text(text, encoding="utf-8")

    with pytest.raises(InputError) as refused:
        read_past_losses(path)

    assert said in str(refused.value)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("loss_fraction = 1", "loss_fraction: found 1; expected between 0 and 0.5"),
        ("loss_fraction = -0.1", "loss_fraction: found -0.1"),
        ("assurance = 1", "assurance: found 1; expected between 0.5 and 0.9999"),
        ('[spares]\nbatch_correlation = "fit"', "a file of past batches"),
        ("[spares]\nbatch_correlation = 0.9", "between 0 and 0.3"),
        ("[spares]\nbed_loss = 1", "between 0 and 0.9"),
        ("[sampling]\ngood_batch = 0.1", "a larger share of bad vines"),
        ('[[sampling.found]]\nbatch = "A"\ndelivered = 9\nchecked = 5\nbad = 6', "no more bad"),
        ('[[sampling.found]]\nbatch = "A"\ndelivered = 9\nchecked = 10\nbad = 1', "10 vines"),
    ],
)  # fmt: skip
def test_what_cannot_be_asked_is_refused_by_key(line, said):
    with pytest.raises(InputError) as refused:
        parse_brief(BRIEF + line, "brief.toml")

    assert said in str(refused.value)


def test_one_batch_is_refused_in_the_singular():
    with pytest.raises(ValueError, match="1 batch: "):
        fit_batches([1000], [20])
