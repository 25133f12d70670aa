"""How many vines of each delivery to look over, and what those looked over say."""

from dataclasses import asdict, dataclass
from typing import Any

from aanplant.brief import Brief
from aanplant.brief.spares import SampleFound
from aanplant.stock.acceptance import SamplingPlan, judge, plan_for, smallest_plan, standard_plan
from aanplant.working import Finding, Value, Working


@dataclass(frozen=True)
class DeliverySamples:
    """The sampling of the deliveries.

    Parameters
    ----------
    plans : tuple of SamplingPlan
        One a delivery batch, as even as they can be.
    figures, findings
        What it has to say.
    """

    plans: tuple[SamplingPlan, ...]
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]

    def table(self) -> list[dict[str, Any]]:
        """One line a batch, for plan.json."""
        return [{"batch": number, **asdict(plan)} for number, plan in enumerate(self.plans, 1)]


def sample_deliveries(brief: Brief, ordered: Working) -> DeliverySamples:
    """Plan the sampling of each delivery batch of the order, and judge what was found."""
    small, larger = divmod(int(ordered.value), brief.spares.batches)
    sizes = [small + (number < larger) for number in range(brief.spares.batches)]
    by_size = {size: _plan(brief, size) for size in set(sizes) if size}
    plans = tuple(by_size[size] for size in sizes if size)
    findings = [_judged(brief, found) for found in brief.sampling.found]
    if not plans:
        return DeliverySamples((), (), tuple(findings))
    first = plans[0]
    keys = ("good_batch", "bad_batch", "producer_risk", "consumer_risk", "rule", "quality_limit")
    settings = (
        ordered.as_input("order"),
        brief.as_input("spares.batches"),
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
    return DeliverySamples(plans, (sample, accept), tuple(findings))


def _is_standard(brief: Brief, lot: int) -> bool:
    rules = brief.sampling
    return rules.rule == "iso-2859" and standard_plan(lot, rules.quality_limit) is not None


def _plan(brief: Brief, lot: int) -> SamplingPlan:
    """Take the standard's plan where asked for and known for the lot, else the smallest."""
    rules = brief.sampling
    standard = standard_plan(lot, rules.quality_limit) if rules.rule == "iso-2859" else None
    if standard is not None:
        return plan_for(lot, *standard, good_share=rules.good_batch, bad_share=rules.bad_batch)
    return smallest_plan(
        lot,
        good_share=rules.good_batch,
        bad_share=rules.bad_batch,
        producer_risk=rules.producer_risk,
        consumer_risk=rules.consumer_risk,
    )


def _judged(brief: Brief, found: SampleFound) -> Finding:
    plan = _plan(brief, found.delivered)
    verdict = judge(found.checked, found.bad, plan)
    low, high = (round(limit * 100.0, 2) for limit in verdict.wilson)
    sure_low, sure_high = (round(limit * 100.0, 2) for limit in verdict.clopper_pearson)
    values: dict[str, Value | tuple[Value, str]] = {
        "batch": found.batch, "bad": found.bad, "checked": found.checked,
        "accept": plan.accept, "sample": plan.sample, "share": (round(verdict.share * 100, 2), "%"),
        "low": low, "high": (high, "%"), "sure_low": sure_low, "sure_high": (sure_high, "%"),
    }  # fmt: skip
    source = "count-intervals"
    if verdict.judgement == "refuse":
        return Finding("work", "care", "stock.delivery_refused", values, source=source)
    if verdict.judgement == "accept":
        return Finding("work", "note", "stock.delivery_accepted", values, source=source)
    return Finding("work", "care", "stock.delivery_open", values, source=source)
