"""The budget of a whole block: every line, every year, and what it is worth."""

import dataclasses
from datetime import date
from decimal import Decimal
from functools import cache
from types import SimpleNamespace

import numpy as np
import pytest

from aanplant import tables
from aanplant.brief import parse_brief
from aanplant.errors import InputError
from aanplant.inputs import PriceLine
from aanplant.messages import sentence
from aanplant.work.budget import net_present_value, real_rate
from aanplant.work.money import Money, reckon
from aanplant.work.money_lines import CARE, HOURS, TABLE, stage_of, year_of
from aanplant.work.tasks import UNBOOKED, Booked, Calendar, Task
from aanplant.workforce import EstateMachine, Labour
from tests.files.plans import BRIEF, planned

WORTH = "grape_price = 9800\nharvest_cost = 1100\nyoung_cost = 14000\nrunning_cost = 46000\n"


def task(name, group, hours, machine="", machine_hours=0.0):
    return Task(
        name, group, 1.0, "ha", hours, "own", machine, machine_hours, 3, (), None, None, (), ""
    )


BOOKED = (
    Booked(task("level", "ground", 12.5, "tractor", 8.0), date(2026, 8, 3), date(2026, 8, 6), 5),
    Booked(
        task("posts", "wire", 333.3, "post-driver", 21.0), date(2027, 5, 4), date(2027, 6, 2), 0
    ),
    Booked(task("plant", "planting", 400.0), date(2027, 8, 9), date(2027, 8, 20), 0),
    Booked(task("replant", "aftercare", 7.7), date(2028, 8, 9), date(2028, 8, 10), 0),
)
CALENDAR = Calendar(BOOKED, tuple(one.task for one in BOOKED), "optimal", 0, 0, (), (), ())
ROUNDS = (
    SimpleNamespace(id="water", year=0, first=date(2027, 11, 1), person_hours=40.0,
                    machine="tractor", machine_hours=11.0),
    SimpleNamespace(id="prune", year=1, first=date(2028, 9, 1), person_hours=120.0, machine="",
                    machine_hours=0.0),
)  # fmt: skip


@cache
def budget(money: str = "", *, wage: float | None = 31.5, priced: bool = True, calendar=CALENDAR,
           rounds=None) -> Money:  # fmt: skip
    plan = planned()
    brief = parse_brief(BRIEF + f'[work]\nplanting = "2027-08"\n[money]\n{money}', "brief.toml")
    work = plan.work
    prices = tuple(PriceLine(line.item, line.unit, Decimal("13.37"), None) for line in work.orders)
    machines = {
        "tractor": EstateMachine(price_per_hour=455),
        "post-driver": EstateMachine(price_per_day=3600),
    }
    inputs = dataclasses.replace(
        plan.inputs, prices=prices if priced else plan.inputs.prices, machines=machines,
        labour=Labour(wage=wage, on_costs=0.12),
    )  # fmt: skip
    if priced:
        from aanplant.work.cost_lines import cost_lines

        costs, unpriced = cost_lines(work.orders, prices)
        work = dataclasses.replace(work, costs=costs, unpriced=unpriced)
    return reckon(brief, inputs, plan.layout, work, calendar, ROUNDS if rounds is None else rounds)


def figure(money, key):
    return next(one for one in money.figures if one.key == key)


def messages_of(money):
    return {finding.message for finding in money.findings}


@pytest.mark.parametrize("money", ["", WORTH, WORTH + "contingency = 0.075\noverhead = 3210\n"])
def test_the_cash_flow_is_the_sum_of_its_lines_to_the_cent(money):
    made = budget(money)

    assert sum(year.net for year in made.by_year) == sum(line.flow for line in made.lines)
    assert sum(made.by_month.values()) == sum(line.flow for line in made.lines if line.month)
    assert all(line.cost == round(line.cost, 2) for line in made.lines)
    assert made.establishment == sum(
        line.cost for line in made.lines if line.year <= 0 and line.kind != "income"
    )
    by_stage = sum(sum(kinds.values()) for kinds in made.by_stage().values())
    assert by_stage == made.establishment


def test_every_line_is_its_quantity_times_its_rate():
    for line in budget(WORTH).lines:
        assert abs(line.quantity * line.rate - line.cost) <= Decimal("0.005"), line


def test_hours_are_paid_with_all_that_is_on_top_of_the_wage():
    lines = {line.id: line for line in budget().lines}

    assert lines["labour.posts"].cost == Decimal("11758.82")  # 333.3 h x 31.50 x 1.12
    assert lines["machine.posts"].cost == Decimal("8400.00")  # 21 h x 3600 / 9
    assert lines["machine.round.1"].cost == Decimal("5005.00")
    assert lines["labour.posts"].month == "2027-05"
    assert lines["labour.posts"].year == -1


def test_a_year_runs_from_the_month_of_planting_in_both_hemispheres():
    months = ("2027-07", "2027-08", "2028-07", "2028-08")

    assert [year_of(month, "2027-08") for month in months] == [-1, 0, 0, 1]
    assert year_of("2027-09", "2027-04") == 0  # the first northern vintage after planting


def test_the_flows_of_the_model_are_those_of_the_lines():
    made = budget(WORTH)

    for year, flow in zip(made.by_year, made.flows, strict=True):
        assert flow == pytest.approx(float(year.net), abs=12.0)  # crop in whole kilograms


def test_worth_is_the_present_value_of_the_flows():
    made = budget(WORTH + "discount_rate = 0.07\n")

    years_ahead = -made.by_year[0].year
    assert years_ahead > 0
    assert made.returns.npv == pytest.approx(
        net_present_value(made.flows, 0.07) * 1.07**years_ahead
    )
    assert net_present_value(made.flows, made.returns.irr[0]) == pytest.approx(0, abs=1e-4)


def test_a_task_of_a_few_rand_two_years_ahead_moves_worth_and_loan_by_no_more_than_itself():
    marked = Booked(task("mark", "ground", 1.0), date(2026, 4, 1), date(2026, 4, 1), 0)
    early = dataclasses.replace(CALENDAR, booked=(marked, *BOOKED))
    loan = WORTH + "loan_share = 0.5\n"

    one, other = budget(loan), budget(loan, calendar=early)

    cost = 31.5 * 1.12
    assert other.by_year[0].year == -2
    assert one.returns.npv - other.returns.npv == pytest.approx(cost * 1.06**2, abs=0.01)
    assert float(other.financing.amount - one.financing.amount) == pytest.approx(cost / 2, abs=0.01)


@pytest.mark.parametrize("basis", ["real", "nominal"])
def test_a_loan_is_its_share_of_the_cost_of_establishment_that_is_told(basis):
    made = budget(WORTH + f'loan_share = 0.5\nbasis = "{basis}"\ndiscount_rate = 0.11\n')

    assert float(made.financing.amount) == pytest.approx(0.5 * float(made.establishment), abs=0.01)


@pytest.mark.parametrize(("lacking", "is_bound"), [("", False), ("young_cost = 14000\n", True)])
def test_all_that_hangs_on_the_worth_is_told_as_a_bound_where_a_cost_is_unknown(lacking, is_bound):
    rules = WORTH.replace(lacking, "") + "loan_share = 0.5\n"
    pays, short = (budget(rules.replace("9800", price)) for price in ("90000", "2000"))

    said = messages_of(pays) | messages_of(short)
    for told, bound in (("pays", "pays_at_most"), ("falls_short", "falls_short_at_least"),
                        ("chances", "chances_at_most"), ("owner", "owner_at_most")):  # fmt: skip
        assert (f"money.{told}" in said, f"money.{bound}" in said) == (not is_bound, is_bound)
    assert figure(pays, "work.budget.npv_owner").message_id.endswith("_at_most") == is_bound


def test_real_and_nominal_terms_agree_on_the_worth_where_the_rates_do():
    real = budget(WORTH + f"discount_rate = {real_rate(0.13, 0.05)!r}\ninflation = 0.05\n")
    nominal = budget(WORTH + 'discount_rate = 0.13\ninflation = 0.05\nbasis = "nominal"\n')

    assert nominal.returns.npv == pytest.approx(real.returns.npv, rel=1e-9)
    assert nominal.break_even_price == pytest.approx(real.break_even_price, rel=1e-9)
    assert "money.in_nominal_terms" in messages_of(nominal)
    assert "money.in_real_terms" in messages_of(real)


def test_at_the_break_even_price_and_yield_the_block_is_worth_nothing():
    made = budget(WORTH)
    at_price = budget(WORTH.replace("9800", repr(made.break_even_price)))

    assert at_price.returns.npv == pytest.approx(0, abs=30.0)  # prices have four places
    assert 0 < made.break_even_price < 9800 or made.returns.npv < 0
    share = made.returns.break_even_yield / 12.0
    assert (share < 1) == (made.returns.npv > 0)


def test_without_a_grape_price_only_costs_are_known_and_it_is_said():
    made = budget("running_cost = 40000\n")

    assert made.returns is None
    assert figure(made, "work.budget.npv").value == "unknown"
    assert made.break_even_price > 0
    assert "money.no_grape_price" in messages_of(made)
    assert not any(line.kind == "income" for line in made.lines)


def test_a_sum_that_lacks_a_wage_and_prices_is_marked_as_at_least():
    made = budget(WORTH, wage=None, priced=False)

    assert "wage" in made.lacks
    assert "tie" in made.lacks
    assert figure(made, "work.budget.establishment").message_id.endswith("at_least")
    assert figure(made, "work.budget.npv").message_id.endswith("at_most")
    assert "money.at_least" in messages_of(made)
    assert figure(budget(WORTH), "work.budget.establishment").message_id.endswith("establishment")


def test_sums_without_a_booked_task_say_that_they_hold_no_hours():
    made = budget(WORTH, calendar=UNBOOKED, rounds=())

    assert made.lacks == (HOURS,)
    assert figure(made, "work.budget.establishment").message_id.endswith("at_least")
    assert figure(made, "work.budget.npv").message_id.endswith("at_most")
    assert "money.no_hours" in messages_of(made)
    assert "money.no_hours" not in messages_of(budget(WORTH))


def test_a_loan_at_the_rate_of_discount_changes_nothing_to_the_owner():
    made = budget(
        WORTH + 'basis = "nominal"\ndiscount_rate = 0.11\nloan_share = 0.6\nloan_grace = 2\n'
    )

    assert made.financing.schedule[-1].owed == 0
    assert made.returns.owner_npv == pytest.approx(made.returns.npv, abs=0.5)


def test_a_dear_loan_leaves_the_owner_less_and_a_cheap_one_more():
    dear, cheap = (
        budget(WORTH + f"loan_share = 0.5\nloan_rate = {rate}\n") for rate in (0.3, 0.02)
    )

    assert dear.returns.owner_npv < dear.returns.npv
    assert cheap.returns.owner_npv > cheap.returns.npv
    assert "money.loan" in messages_of(dear)


def test_things_that_wear_out_are_bought_again():
    made = budget(
        WORTH + '[[money.renewals]]\nname = "dripper line"\nyear = 10\nevery = 8\ncost = 900\n'
    )

    years = [line.year for line in made.lines if line.what == "dripper line"]

    assert years == [10, 18]


def test_the_hours_of_a_machine_hired_by_the_price_list_are_not_paid_twice():
    plan = planned()
    hired = dataclasses.replace(
        CALENDAR, booked=(Booked(task("rip", "preparation", 0.0, "vine", 9.0), date(2027, 2, 1),
                                 date(2027, 2, 3), 0),),
    )  # fmt: skip
    brief = parse_brief(BRIEF + '[work]\nplanting = "2027-08"\n', "brief.toml")
    inputs = dataclasses.replace(plan.inputs, machines={"vine": EstateMachine(price_per_hour=100)})

    made = reckon(brief, inputs, plan.layout, plan.work, hired)

    assert not any(line.id == "machine.rip" for line in made.lines)


def test_without_a_month_of_planting_the_sums_stand_and_no_month_does():
    plan = planned()
    calendar = Calendar((), CALENDAR.tasks, "no month of planting", None, None, (), (), ())

    made = reckon(plan.brief, plan.inputs, plan.layout, plan.work, calendar)

    assert made.by_month == {}
    assert made.establishment > 0
    assert "money.no_care" in messages_of(made)
    assert CARE in made.lacks
    assert figure(made, "work.budget.establishment").message_id.endswith("at_least")


def test_every_material_has_a_stage():
    for row in tables.rows("materials.csv"):
        item = {"pipe-length": "pipe-pvc", "pipe-coil": "pipe-pe"}.get(row["item"], row["item"])
        assert stage_of(item)
    assert stage_of("drain-pipe") == "ground"
    assert stage_of("strut-block") == "wire"
    assert {row["stage"] for row in tables.rows(TABLE)} <= {
        "ground", "preparation", "stock", "wire", "water", "planting"
    }  # fmt: skip


def test_the_same_seed_draws_the_same_futures_and_another_does_not():
    one, again = budget(WORTH + "seed = 7\n"), budget(WORTH + "seed = 7\n#\n")
    other = budget(WORTH + "seed = 8\n")

    assert np.array_equal(one.returns.simulation.npv, again.returns.simulation.npv)
    assert not np.array_equal(one.returns.simulation.npv, other.returns.simulation.npv)


def test_a_nominal_worth_wants_a_rate_with_inflation_in_it():
    with pytest.raises(InputError, match=r"without money\.discount_rate"):
        budget(WORTH + 'basis = "nominal"\n')


def test_the_tornado_moves_the_cost_of_establishment_that_is_printed():
    made = budget(WORTH)
    moved = next(one for one in made.returns.tornado if one.name == "establishment")

    before = sum(float(year.cost) * 1.06**-year.year for year in made.by_year if year.year <= 0)
    assert moved.npv_low - moved.npv_high == pytest.approx(0.4 * before, rel=1e-6)


def test_years_of_grace_are_told_apart_from_the_instalments():
    made = budget(WORTH + "loan_share = 0.5\nloan_years = 12\nloan_grace = 3\n")

    told = next(sentence(one) for one in made.findings if one.message == "money.loan_with_grace")
    assert "in 12 years: 3 with interest alone" in told
    assert "then 9 with an instalment of" in told


def test_a_worth_without_all_costs_is_told_as_the_most_it_can_be():
    made = budget("grape_price = 9800\nharvest_cost = 900\n")

    assert "money.pays_at_most" in messages_of(made)
    assert "money.pays" not in messages_of(made)


def test_a_month_of_planting_for_which_no_calendar_is_found_is_not_asked_for_again():
    unbooked = dataclasses.replace(UNBOOKED, tasks=CALENDAR.tasks)

    said = messages_of(budget(WORTH, calendar=unbooked, rounds=()))

    assert "money.no_care_dates" in said
    assert "money.no_care" not in said
    assert "money.pays" not in said


def test_without_any_price_the_cost_cannot_be_told_and_is_not_nought():
    plan = planned()
    orders = tuple(line.item for line in plan.work.orders)
    bare = dataclasses.replace(plan.work, costs=(), unpriced=orders)
    brief = parse_brief(BRIEF + '[work]\nplanting = "2027-08"\n', "brief.toml")

    said = messages_of(reckon(brief, plan.inputs, plan.layout, bare, UNBOOKED, ()))

    assert "money.none_priced" in said
    assert "money.at_least" not in said
