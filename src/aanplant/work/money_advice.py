"""What the budget has to say to the manager."""

from typing import TYPE_CHECKING

from aanplant.brief import Brief
from aanplant.work.money_figures import INVESTMENT
from aanplant.work.money_lines import CARE, HOURS
from aanplant.working import Finding, Value

if TYPE_CHECKING:
    from aanplant.work.money import Money, Returns

_Values = dict[str, Value | tuple[Value, str]]


def advice(brief: Brief, money: "Money") -> tuple[Finding, ...]:
    """Say what the sums lack, in whose money they stand, and what they hang on."""
    found = [_basis(brief, money)]
    if HOURS in money.lacks:
        found.append(Finding("money", "care", "money.no_hours", {}, "work.budget.establishment"))
    if CARE in money.lacks:
        found.append(
            Finding("money", "care", "money.no_care_dates", {}, "work.budget.establishment")
            if brief.work.planting
            else Finding("money", "care", "money.no_care", {}, "work.budget.establishment")
        )
    unpriced = [name for name in money.lacks if name not in {HOURS, CARE}]
    if unpriced:
        values: _Values = {
            "items": ", ".join(unpriced),
            "cost": (round(float(money.establishment)), money.currency),
        }
        found.append(
            Finding("money", "care", "money.at_least", values, "work.budget.establishment")
            if money.establishment
            else Finding("money", "care", "money.none_priced", values, "work.budget.establishment")
        )
    if money.returns is None:
        found.append(_no_price(money))
        return tuple(found)
    if money.lacks_yearly:
        lacking: _Values = {"keys": ", ".join(f"money.{key}" for key in money.lacks_yearly)}
        found.append(Finding("money", "care", "money.at_most", lacking, "work.budget.npv"))
    return (*found, *_worth(brief, money, money.returns))


def _basis(brief: Brief, money: "Money") -> Finding:
    rules = brief.money
    values: _Values = {
        "rate": (round(100.0 * rules.discount_rate, 2), "%"),
        "inflation": (round(100.0 * rules.inflation, 2), "%"),
        "years": rules.horizon,
    }
    if money.basis == "real":
        return Finding("money", "note", "money.in_real_terms", values, "work.budget.npv",
                       INVESTMENT)  # fmt: skip
    return Finding("money", "note", "money.in_nominal_terms", values, "work.budget.npv",
                   INVESTMENT)  # fmt: skip


def _no_price(money: "Money") -> Finding:
    if money.break_even_price is None:
        return Finding("money", "note", "money.no_crop", {}, "work.budget.establishment")
    price = (round(money.break_even_price), f"{money.currency}/t".lstrip("/"))
    return Finding("money", "note", "money.no_grape_price", {"price": price},
                   "work.budget.break_even_price", INVESTMENT)  # fmt: skip


def _worth(brief: Brief, money: "Money", returns: "Returns") -> list[Finding]:
    currency, found = money.currency, []
    is_bound = bool(money.lacks or money.lacks_yearly)
    values: _Values = {
        "npv": (round(returns.npv), currency),
        "short": (round(-returns.npv), currency),
        "rate": (round(100.0 * brief.money.discount_rate, 2), "%"),
        "years": brief.money.horizon,
    }
    if returns.npv < 0:
        found.append(
            Finding(
                "money", "care", "money.falls_short_at_least", values, "work.budget.npv", INVESTMENT
            )
            if is_bound
            else Finding(
                "money", "care", "money.falls_short", values, "work.budget.npv", INVESTMENT
            )
        )
    elif money.repaid_in is not None:
        values["repaid"] = money.repaid_in
        found.append(
            Finding("money", "note", "money.pays_at_most", values, "work.budget.npv", INVESTMENT)
            if is_bound
            else Finding("money", "note", "money.pays", values, "work.budget.npv", INVESTMENT)
        )
    if len(returns.irr) > 1:
        rates = ", ".join(f"{100.0 * rate:.2f}" for rate in returns.irr)
        found.append(Finding("money", "care", "money.several_rates",
                             {"count": len(returns.irr), "rates": rates}, "work.budget.irr",
                             INVESTMENT))  # fmt: skip
    seen, quantiles = returns.simulation, returns.simulation.quantiles
    chances: _Values = {
        "chance": (round(100.0 * seen.chance_of_loss, 1), "%"),
        "low": (round(quantiles[0.05]), currency),
        "high": (round(quantiles[0.95]), currency),
        "draws": len(seen.npv),
        "seed": seen.seed,
    }
    loss = "work.budget.chance_of_loss"
    found.append(
        Finding("money", "note", "money.chances_at_most", chances, loss, INVESTMENT)
        if is_bound
        else Finding("money", "note", "money.chances", chances, loss, INVESTMENT)
    )
    first, second = returns.tornado[:2]
    hangs: _Values = {"first": f"words:money_moves.{first.name}",
                      "second": f"words:money_moves.{second.name}",
                      "width": (round(first.width), currency)}  # fmt: skip
    found.append(Finding("money", "note", "money.hangs_on", hangs, "work.budget.npv", INVESTMENT))
    if money.financing.schedule:
        found.append(_loan(brief, money))
        owner: _Values = {"npv": (round(returns.owner_npv), currency)}
        found.append(
            Finding(
                "money", "note", "money.owner_at_most", owner, "work.budget.npv_owner", INVESTMENT
            )
            if is_bound
            else Finding("money", "note", "money.owner", owner, "work.budget.npv_owner", INVESTMENT)
        )
    return found


def _loan(brief: Brief, money: "Money") -> Finding:
    schedule, rules = money.financing.schedule, brief.money
    values: _Values = {
        "amount": (round(float(money.financing.amount)), money.currency),
        "instalment": (round(float(schedule[rules.loan_grace].paid)), money.currency),
        "years": rules.loan_years,
        "grace": rules.loan_grace,
        "rest": rules.loan_years - rules.loan_grace,
        "first": (round(float(schedule[0].paid)), money.currency),
        "interest": (round(float(sum(one.interest for one in schedule))), money.currency),
    }
    if rules.loan_grace:
        return Finding("money", "note", "money.loan_with_grace", values, "work.budget.loan",
                       INVESTMENT)  # fmt: skip
    return Finding("money", "note", "money.loan", values, "work.budget.loan", INVESTMENT)
