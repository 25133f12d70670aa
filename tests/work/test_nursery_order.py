"""The nursery order: counts add up, dates are worked back, lots are judged; tables as printed."""

from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.brief import parse_brief
from aanplant.errors import InputError
from aanplant.messages import sentence
from aanplant.rootstock_facts import RootstockFact
from aanplant.stock.rootstocks import rootstocks
from aanplant.tables import rows
from aanplant.work.delivery_samples import sample_deliveries
from aanplant.work.nursery_advice import advice
from aanplant.work.nursery_dates import months_before, order_dates, warm_up
from aanplant.work.nursery_order import deliveries, order_vines, shared_out
from aanplant.work.union_height import union_heights
from aanplant.working import Working

SMALLEST = '[block]\nboundary = "b"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'
LOTS = (
    '[[nursery.lots]]\nid = "A"\nvines = 600\ncertificate = "1"\nhot_water_treatment = "yes"\n'
    '[[nursery.lots]]\nid = "B"\nvines = 300\n'
)


def said(text, vines=1000):
    brief = parse_brief(SMALLEST + text, "brief.toml")
    found = advice(brief, vines, order_dates(brief.work.planting))
    return {finding.message: finding for finding in found}


@given(st.integers(0, 10_000), st.lists(st.floats(0.01, 1.0), min_size=1, max_size=12))
def test_parts_always_add_up_and_lie_within_one_of_their_share(total, shares):
    parts = shared_out(total, shares)

    assert sum(parts) == total
    for part, share in zip(parts, shares, strict=True):
        assert abs(part - total * share / sum(shares)) < 1.0 + 1e-6


def test_shares_of_nothing_are_refused():
    with pytest.raises(ValueError, match="positive"):
        shared_out(10, [0.0])


def test_dates_are_worked_back_from_planting():
    dates = {date.step: (date.first, date.last) for date in order_dates("2027-08")}

    # 30 and 24, 18 and 12 months before August 2027, by the calendar.
    assert dates["site work"] == ("2025-02", "2025-08")
    assert dates["vines ordered"] == ("2026-02", "2026-08")
    assert months_before("2027-01", 1) == "2026-12"
    assert order_dates("") == ()


def test_lots_without_certificate_and_sums_that_differ_are_a_care():
    found = said(LOTS)

    assert found["nursery.lot_without_certificate"].level == "care"
    assert found["nursery.lot_without_certificate"].values == {"lots": "B"}
    assert found["nursery.lots_do_not_add_up"].values["apart"] == 100
    assert found["nursery.hot_water_unknown"].level == "note"
    assert "nursery.lots_do_not_add_up" not in said(LOTS, vines=900)


def test_a_virus_found_stops_and_a_refused_lot_does_not_count():
    tested = (
        '[[nursery.lots]]\nid = "C"\nstate = "{}"\n'
        'virus_tests = [{{ organism = "GLRaV-3", result = "found" }}]\n'
    )

    assert said(tested.format("promised"))["nursery.virus_found"].level == "stop"
    assert said(tested.format("refused")) == {}


def test_lateness_is_judged_only_on_a_day_that_is_given():
    planting = '[work]\nplanting = "2027-08"\n[nursery]\n'

    assert said(planting) == {}
    late = said(planting + 'as_of = "2026-09-01"\n')
    assert late["nursery.order_late"].level == "care"
    assert "nursery.order_late" not in said(planting + 'as_of = "2026-08-31"\n')
    confirmed = said(planting + 'as_of = "2026-09-01"\norder_state = "confirmed"\n')
    assert "nursery.order_late" not in confirmed


def loosened(depths):
    return SimpleNamespace(
        zones=[
            SimpleNamespace(
                number=number,
                zone=SimpleNamespace(name=name),
                loosening=None if depth is None else SimpleNamespace(depth_m=depth),
            )
            for number, (name, depth) in enumerate(depths.items(), 1)
        ]
    )


def heights(text, depths):
    brief = parse_brief(SMALLEST + text, "brief.toml")
    found = union_heights(brief, loosened(depths))
    return float(found.figure.value), dict(found.by_zone), found.is_loosened


def test_the_union_is_raised_by_a_share_of_the_depth_that_is_loosened():
    height, by_zone, is_loosened = heights("", {"A": 0.8, "B": 0.4, "C": 0.0, "D": None})

    # 5 cm, and 4.5 % of 80, 40 and 0 cm.
    assert height == pytest.approx(0.086)
    assert by_zone == pytest.approx({"A": 0.086, "B": 0.068, "C": 0.05})
    assert is_loosened


def test_a_settling_that_is_asked_for_takes_the_place_of_the_share():
    height, by_zone, _ = heights("[nursery]\nsoil_settling = 0.03\n", {"A": 0.8, "B": 0.0})

    assert height == pytest.approx(0.08)
    assert by_zone == pytest.approx({"A": 0.08, "B": 0.05})


def test_soil_that_is_not_loosened_does_not_sink():
    assert heights("", {"A": 0.0})[::2] == (0.05, False)
    assert heights('[preparation]\nimplement = "none"\n', {})[::2] == (0.05, False)
    assert heights("", {})[0] == pytest.approx(0.09)


@given(st.floats(0.0, 1.5), st.floats(0.0, 1.5))
def test_deeper_loosening_never_lowers_the_union(one, other):
    shallow, deep = sorted((one, other))

    assert heights("", {"A": shallow})[0] <= heights("", {"A": deep})[0]


def test_mounds_are_opened_by_a_date():
    opened = order_dates("2027-08", mound_weeks=8)[-1]

    # 56 days after the first and the last of August, by the calendar.
    assert (opened.step, opened.first, opened.last) == ("mounds opened", "2027-09-26", "2027-10-26")


def test_deliveries_follow_the_batches_unless_they_are_asked_for():
    batches = parse_brief(SMALLEST + "[spares]\nbatches = 3\n", "brief.toml")
    asked = parse_brief(
        SMALLEST + "[spares]\nbatches = 3\n[nursery]\ndeliveries = 2\n", "brief.toml"
    )

    assert deliveries(batches) == 3
    assert deliveries(asked) == 2
    assert {finding.message for finding in advice(asked, 0, ())} == {"nursery.batches_differ"}


def test_lots_recorded_to_the_vine_may_share_a_row():
    found = said(f'[nursery]\nlots_in_rows = "recorded to the vine"\n{LOTS}')

    assert "nursery.lots_recorded" in found
    assert "nursery.lots_kept_apart" not in found


def test_a_part_on_an_unknown_rootstock_is_refused_with_the_nearest_names():
    brief = parse_brief(SMALLEST + '[nursery]\nparts = [{ rootstock = "R111" }]\n', "brief.toml")

    with pytest.raises(InputError, match="110R") as refused:
        order_vines(brief, SimpleNamespace(soil=None), loosened({}), [], [])

    assert refused.value.where == "brief.toml: nursery.parts.rootstock"


def test_a_part_on_a_stock_that_does_not_take_stops_the_plan():
    text = SMALLEST + 'cultivar = "Merlot"\n[nursery]\nparts = [{ rootstock = "41 B" }]\n'
    brief = parse_brief(text, "brief.toml")

    order = order_vines(brief, SimpleNamespace(soil=None), loosened({}), [], [], rootstock="99R")

    assert order.kinds[0].rootstock == "41B"
    assert [f.message for f in order.findings if f.level == "stop"] == ["stock.graft_fails"]


def test_a_part_on_a_graft_the_estate_itself_saw_fail_stops_the_plan():
    text = SMALLEST + 'cultivar = "Merlot"\n[nursery]\nparts = [{ rootstock = "99R" }]\n'
    brief = parse_brief(text, "brief.toml")
    own = RootstockFact("Richter 99", "graft_fails", None, None, "merlot", "own loss", "estate")
    nothing: tuple[Any, ...] = (SimpleNamespace(soil=None), loosened({}), [], [])

    order = order_vines(brief, *nothing, rootstock="110R", known=rootstocks([own]))

    assert [f.message for f in order.findings if f.level == "stop"] == ["stock.graft_fails"]
    assert order_vines(brief, *nothing, rootstock="110R").findings == ()


FOUND = '[[sampling.found]]\nbatch = "A"\ndelivered = 3000\nchecked = {}\nbad = {}\n'


@pytest.mark.parametrize(
    ("checked", "bad", "judgement", "message"),
    [
        (200, 2, "accept", "stock.delivery_accepted"),
        (125, 9, "refuse", "stock.delivery_refused"),
        (20, 1, "look at more", "stock.delivery_open"),
    ],
)
def test_what_was_looked_over_is_judged_with_its_interval(checked, bad, judgement, message):
    brief = parse_brief(SMALLEST + FOUND.format(checked, bad), "brief.toml")
    vines = Working("stock.order_quantity", 3000, "vines", (), "nbinom")

    samples = sample_deliveries(brief, vines, [1500, 1500])

    line = samples.received[0].line()
    assert line["judgement"] == judgement
    assert line["wilson_low"] <= bad / checked <= line["wilson_high"]
    figures = {figure.key: figure for figure in samples.figures}
    assert figures["stock.delivery_bad.1"].value == bad / checked
    said = next(finding for finding in samples.findings if finding.message == message)
    assert said.figure in figures
    assert sentence(said)


def test_the_standards_numbers_stand_beside_the_smallest_sample_or_in_its_place():
    vines = Working("stock.order_quantity", 3000, "vines", (), "nbinom")

    beside = sample_deliveries(parse_brief(SMALLEST, "brief.toml"), vines, [3000])
    asked = '[sampling]\nrule = "iso-2859"\nquality_limit = "2.5"\n'
    standard = sample_deliveries(parse_brief(SMALLEST + asked, "brief.toml"), vines, [3000])

    assert (beside.standard[0].sample, beside.standard[0].accept) == (125, 3)
    assert beside.plans[0].producer_risk <= 0.05
    assert beside.plans[0].consumer_risk <= 0.10
    assert (standard.plans[0].sample, standard.plans[0].accept) == (125, 7)
    assert standard.is_standard


@pytest.mark.parametrize(
    "text",
    [
        LOTS.replace('"B"', '"A"'),
        "[nursery]\nparts = [{ share = 0.5 }]\n",
        "[nursery]\ndeliveries = 0\n",
        '[nursery]\nunion_height = "5 kg"\n',
    ],
)
def test_a_wrong_section_is_refused(text):
    with pytest.raises(InputError):
        parse_brief(SMALLEST + text, "brief.toml")


@pytest.mark.published(
    source="Public planting guides (supplier of the United States), days after the cold store",
    quantity="days out of the store",
    unit="d",
)
def test_days_after_the_cold_store(published):
    north = {row.until: row.days for row in warm_up(is_south=False)}
    for until, printed in (("02-15", 0), ("02-29", 3), ("03-15", 5), ("03-31", 7),
                           ("04-30", 10), ("05-31", 14), ("06-30", 14)):  # fmt: skip
        published.equal(north[until], printed=printed, tolerance=0.0, label=until)
    south = [row.until for row in warm_up(is_south=True)]
    assert south == ["08-15", "08-31", "09-15", "09-30", "10-31", "11-30", "12-31"]


@pytest.mark.published(
    source="Wolpert and Walker, guidelines for grapevine nursery stock, University of California",
    quantity="grade of a bench graft",
    unit="as named",
)
def test_grades_of_vines(published):
    grades = {
        (row["part"], row["measure"]): row["least"]
        for row in rows("vine_grades.csv")
        if row["standard"].startswith("California")
    }
    for key, printed in ((("rootstock", "calliper"), 7.9), (("scion", "calliper"), 4.0),
                         (("roots", "count"), 3), (("roots", "calliper"), 0.8),
                         (("vine", "length"), 356), (("vine", "nodes"), 4),
                         (("scion", "mature length"), 203)):  # fmt: skip
        published.equal(float(grades[key]), printed=printed, tolerance=0.0, label=" ".join(key))


@pytest.mark.published(
    source="Planting guides and Soil preparation for wine and table grapes (South Africa)",
    quantity="planting practice",
    unit="as named",
)
def test_planting_practice(published):
    rules = parse_brief(SMALLEST, "brief.toml").nursery
    printed_rows = {
        (row["subject"], row["condition"]): (row["low"], row["high"])
        for row in rows("planting_practice.csv")
    }

    published.equal(rules.union_height, printed=0.05, tolerance=0.0, label="union, m")
    published.equal(rules.hole_width, printed=0.3, tolerance=0.0, label="hole, m")
    published.equal(rules.soaking, printed=24, tolerance=0.0, label="soaking, h")
    published.equal(rules.first_cut_buds, printed=2, tolerance=0.0, label="buds")
    low, high = printed_rows["water", "soil handbook"]
    published.equal(float(low), printed=3, tolerance=0.0, label="water, least, L")
    published.equal(float(high), printed=4, tolerance=0.0, label="water, most, L")
    low, high = printed_rows["store temperature", "planting guides"]
    published.equal(float(low), printed=1, tolerance=0.0, label="store, coldest, C")
    published.equal(float(high), printed=2, tolerance=0.0, label="store, warmest, C")
