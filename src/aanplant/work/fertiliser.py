"""Phosphorus and potassium worked in before planting, up to the norm of the test used."""

from dataclasses import dataclass

from aanplant.tables import rows

SUPERPHOSPHATE_P = 0.105
"""Phosphorus in single superphosphate (South African grade). [-]"""


def nutrient_need(
    target_mg_kg: float,
    test_mg_kg: float,
    thickness_m: float,
    bulk_density_t_m3: float,
    stones_volume_pct: float = 0.0,
) -> float:
    """Element that lifts a layer from its test to a target, never negative. [kg/ha].

    ``(target - test) × depth × density × 10``, less the stones.

    Parameters
    ----------
    target_mg_kg, test_mg_kg : float
        Of the fine earth. [mg/kg]
    thickness_m, bulk_density_t_m3 : float
        Of the layer. [m], [t/m3]
    stones_volume_pct : float
        Stones. [%]
    """
    missing = max(0.0, target_mg_kg - test_mg_kg)
    return missing * thickness_m * bulk_density_t_m3 * 10.0 * (1.0 - stones_volume_pct / 100.0)


@dataclass(frozen=True, slots=True)
class Norm:
    """What a test should read.

    Parameters
    ----------
    target_mg_kg : float
        Wanted. [mg/kg]
    other_mg_kg : float
        The other reading of a source that is not clear; equal to the target where it is. [mg/kg]
    too_high_mg_kg : float
        From here on more does harm; infinite where no source says. [mg/kg]
    source : str
        Id in ``tables/sources.csv``.
    """

    target_mg_kg: float
    other_mg_kg: float
    too_high_mg_kg: float
    source: str


def norm(element: str, test: str, clay_pct: float) -> Norm | None:
    """Return the norm of a test at a clay content, None where there is none.

    Parameters
    ----------
    element : {"P", "K"}
        Phosphorus or potassium.
    test : str
        Name of the test, such as "Bray II"; "" for exchangeable potassium.
    clay_pct : float
        Clay of the fine earth. [%]
    """
    for row in rows("soil_norms.csv"):
        if row["element"] != element or row["test"].casefold() != test.casefold():
            continue
        if float(row["clay_above_pct"]) < clay_pct <= float(row["clay_up_to_pct"]):
            return Norm(
                float(row["target_mg_kg"]),
                float(row["other_mg_kg"]),
                float(row["too_high_mg_kg"]),
                row["source"],
            )
    return None
