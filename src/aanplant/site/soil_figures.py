"""The figures of the soil: of each layer, each pit, each zone, and the block."""

from collections.abc import Iterator, Sequence

from aanplant.brief import Brief
from aanplant.site.profile import Profile
from aanplant.site.soil_layer_figures import of_layer, origin
from aanplant.site.zones import Zone
from aanplant.working import Input, Working


def figures(
    brief: Brief, profiles: Sequence[Profile], zones: Sequence[Zone]
) -> tuple[Working, ...]:
    """Make the figures of the soil; what is not known has none.

    Parameters
    ----------
    brief : Brief
        What was asked.
    profiles : sequence of Profile
        The pits, worked out.
    zones : sequence of Zone
        The zones they stand for.
    """
    of_pits = {
        profile.pit.name: tuple(_of_pit(brief, number, profile))
        for number, profile in enumerate(profiles, start=1)
    }
    of_zones = [
        tuple(_of_zone(number, zone, of_pits)) for number, zone in enumerate(zones, start=1)
    ]
    return (
        *(figure for made in of_pits.values() for figure in made),
        *(figure for made in of_zones for figure in made),
        *_of_block(of_zones),
    )


def _of_pit(brief: Brief, number: int, profile: Profile) -> Iterator[Working]:
    pit = profile.pit
    key = f"site.pit.{number}"
    depth = None
    if profile.depth_m is not None:
        stops = (
            ("pit_depth", pit.depth_m),
            ("limiting_depth", pit.limiting_depth_m),
            ("water_table", pit.water_table_m),
        )
        depth = Working(
            f"{key}.depth",
            profile.depth_m,
            "m",
            tuple(
                Input(name, value, "m", origin(pit.where))
                for name, value in stops
                if value is not None
            ),
            "arithmetic",
            about=pit.name,
            message="site.pit_depth",
        )
        yield depth
    layers = []
    for place, (layer, thickness_m) in enumerate(profile.counted, start=1):
        made = of_layer(brief, f"{key}.layer.{place}", pit.name, layer)
        if made:
            layers.append((thickness_m, made[-1]))
            yield from made
    if depth is not None and profile.available_water_mm is not None:
        inputs = [
            one
            for place, (thickness_m, figure) in enumerate(layers, start=1)
            for one in (
                Input(f"thickness_{place}", thickness_m, "m", origin(pit.where)),
                figure.as_input(f"water_{place}"),
            )
        ]
        yield Working(
            f"{key}.water",
            profile.available_water_mm,
            "mm",
            (*inputs, depth.as_input("depth"), brief.as_input("soil.rooting_depth")),
            "arithmetic",
            about=pit.name,
            message="site.pit_water",
        )


def _of_zone(number: int, zone: Zone, of_pits: dict[str, tuple[Working, ...]]) -> Iterator[Working]:
    key = f"site.zone.{number}"
    pit = zone.pit.name if zone.pit else "none"
    yield Working(
        f"{key}.area",
        zone.area_ha,
        "ha",
        (Input("pit", pit, "", origin(zone.pit.where) if zone.pit else "measured"),),
        "measured",
        about=zone.name,
        message="site.zone_area",
    )
    of_pit = {figure.message_id: figure for figure in of_pits.get(pit, ())}
    if depth := of_pit.get("site.pit_depth"):
        yield Working(
            f"{key}.depth",
            depth.value,
            "m",
            (depth.as_input("pit_depth"),),
            "arithmetic",
            about=zone.name,
            message="site.zone_depth",
        )
    if water := of_pit.get("site.pit_water"):
        yield Working(
            f"{key}.water",
            water.value,
            "mm",
            (water.as_input("pit_water"),),
            "arithmetic",
            about=zone.name,
            message="site.zone_water",
        )
    yield Working(
        f"{key}.potential",
        zone.potential.name,
        "",
        tuple(
            Input(
                aspect.name.replace(" ", "_"),
                aspect.grade,
                "",
                "table:soil_potential.csv",
                "practice",
            )
            for aspect in zone.potential.aspects
        ),
        "practice",
        about=zone.name,
        message="site.zone_potential",
    )


def _of_block(of_zones: Sequence[tuple[Working, ...]]) -> Iterator[Working]:
    """Weigh the zones by their area; those whose number isn't known are left out."""
    by_message = [{figure.message_id: figure for figure in made} for made in of_zones]
    depths = _weighted("site.zone_depth", by_message)
    if depths:
        yield Working("site.soil_depth", _mean(depths), "m", _pairs(depths), "arithmetic")
    waters = _weighted("site.zone_water", by_message)
    if waters:
        yield Working("site.soil_water", _mean(waters), "mm", _pairs(waters), "arithmetic")
        yield Working(
            "site.soil_area_known",
            sum(float(area.value) for area, _ in waters),
            "ha",
            tuple(area.as_input(f"area_{place}") for place, (area, _) in enumerate(waters, 1)),
            "arithmetic",
        )


def _weighted(
    message: str, by_message: Sequence[dict[str, Working]]
) -> list[tuple[Working, Working]]:
    return [(made["site.zone_area"], made[message]) for made in by_message if message in made]


def _mean(pairs: Sequence[tuple[Working, Working]]) -> float:
    area_ha = sum(float(area.value) for area, _ in pairs)
    return sum(float(area.value) * float(figure.value) for area, figure in pairs) / area_ha


def _pairs(pairs: Sequence[tuple[Working, Working]]) -> tuple[Input, ...]:
    return tuple(
        one
        for place, (area, figure) in enumerate(pairs, start=1)
        for one in (area.as_input(f"area_{place}"), figure.as_input(f"value_{place}"))
    )
