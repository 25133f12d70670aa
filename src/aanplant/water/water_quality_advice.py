"""What an analysis of the water asks for."""

from collections.abc import Iterator

from aanplant.site.texture import WHOLE_PCT
from aanplant.water.quality import EQUIVALENT_MG, WaterQuality, chloride_limit_me_l
from aanplant.working import Finding, Value

Values = dict[str, Value | tuple[Value, str]]
HARMLESS = ("none", "slight", "normal")
FULL_YIELD_PCT = 99.5


def quality_advice(
    quality: WaterQuality | None, chloride_mg_l: float | None = None, rootstock: str = ""
) -> Iterator[Finding]:
    """Yield what the water does to soil, vines and drippers.

    Parameters
    ----------
    quality : WaterQuality or None
        What the analysis says; None without one.
    chloride_mg_l : float, optional
        Of the water. [mg/L]
    rootstock : str
        On which the vines stand; "" where none is chosen.
    """
    if quality is None:
        yield Finding("water", "note", "water.not_analysed", {}, "", "practice")
    else:
        yield from _judged(quality)
        yield from _chloride(chloride_mg_l, rootstock)


def _chloride(chloride_mg_l: float | None, rootstock: str) -> Iterator[Finding]:
    """Yield where the water holds more chloride than the rootstock bears."""
    limit = chloride_limit_me_l(rootstock)
    if chloride_mg_l is None or limit is None:
        return
    most_mg_l = limit[0] * EQUIVALENT_MG["chloride"]
    if chloride_mg_l > most_mg_l:
        values: Values = {
            "rootstock": rootstock,
            "found": (chloride_mg_l, "mg/L"),
            "limit": (round(most_mg_l), "mg/L"),
        }
        yield Finding("water", "care", "water.chloride_over", values, "", limit[1])


def _judged(quality: WaterQuality) -> Iterator[Finding]:
    for one in quality.restrictions:
        if one.name not in HARMLESS:
            found = _of(one.measure, one.value, one.unit, one.name)
            yield Finding("water", "care", "water.restricted", found, "", one.source)
    slow = quality.infiltration
    if slow is not None and slow.name not in HARMLESS:
        yield Finding("water", "care", "water.infiltration",
                      _of("", slow.value, slow.unit, slow.name)
                      | {"ratio": round(quality.sodium_adsorption_ratio or 0.0, 1)},
                      "water.sodium_ratio", slow.source)  # fmt: skip
    for one in quality.clogging:
        if one.name not in HARMLESS:
            found = _of(one.measure, one.value, one.unit, one.name)
            yield Finding("water", "care", "water.clogging", found, "", one.source)
    for over in quality.over_limit:
        values: Values = {
            "measure": over.element,
            "found": (over.found_mg_l, "mg/L"),
            "limit": (over.limit_mg_l, "mg/L"),
            "note": over.note,
        }
        yield Finding("water", "care", "water.element_over", values, "", over.source)
    if quality.leaching is not None and quality.extract_ds_m is not None:
        values = {
            "leaching": (round(WHOLE_PCT * quality.leaching, 1), "%"),
            "extract": (round(quality.extract_ds_m, 2), "dS/m"),
            "crop": (round(quality.yield_pct or 0.0, 1), "%"),
        }
        if (quality.yield_pct or 0.0) < FULL_YIELD_PCT:
            yield Finding("water", "care", "water.salt_costs_crop", values, "water.leaching",
                          "memory")  # fmt: skip
        else:
            yield Finding("water", "note", "water.salt_harmless", values, "water.leaching",
                          "memory")  # fmt: skip
    if quality.unknown:
        yield Finding("water", "note", "water.not_measured",
                      {"measures": ", ".join(quality.unknown)}, "", "practice")  # fmt: skip


def _of(measure: str, value: float, unit: str, grade: str) -> Values:
    return {"measure": measure, "found": (round(value, 3), unit.strip("-")), "grade": grade}
