"""Limits of rootstocks beside printed ones, and the laws of limits and ranking."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.stock.rootstock_answer import FAILS, NEAR, UNKNOWN
from aanplant.stock.rootstock_choice import rank_stocks
from aanplant.stock.rootstock_limits import most_salt_ds_m
from aanplant.stock.rootstock_ranking import Scale, middle
from tests.stock.rootstock_ground import BRIEF, KNOWN, SITE, brief_of, most, zone_of


@pytest.mark.published(
    source="Bordeaux rootstock table (6, 9, 11); French notes (17, 17-20, 17-19, 40-45)",
    quantity="most active lime that a rootstock is allowed, cautious end",
    unit="%",
)
@pytest.mark.parametrize(
    ("stock", "printed"),
    [("Riparia Gloire", 6), ("101-14", 9), ("Gravesac", 11), ("110R", 17), ("SO4", 17),
     ("1103P", 17), ("Fercal", 40)],
)  # fmt: skip
def test_lime_excludes_a_stock_above_its_printed_limit(published, stock, printed):
    found = most(stock, "active_lime", 60.0, lambda lime: zone_of(lime=lime), FAILS)

    published.equal(found, printed=printed, tolerance=0.05, label=stock)


@pytest.mark.published(
    source="Bécart, rootstock sheet: 2-3 points are added to active lime; French notes: 110R 17 %",
    quantity="most active lime borne with the advisers' margin",
    unit="%",
)
def test_the_advisers_margin_is_kept_below_the_limit(published):
    found = most("110R", "active_lime", 60.0, lambda lime: zone_of(lime=lime), FAILS, NEAR)

    published.equal(found, printed=17 - 3, tolerance=0.05, label="110R")


@pytest.mark.published(
    source="Bordeaux rootstock table (5, 10); French agronomy pages on the index (30)",
    quantity="highest chlorosis power index that a rootstock is allowed",
    unit="",
)
@pytest.mark.parametrize(("stock", "printed"), [("Riparia Gloire", 5), ("101-14", 10), ("SO4", 30)])
def test_the_chlorosis_index_excludes_a_stock_above_its_limit(published, stock, printed):
    def zone_at(index):
        # IPC = lime / iron² × 10⁴ with 10 % lime
        return zone_of(lime=10.0, iron=float(np.sqrt(10.0 * 1e4 / max(index, 1e-6))))

    found = most(stock, "chlorosis", 200.0, zone_at, FAILS)

    published.equal(found, printed=printed, tolerance=0.05, label=stock)


@pytest.mark.published(
    source="FAO Irrigation and Drainage Paper 29, grape, rows of 100 to 0 % yield, from memory",
    quantity="ECe at which salt leaves a share of the yield",
    unit="dS/m",
)
@pytest.mark.parametrize(
    ("share", "printed", "tolerance"),
    # The last row is printed to a whole number.
    [(1.0, 1.5, 0.05), (0.9, 2.5, 0.05), (0.75, 4.1, 0.05), (0.5, 6.7, 0.05), (0.0, 12.0, 0.5)],
)
def test_salt_limits(published, share, printed, tolerance):
    found = most_salt_ds_m(1.5, share)

    published.equal(found, printed=printed, tolerance=tolerance, label=f"{share:.0%}")


@pytest.mark.published(
    source="class thresholds 1.5, 2 and 3 dS/m and 9.6 % for each dS/m, from memory: 90 % by hand",
    quantity="most ECe that a rootstock is allowed for 90 % of the yield",
    unit="dS/m",
)
@pytest.mark.parametrize(
    ("stock", "printed"), [("3309C", 2.54), ("Schwarzmann", 3.04), ("Ramsey", 4.04)]
)
def test_salt_excludes_a_stock_by_its_class(published, stock, printed):
    found = most(stock, "salt", 20.0, lambda ece: zone_of(ece=ece), FAILS)

    published.equal(found, printed=printed, tolerance=0.005, label=stock)


ZONES = st.lists(
    st.builds(
        zone_of,
        lime=st.floats(0, 50),
        iron=st.one_of(st.none(), st.floats(1, 200)),
        ece=st.one_of(st.none(), st.floats(0, 8)),
        wet=st.one_of(st.none(), st.sampled_from([1.0, 2.0, 3.0])),
        potential=st.sampled_from(["low", "medium", "high", "unknown"]),
        ph=st.one_of(st.none(), st.floats(3.5, 8.5)),
        area=st.floats(0.01, 10),
    ),
    min_size=1,
    max_size=4,
).map(tuple)


@given(ZONES)
def test_an_excluded_stock_is_never_first(zones):
    found = rank_stocks(brief_of("[rootstock]\ndraws = 100"), SITE, KNOWN, zones)

    bad = np.isin(found.states, (FAILS, UNKNOWN)).any(axis=(1, 2))
    assert not found.allowed[bad].any()
    assert not found.ranks[bad].any()
    assert not found.share_first[bad].any()
    assert not (found.ranks_in[~found.allowed_in]).any()
    assert set(found.ranks[found.allowed]) == set(range(1, int(found.allowed.sum()) + 1))


@given(ZONES)
def test_own_roots_and_vinifera_parents_are_never_picked(zones):
    found = rank_stocks(brief_of("[rootstock]\ndraws = 100"), SITE, KNOWN, zones)

    doubtful = {name for name in KNOWN.names if "yes" in KNOWN.texts(name, "vinifera_parent")}
    assert {"own roots", "41B", "143B", "Freedom"} <= doubtful
    assert not doubtful & {found.stocks[stock] for stock in found.order}


@given(st.floats(0, 50), st.floats(0, 50), st.one_of(st.none(), st.floats(1, 200)))
def test_more_lime_never_allows_another_stock(one, other, iron):
    little, much = sorted((one, other))
    few, many = (
        rank_stocks(BRIEF, SITE, KNOWN, (zone_of(lime=lime, iron=iron),)).allowed
        for lime in (much, little)
    )

    assert not (few & ~many).any()


@given(st.floats(0, 9), st.floats(0, 9), st.sampled_from([1, 2, 3]), st.sampled_from([1, 2, 3]))
def test_more_salt_or_wetter_ground_never_allows_another_stock(one, other, wet, wetter):
    mild = zone_of(ece=min(one, other), wet=float(min(wet, wetter)))
    harsh = zone_of(ece=max(one, other), wet=float(max(wet, wetter)))
    few, many = (rank_stocks(BRIEF, SITE, KNOWN, (zone,)).allowed for zone in (harsh, mild))

    assert not (few & ~many).any()


@given(st.integers(0, 1000))
def test_draws_repeat_by_their_seed_and_shares_add_up(seed):
    brief = brief_of(f"[rootstock]\nseed = {seed}\ndraws = 200")
    one, other = (rank_stocks(brief, SITE, KNOWN, (zone_of(),)) for _ in range(2))

    assert (one.share_first == other.share_first).all()
    assert (one.rank_range == other.rank_range).all()
    assert one.share_first.sum() == pytest.approx(1.0)


def test_another_seed_draws_otherwise():
    one, other = (
        rank_stocks(brief_of(f"[rootstock]\nseed = {seed}"), SITE, KNOWN, (zone_of(),))
        for seed in (1, 2)
    )

    assert (one.share_first != other.share_first).any()


def test_bearing_drought_better_never_lowers_a_score():
    zone = zone_of(potential="low", ph=4.4)
    scale = Scale(BRIEF, (zone,), np.array([True]))
    ratings = middle(KNOWN)

    better = ratings.copy()
    better[:, 1] = np.minimum(5.0, better[:, 1] + 0.5)

    assert (scale(better) >= scale(ratings)).all()
