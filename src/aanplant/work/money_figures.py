"""The figures of the budget, each with what it was made from."""

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from aanplant.brief import Brief
from aanplant.working import Figures, Input, Value, Working

if TYPE_CHECKING:
    from aanplant.work.money import Money, Returns

INVESTMENT = "investment"
_PRICES, _ESTATE = "file:prices.csv", "file:estate.toml"
_KIND_NAMES = {
    "material": ("materials", _PRICES),
    "labour": ("labour", _ESTATE),
    "machine": ("machines", _ESTATE),
    "overhead": ("overheads", "brief:money"),
}
SEVERAL = " | "


def figures_of(brief: Brief, money: "Money", layout: Iterable[Working]) -> tuple[Working, ...]:
    """Return the figures of the budget, costs first."""
    known = Figures(layout)
    return (*_costs(money, known), *_over_time(brief, money), *_worth(brief, money))


def _costs(money: "Money", known: Figures) -> list[Working]:
    currency, at_least = money.currency, bool(money.lacks)
    stages = [
        Working(
            f"work.budget.stage.{stage}",
            float(sum(kinds.values())),
            currency,
            tuple(
                Input(_KIND_NAMES[kind][0], float(cost), currency, _KIND_NAMES[kind][1])
                for kind, cost in kinds.items()
            ),
            "arithmetic",
            about=stage,
            message="work.budget.stage",
        )
        for stage, kinds in money.by_stage().items()
    ]
    whole = Working(
        "work.budget.establishment",
        float(money.establishment) if stages else "unknown",
        currency if stages else "",
        tuple(stage.as_input(stage.about) for stage in stages),
        "arithmetic",
        message="work.budget.establishment_at_least" if at_least else "",
    )
    made = [*stages, whole]
    if not stages:
        return made
    area, vines = known["layout.area_planted"], known["layout.vines"]
    if area.value:
        made.append(
            Working(
                "work.budget.cost_per_area", float(money.establishment) / money.area_ha,
                f"{currency}/ha".lstrip("/"),
                (whole.as_input("establishment"), area.as_input("area")), "arithmetic",
                message="work.budget.cost_per_area_at_least" if at_least else "",
            )
        )  # fmt: skip
    if vines.value:
        made.append(
            Working(
                "work.budget.cost_per_vine", float(money.establishment) / money.vines, currency,
                (whole.as_input("establishment"), vines.as_input("vines")), "arithmetic",
                message="work.budget.cost_per_vine_at_least" if at_least else "",
            )
        )  # fmt: skip
    return made


def _over_time(brief: Brief, money: "Money") -> list[Working]:
    currency = money.currency
    rate = brief.as_input("money.discount_rate", "rate")
    horizon = brief.as_input("money.horizon", "horizon")
    worst = int(money.accumulated.argmax()) if len(money.accumulated) else 0
    made = [
        Working(
            "work.budget.accumulated_most", float(money.accumulated[worst]), currency,
            (rate, horizon, Input("year", money.by_year[worst].year, "", "measured")), INVESTMENT,
        )
    ]  # fmt: skip
    bearing = [year for year in money.by_year if year.year == brief.money.horizon]
    if bearing and not money.lacks_yearly:
        made.append(
            Working(
                "work.budget.running_cost", float(bearing[0].cost), currency,
                (brief.as_input("money.running_cost"), brief.as_input("money.harvest_cost"),
                 replace(brief.as_input("money.overhead"), value=brief.money.overhead or 0.0),
                 brief.as_input("trellis.yield_full"),
                 Input("area", money.area_ha, "ha", "figure:layout.area_planted")), "practice",
            )
        )  # fmt: skip
    if money.financing.schedule:
        loan = money.financing
        made.append(
            Working("work.budget.loan", float(loan.amount), currency,
                    (_establishment(money), brief.as_input("money.loan_share")), "arithmetic")
        )  # fmt: skip
        made.append(
            Working("work.budget.instalment", float(loan.schedule[brief.money.loan_grace].paid),
                    currency,
                    (made[-1].as_input("loan"), brief.as_input("money.loan_rate"),
                     brief.as_input("money.loan_years"), brief.as_input("money.loan_grace")),
                    INVESTMENT)
        )  # fmt: skip
    return made


def _worth(brief: Brief, money: "Money") -> list[Working]:
    """Worth, rates and chances; what hangs on an unknown price is unknown."""
    currency, returns = money.currency, money.returns
    rules = ("money.basis", "money.discount_rate", "money.inflation", "money.horizon",
             "money.grape_price", "trellis.yield_full")  # fmt: skip
    given = [brief.as_input(key) for key in rules if brief.setting(key) is not None]
    inputs = (_establishment(money), *given)
    at_most = bool(money.lacks or money.lacks_yearly)
    made = [
        Working("work.budget.npv", returns.npv if returns else "unknown",
                currency if returns else "", inputs, INVESTMENT,
                message="work.budget.npv_at_most" if at_most else ""),
        Working("work.budget.irr", _rates(returns.irr) if returns else "unknown",
                "%" if returns and len(returns.irr) == 1 else "", inputs, INVESTMENT,
                message="work.budget.irr_at_most" if at_most else ""),
    ]  # fmt: skip
    if money.break_even_price is not None:
        made.append(
            Working("work.budget.break_even_price", money.break_even_price,
                    f"{currency}/t".lstrip("/"),
                    tuple(one for one in inputs if one.name != "grape_price"), INVESTMENT,
                    message="work.budget.break_even_price_at_least" if at_most else "")
        )  # fmt: skip
    if returns is None:
        return made
    if returns.break_even_yield is not None:
        made.append(
            Working("work.budget.break_even_yield", returns.break_even_yield, "t/ha", inputs,
                    INVESTMENT,
                    message="work.budget.break_even_yield_at_least" if at_most else "")
        )  # fmt: skip
    if money.financing.schedule:
        made.append(
            Working("work.budget.npv_owner", returns.owner_npv, currency,
                    (*inputs, brief.as_input("money.loan_share"),
                     brief.as_input("money.loan_rate")), INVESTMENT,
                    message="work.budget.npv_owner_at_most" if at_most else "")
        )  # fmt: skip
    return [*made, *_chances(brief, returns, currency)]


def _establishment(money: "Money") -> Input:
    return Input("establishment", float(money.establishment), money.currency,
                 "figure:work.budget.establishment")  # fmt: skip


def _chances(brief: Brief, returns: "Returns", currency: str) -> list[Working]:
    spreads = ("price_spread", "price_swing", "yield_spread", "yield_swing", "cost_spread",
               "delay_chance", "draws", "seed")  # fmt: skip
    inputs = tuple(brief.as_input(f"money.{name}") for name in spreads)
    inputs = (*inputs, brief.as_input("vines.loss_fraction"), brief.as_input("spares.batches"))
    made = [
        Working("work.budget.chance_of_loss", 100.0 * returns.simulation.chance_of_loss, "%",
                inputs, INVESTMENT)
    ]  # fmt: skip
    made.extend(
        Working(f"work.budget.npv_quantile.{round(100 * share)}", value, currency, inputs,
                INVESTMENT, about=f"{round(100 * share)} %", message="work.budget.npv_quantile")
        for share, value in returns.simulation.quantiles.items()
    )  # fmt: skip
    return made


def _rates(rates: tuple[float, ...]) -> Value:
    """One rate as a number; several as a text, since no one of them is the answer. [%]."""
    if len(rates) == 1:
        return 100.0 * rates[0]
    return SEVERAL.join(f"{100.0 * rate:.2f} %" for rate in rates) or "none"
