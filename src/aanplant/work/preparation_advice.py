"""What a manager should know before machines and spreaders go in."""

from collections.abc import Iterator, Sequence

from aanplant.brief import CHOOSE, Brief
from aanplant.work.earthworks import drain_spacing
from aanplant.work.loosening import SHALLOWEST_DRYLAND_M, implements
from aanplant.work.preparation_steps import ORDER
from aanplant.work.sodic_advice import sodic_advice
from aanplant.work.zone_preparation import ZonePreparation
from aanplant.working import Finding, Value

SAND_CLAY_PCT = 6.0
SAND_RATIO = 5.0
WET_M = 1.0
"""A water table above this depth wants drains before vines (judgement). [m]"""
_Values = dict[str, Value | tuple[Value, str]]


def advice(brief: Brief, zones: Sequence[ZonePreparation], *, has_pits: bool) -> Iterator[Finding]:
    """Collect the findings, in the order of the work.

    Parameters
    ----------
    brief : Brief
        Its section ``preparation``.
    zones : sequence of ZonePreparation
        Worked out.
    has_pits : bool
        Whether any soil pit was read.
    """
    if not has_pits:
        yield Finding("work", "care", "prepare.no_pits", source="sa-soil-preparation")
    yield from _drainage(brief, zones)
    for zone in zones:
        yield from _lime(brief, zone)
        yield from _gypsum(zone)
        yield from _nutrients(zone)
        yield from _loosening(brief, zone)
        yield from sodic_advice(brief, zone)
    yield from _machines(zones)
    if brief.preparation.ridge_height:
        yield Finding("work", "note", "prepare.ridges", _ridge_values(brief), "work.ridge_volume")
    if any(zone.lime_t_ha or zone.gypsum_t_ha or zone.phosphorus_kg_ha for zone in zones):
        yield Finding("work", "care", "prepare.dust", source="sa-soil-preparation")
    if has_pits or brief.preparation.cut_off_drain or brief.preparation.ridge_height:
        yield Finding("work", "care", "prepare.services")
        yield Finding(
            "work",
            "note",
            "prepare.order_of_work",
            {"order": ", ".join(ORDER), "weeks": brief.preparation.settling},
            source="sa-soil-preparation",
        )


def _named(zone: ZonePreparation, **more: Value | tuple[Value, str]) -> _Values:
    return {"zone": zone.zone.name, **more}


def _drainage(brief: Brief, zones: Sequence[ZonePreparation]) -> Iterator[Finding]:
    rules = brief.preparation
    sodic = [zone.zone.name for zone in zones if zone.gypsum_t_ha]
    if sodic and rules.drainage in {"none", "unknown"}:
        yield Finding(
            "work",
            "stop",
            "prepare.gypsum_no_drainage",
            {"zones": ", ".join(sodic), "drainage": rules.drainage},
            source="sa-fertiliser-wine",
        )
    elif sodic and rules.drainage == "planned":
        yield Finding(
            "work",
            "care",
            "prepare.gypsum_after_drains",
            {"zones": ", ".join(sodic)},
            source="sa-fertiliser-wine",
        )
    wet = [
        zone
        for zone in zones
        if zone.zone.pit is not None
        and zone.zone.pit.water_table_m is not None
        and zone.zone.pit.water_table_m < WET_M
    ]
    if wet and rules.drainage != "present":
        yield Finding(
            "work",
            "care",
            "prepare.wet",
            {
                "zones": ", ".join(zone.zone.name for zone in wet),
                "depth": (
                    min(zone.zone.pit.water_table_m or 0.0 for zone in wet if zone.zone.pit),
                    "m",
                ),
            },
        )
    if rules.subsurface_drains == "yes":
        spacing = drain_spacing(brief)
        if spacing is None:
            yield Finding("work", "care", "prepare.drain_designer", {}, "work.drain_spacing_least")
        else:
            yield Finding(
                "work",
                "care",
                "prepare.drain_spacing",
                {"least": (spacing[0], "m"), "most": (spacing[1], "m")},
                "work.drain_spacing_least",
                "hooghoudt",
            )


def _lime(brief: Brief, zone: ZonePreparation) -> Iterator[Finding]:
    figure = f"work.lime.{zone.number}"
    rules = brief.preparation
    doubts = "; ".join(zone.lime_doubts)
    if zone.lime_doubts and rules.lime_confirmed_by and zone.lime_t_ha:
        yield Finding(
            "work",
            "note",
            "prepare.lime_confirmed",
            _named(
                zone, rate=(zone.lime_t_ha, "t/ha"), doubts=doubts, adviser=rules.lime_confirmed_by
            ),
            figure,
            "brief",
        )
    elif zone.lime_doubts and zone.lime_t_ha:
        yield Finding(
            "work",
            "care",
            "prepare.lime_confirm",
            _named(zone, rate=(zone.lime_t_ha, "t/ha"), doubts=doubts),
            figure,
            "sa-fertiliser-wine",
        )
    elif zone.lime_doubts:
        yield Finding("work", "care", "prepare.lime_unknown", _named(zone, doubts=doubts))
    if not zone.lime_t_ha:
        return
    clay = [part.layer.clay_pct for part, need in zone.lime if need.rate_t_ha]
    on_sand = any(share is not None and share <= SAND_CLAY_PCT for share in clay)
    if on_sand and rules.lime_ratio > SAND_RATIO:
        yield Finding(
            "work",
            "care",
            "prepare.overliming_sand",
            _named(zone, ratio=rules.lime_ratio),
            figure,
            "sa-fertiliser-wine",
        )
    else:
        yield Finding(
            "work", "note", "prepare.overliming", _named(zone), figure, "sa-fertiliser-wine"
        )


def _gypsum(zone: ZonePreparation) -> Iterator[Finding]:
    if not zone.gypsum_t_ha:
        return
    by_rule = {
        name: sum(need.rules.get(name, 0.0) for _, need in zone.gypsum)
        for name in ("South African", "charge", "Handbook 60", "Oster")
    }
    values = _named(
        zone,
        rate=(zone.gypsum_t_ha, "t/ha"),
        full=(zone.gypsum_full_t_ha, "t/ha"),
        low=(min(by_rule.values()), "t/ha"),
        high=(max(by_rule.values()), "t/ha"),
    )
    figure, source = f"work.gypsum.{zone.number}", "sa-fertiliser-wine"
    if zone.gypsum_doubts:
        doubts = "; ".join(zone.gypsum_doubts)
        yield Finding(
            "work", "care", "prepare.gypsum_confirm", {**values, "doubts": doubts}, figure
        )
    if zone.gypsum_full_t_ha > zone.gypsum_t_ha:
        yield Finding("work", "care", "prepare.gypsum_capped", values, figure, source)
    else:
        yield Finding("work", "note", "prepare.gypsum_rules", values, figure, source)


def _nutrients(zone: ZonePreparation) -> Iterator[Finding]:
    high = [part.name for part, need in zone.phosphorus if need.why_none == "too high"]
    if high:
        yield Finding(
            "work",
            "care",
            "prepare.phosphorus_high",
            _named(zone, layers=", ".join(high)),
            source="sa-fertiliser-wine",
        )
    if zone.unknown:
        yield Finding(
            "work", "note", "prepare.not_measured", _named(zone, missing="; ".join(zone.unknown))
        )
    stoneless = [part.name for part, _ in zone.lime if part.layer.stones_volume_pct is None]
    if stoneless:
        yield Finding(
            "work",
            "note",
            "prepare.stones_unknown",
            _named(zone, layers=", ".join(stoneless)),
        )


def _loosening(brief: Brief, zone: ZonePreparation) -> Iterator[Finding]:
    loosening = zone.loosening
    figure = f"work.loosening_depth.{zone.number}"
    if loosening is None:
        if zone.number:  # a field without any pit was told so already
            yield Finding("work", "care", "prepare.zone_without_pit", _named(zone))
        return
    values = _named(
        zone,
        goal=(loosening.goal_m, "m"),
        depth=(loosening.depth_m, "m"),
        kind=loosening.held_by,
        at=(loosening.held_at_m, "m"),
    )
    if loosening.held_by == "pit":
        yield Finding("work", "note", "prepare.below_pit", values, figure)
    elif loosening.held_by == "rock":
        yield Finding("work", "note", "prepare.above_rock", values, figure)
    elif loosening.held_by:
        yield Finding("work", "care", "prepare.depth_held", values, figure)
    if loosening.is_sandy:
        yield Finding("work", "note", "prepare.sandy", values, figure, "sa-soil-preparation")
    elif loosening.depth_m < SHALLOWEST_DRYLAND_M:
        yield Finding("work", "care", "prepare.shallow", values, figure, "sa-soil-preparation")
    machine = implements()[zone.implement]
    if loosening.depth_m and not machine.reaches(loosening.depth_m):
        yield Finding(
            "work",
            "care",
            "prepare.implement_reach",
            _named(
                zone,
                implement=machine.name,
                depth=(loosening.depth_m, "m"),
                least=(machine.least_m, "m"),
                most=(machine.greatest_m, "m"),
            ),
            figure,
            "memory",
        )
    if brief.preparation.loosening_depth != CHOOSE and brief.preparation.depth_confirmed_by:
        yield Finding(
            "work",
            "note",
            "prepare.depth_confirmed",
            _named(zone, adviser=brief.preparation.depth_confirmed_by),
            figure,
            "brief",
        )


def _machines(zones: Sequence[ZonePreparation]) -> Iterator[Finding]:
    """Tell when the soil is dry or moist enough, for each implement that is used."""
    used: dict[str, list[str]] = {}
    for zone in zones:
        if zone.loosening is not None and zone.loosening.depth_m:
            used.setdefault(zone.implement, []).append(zone.zone.name)
    for name, names in used.items():
        machine = implements()[name]
        yield Finding(
            "work",
            "care",
            "prepare.moisture",
            {
                "implement": name.capitalize(),
                "zones": ", ".join(names),
                "moisture": machine.moisture,
                "dry": f"words:moisture.{'too' if machine.driest_share else 'any'}_dry",
                "driest": (100.0 * machine.driest_share, "%"),
                "wettest": (100.0 * machine.wettest_share, "%"),
            },
            source="sa-soil-preparation",
        )


def _ridge_values(brief: Brief) -> _Values:
    rules = brief.preparation
    return {
        "height": (rules.ridge_height, "m"),
        "base": (rules.ridge_base, "m"),
        "weeks": rules.settling,
    }
