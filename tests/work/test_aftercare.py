"""The rounds of the first three years: when they fall, what they ask, and that money reads them."""

import dataclasses
from datetime import date, timedelta
from decimal import Decimal

import pytest

from aanplant import tables
from aanplant.brief import parse_brief
from aanplant.files import open_block, read_inputs
from aanplant.plan import make_plan
from aanplant.work.aftercare import TABLE, bud_breaks
from aanplant.workforce import Labour
from tests.work.test_by_hand import EXAMPLE
from tests.work.test_planting import SMALLEST

VINES_A_HECTARE = 2.7
"""Thousands; the handbook's norms are for about so many."""


@pytest.fixture(scope="module")
def made():
    block = open_block(EXAMPLE)
    return make_plan(block.brief, read_inputs(block))


@pytest.fixture(scope="module")
def northern():
    block = open_block(EXAMPLE.parent / "onderveld")
    return make_plan(block.brief, read_inputs(block))


def span_h(*rounds, season):
    """Least and most hours a hectare of some rounds of a season, by the table."""
    rows = [row for row in tables.rows(TABLE) if int(row["season"]) == season]
    low, high = (
        sum(float(row[end]) * int(row["times"]) for row in rows if row["round"] in rounds)
        for end in ("low", "high")
    )
    return low * VINES_A_HECTARE, high * VINES_A_HECTARE


@pytest.mark.published(
    source="labour defaults a hectare at about 2700 vines, from memory",
    quantity="hours of aftercare",
    unit="h/ha",
)
def test_the_norms_add_up_to_the_hours_of_the_season(published):
    # The recalled ranges are round numbers; ours, for a thousand vines, lie within a tenth.
    for label, hours, printed in (
        ("train and tie, year 1", span_h("select-shoot", "tying", season=0), (90, 150)),
        (
            "train, tie and sucker, year 2",
            span_h("suckering", "tying", "topping", "arms", season=1),
            (150, 220),
        ),
        ("hand weeding, year 1", span_h("weeding", season=0), (40, 80)),
        ("hand weeding, year 2", span_h("weeding", season=1), (40, 80)),
        ("pruning, year 2", span_h("pruning", season=2), (20, 40)),
    ):
        for end, ours, theirs in zip(("least", "most"), hours, printed, strict=True):
            published.equal(ours, printed=theirs, tolerance=theirs / 10, label=f"{label}, {end}")


@pytest.mark.published(
    source="young blocks looked over 2, 6 and 12 weeks after planting, our judgement",
    quantity="weeks from planting to a round of inspection",
    unit="weeks",
)
def test_inspections_fall_two_six_and_twelve_weeks_after_planting(published, made):
    planted = made.planting.days[0].date
    rounds = [one for one in made.planting.rounds if one.id == "inspection" and one.year == 0]

    for one, weeks in zip(rounds, (2, 6, 12), strict=False):
        published.equal(
            (one.first - planted).days / 7, printed=weeks, tolerance=0.5, label=f"{weeks} weeks"
        )


def test_rounds_follow_bud_break_in_both_hemispheres(made, northern):
    for plan, month in ((made, 9), (northern, 3)):
        second = [one for one in plan.planting.rounds if one.year == 1]
        pests = next(one for one in second if one.id == "pests")
        pruning = next(one for one in second if one.id == "pruning")

        assert pests.first.month == month
        assert pruning.last < pests.first
        assert all(one.first <= one.last for one in plan.planting.rounds)


def test_dormant_vines_planted_late_break_bud_weeks_after_planting():
    brief = parse_brief(SMALLEST + '[climate]\nbud_break = "09-08"\n', "brief.toml")

    early = bud_breaks(brief, date(2027, 8, 2), is_south=True)
    late = bud_breaks(brief, date(2027, 10, 4), is_south=True)

    assert early[0] == date(2027, 9, 8)
    assert late[0] == date(2027, 10, 4) + timedelta(days=28)
    assert early[1:] == late[1:] == (date(2028, 9, 8), date(2029, 9, 8), date(2030, 9, 8))


def test_mounds_are_opened_in_the_weeks_that_the_brief_asks_for(made):
    (mounds,) = [one for one in made.planting.rounds if one.id == "mounds"]
    weeks = timedelta(weeks=made.brief.nursery.mound_weeks)

    assert mounds.first == made.planting.days[0].date + weeks
    assert mounds.last == made.planting.days[-1].usual + weeks


@pytest.mark.parametrize(
    ("section", "changes", "gone"),
    [
        ("nursery", {"mound": False}, "mounds"),
        ("materials", {"guards": False}, "guards-off"),
    ],
)
def test_what_is_not_there_needs_no_round(made, section, changes, gone):
    part = getattr(made.brief, section).model_copy(update=changes)
    plan = make_plan(made.brief.model_copy(update={section: part}), made.inputs, earlier=made)

    assert gone in {one.id for one in made.planting.rounds}
    assert gone not in {one.id for one in plan.planting.rounds}


def test_hours_of_a_round_unfold_to_vines_and_norm(made):
    for one in made.planting.rounds:
        figure = made.figures[one.figure]
        basis, norm = (float(item.value) for item in figure.inputs)
        assert one.person_hours == pytest.approx(basis / 1000 * norm)
    for year in range(4):
        total = sum(one.person_hours for one in made.planting.rounds if one.year == year)
        assert made.figures.value(f"work.aftercare.{year}") == pytest.approx(total)


def test_the_estates_own_norm_goes_before_the_tables(made):
    labour = made.inputs.labour.model_copy(update={"norms": {"weeding": 4.0}})
    plan = make_plan(made.brief, dataclasses.replace(made.inputs, labour=labour), earlier=made)

    weeding = next(one for one in plan.planting.rounds if one.id == "weeding")
    assert weeding.person_hours == pytest.approx(4.0 * weeding.quantity / 1000)


def test_every_round_is_paid_in_its_month(made):
    inputs = dataclasses.replace(made.inputs, labour=Labour(wage=30.0))
    plan = make_plan(made.brief, inputs, earlier=made)
    lines = [line for line in plan.money.lines if line.id.startswith("labour.round")]

    rounds = plan.planting.rounds
    assert [line.month for line in lines] == [f"{one.first:%Y-%m}" for one in rounds]
    assert [line.word for line in lines] == [f"round.{one.id}" for one in rounds]
    for line, one in zip(lines, rounds, strict=True):
        assert line.kind == "labour"
        assert line.cost == pytest.approx(
            Decimal(repr(one.person_hours * 30.0)), abs=Decimal("0.01")
        )


def test_a_tankers_hours_reach_the_money_as_a_machine(made):
    first = made.brief.first_season.model_copy(update={"by": "tanker"})
    brief = made.brief.model_copy(update={"first_season": first})
    plan = make_plan(brief, made.inputs, earlier=made)

    rounds = [one for one in plan.planting.rounds if one.machine == "tanker"]
    assert len(rounds) == 1
    assert rounds[0].machine_hours == rounds[0].person_hours > 0
    assert "tanker" in plan.money.lacks


def test_green_trunks_are_kept_from_contact_herbicide(made):
    (finding,) = [one for one in made.findings if one.message == "aftercare.green_trunks"]

    assert finding.level == "care"
    assert finding.values["until"] == "2030-04-06"
