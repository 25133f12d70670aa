"""Calendars of work made by hand, invented, for the tests of what is drawn and written of them."""

from datetime import date, timedelta

from aanplant.work.tasks import Booked, Calendar, Delivery, FinishChance, Task

GATE = date(2027, 8, 2)


def task(id_, group, *, hours=0.0, crew="", after=(), days=1, name="", **more):
    given = {"quantity": 3.0, "unit": "ha", "machine": "", "machine_hours": 0.0,
             "earliest": None, "latest": None, "conditions": (), "figure": ""} | more  # fmt: skip
    return Task(id=id_, group=group, person_hours=hours, crew=crew, duration_days=days,
                after=tuple(after), name=name, **given)  # fmt: skip


def booked(one, start, end=None, float_days=0):
    return Booked(one, start, end or start, float_days)


def calendar(deliveries=2):
    """A small calendar: a laboratory, work of two crews, a gate, deliveries and days off."""
    items = [
        booked(task("analyse-soil", "ground", days=28), date(2026, 3, 2), date(2026, 3, 29), 40),
        booked(task("order-vines", "stock"), date(2026, 3, 2), float_days=12),
        booked(
            task("fence", "planting", hours=90.0, crew="fencers", after=(("analyse-soil", 14),),
                 conditions=("not-wet",), is_gate=True, machine="post-driver", machine_hours=12.0),
            date(2027, 7, 5), date(2027, 7, 9), 3,
        ),
        booked(task("stones", "preparation", hours=18.0, crew="planters",
                    name="carry off, <all> & every; stone"), date(2027, 7, 12), date(2027, 7, 16)),
        booked(task("gate", "planting", after=(("fence", 0),), unit="block"), GATE),
    ]  # fmt: skip
    sent = []
    for number in range(1, deliveries + 1):
        start = GATE + timedelta(days=7 * number - 7)
        receive = task(f"receive-{number}", "planting", hours=3.0, after=(("gate", 0),))
        plant = task(f"plant-{number}", "planting", hours=200.0, crew="planters",
                     after=((f"receive-{number}", 0),))  # fmt: skip
        items += [booked(receive, start), booked(plant, start, start + timedelta(days=4))]
        sent.append(Delivery(number, 5000, start, start, start + timedelta(days=4),
                             start + timedelta(days=28)))  # fmt: skip
    last = sent[-1].planted_by
    chance = tuple(FinishChance(last + timedelta(days=day), probability)
                   for day, probability in ((0, 0.2), (3, 0.6), (8, 0.95), (12, 1.0)))  # fmt: skip
    shut = tuple(date(2026, 12, 20) + timedelta(days=day) for day in range(14))
    off = (date(2027, 3, 22), date(2027, 8, 9), *shut)
    ordered = tuple(sorted(items, key=lambda item: (item.start, item.end)))
    return Calendar(ordered, tuple(item.task for item in ordered), "optimal", 600.0, 600.0, chance,
                    tuple(sent), tuple(sorted(off)))  # fmt: skip
