"""The nursery order: counts add up, dates are worked back, lots are judged; tables as printed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.brief import parse_brief
from aanplant.errors import InputError
from aanplant.tables import rows
from aanplant.work.nursery_advice import advice
from aanplant.work.nursery_dates import months_before, order_dates, warm_up
from aanplant.work.nursery_order import shared_out

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
