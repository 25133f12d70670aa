"""How high the graft union stands on the day of planting, so that it is right once soil settles."""

from dataclasses import dataclass

from aanplant.brief import Brief
from aanplant.work.soil_preparation import SoilPreparation
from aanplant.working import Input, Working


@dataclass(frozen=True)
class UnionHeights:
    """Graft unions above the soil on the day of planting.

    Parameters
    ----------
    figure : Working
        Where the soil is loosened deepest. [m]
    by_zone : tuple of (str, float)
        In each soil zone with a pit. [m]
    is_loosened : bool
        Whether loosened soil is counted on to sink.
    """

    figure: Working
    by_zone: tuple[tuple[str, float], ...]
    is_loosened: bool


def union_heights(brief: Brief, soil: SoilPreparation) -> UnionHeights:
    """Add to the height wanted what the soil sinks: a share of its loosened depth.

    Parameters
    ----------
    brief : Brief
        Its section ``nursery``.
    soil : SoilPreparation
        The depth loosened in each zone.
    """
    wanted, depths = brief.as_input("nursery.union_height"), _depths(soil)
    by_share = bool(depths) and not brief.is_given("nursery.soil_settling")
    number, deepest = max(
        ((zone.number, depths[zone.zone.name]) for zone in soil.zones if zone.zone.name in depths),
        key=lambda found: found[1],
        default=(0, 0.0),
    )
    is_loosened = deepest > 0 if depths else brief.preparation.implement != "none"
    rules = brief.nursery
    inputs: tuple[Input, ...]
    if not is_loosened:
        settling, inputs = 0.0, (Input("soil_settling", 0.0, "m", "measured"),)
    elif by_share:
        settling = rules.settling_share * deepest
        inputs = (
            brief.as_input("nursery.settling_share"),
            Input("loosened_depth", deepest, "m", f"figure:work.loosening_depth.{number}"),
        )
    else:
        settling, inputs = rules.soil_settling, (brief.as_input("nursery.soil_settling"),)
    figure = Working(
        "work.union_at_planting",
        rules.union_height + settling,
        "m",
        (wanted, *inputs),
        "planting-guides",
        message="work.union_by_depth" if by_share and is_loosened else "work.union_at_planting",
    )
    by_zone = tuple(
        (
            zone,
            rules.union_height
            + (rules.settling_share * depth if by_share else rules.soil_settling * (depth > 0)),
        )
        for zone, depth in depths.items()
    )
    return UnionHeights(figure, by_zone, is_loosened)


def _depths(soil: SoilPreparation) -> dict[str, float]:
    """Depth loosened in each zone with a pit. [m]."""
    return {
        zone.zone.name: zone.loosening.depth_m for zone in soil.zones if zone.loosening is not None
    }
