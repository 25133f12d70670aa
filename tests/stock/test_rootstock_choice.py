"""Choosing a rootstock: limits beside printed ones, laws of the ranking, and what is said."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant import tables
from aanplant.brief import parse_brief
from aanplant.errors import InputError
from aanplant.files.rootstock_lines import rootstock_tables
from aanplant.inputs import Inputs, Outline
from aanplant.messages import sentence
from aanplant.pits import Pit, PitLayer
from aanplant.rootstock_facts import RootstockFact
from aanplant.site import survey
from aanplant.stock import choose
from aanplant.stock.rootstock_answer import FAILS, HOLDS, LIMITS, NEAR, UNKNOWN
from aanplant.stock.rootstock_choice import choose_rootstock, rank_stocks
from aanplant.stock.rootstock_limits import most_salt_ds_m
from aanplant.stock.rootstock_ranking import Scale, middle
from aanplant.stock.rootstocks import rootstocks
from aanplant.stock.site_demands import LimeReading, ZoneDemands, demands_of

SOUTH = (18.8600, -33.9300)
RING = np.array([(0.0, 0.0), (0.0015, 0.0), (0.0015, 0.0012), (0.0, 0.0012), (0.0, 0.0)])
LAYER = PitLayer(
    0.0,
    0.5,
    sand_pct=60.0,
    silt_pct=20.0,
    clay_pct=20.0,
    stones_volume_pct=5.0,
    organic_matter_pct=1.5,
    ph=5.5,
    ph_method="KCl",
    conductivity_ds_m=0.4,
    conductivity_method="ECe",
    where="pits.csv: line 2",
)
KNOWN = rootstocks()


def brief_of(text="", *, rootstock="choose", cultivar="Chenin blanc"):
    return parse_brief(
        f"""
[block]
name = "Test"
boundary = "boundary.gpx"
pits = "pits.csv"
[vines]
cultivar = "{cultivar}"
rootstock = "{rootstock}"
row_width = "2.5 m"
vine_spacing = "1.2 m"
{text}
""",
        "brief.toml",
    )


def pit(name="A", *, at=(0.0003, 0.0006), kind="none", below=None, **layer):
    top = replace(LAYER, **layer)
    sub = replace(top, top_m=0.5, bottom_m=1.0, **(below or {}))
    west, south = SOUTH
    return Pit(
        name, west + at[0], south + at[1], (top, sub), limiting_kind=kind, is_dry=True,
        limiting_depth_m=None if kind == "none" else 0.9, where=f"pits.csv: {name}",
    )  # fmt: skip


def inputs_of(*pits, own=()):
    return Inputs(
        Outline("boundary.gpx", "polygon", (RING + np.array(SOUTH),)), pits=pits, rootstocks=own
    )


def chosen(*pits, text="", own=(), **vines):
    brief, inputs = brief_of(text, **vines), inputs_of(*pits, own=own)
    return choose_rootstock(brief, survey(brief, inputs), inputs)


def said(found):
    return {finding.message: finding for finding in found.findings}


BRIEF = brief_of()
SITE = survey(BRIEF, inputs_of(pit()))


def zone_of(*, lime=0.0, iron=None, ece=0.4, wet=1.0, potential="medium", ph=5.5, area=1.0):
    reading = LimeReading(lime, iron, "pits.csv")
    return ZoneDemands(
        "A", area, "A", "pits.csv", lime=reading, index=reading if iron else None,
        ece_ds_m=ece, wet_rating=wet, potential=potential, ph_kcl=ph,
    )  # fmt: skip


def state_of(stock, limit, zone, brief=BRIEF):
    found = rank_stocks(brief, SITE, KNOWN, (zone,))
    return int(found.states[KNOWN.names.index(stock), 0, LIMITS.index(limit)])


def most(stock, limit, worst, zone_at, *bad):
    """Greatest demand that a stock bears, by halving the range."""
    low, high = 0.0, worst
    for _ in range(40):
        tried = (low + high) / 2
        if state_of(stock, limit, zone_at(tried)) in bad:
            high = tried
        else:
            low = tried
    return low


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


def test_the_ground_is_read_from_the_pits():
    site = survey(BRIEF, inputs_of(pit(active_lime_pct=4.0, iron_mg_kg=60.0, ph=7.6,
                                       below={"active_lime_pct": 12.0, "iron_mg_kg": 50.0,
                                              "conductivity_ds_m": 1.0})))  # fmt: skip
    (zone,) = demands_of(site)

    assert zone.lime.active_lime_pct == 12.0
    assert zone.chlorosis_index == pytest.approx(12 / 50**2 * 1e4)
    # 0.5 m of 0.4 dS/m and 0.4 m of 1.0 dS/m within the rooting depth of 0.9 m
    assert zone.ece_ds_m == pytest.approx((0.5 * 0.4 + 0.4 * 1.0) / 0.9)
    assert zone.wet_rating == 1.0
    assert not zone.is_lime_by_ph


def test_ph_rules_lime_out_where_it_was_not_measured():
    (zone,) = demands_of(SITE)

    assert zone.is_lime_by_ph
    assert zone.lime.active_lime_pct == 0.0


@pytest.mark.parametrize(
    ("kind", "wanted"), [("dense clay", 2.0), ("waterlogged", 3.0), ("rock", 1.0)]
)
def test_what_holds_water_up_asks_for_a_stock_that_bears_it(kind, wanted):
    (zone,) = demands_of(survey(BRIEF, inputs_of(pit(kind=kind))))

    assert zone.wet_rating == wanted


def test_a_choice_says_what_it_is_and_what_comes_next():
    found = chosen(pit())

    assert found.picked == found.stocks[found.order[0]]
    assert found.picked in sentence(said(found)["stock.rootstock_picked"])
    assert found.stocks[found.order[1]] in sentence(said(found)["stock.rootstock_second"])


def test_the_choice_becomes_the_rootstock_of_the_block():
    inputs = inputs_of(pit())
    stock = choose(BRIEF, survey(BRIEF, inputs), inputs)

    assert stock.rootstock == stock.rootstock_choice.picked
    assert stock.spacing.vigour is not None


def test_without_pits_nothing_is_ranked_and_what_is_missing_is_said():
    found = chosen()

    assert found.picked == ""
    assert found.order == ()
    assert "active lime" in sentence(said(found)["stock.rootstock_refused"])
    assert said(found)["stock.rootstock_refused"].level == "care"


def test_limey_ph_without_active_lime_is_refused_too():
    found = chosen(pit(ph=7.8, ph_method="water"))

    assert found.picked == ""
    assert found.missing == ("lime",)


def test_little_ground_without_a_pit_does_not_stop_the_choice():
    zones = (zone_of(area=9.5), ZoneDemands("B", 0.5))
    found = rank_stocks(BRIEF, SITE, KNOWN, zones)

    assert found.is_ranked
    assert np.isnan(found.scores_in[:, 1]).all()
    assert not found.ranks_in[:, 1].any()
    assert not rank_stocks(BRIEF, SITE, KNOWN, (zone_of(area=8), ZoneDemands("B", 2.0))).is_ranked


def test_a_named_stock_above_its_lime_stops_the_plan_with_the_figures():
    found = chosen(pit(active_lime_pct=20.0, iron_mg_kg=80.0, ph=7.6), rootstock="101-14")
    broken = [sentence(f) for f in found.findings if f.message == "stock.rootstock_breaks"]

    assert said(found)["stock.rootstock_breaks"].level == "stop"
    assert any("20\u202f%" in text and "9\u202f%" in text for text in broken)


def test_a_named_stock_within_the_margin_is_a_care():
    found = chosen(pit(active_lime_pct=15.0, iron_mg_kg=90.0, ph=7.6), rootstock="110R")

    assert "stock.rootstock_breaks" not in said(found)
    assert "15\u202f%" in sentence(said(found)["stock.rootstock_near"])


def test_own_roots_stop_unless_the_area_is_declared_free_of_phylloxera():
    free = '[rootstock]\nphylloxera_free_source = "an invented decree"'

    assert "stock.rootstock_breaks" in said(chosen(pit(), rootstock="own roots"))
    assert "stock.rootstock_breaks" not in said(chosen(pit(), text=free, rootstock="own roots"))
    assert "own roots" not in said(chosen(pit(), text=free))["stock.rootstock_picked"].values


def test_found_phylloxera_outweighs_the_declaration():
    text = """
[rootstock]
phylloxera_free_source = "an invented decree"
[history]
phylloxera = "found"
"""
    found = chosen(pit(), text=text, rootstock="own roots")

    assert {"stock.phylloxera_free_yet_found", "stock.rootstock_breaks"} <= set(said(found))


def test_found_nematodes_exclude_and_unrated_ones_are_named():
    text = """
[[history.nematodes]]
species = "Meloidogyne javanica"
count = 40
[[history.nematodes]]
species = "Pratylenchus"
count = 10
"""
    found = chosen(pit(), text=text)
    stocks = found.stocks

    assert not found.allowed[stocks.index("3309C")]
    assert [held.limit for held in found.held(stocks.index("3309C"))] == ["root_knot"]
    assert "root-lesion" in sentence(said(found)["stock.nematode_unrated"])


def test_a_tolerance_that_is_not_known_excludes():
    text = '[[history.nematodes]]\nspecies = "Mesocriconema xenoplax"\ncount = 90'
    found = chosen(pit(), text=text)

    (held,) = found.held(found.stocks.index("44-53M"))
    assert (held.limit, held.state) == ("ring", "unknown")


def test_when_nothing_is_left_nothing_is_picked_and_the_limits_are_named():
    text = '[rootstock]\navailable = ["R99", "Riparia Gloire"]'
    found = chosen(pit(active_lime_pct=30.0, ph=7.8), text=text)

    assert found.picked == ""
    assert "active lime" in sentence(said(found)["stock.rootstock_none"])


def test_only_what_can_be_had_is_picked():
    found = chosen(pit(), text='[rootstock]\navailable = ["R99"]')

    assert found.picked == "99R"


def test_a_better_stock_that_one_limit_keeps_out_is_named_with_the_limit():
    wet = "[rootstock]\nweights = { vigour = 0, drought = 1, acid = 0 }"
    found = chosen(pit(kind="dense clay"), text=wet)

    texts = [sentence(f) for f in found.findings if f.message == "stock.rootstock_kept_out"]
    assert any(text.startswith("110R") and "wet" in text for text in texts)


def test_what_a_limit_rests_on_is_its_source():
    found = chosen(pit(kind="dense clay"), rootstock="99R")
    recalled = chosen(pit(active_lime_pct=20.0, ph=7.6), rootstock="99R")

    assert said(found)["stock.rootstock_harmed"].source == "rootstock-nicholas"
    assert said(recalled)["stock.rootstock_breaks"].source == "memory"


def test_an_unknown_stock_on_the_list_is_refused_with_its_place():
    with pytest.raises(InputError, match=r"rootstock\.available"):
        chosen(pit(), text='[rootstock]\navailable = ["111R"]')


def test_lime_against_ph_is_said():
    found = chosen(pit(active_lime_pct=20.0, ph=4.5))

    assert "20\u202f%" in sentence(said(found)["stock.lime_against_ph"])


def test_lime_without_iron_is_said():
    found = chosen(pit(active_lime_pct=12.0, ph=7.6))

    gaps = [sentence(f) for f in found.findings if f.message == "stock.rootstock_gap"]
    assert any("iron" in gap for gap in gaps)


def test_zones_that_want_different_stocks_are_told_apart():
    rich = pit("rich", at=(0.0003, 0.0006), ph=6.0)
    sour = pit("sour", at=(0.0012, 0.0006), kind="rock", ph=4.2)
    sour = replace(sour, limiting_depth_m=0.45)
    found = chosen(rich, sour)

    text = sentence(said(found)["stock.rootstock_zones_differ"])
    assert "rich: " in text
    assert "sour: " in text


def test_the_managers_weights_change_the_order():
    acid = "[rootstock.weights]\nvigour = 0\ndrought = 0\nacid = 1"
    found = chosen(pit(ph=4.2), text=acid)
    allowed = [found.stocks[index] for index in found.order]
    best = max(allowed, key=lambda name: KNOWN.ranges("acid")[KNOWN.names.index(name)].mean())

    assert KNOWN.ranges("acid")[KNOWN.names.index(found.picked)].mean() == (
        KNOWN.ranges("acid")[KNOWN.names.index(best)].mean()
    )


def test_a_vigour_asked_for_takes_the_place_of_the_soils():
    found = chosen(pit(), text="[rootstock]\nvigour = 2\nweights = { drought = 0, acid = 0 }")

    assert found.figures[-1].key
    wanted = [figure for figure in found.figures if figure.message == "stock.vigour_wanted"]
    assert [figure.value for figure in wanted] == [2.0]
    assert abs(KNOWN.ranges("vigour")[KNOWN.names.index(found.picked)].mean() - 2.0) <= 0.5


def test_own_facts_of_the_estate_count():
    own = [RootstockFact("110R", "waterlogging", 1.0, 1.0, "", "own", "estate"),
           RootstockFact("Newstock", "active_lime", 30.0, 30.0, "", "own", "estate"),
           RootstockFact("Newstock", "vinifera_parent", None, None, "no", "own", "estate"),
           RootstockFact("Newstock", "phylloxera", 5.0, 5.0, "", "own", "estate")]  # fmt: skip
    found = chosen(pit(), own=own)

    assert found.allowed[found.stocks.index("Newstock")]
    assert found.ratings[found.stocks.index("Newstock"), 1].tolist() == [1.0, 5.0]


def test_the_score_can_be_worked_out_from_what_its_figure_lists():
    text = '[rootstock]\nripening = "early"'
    found = chosen(pit(ph=4.8), text=text)
    by_key = {figure.key: figure for figure in found.figures}
    figure = by_key["stock.rootstock.chosen.zone.1"]
    v = {item.name: item.value for item in figure.inputs}

    total = v["weight_vigour"] + v["weight_drought"] + v["weight_acid"] * v["acid_need"]
    total += v["weight_ripening"]
    score = v["weight_vigour"] * (1 - abs(v["vigour"] - v["vigour_wanted"]) / 4)
    score += v["weight_drought"] * (v["drought"] - 1) / 4
    score += v["weight_acid"] * v["acid_need"] * (v["acid"] - 1) / 4
    score += v["weight_ripening"] * (1 - abs(v["ripening"] - v["ripening_wanted"]) / 2)
    assert figure.value == pytest.approx(score / total)
    assert by_key["stock.rootstock.chosen.score"].value == pytest.approx(figure.value)


def test_the_figures_of_limey_ground_follow_from_what_they_list():
    found = chosen(pit(active_lime_pct=12.0, iron_mg_kg=80.0, ph=7.6), rootstock="140Ru")
    by_key = {figure.key: figure for figure in found.figures}
    known = tables.sources()
    named = {figure.source for figure in found.figures} | {one.source for one in found.findings}
    named |= {item.source for figure in found.figures for item in figure.inputs if item.source}

    assert by_key["stock.zone.1.lime"].value == 12.0
    assert by_key["stock.zone.1.lime_limit"].value == 12.0 + 3.0
    assert by_key["stock.zone.1.chlorosis"].value == pytest.approx(12 / 80**2 * 1e4)
    assert by_key["stock.salt_limit"].value == pytest.approx(3 + 100 * (1 - 0.9) / 9.6)
    assert named <= set(known)


def test_when_nothing_weighed_is_asked_for_nothing_is_picked():
    found = chosen(pit(ph=6.2), text="[rootstock]\nweights = { vigour = 0, drought = 0 }")

    assert found.picked == ""
    assert "weights" in sentence(said(found)["stock.rootstock_refused"])


def test_a_doubt_that_turns_the_order_is_true():
    found = chosen(pit(ph=4.6))
    scale = Scale(BRIEF, found.zones, np.array([True]))

    assert found.turns
    for turn in found.turns:
        tried = middle(KNOWN)
        column = ("vigour", "drought", "acid", "ripening").index(turn.criterion)
        tried[found.stocks.index(turn.stock), column] = turn.rating
        scores = np.where(found.allowed, scale(tried), -1)
        assert found.stocks[int(np.argmax(scores))] == turn.first != found.picked


@pytest.mark.parametrize(
    ("stock", "cultivar", "level"), [("41B", "Merlot", FAILS), ("101-14", "Chardonnay", NEAR),
                                     ("1103P", "Red Globe", FAILS), ("99R", "Merlot", HOLDS)],
)  # fmt: skip
def test_a_graft_that_fails_is_excluded(stock, cultivar, level):
    assert state_of(stock, "affinity", zone_of(), brief_of(cultivar=cultivar)) == level


def test_the_tables_have_every_stock_the_best_first_and_nothing_that_is_no_number():
    found = chosen(pit(), pit("B", at=(0.0012, 0.0006), ph=7.8, ph_method="water"))
    ranked = rootstock_tables(chosen(pit()))

    assert ranked["rootstocks"][0]["rank"] == 1
    assert {line["rootstock"] for line in ranked["rootstocks"]} == set(KNOWN.names)
    assert sum(line["is_chosen"] for line in ranked["rootstocks"]) == 1
    assert all(line["allowed"] or line["reasons"] for line in ranked["rootstocks"])
    unranked = rootstock_tables(found)
    assert all(line["score"] is None for line in unranked["rootstocks"])
    assert len(unranked["rootstock_zones"]) == 2 * len(KNOWN.names)


def test_an_empty_name_leaves_the_rootstock_alone():
    assert chosen(pit(), rootstock="") is None
