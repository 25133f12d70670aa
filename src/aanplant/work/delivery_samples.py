"""How many vines of each delivery to look over, and what those looked over say."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

from aanplant.brief import Brief
from aanplant.brief.spares import SampleFound
from aanplant.stock.acceptance import (
    SamplingPlan,
    Verdict,
    judge,
    plan_for,
    smallest_plan,
    standard_plan,
)
from aanplant.working import Finding, Input, Value, Working


@dataclass(frozen=True, slots=True)
class Received:
    """A delivery of which a sample was looked over.

    Parameters
    ----------
    found : SampleFound
        What the brief says of it.
    plan : SamplingPlan
        By which it is judged.
    verdict : Verdict
        What it means.
    """

    found: SampleFound
    plan: SamplingPlan
    verdict: Verdict

    def line(self) -> dict[str, Any]:
        """Return it as a line of a table."""
        (low, high), (sure_low, sure_high) = self.verdict.wilson, self.verdict.clopper_pearson
        return {
            "batch": self.found.batch,
            "delivered": self.found.delivered,
            "checked": self.found.checked,
            "bad": self.found.bad,
            "sample": self.plan.sample,
            "accept": self.plan.accept,
            "judgement": self.verdict.judgement,
            "share": self.verdict.share,
            "wilson_low": low,
            "wilson_high": high,
            "clopper_pearson_low": sure_low,
            "clopper_pearson_high": sure_high,
        }


@dataclass(frozen=True)
class DeliverySamples:
    """The sampling of the deliveries.

    Parameters
    ----------
    plans : tuple of SamplingPlan
        One a delivery.
    standard : tuple of (SamplingPlan or None)
        The same by the numbers of ISO 2859-1, recalled from memory; None outside its table.
    is_standard : bool
        Whether the brief asks for those.
    received : tuple of Received
        Deliveries looked over.
    figures, findings
        What it has to say.
    """

    plans: tuple[SamplingPlan, ...]
    standard: tuple[SamplingPlan | None, ...]
    is_standard: bool
    received: tuple[Received, ...]
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]

    def table(self) -> list[dict[str, Any]]:
        """One line a batch, for plan.json."""
        return [{"batch": number, **asdict(plan)} for number, plan in enumerate(self.plans, 1)]


def sample_deliveries(brief: Brief, ordered: Working, deliveries: Sequence[int]) -> DeliverySamples:
    """Plan the sampling of each delivery of the order, and judge what was found.

    Parameters
    ----------
    brief : Brief
        Its section ``sampling``.
    ordered : Working
        Vines ordered, whole bundles included.
    deliveries : sequence of int
        Vines in each delivery.
    """
    sizes = [size for size in deliveries if size]
    by_size = {size: _plan(brief, size) for size in set(sizes)}
    plans = tuple(by_size[size] for size in sizes)
    received = tuple(_received(brief, found) for found in brief.sampling.found)
    verdicts = [
        figure for number, one in enumerate(received, 1) for figure in _verdict_figures(number, one)
    ]
    findings = [
        _judged(one, f"stock.delivery_bad.{number}") for number, one in enumerate(received, 1)
    ]
    is_standard = brief.sampling.rule == "iso-2859"
    standard = tuple(_standard(brief, size) for size in sizes)
    if not plans:
        return DeliverySamples((), (), is_standard, received, tuple(verdicts), tuple(findings))
    first = plans[0]
    keys = ("good_batch", "bad_batch", "producer_risk", "consumer_risk", "rule", "quality_limit")
    settings = (
        ordered.as_input("order"),
        Input("deliveries", len(plans), "", *_origin(brief)),
        *(brief.as_input(f"sampling.{key}") for key in keys),
    )
    source = "iso-2859" if _is_standard(brief, first.lot) else "hypergeometric"
    sample = Working("stock.sample", first.sample, "vines", settings, source)
    accept = Working("stock.sample_accept", first.accept, "vines", settings, source)
    values: dict[str, Value | tuple[Value, str]] = {
        "sample": first.sample, "lot": first.lot, "accept": first.accept,
        "good": (brief.sampling.good_batch * 100.0, "%"),
        "bad": (brief.sampling.bad_batch * 100.0, "%"),
        "producer": (round(first.producer_risk * 100.0, 1), "%"),
        "consumer": (round(first.consumer_risk * 100.0, 1), "%"),
    }  # fmt: skip
    findings.insert(
        0, Finding("work", "note", "stock.sample_of_delivery", values, "stock.sample", source)
    )
    return DeliverySamples(
        plans, standard, is_standard, received, (sample, accept, *verdicts), tuple(findings)
    )


def _origin(brief: Brief) -> tuple[str, str]:
    key = "nursery.deliveries" if brief.is_given("nursery.deliveries") else "spares.batches"
    asked = brief.as_input(key)
    return asked.origin, asked.source


def _is_standard(brief: Brief, lot: int) -> bool:
    return brief.sampling.rule == "iso-2859" and _standard(brief, lot) is not None


def _standard(brief: Brief, lot: int) -> SamplingPlan | None:
    rules = brief.sampling
    found = standard_plan(lot, rules.quality_limit)
    if found is None:
        return None
    return plan_for(lot, *found, good_share=rules.good_batch, bad_share=rules.bad_batch)


def _plan(brief: Brief, lot: int) -> SamplingPlan:
    """Take the standard's plan where asked for and known for the lot, else the smallest."""
    rules = brief.sampling
    standard = _standard(brief, lot) if rules.rule == "iso-2859" else None
    if standard is not None:
        return standard
    return smallest_plan(
        lot,
        good_share=rules.good_batch,
        bad_share=rules.bad_batch,
        producer_risk=rules.producer_risk,
        consumer_risk=rules.consumer_risk,
    )


def _received(brief: Brief, found: SampleFound) -> Received:
    plan = _plan(brief, found.delivered)
    return Received(found, plan, judge(found.checked, found.bad, plan))


def _verdict_figures(number: int, received: Received) -> tuple[Working, Working, Working]:
    """Share of bad vines in a sample, and the interval of it in the delivery."""
    found, verdict = received.found, received.verdict
    counted = tuple(
        Input(name, count, "vines", f"brief:sampling.found.{name}")
        for name, count in (("bad", found.bad), ("checked", found.checked))
    )
    least, most = verdict.wilson
    return (
        Working(
            f"stock.delivery_bad.{number}",
            verdict.share,
            "",
            counted,
            "arithmetic",
            about=found.batch,
            message="stock.delivery_bad",
        ),
        Working(
            f"stock.delivery_bad_least.{number}",
            least,
            "",
            counted,
            "count-intervals",
            about=found.batch,
            message="stock.delivery_bad_least",
        ),
        Working(
            f"stock.delivery_bad_most.{number}",
            most,
            "",
            counted,
            "count-intervals",
            about=found.batch,
            message="stock.delivery_bad_most",
        ),
    )


def _judged(received: Received, figure: str) -> Finding:
    found, plan, verdict = received.found, received.plan, received.verdict
    low, high = (round(limit * 100.0, 2) for limit in verdict.wilson)
    sure_low, sure_high = (round(limit * 100.0, 2) for limit in verdict.clopper_pearson)
    values: dict[str, Value | tuple[Value, str]] = {
        "batch": found.batch, "bad": found.bad, "checked": found.checked,
        "accept": plan.accept, "sample": plan.sample, "share": (round(verdict.share * 100, 2), "%"),
        "low": low, "high": (high, "%"), "sure_low": sure_low, "sure_high": (sure_high, "%"),
    }  # fmt: skip
    source = "count-intervals"
    if verdict.judgement == "refuse":
        return Finding("work", "care", "stock.delivery_refused", values, figure, source)
    if verdict.judgement == "accept":
        return Finding("work", "note", "stock.delivery_accepted", values, figure, source)
    return Finding("work", "care", "stock.delivery_open", values, figure, source)
