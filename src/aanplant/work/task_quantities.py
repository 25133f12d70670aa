"""How much of each kind of work this block really holds, by its own figures."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from aanplant.brief import Brief
from aanplant.layout import Layout
from aanplant.site import Site
from aanplant.trellis import Trellis
from aanplant.water import Irrigation
from aanplant.work.programme import Programme
from aanplant.working import Figures, Input

PITS_PER_HA = 4
"""A 50 m grid (practice)."""
SAMPLES_PER_HA = 2
_M_PER_KM = 1000.0
_DAYS_PER_MONTH = 30.44
_LOOSENERS = ("ripper", "delver", "shift-delver", "excavator")


@dataclass(frozen=True, slots=True)
class Quantity:
    """How much there is to do, and where that is known from.

    Parameters
    ----------
    value : float
        In the unit of the task.
    inputs : tuple of Input
        What it is made of; the first is named ``quantity`` where it is the quantity itself.
    """

    value: float
    inputs: tuple[Input, ...] = ()


def task_quantities(  # noqa: PLR0917 - one argument a stage, in the order of the job
    brief: Brief,
    site: Site,
    layout: Layout,
    trellis: Trellis,
    water: Irrigation,
    work: Programme,
    *,
    start: date | None,
) -> dict[str, Quantity]:
    """Return the quantity of each kind of work; kinds the block does not hold are left out.

    Parameters
    ----------
    brief, site, layout, trellis, water, work
        The plan.
    start : date or None
        First day of the work, from which what is left of a fallow counts.
    """
    known = Figures(
        (*site.figures, *layout.figures, *trellis.figures, *water.figures, *work.figures)
    )
    found = dict(_counted(known))
    area = known["site.area"]
    hectares = Quantity(float(area.value), (area.as_input("quantity"),))
    found["blocks"] = Quantity(1.0, (Input("quantity", 1, "", "measured"),))
    found["hectares"] = hectares
    found |= dict(_ground(brief, site, hectares, start))
    found |= dict(_soil(brief, work, known, hectares))
    found |= dict(_water(brief, water, known))
    if brief.schedule.fence == "planned" and "site.perimeter" in known:
        found["fence_metres"] = _of(known, "site.perimeter")
    ordered = sum(work.nursery.deliveries)
    if ordered:
        source = known["stock.order_quantity"]
        found["vines_ordered"] = Quantity(float(source.value), (source.as_input("quantity"),))
        if brief.nursery.order_state != "confirmed":
            found["vines_to_order"] = found["vines_ordered"]
    return {name: one for name, one in found.items() if one.value > 0}


def _of(known: Figures, key: str, factor: float = 1.0) -> Quantity:
    figure = known[key]
    value = known.value(key) * factor
    inputs = [figure.as_input("quantity" if factor == 1.0 else "counted")]
    if factor != 1.0:
        inputs.append(Input("per_unit", 1.0 / factor, "", "measured"))
    return Quantity(value, tuple(inputs))


_COUNTED = {
    "vines": "layout.vines",
    "row_ends": "layout.row_ends",
    "line_posts": "trellis.line_posts",
    "end_posts": "trellis.end_posts",
    "anchors": "trellis.anchors",
    "pegs": "stock.pegs",
    "guards": "stock.guards",
}


def _counted(known: Figures) -> Iterator[tuple[str, Quantity]]:
    for name, key in _COUNTED.items():
        if key in known:
            yield name, _of(known, key)
    yield "wire_km", _of(known, "trellis.wire_length", 1.0 / _M_PER_KM)


def _ground(
    brief: Brief, site: Site, hectares: Quantity, start: date | None
) -> Iterator[tuple[str, Quantity]]:
    """Pits, samples, letters and what the last crop left, as far as none of it is done."""
    if site.soil is None:
        yield "pits", _per_hectare(hectares, PITS_PER_HA)
    if not brief.history.nematodes:
        yield "nematode_samples", _per_hectare(hectares, SAMPLES_PER_HA)
    permissions = site.permissions.permissions if site.permissions else ()
    asked = [item for item in permissions if item.stops or item.is_open]
    if asked:
        weeks = max(item.lead_time_weeks for item in asked)
        yield "permissions", Quantity(float(len(asked)), (_measured(len(asked)),))
        yield "permissions_days", Quantity(weeks * 7.0)
    rules = brief.history
    if rules.last_crop in {"vines", "orchard"}:
        if not rules.pulled:
            yield "pulled_hectares", hectares
        if "no" in {rules.poles_out, rules.wire_out} or not rules.pulled:
            yield "old_hectares", hectares
    days = _fallow_days(brief, start)
    if days > 0:
        yield "fallow_days", Quantity(float(days), (_measured(days),))


def _per_hectare(hectares: Quantity, rate: int) -> Quantity:
    count = math.ceil(hectares.value * rate)
    return Quantity(float(count), (_measured(count),))


def _measured(count: float) -> Input:
    return Input("quantity", count, "", "measured")


def _fallow_days(brief: Brief, start: date | None) -> int:
    """Days of the fallow after vines with virus that are left when the work begins."""
    rules = brief.history
    if start is None or rules.last_crop != "vines" or rules.leafroll != "found":
        return 0
    whole = round(rules.fallow * _DAYS_PER_MONTH)
    if not rules.pulled:
        return whole
    return max(0, whole - (start - date.fromisoformat(f"{rules.pulled}-01")).days)


def _soil(
    brief: Brief, work: Programme, known: Figures, hectares: Quantity
) -> Iterator[tuple[str, Quantity]]:
    needed = {step.name for step in work.soil.steps if step.is_needed}
    for name, key in (("drain_hours", "work.amount.digger"), ("ridger_hours", "work.ridge_hours")):
        if key in known:
            yield name, _of(known, key)
    for machine in _LOOSENERS:
        if f"work.amount.{machine}" in known:
            yield (
                f"{machine.replace('-', '_')}_hours",
                _of(known, f"work.amount.{machine}"),
            )
    if "amend" in needed:
        yield "spread_hectares", hectares
    if "loosen" in needed:
        yield "loosened_hectares", hectares
        days = round(brief.preparation.settling * 7.0)
        yield "settling_days", Quantity(float(days), (_measured(days),))
    if brief.preparation.cover_crop:
        yield "cover_hectares", hectares
    if brief.schedule.fumigation:
        yield "fumigated_hectares", hectares
        yield "fumigation_days", Quantity(max(1.0, (brief.schedule.fumigation_wait or 0.0) * 7.0))


def _water(brief: Brief, water: Irrigation, known: Figures) -> Iterator[tuple[str, Quantity]]:
    """Pipes as designed; without a design the dripper lines alone are known."""
    is_carted = brief.first_season.by == "tanker"
    if is_carted:
        yield "tankers", Quantity(1.0, (_measured(1),))
    line = "water.lateral_length" if "water.lateral_length" in known else "water.dripper_line"
    if line in known:
        yield "hung_km", _of(known, line, 1.0 / _M_PER_KM)
        yield "lateral_km", _of(known, line, 1.0 / _M_PER_KM)
    if not is_carted:
        laterals = "water.part.take-off" if "water.part.take-off" in known else "layout.rows"
        yield "laterals", _of(known, laterals)
    if water.system is None:
        if not is_carted:
            yield "sets", Quantity(1.0, (_measured(1),))
        return
    length = known.value("water.mainline_length") + known.value("water.submain_length")
    parts = ("water.mainline_length", "water.submain_length")
    yield (
        "main_metres",
        Quantity(length, tuple(known[key].as_input(key.rpartition(".")[2]) for key in parts)),
    )
    yield "pumps", Quantity(1.0, (_measured(1),))
    if not is_carted:
        yield "sets", _of(known, "water.sets")
