"""Phosphorus and potassium of one layer, up to the norm of the test that was used."""

from dataclasses import dataclass

from aanplant.work.fertiliser import norm, nutrient_need
from aanplant.work.layer_slices import Slice


@dataclass(frozen=True, slots=True)
class NutrientNeed:
    """Phosphorus or potassium of one layer.

    Parameters
    ----------
    rate_kg_ha : float or None
        Of the element; None when nobody can say. [kg/ha]
    target_mg_kg, test_mg_kg : float
        Norm and test. [mg/kg]
    why_none : str
        Why there is no rate, or none is needed; "" when there is one.
    source : str
        Of the norm.
    """

    rate_kg_ha: float | None
    target_mg_kg: float = 0.0
    test_mg_kg: float = 0.0
    why_none: str = ""
    source: str = "practice"


def phosphorus_need(part: Slice) -> NutrientNeed:
    """Phosphorus up to the norm of the test the laboratory used; none above "too high"."""
    measured = part.layer.measured
    if measured.phosphorus_mg_kg is None or not measured.phosphorus_test:
        return NutrientNeed(None, why_none="phosphorus and the name of its test")
    return _nutrient(part, "P", measured.phosphorus_test, measured.phosphorus_mg_kg)


def potassium_need(part: Slice) -> NutrientNeed:
    """Potassium up to its norm."""
    measured = part.layer.measured
    if measured.potassium_mg_kg is None:
        return NutrientNeed(None, why_none="potassium")
    return _nutrient(part, "K", "", measured.potassium_mg_kg)


def _nutrient(part: Slice, element: str, test: str, found: float) -> NutrientNeed:
    if part.layer.clay_pct is None:
        return NutrientNeed(None, test_mg_kg=found, why_none="clay")
    wanted = norm(element, test, part.layer.clay_pct)
    if wanted is None:
        return NutrientNeed(None, test_mg_kg=found, why_none=f"a norm for the test {test}")
    if found >= wanted.too_high_mg_kg:
        return NutrientNeed(0.0, wanted.target_mg_kg, found, "too high", wanted.source)
    need = nutrient_need(
        wanted.target_mg_kg, found, part.thickness_m, part.density_t_m3, part.stones_pct
    )
    why = "" if need else "enough"
    return NutrientNeed(need, wanted.target_mg_kg, found, why, wanted.source)
