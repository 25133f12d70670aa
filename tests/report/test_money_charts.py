"""Drawings of money and the chapter on it."""

import dataclasses
import re

import pytest

from aanplant.report.money_chapter import money_chapter
from aanplant.report.money_charts import cash_by_year, cost_by_stage, futures, what_it_hangs_on
from tests.files.plans import planned
from tests.work.test_money import WORTH, budget


def texts(drawing):
    return re.findall(r"<text[^>]*>([^<]*)</text>", drawing.svg(alone=False))


def test_every_year_with_money_has_its_bars_and_the_balance_one_line():
    money = budget(WORTH)
    svg = cash_by_year(money).svg(alone=False)

    assert svg.count('class="cost"') == sum(1 for year in money.by_year if year.cost)
    assert svg.count('class="income"') == sum(1 for year in money.by_year if year.income)
    assert svg.count('class="balance"') == 1
    assert svg.count("<circle") == len(money.flows)


def test_each_stage_is_named_with_its_sum_in_thousands():
    money = budget(WORTH)
    told = texts(cost_by_stage(money))

    assert "posts and wire" in told
    for kinds in money.by_stage().values():
        assert f"{round(float(sum(kinds.values())) / 1e3):,}".replace(",", "\u202f") in told


def test_the_bars_of_what_it_hangs_on_stand_in_order_of_their_width():
    money = budget(WORTH)
    told = texts(what_it_hangs_on(money))
    names = {"price": "grape price", "yield": "yield", "establishment": "cost of establishment",
             "upkeep": "yearly costs", "rate": "discount rate", "loss": "losses of vines",
             "delay": "delay of planting"}  # fmt: skip

    order = [told.index(names[one.name]) for one in money.returns.tornado]
    assert order == sorted(order)
    assert "+20\u202f%" in told


def test_the_futures_tell_the_share_that_falls_short():
    money = budget(WORTH)

    assert any("fall short" in text for text in texts(futures(money)))


def test_without_a_grape_price_there_is_no_worth_to_draw():
    money = budget("")

    for draw in (futures, what_it_hangs_on):
        with pytest.raises(ValueError, match="price of grapes"):
            draw(money)
    assert cash_by_year(money).svg(alone=False).count('class="income"') == 0


@pytest.mark.parametrize(("money", "pictures"), [("", 2), (WORTH, 4)])
def test_the_chapter_has_its_drawings_tables_and_argument(money, pictures):
    plan = planned()
    results = {**plan.results, "money": budget(money)}

    chapter = money_chapter(dataclasses.replace(plan, results=results), "metric")

    assert len(chapter.pictures) == pictures
    assert all(draw().title for _, draw in chapter.pictures)
    assert [table.title for table in chapter.tables[-2:]] == ["Cost by stage", "Money by year"]
    assert chapter.paragraphs
    assert bool(chapter.missing) == (money == "")
