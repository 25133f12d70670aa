"""Where right, store, canal or flow do not carry the vines: by how much, and what would."""

import math
from collections.abc import Iterator

import numpy as np

from aanplant.brief import Brief
from aanplant.site.texture import WHOLE_PCT
from aanplant.water.needs import WaterNeeds
from aanplant.water.right import WaterShortage
from aanplant.working import Finding, Value

Values = dict[str, Value | tuple[Value, str]]
DAY_H = 24.0
_ROUNDING = 1e-6


def shortage_advice(brief: Brief, needs: WaterNeeds, area_ha: float) -> Iterator[Finding]:
    """Yield a sentence for each shortage, or how safely the water suffices.

    Parameters
    ----------
    brief : Brief
        What is asked.
    needs : WaterNeeds
        What the vines need, with its shortages.
    area_ha : float
        Planted. [ha]
    """
    for shortage in needs.shortages:
        yield _worded(brief, needs, shortage, area_ha)
    if brief.water.water_right is None or brief.water.flow_available is None:
        yield Finding("water", "care", "water.supply_unknown", {"missing": _missing(brief)},
                      "", "brief")  # fmt: skip
    if needs.right is not None and not needs.shortages:
        yield _sufficient(needs)


def _worded(
    brief: Brief, needs: WaterNeeds, shortage: WaterShortage, area_ha: float
) -> Finding:  # fmt: skip
    value, limit, unit = shortage.value, shortage.limit, shortage.unit
    carried = area_ha * min(limit / value, 1.0)
    values: Values = {
        "needed": (_up(value, unit), unit),
        "there": (_up(limit, unit), unit),
        "short": (_up(value - limit, unit), unit),
        "age": shortage.age or 1,
        "area": (math.floor(100.0 * carried) / 100.0, "ha"),
        "planted": (round(area_ha, 2), "ha"),
        "assurance": (round(WHOLE_PCT * brief.demand.peak_assurance, 1), "%"),
        "months": brief.water.right_months or "the year",
    }
    if shortage.kind == "flow_short":
        return _slow(brief, needs, values, limit)
    found = {
        "no_right": Finding("water", "stop", "water.no_right", values, "", "brief"),
        "right_taken": Finding("water", "stop", "water.right_taken", values, "", "brief"),
        "right_short": Finding("water", "stop", "water.right_short", values, "", "arithmetic"),
        "outside_months": Finding(
            "water", "stop", "water.outside_months", values, "", "arithmetic"
        ),
        "store_short": Finding("water", "stop", "water.store_short", values, "", "arithmetic"),
    }
    if shortage.kind == "right_taken":
        values["short"] = (_up(float(needs.season.drawn_at(0.5).max()), unit), unit)
    return found[shortage.kind]


def _slow(brief: Brief, needs: WaterNeeds, values: Values, limit: float) -> Finding:
    worst = int(needs.peak_m3_d.argmax())
    hours = float(needs.peak_m3_d[worst]) / limit if limit > 0.0 else np.inf
    figure = f"water.peak_hours.year_{worst + 1}"
    if hours <= DAY_H and brief.watering.turn_every is None:
        values["hours"] = (math.ceil(hours * 10.0) / 10.0, "h")
        values["allowed"] = (brief.watering.hours_a_day, "h")
        return Finding("water", "stop", "water.flow_short_hours", values, figure, "arithmetic")
    return Finding("water", "stop", "water.flow_short", values, figure, "arithmetic")


def _up(number: float, unit: str) -> float:
    """Round up, so that what is told to be enough is."""
    steps = 1.0 if unit == "m3" else 10.0
    rounded = math.ceil(number * steps - _ROUNDING) / steps
    return int(rounded) if unit == "m3" else rounded


def _missing(brief: Brief) -> str:
    names = [
        f"water.missing.{key}"
        for key in ("water_right", "flow_available")
        if getattr(brief.water, key) is None
    ]
    return f"words:{','.join(names)}"


def _sufficient(needs: WaterNeeds) -> Finding:
    right = needs.right
    assert right is not None  # noqa: S101 - the caller asked
    worst = int(right.probability.argmin())
    thirstiest = int((right.inside_m3 + right.outside_m3).argmax())
    values: Values = {
        "chance": (round(WHOLE_PCT * float(right.probability[worst]), 1), "%"),
        "age": worst + 1,
        "years": needs.years.years,
        "needed": (round(float((right.inside_m3 + right.outside_m3)[thirstiest])), "m3"),
        "there": (round(right.left_m3 + right.storage_m3), "m3"),
        "assurance": (round(WHOLE_PCT * right.assurance, 1), "%"),
    }
    figure = f"water.enough.year_{worst + 1}"
    if np.isnan(right.decade_m3[thirstiest]):
        return Finding("water", "note", "water.right_enough", values, figure, "arithmetic")
    values["decade"] = (round(float(right.decade_m3[thirstiest])), "m3")
    values["met"] = round(float(right.decade_suffices[thirstiest]) * 10.0)
    return Finding("water", "note", "water.right_enough_decade", values, figure, "arithmetic")
