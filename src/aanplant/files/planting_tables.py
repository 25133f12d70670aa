"""The lists of planting: days, rows of each lot, rounds of aftercare, orders in time."""

from collections.abc import Mapping
from typing import Any

from aanplant.messages import word
from aanplant.plan import Plan
from aanplant.work.lot_rows import Stretch

Table = list[dict[str, Any]]


def planting_tables(plan: Plan) -> Mapping[str, Table]:
    """Return the lists by name; what isn't known is null."""
    made = plan.planting
    return {
        "planting_days": [
            {
                "day": day.number,
                "date": day.date.isoformat(),
                "usual_date": day.usual.isoformat(),
                "vines": day.vines,
                "people": day.people,
                "jobs": dict(day.jobs),
                "out_of_store": day.out_of_store.isoformat() if day.out_of_store else None,
                "soaks": [
                    {
                        "vines": soak.vines,
                        "from": soak.start.isoformat(timespec="minutes"),
                        "plant_from": soak.plant_from.isoformat(timespec="minutes"),
                        "until": soak.until.isoformat(timespec="minutes"),
                        "latest": soak.latest.isoformat(timespec="minutes"),
                    }
                    for soak in day.soaks
                ],
                "holes_for": day.holes_for.isoformat() if day.holes_for else None,
                "holes_next": [_stretch(one) for one in day.holes_next],
                "water_m3": day.water_m3,
                "pumped_m3": day.pumped_m3,
                "tanker_trips": day.tanker_trips,
                "sets": [{"set": number or None, "hours": hours} for number, hours in day.set_runs],
                "wait_h": day.wait_h,
                "roots_until": day.roots_until.isoformat(timespec="minutes"),
                "parts": [
                    {
                        "lot": part.lot,
                        "delivery": part.delivery,
                        "vines": part.vines,
                        "rows": [_stretch(one) for one in part.stretches],
                    }
                    for part in day.parts
                ],
            }
            for day in made.days
        ],
        "lots_in_rows": [
            {
                "lot": lot.lot,
                "vines": lot.vines,
                "planted": lot.planted,
                "rows": [_stretch(one) for one in made.places.named(lot.first, lot.last)],
            }
            for lot in made.lots
        ],
        "rounds": [
            {
                "round": one.id,
                "name": word(f"round.{one.id}"),
                "season": one.year + 1,
                "first": one.first.isoformat(),
                "last": one.last.isoformat(),
                "quantity": one.quantity,
                "unit": one.unit,
                "person_hours": one.person_hours,
                "machine": one.machine or None,
                "machine_hours": one.machine_hours,
                "how": word(one.note),
            }
            for one in made.rounds
        ],
        "order_dates": [
            {
                "item": one.item,
                "supplier": one.supplier or None,
                "needed_by": one.needed.isoformat() if one.needed else None,
                "task": one.task or None,
                "lead_time_weeks": one.lead_weeks,
                "order_by": one.latest.isoformat() if one.latest else None,
                "late": one.is_late,
            }
            for one in made.orders
        ],
    }


def _stretch(one: Stretch) -> dict[str, int]:
    return {
        "row": one.row,
        "part": one.part,
        "first": one.first,
        "last": one.last,
        "vines": one.vines,
    }
