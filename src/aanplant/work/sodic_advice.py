"""What sodium holds back: loosening above sodic layers, and gypsum that goes with it."""

from collections.abc import Iterator

from aanplant.brief import Brief
from aanplant.site.profile import SoilLayer
from aanplant.site.salinity import exchangeable_sodium_pct, sodicity
from aanplant.work.gypsum_need import GYPSUM_CLAY_PCT, asks_for_gypsum, is_too_sandy
from aanplant.work.loosening import KEEP_ABOVE_M, doubtful_layer, is_held_for_sodic
from aanplant.work.zone_preparation import ZonePreparation
from aanplant.working import Finding, Value

_Values = dict[str, Value | tuple[Value, str]]


def sodic_advice(brief: Brief, zone: ZonePreparation) -> Iterator[Finding]:
    """Say which sodium holds the loosening of a zone, and where gypsum goes by another figure.

    Parameters
    ----------
    brief : Brief
        Its section ``preparation``.
    zone : ZonePreparation
        Worked out.
    """
    profile, loosening = zone.zone.profile, zone.loosening
    if profile is None or loosening is None:
        return
    trigger = brief.preparation.gypsum_trigger
    figure = f"work.loosening_depth.{zone.number}"
    held = [layer for layer in profile.layers if is_held_for_sodic(layer, trigger)]
    both = [layer for layer in held if asks_for_gypsum(layer, trigger)]
    if both and not brief.preparation.depth_confirmed_by:
        yield Finding(
            "work",
            "care",
            "prepare.gypsum_and_depth",
            {
                **_about(zone, both[0]),
                "depth": (loosening.depth_m, "m"),
                "trigger": (trigger, "%"),
                "clay": (GYPSUM_CLAY_PCT, "%"),
            },
            figure,
            "sa-soil-preparation",
        )
    for layer in held:
        if layer not in both:
            yield _differs(zone, layer, trigger, figure)
    if not brief.preparation.depth_confirmed_by:
        doubtful = doubtful_layer(profile, trigger)
        if doubtful is not None and loosening.depth_m > max(
            0.0, doubtful.measured.top_m - KEEP_ABOVE_M
        ):
            values = {**_about(zone, doubtful), "depth": (loosening.depth_m, "m")}
            yield Finding("work", "care", "prepare.depth_doubtful", values, figure)


def _differs(zone: ZonePreparation, layer: SoilLayer, trigger_pct: float, figure: str) -> Finding:
    """Tell of a layer that holds the loosening and gets no gypsum, with both figures."""
    values: _Values = {
        **_about(zone, layer),
        "trigger": (trigger_pct, "%"),
        "clay": (layer.clay_pct or 0.0, "%"),
        "most_clay": (GYPSUM_CLAY_PCT, "%"),
    }
    if exchangeable_sodium_pct(layer.measured) is None:
        return Finding("work", "care", "prepare.held_by_sar", values, figure)
    if is_too_sandy(layer):
        return Finding(
            "work", "care", "prepare.held_on_sand", values, figure, "sa-soil-preparation"
        )
    return Finding(
        "work", "care", "prepare.held_below_trigger", values, figure, "sa-soil-preparation"
    )


def _about(zone: ZonePreparation, layer: SoilLayer) -> _Values:
    rated = sodicity(layer.measured)
    share = exchangeable_sodium_pct(layer.measured)
    value: tuple[Value, str] = ("unknown", "")
    if share is not None:
        value = (round(share, 1), "%")
    elif rated is not None:
        value = (round(rated.value, 1), "")
    return {
        "zone": zone.zone.name,
        "at": (layer.measured.top_m, "m"),
        "measure": "ESP" if share is not None else "SAR",
        "value": value,
    }
