"""The lists of the nursery's order: kinds, deliveries, dates, lots and what was received."""

from collections.abc import Mapping
from typing import Any

from aanplant.plan import Plan

Table = list[dict[str, Any]]


def nursery_tables(plan: Plan) -> Mapping[str, Table]:
    """Return the lists by name; what isn't known is null or ""."""
    rules, order, samples = plan.brief.nursery, plan.work.nursery, plan.work.samples
    plans = iter(zip(samples.plans, samples.standard, strict=True))
    deliveries = []
    for number, vines in enumerate(order.deliveries, 1):
        sampling, standard = next(plans) if vines else (None, None)
        deliveries.append(
            {
                "delivery": number,
                "vines": vines,
                "planting_days": order.planting_days[number - 1] if order.planting_days else None,
                "sample": sampling.sample if sampling else None,
                "accept": sampling.accept if sampling else None,
                "producer_risk": sampling.producer_risk if sampling else None,
                "consumer_risk": sampling.consumer_risk if sampling else None,
                "iso_2859_sample": standard.sample if standard else None,
                "iso_2859_accept": standard.accept if standard else None,
            }
        )
    return {
        "nursery_kinds": [
            {
                "cultivar": kind.cultivar,
                "clone": kind.clone,
                "rootstock": kind.rootstock,
                "vines": kind.vines,
                "deliveries": list(kind.deliveries),
                "grade": rules.grade,
                "certification": rules.certification,
                "certificate_class": rules.certificate_class,
                "order_state": rules.order_state,
            }
            for kind in order.kinds
        ],
        "deliveries": deliveries,
        "nursery_dates": [
            {"step": date.step, "first": date.first, "last": date.last} for date in order.dates
        ],
        "lots": [lot.model_dump(mode="json") for lot in rules.lots],
        "received": [one.line() for one in samples.received],
        "union_heights": [
            {"zone": zone, "union_at_planting_m": height} for zone, height in order.union_by_zone
        ],
    }
