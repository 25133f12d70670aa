"""What there is to say about a nursery's order and its lots."""

from collections.abc import Iterator, Sequence

from aanplant.brief import Brief
from aanplant.brief.nursery import VineLot
from aanplant.work.nursery_dates import OrderDate
from aanplant.working import Finding


def advice(brief: Brief, vines: int, dates: Sequence[OrderDate]) -> Iterator[Finding]:
    """Yield the findings.

    Parameters
    ----------
    brief : Brief
        Its section ``nursery``.
    vines : int
        Vines ordered.
    dates : sequence of OrderDate
        Steps of the order.
    """
    rules = brief.nursery
    lots = [lot for lot in rules.lots if lot.state != "refused"]
    if without := [lot for lot in lots if not lot.certificate and rules.certification != "no"]:
        yield Finding(
            "work", "care", "nursery.lot_without_certificate", _names(without), source="brief"
        )
    if unknown := [lot for lot in lots if lot.hot_water_treatment == "unknown"]:
        yield Finding("work", "note", "nursery.hot_water_unknown", _names(unknown), source="brief")
    if untested := [lot for lot in lots if not lot.virus_tests]:
        yield Finding("work", "note", "nursery.lot_untested", _names(untested), source="brief")
    if found := [lot for lot in lots if any(t.result == "found" for t in lot.virus_tests)]:
        yield Finding("work", "stop", "nursery.virus_found", _names(found), source="brief")
    promised = sum(lot.vines for lot in lots)
    if lots and promised != vines:
        yield Finding(
            "work",
            "care",
            "nursery.lots_do_not_add_up",
            {"promised": promised, "ordered": vines, "apart": abs(vines - promised)},
            "work.order.vine",
            "brief",
        )
    if len(lots) > 1 and rules.lots_in_rows == "rows of one lot":
        yield Finding("work", "note", "nursery.lots_kept_apart", {"count": len(lots)})
    if len(lots) > 1 and rules.lots_in_rows == "recorded to the vine":
        yield Finding("work", "note", "nursery.lots_recorded")
    batches = brief.spares.batches
    if (
        brief.is_given("nursery.deliveries")
        and brief.is_given("spares.batches")
        and batches != rules.deliveries
    ):
        values = {"batches": batches, "deliveries": rules.deliveries}
        yield Finding("work", "note", "nursery.batches_differ", values)
    if rules.as_of:
        yield from _late(brief, dates)


def _late(brief: Brief, dates: Sequence[OrderDate]) -> Iterator[Finding]:
    today = brief.nursery.as_of
    for date in dates:
        values = {"day": today, "last": date.last, "planting": brief.work.planting}
        if today[:7] <= date.last:
            continue
        if date.step == "site work":
            yield Finding("work", "note", "nursery.site_work_late", values)
        elif date.step == "vines ordered" and brief.nursery.order_state != "confirmed":
            yield Finding("work", "care", "nursery.order_late", values)


def _names(lots: Sequence[VineLot]) -> dict[str, str]:
    return {"lots": ", ".join(lot.id for lot in lots)}
