"""What a person chooses by: charts and alternatives, beside the plan and ``aanplant vary``."""

import json
import shutil
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from starlette.testclient import TestClient

from aanplant.brief import Brief, validated
from aanplant.cli.vary import run_vary
from aanplant.cli.writing import FILE_GROUPS
from aanplant.errors import Cancelled
from aanplant.files import open_block, read_inputs
from aanplant.files.plan_json import plain
from aanplant.files.plan_tables import plan_tables
from aanplant.plan import Plan, make_plan
from aanplant.server import create_app
from aanplant.server.charts import CHARTS
from aanplant.server.planning import Planner
from aanplant.server.store import EstateStore
from aanplant.units import show_number
from tests.server.conftest import HOME

ROOT = Path(__file__).parents[2]
BLOCK = "/api/v1/blocks/kiepersol"
WIDE = {"vines.row_width": "2.75 m"}


@pytest.fixture(scope="module")
def client(tmp_path_factory) -> Iterator[TestClient]:
    """One server for all who only ask: what is planned once serves the next."""
    folder = tmp_path_factory.mktemp("estate") / "lowquince"
    shutil.copytree(ROOT / "examples/lowquince", folder, ignore=shutil.ignore_patterns("plans"))
    with serving(folder) as speaking:
        yield speaking


def serving(folder: Path) -> TestClient:
    made = create_app(folder, groups=FILE_GROUPS, write_plan=lambda *_: ())
    return TestClient(made, base_url=HOME)


@pytest.fixture(scope="module")
def planned() -> Plan:
    block = open_block(ROOT / "examples/lowquince/blocks/kiepersol")
    return make_plan(block.brief, read_inputs(block))


@pytest.fixture(scope="module")
def listed(planned: Plan) -> dict[str, list[dict[str, Any]]]:
    """The lists of plan.json."""
    tables: dict[str, list[dict[str, Any]]] = json.loads(json.dumps(plain(plan_tables(planned))))
    return tables


def chart(client: TestClient, name: str, query: str = "", **asked: object) -> dict[str, Any]:
    answer = client.post(f"{BLOCK}/charts/{name}{query}", json=asked)
    assert answer.status_code == 200, answer.text
    told: dict[str, Any] = answer.json()
    assert told["chart"] == name
    return told


def alternatives(client: TestClient, *asked: tuple[str, dict[str, Any]], query: str = ""):
    body = {"alternatives": [{"name": name, "changes": changes} for name, changes in asked]}
    answer = client.post(f"{BLOCK}/alternatives{query}", json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def column(lines: list[dict[str, Any]], name: str) -> list[Any]:
    return [line[name] for line in lines]


def test_bearings_are_those_of_the_plan(client, planned, listed):
    told = chart(client, "direction")

    lines = listed["bearings"]
    panels = {panel["name"]: panel for panel in told["panels"]}
    assert told["bearings_deg"] == column(lines, "bearing_deg")
    assert panels["vines"]["values"] == column(lines, "vines")
    assert panels["rows"]["values"] == column(lines, "rows")
    lengths = np.multiply(column(lines, "mean_row_length_m"), column(lines, "row_ends")) / 2
    np.testing.assert_allclose(panels["row_length"]["values"], lengths, rtol=1e-6)
    assert told["is_unbeaten"] == column(lines, "unbeaten")
    assert told["is_out"] == [bool(line["out_by"]) for line in lines]
    assert told["taken_deg"] == planned.layout.bearing_deg
    assert told["paragraphs"]


def test_the_score_is_told_where_bearings_can_fall_short(client, estate):
    free = {"ground.row_grade": 40, "ground.machine_side_slope": 40}
    known = {panel["name"] for panel in chart(client, "direction")["panels"]}

    told = chart(client, "direction", changes=free)

    block = open_block(estate / "blocks/kiepersol")
    data = block.brief.model_dump(exclude_unset=True)
    data.setdefault("ground", {}).update({key.partition(".")[2]: free[key] for key in free})
    plan = make_plan(validated(Brief, data, "test"), read_inputs(block), until="layout")
    lines = plan_tables(plan)["bearings"]
    score = next(panel for panel in told["panels"] if panel["name"] == "shortfall")
    np.testing.assert_allclose(score["values"], column(list(lines), "shortfall"), atol=1e-4)
    assert "shortfall" not in known


def test_bearings_stay_compared_when_the_brief_asks_for_one(client):
    free = chart(client, "direction")
    told = chart(client, "direction", changes={"rows.bearing": 68})

    assert told["taken_deg"] == 68
    assert told["chosen_deg"] == free["chosen_deg"] != 68
    assert told["panels"] == free["panels"]


def test_bearings_in_feet_are_the_same_rows(client):
    metric = {one["name"]: one for one in chart(client, "direction")["panels"]}
    told = {one["name"]: one for one in chart(client, "direction", "?units=imperial")["panels"]}

    ratio = np.divide(told["row_length"]["values"], metric["row_length"]["values"])
    np.testing.assert_allclose(ratio, 1 / 0.3048, rtol=1e-6)
    assert told["row_length"]["label"].endswith("ft")
    assert told["vines"]["values"] == metric["vines"]["values"]


def test_rootstocks_stand_in_the_order_of_the_plan_with_reasons(client, listed):
    told = chart(client, "rootstock")

    lines = [line for line in listed["rootstocks"] if line["rank"]]
    shown = told["stocks"]
    assert column(shown, "name") == column(lines, "rootstock")[: len(shown)]
    assert column(shown, "rank") == column(lines, "rank")[: len(shown)]
    np.testing.assert_allclose(
        column(shown, "share_first_pct"), 100 * np.array(column(lines, "share_first")[: len(shown)])
    )
    assert told["paragraphs"]
    assert [table["title"] for table in told["tables"]][-1].startswith("Who fell out")
    named = chart(client, "rootstock", changes={"vines.rootstock": shown[1]["name"]})
    assert column(named["stocks"], "is_taken")[:2] == [False, True]


def test_spares_are_those_of_the_plan_and_levels_are_the_orders_they_take(client, planned, listed):
    told = chart(client, "spares")

    lines = listed["spares"]
    assert told["spares"] == column(lines, "spares")
    np.testing.assert_allclose(
        told["assurance_pct"], 100 * np.array(column(lines, "assurance")), atol=1e-5
    )
    risk = np.add(told["left_over"], told["gaps"])
    np.testing.assert_allclose(risk, column(lines, "money_at_risk"), rtol=1e-6, atol=1e-5)
    asked = next(one for one in told["levels"] if one["is_asked"])
    assert asked["order"] == planned.figures.value("stock.order_quantity")
    sure = next(one for one in told["levels"] if one["assurance"] == 0.99)
    other = chart(client, "spares", changes={"vines.assurance": 0.99})
    assert other["ordered"] == sure["spares"] > asked["spares"]


def test_the_spacing_asked_has_the_vines_of_the_plan(client, planned):
    told = chart(client, "spacing")

    line, col = told["asked"]
    assert told["row_widths_m"][col] == planned.brief.vines.row_width
    assert told["vines"][line][col] == planned.figures.value("layout.vines")
    price = planned.work.spares.vine_price
    np.testing.assert_allclose(told["cost"], np.multiply(told["vines"], price), rtol=1e-4)


def test_a_spacing_without_prices_has_vines_alone(estate):
    (estate / "prices.csv").unlink()
    client = serving(estate)

    told = chart(client, "spacing")

    assert told["cost"] == []
    assert told["vines"]


def test_tasks_are_those_of_the_plan_each_with_what_holds_it(client, listed):
    told = chart(client, "calendar")

    tasks = {task["id"]: task for row in told["rows"] for task in row["tasks"]}
    lines = {line["task"]: line for line in listed["tasks"]}
    assert tasks.keys() == lines.keys()
    for name, task in tasks.items():
        assert (task["start"], task["end"], task["float_days"]) == (
            lines[name]["start"], lines[name]["end"], lines[name]["float_days"],
        )  # fmt: skip
        assert task["told"][0].endswith(".")
    assert tasks["line-posts"]["held_by"] == "check-set-out"
    assert told["gate"] == tasks["gate"]["start"]
    assert column(told["days_off"], slice(None)) == column(listed["days_off"], "day")


def test_a_calendar_without_a_month_says_what_is_missing(client):
    told = chart(client, "calendar", changes={"work.planting": None})

    assert told["rows"] == []
    assert "work.planting" in told["missing"][0]


def test_money_by_year_and_month_is_that_of_the_plan(client, listed):
    told = chart(client, "money")

    years = listed["budget_years"]
    assert told["years"] == column(years, "year")
    net = np.subtract(told["incomes"], told["costs"])
    np.testing.assert_allclose(net, column(years, "flow"), atol=0.02)
    np.testing.assert_allclose(
        told["balances"], -np.array(column(years, "owed_with_interest")), atol=0.02
    )
    months = listed["budget_months"]
    assert told["months"] == column(months, "month")
    np.testing.assert_allclose(told["nets"], [float(one["net"]) for one in months], atol=0.01)
    np.testing.assert_allclose(told["so_far"], np.cumsum(told["nets"]), atol=0.02)


def test_what_the_worth_hangs_on_is_that_of_the_plan(client, planned, listed):
    told = chart(client, "sensitivity")

    lines = listed["sensitivity"]
    assert column(told["moved"], "name") == column(lines, "moved")
    np.testing.assert_allclose(column(told["moved"], "npv_low"), column(lines, "npv_low"))
    np.testing.assert_allclose(told["npv"], planned.money.returns.npv)
    without = chart(client, "sensitivity", changes={"money.grape_price": None})
    assert without["moved"] == []
    assert without["missing"]


@pytest.mark.parametrize("name", CHARTS)
def test_every_chart_has_a_table_and_speaks_afrikaans(client, name):
    english = chart(client, name, page="a3f0")
    told = chart(client, name, "?language=af", page="a3f0")

    assert english["title"]
    assert english["tables"]
    for table in english["tables"]:
        assert {len(row) for row in table["rows"]} == {len(table["heads"])}
    assert told.keys() == english.keys()


def test_charts_refuse_what_the_brief_refuses(client):
    wrong = client.post(f"{BLOCK}/charts/spares", json={"changes": {"vines.assurance": 2}})

    assert wrong.status_code == 422
    assert "vines.assurance" in wrong.json()["where"]
    assert client.post(f"{BLOCK}/charts/horoscope", json={}).status_code == 422
    assert client.post("/api/v1/blocks/none/charts/money", json={}).status_code == 404


def test_alternatives_are_told_as_vary_tells_them(client, estate, capsys):
    told = alternatives(client, ("2.5m", {"vines.row_width": "2.5m"}), ("2.75m", WIDE))

    run_vary(estate / "blocks/kiepersol", ["row_width=2.5m,2.75m"], None, as_json=False)
    printed = capsys.readouterr().out
    first, other = told["alternatives"]
    assert first["told"] == []
    assert other["told"][0] in printed.splitlines()
    for result in other["results"][: len(told["figures"]) - 3]:
        assert show_number(result["value"]) in printed
    assert (other["unpriced"], other["stops"]) != (first["unpriced"], first["stops"])
    assert "1\u202f665 vines fewer" in other["told"][1]


def test_an_alternative_that_changes_nothing_says_so(client):
    told = alternatives(client, ("as it stands", {}), ("again", {"rows.headland": "8 m"}))

    assert told["alternatives"][1]["told"][1] == (
        "Vines, rows, posts, wire and dates are those of as it stands."
    )


def test_an_alternative_that_cannot_be_planned_says_why_and_the_others_stand(client):
    told = alternatives(client, ("as it stands", {}), ("odd", {"rows.headland": "-3 m"}))

    first, odd = told["alternatives"]
    assert len(first["results"]) == len(told["figures"]) > 10
    assert odd["results"] == []
    assert "rows.headland" in odd["told"][0]


def test_alternatives_follow_the_files_of_the_block(estate):
    client = serving(estate)
    before = alternatives(client, ("as it stands", {}))["alternatives"][0]["results"]
    prices = estate / "prices.csv"
    prices.write_text(prices.read_text().replace("vine,each,38.50", "vine,each,48.50"))

    after = alternatives(client, ("as it stands", {}))["alternatives"][0]["results"]

    assert before[1] == after[1]
    assert before != after


def test_alternatives_planned_before_are_not_planned_again(client, monkeypatch):
    asked: tuple[tuple[str, dict[str, Any]], ...] = (("as it stands", {}), ("wide", WIDE))
    before = alternatives(client, *asked)
    monkeypatch.setattr("aanplant.server.planning.make_plan", None)

    assert alternatives(client, *asked) == before


def test_a_later_question_of_the_same_page_overtakes_alternatives(estate):
    planner = Planner(EstateStore(estate))
    begun, ended = threading.Event(), []

    def first() -> None:
        try:
            planner.outcomes("kiepersol", [{}, WIDE], page="a/alternatives")
        except Cancelled:
            ended.append("overtaken")

    at_work = threading.Thread(target=first)
    at_work.start()
    while planner.standing("kiepersol", "a/alternatives") == ("", 0.0):
        begun.wait(0.01)
    stage, fraction = planner.standing("kiepersol", "a/alternatives")
    planner.outcomes("kiepersol", [{}], page="a/alternatives")
    at_work.join()

    assert stage
    assert 0 <= fraction < 1
    assert ended == ["overtaken"]
    assert planner.standing("kiepersol", "a/alternatives") == ("", 0.0)


def test_progress_of_nothing_is_nothing(client):
    told = client.get(f"{BLOCK}/progress?question=a3f0/direction").json()

    assert told == {"stage": "", "fraction": 0.0}
