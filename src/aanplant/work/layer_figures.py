"""The figures of the amendments: one a layer and method, added up for each zone."""

from collections.abc import Iterator, Sequence

from aanplant.brief import Brief
from aanplant.work.gypsum import (
    GYPSUM_T_PER_CMOL,
    HANDBOOK_60_T_HA,
    MOST_T_HA,
    SOUTH_AFRICAN_T_HA,
    sodium_to_replace,
)
from aanplant.work.gypsum_need import GypsumNeed
from aanplant.work.layer_inputs import about, constant, density_input, from_pit, size_inputs
from aanplant.work.layer_slices import Slice
from aanplant.work.lime import CARBONATE_KG_PER_CMOL, SAMPLE_M, TONNES_PER_STEP
from aanplant.work.lime_need import LimeNeed
from aanplant.work.nutrient_needs import NutrientNeed
from aanplant.work.zone_preparation import ZonePreparation
from aanplant.working import Input, Working


def lime_figures(zone: ZonePreparation, brief: Brief) -> Iterator[Working]:
    """Lime of each slice by every method, and of the zone."""
    chosen = []
    for number, (part, need) in enumerate(zone.lime, start=1):
        made = dict(_lime_of_slice(zone, number, part, need, brief))
        yield from made.values()
        if need.chosen:
            chosen.append(made[need.chosen])
    if chosen:
        yield Working(
            f"work.lime.{zone.number}",
            sum(float(figure.value) for figure in chosen),
            "t/ha",
            tuple(figure.as_input(f"layer_{n}") for n, figure in enumerate(chosen, start=1)),
            "arithmetic",
            about=f"zone {zone.zone.name}",
            message="work.lime_zone",
        )


def _lime_of_slice(
    zone: ZonePreparation, number: int, part: Slice, need: LimeNeed, brief: Brief
) -> Iterator[tuple[str, Working]]:
    if not need.methods:
        return
    measured = part.layer.measured
    key, name = f"work.lime.{zone.number}.{number}", about(zone, part)
    acidity = measured.acidity_cmol_kg or 0.0
    yield (
        "exchangeable acid",
        Working(
            key,
            need.methods["exchangeable acid"],
            "t/ha",
            (
                brief.as_input("preparation.lime_ratio", "ratio"),
                from_pit(part, "acidity", need.acidity_cmol_kg, "cmol/kg"),
                from_pit(part, "calcium", measured.calcium_cmol_kg or 0.0, "cmol/kg"),
                Input(
                    "magnesium_credited",
                    need.credit_cmol_kg,
                    "cmol/kg",
                    "brief:preparation.lime_credit"
                    if brief.is_given("preparation.lime_credit")
                    else "default:preparation.lime_credit",
                    "practice",
                ),
                constant("tonnes_per_step", TONNES_PER_STEP, "t/ha", "sa-fertiliser-wine"),
                constant("sample", SAMPLE_M, "m", "sa-fertiliser-wine"),
                Input("humus", need.organic_factor, "", "measured", "sa-fertiliser-wine"),
                *size_inputs(part),
            ),
            "sa-fertiliser-wine",
            about=name,
            message="work.lime_layer",
        ),
    )
    yield (
        "stoichiometric",
        Working(
            f"{key}.charge",
            need.methods["stoichiometric"],
            "t/ha",
            (
                from_pit(part, "acidity", acidity, "cmol/kg"),
                constant("carbonate_per_cmol", CARBONATE_KG_PER_CMOL, "kg/t", "arithmetic"),
                density_input(part, brief),
                *size_inputs(part),
            ),
            "arithmetic",
            about=name,
            message="work.lime_layer_charge",
        ),
    )
    if "buffer" in need.methods:
        sources = {"SMP": "smp-buffer", "Adams": "adams-evans", "Mehlich": "mehlich-buffer"}
        yield (
            "buffer",
            Working(
                f"{key}.buffer",
                need.methods["buffer"],
                "t/ha",
                (
                    Input("method", need.buffer, "", "measured"),
                    from_pit(part, "buffer_ph", measured.buffer_ph or 0.0, ""),
                    from_pit(part, "ph", measured.ph or 0.0, ""),
                    brief.as_input("preparation.lime_target_ph", "target_ph"),
                    *size_inputs(part),
                ),
                sources[need.buffer],
                about=name,
                message="work.lime_layer_buffer",
            ),
        )


def gypsum_figures(zone: ZonePreparation, brief: Brief) -> Iterator[Working]:
    """Gypsum of each sodic slice by every rule, and of the zone."""
    made = []
    for number, (part, need) in enumerate(zone.gypsum, start=1):
        if need.rules:
            rules = tuple(_gypsum_of_slice(zone, number, part, need, brief))
            yield from rules
            made.append(rules[0])
    if made:
        yield Working(
            f"work.gypsum.{zone.number}",
            zone.gypsum_t_ha,
            "t/ha",
            (
                constant("most", MOST_T_HA, "t/ha", "sa-fertiliser-wine"),
                brief.as_input("preparation.gypsum_purity", "content"),
                brief.as_input("preparation.gypsum_moisture", "moisture"),
                *(figure.as_input(f"layer_{n}") for n, figure in enumerate(made, start=1)),
            ),
            "sa-fertiliser-wine",
            about=f"zone {zone.zone.name}",
            message="work.gypsum_zone",
        )


def _gypsum_of_slice(
    zone: ZonePreparation, number: int, part: Slice, need: GypsumNeed, brief: Brief
) -> Iterator[Working]:
    key, name = f"work.gypsum.{zone.number}.{number}", about(zone, part)
    measured, size, density = part.layer.measured, size_inputs(part), density_input(part, brief)
    share = need.esp_pct or 0.0
    sodium = measured.sodium_cmol_kg or 0.0
    capacity = 100.0 * sodium / share
    excess = Input(
        "sodium_to_replace",
        sodium_to_replace(capacity, share, brief.preparation.gypsum_target),
        "cmol/kg",
        "measured",
    )
    sample = constant("sample", SAMPLE_M, "m", "sa-fertiliser-wine")
    yield Working(
        key,
        need.rules["South African"],
        "t/ha",
        (
            constant("tonnes_per_cmol", SOUTH_AFRICAN_T_HA, "t/ha", "sa-fertiliser-wine"),
            from_pit(part, "sodium", sodium, "cmol/kg"),
            sample,
            *size,
        ),
        "sa-fertiliser-wine",
        about=name,
        message="work.gypsum_layer",
    )
    yield Working(
        f"{key}.charge",
        need.rules["charge"],
        "t/ha",
        (
            constant("tonnes_per_cmol", GYPSUM_T_PER_CMOL, "t/ha", "arithmetic"),
            excess,
            density,
            *size,
        ),
        "arithmetic",
        about=name,
        message="work.gypsum_layer_charge",
    )
    yield Working(
        f"{key}.handbook",
        need.rules["Handbook 60"],
        "t/ha",
        (
            constant("tonnes_per_cmol", HANDBOOK_60_T_HA, "t/ha", "handbook-60"),
            excess,
            sample,
            *size,
        ),
        "handbook-60",
        about=name,
        message="work.gypsum_layer_handbook",
    )
    yield Working(
        f"{key}.oster",
        need.rules["Oster"],
        "t/ha",
        (constant("factor", 1.1, "", "oster-gypsum"), excess, density, *size),
        "oster-gypsum",
        about=name,
        message="work.gypsum_layer_oster",
    )


def nutrient_figures(zone: ZonePreparation, brief: Brief) -> Iterator[Working]:
    """Phosphorus and potassium of each slice, and of the zone."""
    phosphorus = tuple(_of_element(zone, "phosphorus", zone.phosphorus, brief))
    potassium = tuple(_of_element(zone, "potassium", zone.potassium, brief))
    yield from (*phosphorus, *potassium)
    if phosphorus and zone.phosphorus_kg_ha:
        yield Working(
            f"work.phosphorus.{zone.number}",
            zone.phosphorus_kg_ha,
            "kg/ha",
            tuple(figure.as_input(f"layer_{n}") for n, figure in enumerate(phosphorus, start=1)),
            "arithmetic",
            about=f"zone {zone.zone.name}",
            message="work.phosphorus_zone",
        )
    if potassium and zone.potassium_kg_ha:
        yield Working(
            f"work.potassium.{zone.number}",
            zone.potassium_kg_ha,
            "kg/ha",
            tuple(figure.as_input(f"layer_{n}") for n, figure in enumerate(potassium, start=1)),
            "arithmetic",
            about=f"zone {zone.zone.name}",
            message="work.potassium_zone",
        )


def _of_element(
    zone: ZonePreparation,
    element: str,
    needs: Sequence[tuple[Slice, NutrientNeed]],
    brief: Brief,
) -> Iterator[Working]:
    for number, (part, need) in enumerate(needs, start=1):
        if not need.rate_kg_ha:
            continue
        inputs = (
            Input("target", need.target_mg_kg, "mg/kg", "table:soil_norms.csv", need.source),
            from_pit(part, "test", need.test_mg_kg, "mg/kg"),
            density_input(part, brief),
            *size_inputs(part),
        )
        key, name = f"work.{element}.{zone.number}.{number}", about(zone, part)
        if element == "phosphorus":
            yield Working(
                key,
                need.rate_kg_ha,
                "kg/ha",
                inputs,
                need.source,
                about=name,
                message="work.phosphorus_layer",
            )
        else:
            yield Working(
                key,
                need.rate_kg_ha,
                "kg/ha",
                inputs,
                need.source,
                about=name,
                message="work.potassium_layer",
            )
