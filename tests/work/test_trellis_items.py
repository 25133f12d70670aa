"""What of a trellis is ordered: every part with its size, and posts compared by cost."""

from decimal import Decimal
from functools import cache

import numpy as np
import pytest

from aanplant.brief.reading import parse_brief
from aanplant.inputs import Inputs, Outline, PriceLine
from aanplant.plan import make_plan

RING = np.array([(0.0, 0.0), (0.0014, 0.0001), (0.0016, 0.0012), (0.0001, 0.0013), (0.0, 0.0)])
BLOCK = '[block]\nboundary = "b"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'
ROWS = "[rows]\nbearing = 20\nlongest = 60\n"
POSTS = {"50-75": 58, "75-100": 86, "100-125": 131, "125-150": 188, "150-175": 262}
PRICES = tuple(
    PriceLine(f"line-post-softwood-{size}-2.4", "each", Decimal(price), None)
    for size, price in POSTS.items()
)


@cache
def planned(rest="", prices=()):
    inputs = Inputs(
        Outline("b", "polygon", (RING + np.array([19.3, -33.6]),)), prices=prices, currency="ZAR"
    )
    return make_plan(parse_brief(BLOCK + ROWS + rest, "brief.toml"), inputs)


def needed(plan):
    return {line.item: line.needed for line in plan.work.orders}


def test_posts_are_ordered_by_length_and_thickness():
    plan = planned()
    counts, orders = plan.trellis.counts, needed(plan)

    inside = counts.line_posts - counts.exposed_posts
    assert orders["line-post-softwood-75-100-2.4"] == inside
    assert orders["line-post-softwood-100-125-2.4"] == counts.exposed_posts
    assert orders["end-post-softwood-125-3"] == counts.end_posts


def test_every_small_part_is_on_the_order():
    plan = planned()
    counts, orders = plan.trellis.counts, needed(plan)

    assert orders["anchor-helix-200"] == counts.anchors
    assert orders["strainer"] == counts.strainers
    assert orders["staple"] == counts.fixed_places
    assert orders["hook"] == counts.hooks
    assert orders["pair-clip"] == counts.pair_clips
    assert orders["wire-3.15-high-strain"] == pytest.approx(counts.brace_wire_m)
    coils = sum(line.packs for line in plan.work.orders if line.item.startswith("wire-"))
    assert orders["join"] == coils


def test_wires_on_steel_posts_are_clipped_and_only_end_posts_get_staples():
    plan = planned('[posts]\ngroup = "heavy steel"\n')
    counts, orders = plan.trellis.counts, needed(plan)

    assert orders["line-post-heavy-steel-2.4"] == orders["post-clip"] == counts.line_posts
    assert orders["staple"] == 2 * counts.end_posts


def test_tie_wire_as_thick_as_the_cordon_wire_is_bought_with_it():
    plan = planned("[ends]\nbrace_wire_diameter = 2.5\nbrace_wire_strands = 3\n")

    cordon_m = plan.trellis.wire_length_m[0]
    brace_m = plan.trellis.counts.brace_wire_m
    assert needed(plan)["wire-2.5-high-strain"] == pytest.approx(cordon_m + brace_m)


@pytest.mark.parametrize(
    ("rest", "items"),
    [
        ('assembly = "h-brace"', {"brace-post-125-3", "rail-100-3"}),
        ('assembly = "strut"', {"strut-100-2.9", "strut-block"}),
        ('anchor = "deadman"', {"anchor-deadman-1.2"}),
        ('anchor = "plate"', {"anchor-plate-0.2x0.3"}),
    ],
)
def test_each_kind_of_end_is_ordered_with_its_own_parts(rest, items):
    assert items <= set(needed(planned(f"[ends]\n{rest}\n")))


def test_short_rows_have_lighter_anchors_where_allowed():
    rules = "[ends]\nlighter_short_rows = true\nlighter_helix = 150\nanchor_depth = 1.6\n"
    plan = planned(rules)
    orders = needed(plan)

    assert plan.trellis.holding.ends.is_lighter.any()
    anchors = orders["anchor-helix-150"] + orders.get("anchor-helix-200", 0)
    assert anchors == plan.trellis.counts.anchors


def test_bush_vines_get_stakes_and_ties_for_the_trunk_alone():
    plan = planned('[trellis]\nsystem = "bush"\n')
    vines = len(plan.layout.positions)

    orders = needed(plan)

    assert orders["stake-1.4"] == orders["tie"] == orders["guard"] == vines
    trellis = (
        "peg",
        "line-post",
        "end-post",
        "anchor",
        "wire",
        "staple",
        "strainer",
        "hook",
        "join",
    )
    assert not [item for item in orders if item.startswith(trellis)]


def test_ties_are_told_by_step():
    plan = planned()
    vines = len(plan.layout.positions)

    assert plan.figures.value("stock.ties_trunk") == vines
    assert plan.figures.value("stock.ties_cordon") == 2 * vines
    assert plan.figures.value("stock.ties") == 3 * vines


def test_posts_are_compared_at_every_spacing_and_the_cheapest_that_holds_is_named():
    plan = planned(prices=PRICES)
    table = plan.work.posts.table()

    assert len(table) == len(POSTS) * len(plan.work.posts.post_every)
    for line in table:
        size = line["post"].removeprefix("softwood ")
        assert line["cost_per_m"] == pytest.approx(POSTS[size] / line["spacing_m"], abs=1e-4)
        assert line["use_in_full_wind"] == pytest.approx(2.5 * line["use"], rel=1e-3)
    allowed = [line["cost_per_m"] for line in table if line["use"] <= 0.9]
    best = plan.work.posts.sheltered.cheapest(0.9)
    assert plan.work.posts.sheltered.cost_per_m[best] == pytest.approx(min(allowed), abs=1e-4)


def test_a_posts_own_diameter_is_compared_too():
    plan = planned("[posts]\ndiameter = 90\n", prices=PRICES)

    assert "softwood 90" in {line["post"] for line in plan.work.posts.table()}


def test_without_prices_no_cost_is_told_and_no_advice_given():
    plan = planned()

    assert {line["cost_per_m"] for line in plan.work.posts.table()} == {None}
    assert not [f for f in plan.findings if f.message.startswith("work.cheap")]


def test_cheaper_posts_are_told_only_where_they_save_something():
    told = planned('[posts]\nsize = "125-150"\n', prices=PRICES)

    [finding] = [f for f in told.findings if f.message == "work.cheaper_posts"]
    assert finding.values["cost"] < 0.95 * finding.values["now"]
    assert finding.values["use"] <= 0.9


def test_the_figures_of_an_order_line_lead_down_to_the_rows():
    plan = planned()

    keys = {working.key for _, working in plan.figures.unfold("work.order.staple")}

    assert {"trellis.fixed_places", "trellis.line_posts"} <= keys
