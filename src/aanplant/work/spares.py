"""How many vines to order and to hold back, and what the number risks on either side."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from aanplant.brief import Brief
from aanplant.errors import InputError
from aanplant.inputs import Inputs, PriceLine
from aanplant.stock.batch_variation import BatchVariation, fit_batches
from aanplant.stock.hold_back import vines_to_hold
from aanplant.stock.spares import order_quantity
from aanplant.stock.spares_curve import POINTS, SparesCurve, cheapest_spares, curve_at
from aanplant.working import Finding, Input, Value, Working

_BEYOND = 2
"""The curve runs to twice the spares that are asked for."""
_FEWEST_SHOWN = 10


@dataclass(frozen=True)
class Spares:
    """The spare vines of a block.

    Parameters
    ----------
    order : Working
        Vines to order, spares included.
    spares : int
        Vines beyond the places. [vines]
    curve : SparesCurve or None
        Assurance and risk by number of spares; None where no loss is expected.
    variation : BatchVariation or None
        What past batches say, where it was asked for.
    vine_price, gap_price : float or None
        Of a vine and of a gap over the years it stays one, in the estate's currency.
    cheapest : int or None
        Spares with the least money at risk, where both prices are known. [vines]
    figures, findings
        What it has to say.
    """

    order: Working
    spares: int
    curve: SparesCurve | None
    variation: BatchVariation | None
    vine_price: float | None
    gap_price: float | None
    cheapest: int | None
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]

    def table(self) -> list[dict[str, Any]]:
        """One line a number of spares, for plan.json."""
        if self.curve is None:
            return []
        priced = self.vine_price is not None and self.gap_price is not None
        risk = (
            self.curve.risk(self.vine_price or 0.0, self.gap_price or 0.0).tolist()
            if priced
            else [None] * self.curve.spares.size
        )
        columns = (self.curve.spares, self.curve.assurance, self.curve.left_over, self.curve.gaps)
        return [
            {"spares": spares, "assurance": assurance, "left_over": left, "gaps": gaps,
             "money_at_risk": money}
            for (spares, assurance, left, gaps), money in zip(
                zip(*(column.tolist() for column in columns), strict=True), risk, strict=True
            )
        ]  # fmt: skip


def plan_spares(brief: Brief, inputs: Inputs, vines: Working) -> Spares:
    """Reckon the spare vines for the places of a block.

    Parameters
    ----------
    brief, inputs
        What is asked, with prices and past batches.
    vines : Working
        Places to fill.

    Raises
    ------
    InputError
        If past batches cannot show how batches vary, or vary so much that no order suffices.
    """
    rules, places = brief.spares, int(vines.value)
    variation = _variation(brief, inputs)
    fitted = None if variation is None else _correlation_figure(brief, variation)
    asked = brief.as_input("spares.batch_correlation")
    correlation_input = asked if fitted is None else fitted.as_input("batch_correlation")
    correlation = float(correlation_input.value)
    loss, assurance = brief.vines.loss_fraction, brief.vines.assurance
    count = _order(places, loss, assurance, correlation, rules.batches)
    settings = (
        vines.as_input("vines"), brief.as_input("vines.loss_fraction"),
        brief.as_input("vines.assurance"), correlation_input, brief.as_input("spares.batches"),
    )  # fmt: skip
    order = Working("stock.order_quantity", count, "vines", settings, "nbinom")
    spare = Working("stock.spares", count - places, "vines",
                    (order.as_input("order"), vines.as_input("vines")), "arithmetic")  # fmt: skip
    held = _held(brief, places, settings, correlation)
    figures = [*([fitted] if fitted else []), order, spare, *held]
    findings = [*_batch_findings(brief, places, loss, count, correlation, variation)]
    if any(one.value for one in held):
        findings.append(_keeping(brief, held))
    if loss == 0 or places == 0:
        return Spares(order, count - places, None, variation, None, None, None,
                      tuple(figures), tuple(findings))  # fmt: skip
    most = max(_FEWEST_SHOWN, _BEYOND * (count - places))
    steps = np.append(np.linspace(0, most, POINTS).round(), count - places)
    curve = curve_at(np.unique(steps.astype(np.int64)), places, loss, correlation, rules.batches)
    vine_price = _vine_price(inputs.prices)
    gap_price = None if rules.gap_price is None else rules.gap_price * rules.gap_years
    cheapest = None
    if vine_price is not None and gap_price is not None:
        cheapest = cheapest_spares(
            places,
            loss,
            vine_price=vine_price,
            gap_price=gap_price,
            most=most,
            batch_correlation=correlation,
            batches=rules.batches,
        )
        prices = (
            Input("vine_price", vine_price, f"{inputs.currency}/each".lstrip("/"),
                  "file:prices.csv"),
            brief.as_input("spares.gap_price"), brief.as_input("spares.gap_years"),
        )  # fmt: skip
        least = Working("stock.spares_least_risk", cheapest, "vines",
                        (*settings[:2], *settings[3:], *prices), "nbinom")  # fmt: skip
        figures.append(least)
        findings.append(
            Finding(
                "work",
                "note",
                "stock.spares_two_sides",
                {
                    "spares": count - places,
                    "assurance": (assurance * 100.0, "%"),
                    "cheapest": cheapest,
                },
                "stock.spares_least_risk",
                "nbinom",
            )
        )
    return Spares(order, count - places, curve, variation, vine_price, gap_price, cheapest,
                  tuple(figures), tuple(findings))  # fmt: skip


def _variation(brief: Brief, inputs: Inputs) -> BatchVariation | None:
    if brief.spares.batch_correlation != "fit":
        return None
    past = inputs.past_losses
    try:
        return fit_batches([one.vines for one in past], [one.dead for one in past])
    except ValueError as error:
        raise InputError(
            brief.spares.past_losses,
            str(error),
            "two batches or more in which some vines died and some lived",
        ) from None


def _correlation_figure(brief: Brief, fit: BatchVariation) -> Working:
    file = f"file:{brief.spares.past_losses}"
    return Working(
        "stock.batch_correlation",
        fit.correlation,
        "",
        (
            Input("batches", fit.batches, "", file),
            Input("dispersion", fit.dispersion, "", file),
            Input("batch_size", fit.size, "vines", file),
        ),
        "batch-variation",
    )


def _order(places: int, loss: float, assurance: float, correlation: float, batches: int) -> int:
    try:
        return order_quantity(
            places, loss, assurance, batch_correlation=correlation, batches=batches
        )
    except ValueError as error:
        raise InputError(
            "brief.toml: spares.batch_correlation",
            f"{correlation:g} ({error})",
            "more batches, a smaller correlation or less assurance",
        ) from None


def _held(
    brief: Brief, places: int, settings: Sequence[Input], correlation: float
) -> tuple[Working, Working]:
    rules, vines = brief.spares, brief.vines
    lost = brief.as_input(f"spares.{rules.keep}_loss", "loss_held")
    share = brief.as_input("spares.first_year_share")
    loss_held = float(lost.value)
    parts = (
        ("stock.hold_first", rules.first_year_share, loss_held),
        ("stock.hold_second", 1.0 - rules.first_year_share, 1.0 - (1.0 - loss_held) ** 2),
    )
    held = [
        vines_to_hold(places, vines.loss_fraction * part, vines.assurance, loss_held=gone,
                      batch_correlation=correlation, batches=brief.spares.batches)
        for _, part, gone in parts
    ]  # fmt: skip
    first = Working("stock.hold_first", held[0], "vines", (*settings, share, lost), "nbinom")
    second = Working("stock.hold_second", held[1], "vines", (*settings, share, lost), "nbinom")
    return first, second


def _batch_findings(  # noqa: PLR0917 - what the sentences hold
    brief: Brief, places: int, loss: float, count: int, correlation: float,
    variation: BatchVariation | None,
) -> list[Finding]:  # fmt: skip
    found = []
    values: dict[str, Value | tuple[Value, str]]
    if variation is not None:
        values = {
            "batches": variation.batches, "correlation": round(variation.correlation, 4),
            "low": round(variation.low, 4), "high": round(variation.high, 4),
            "loss": (round(variation.loss_fraction * 100.0, 2), "%"), "asked": (loss * 100.0, "%"),
        }  # fmt: skip
        found.append(Finding("work", "note", "stock.batches_fitted", values,
                             "stock.batch_correlation", "batch-variation"))  # fmt: skip
        low, high = variation.loss_interval()
        if not low <= loss <= high:
            shares = {"asked": loss, "low": low, "high": high}
            values = {name: (round(100.0 * share, 1), "%") for name, share in shares.items()}
            found.append(Finding("work", "care", "stock.loss_against_record", values,
                                 "stock.order_quantity", "count-intervals"))  # fmt: skip
    if correlation == 0 and variation is None:
        found.append(Finding("work", "note", "stock.batches_alike", {"spares": count - places},
                             "stock.order_quantity", "nbinom"))  # fmt: skip
    elif correlation and loss and places:
        alike = order_quantity(places, loss, brief.vines.assurance)
        values = {"spares": count - places, "alike": alike - places}
        if count < alike:
            found.append(Finding("work", "care", "stock.batches_fail_together", values,
                                 "stock.order_quantity", "nbinom"))  # fmt: skip
        else:
            found.append(Finding("work", "note", "stock.batches_set_reserve", values,
                                 "stock.order_quantity", "nbinom"))  # fmt: skip
    return found


def _keeping(brief: Brief, held: tuple[Working, Working]) -> Finding:
    rules = brief.spares
    years = rules.bed_years if rules.keep == "bed" else rules.bag_years
    values: dict[str, Value | tuple[Value, str]] = {
        "first": held[0].value,
        "second": held[1].value,
        "years": years,
        "keep": f"words:spares.{rules.keep}",
    }
    if years == 1:
        return Finding(
            "work", "note", "stock.hold_one_year", values, "stock.hold_first", "practice"
        )
    return Finding("work", "note", "stock.hold_two_years", values, "stock.hold_second", "practice")


def _vine_price(prices: Sequence[PriceLine]) -> float | None:
    line = next((one for one in prices if one.item == "vine"), None)
    return None if line is None or line.price is None else float(line.price)
