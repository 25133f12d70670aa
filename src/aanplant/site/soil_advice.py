"""What a manager should know about the soil before deciding on vines and preparation."""

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from aanplant.pits import NO_LIMIT
from aanplant.site.potential import GRADES
from aanplant.site.profile import Profile, SoilLayer
from aanplant.site.salinity import (
    GRAPE_THRESHOLD_DS_M,
    LOWEST_THRESHOLD_DS_M,
    SALINITY_ORDER,
    SODICITY_ORDER,
    relative_yield_pct,
)
from aanplant.site.soil_classes import Rated
from aanplant.site.zones import REST, Drawn, Zone
from aanplant.working import Finding, Value

Where = tuple[float, float]
Values = dict[str, Value | tuple[Value, str]]
SHALLOW_M = 0.6
"""Roots held above this cannot live on rain alone (Van Zyl and Hoffman)."""
USABLE_SALINITY = "ECe"


def advice(
    profiles: Sequence[Profile],
    pits_xy: NDArray[np.float64],
    drawn: Drawn,
    outside_m: Mapping[str, float],
    *,
    is_drawn: bool,
) -> tuple[Finding, ...]:
    """Collect the findings on the soil, in the order a reader meets them.

    Parameters
    ----------
    profiles : sequence of Profile
        The pits, worked out.
    pits_xy : ndarray, shape (n, 2)
        Their places in the frame. [m]
    drawn : Drawn
        The zones.
    outside_m : mapping of str to float
        How far pits outside the block lie from it, by name. [m]
    is_drawn : bool
        Whether the user drew the zones.
    """
    places = {
        profile.pit.name: (float(x), float(y))
        for profile, (x, y) in zip(profiles, pits_xy, strict=True)
    }
    return (
        *_zones(drawn, is_drawn=is_drawn),
        *_places(drawn, outside_m, places),
        *(one for number, zone in enumerate(drawn.zones, 1) for one in _zone(number, zone)),
        *(
            one
            for number, profile in enumerate(profiles, 1)
            for one in _pit(number, profile, places[profile.pit.name])
        ),
    )


def _zones(drawn: Drawn, *, is_drawn: bool) -> Iterator[Finding]:
    if not is_drawn:
        yield Finding("site", "note", "soil.zones_nearest", {"count": len(drawn.zones)})
    for first, second, area_m2 in drawn.overlaps:
        yield Finding(
            "site",
            "care",
            "soil.zones_overlap",
            {"first": first, "second": second, "area": (area_m2, "m2")},
        )
    for name in drawn.outside:
        yield Finding("site", "care", "soil.zone_outside", {"zone": name})


def _places(
    drawn: Drawn, outside_m: Mapping[str, float], places: Mapping[str, Where]
) -> Iterator[Finding]:
    used = {zone.pit.name for zone in drawn.zones if zone.pit}
    for name, place in places.items():
        if name in outside_m:
            yield Finding(
                "site",
                "care",
                "soil.pit_outside",
                {"pit": name, "distance": (outside_m[name], "m")},
                place=place,
            )
        if name not in used:
            yield Finding("site", "care", "soil.pit_unused", {"pit": name}, place=place)


def _zone(number: int, zone: Zone) -> Iterator[Finding]:
    key = f"site.zone.{number}"
    middle = zone.geometry.representative_point()
    place = (float(middle.x), float(middle.y))
    area = (zone.area_ha, "ha")
    if zone.profile is None:
        if zone.name == REST:
            yield Finding("site", "care", "soil.zone_not_drawn", {"area": area}, place=place)
        else:
            about: Values = {"zone": zone.name, "area": area}
            yield Finding("site", "care", "soil.zone_without_pit", about, place=place)
        return
    profile, potential = zone.profile, zone.potential
    if profile.missing:
        yield Finding(
            "site",
            "care",
            "soil.water_unknown",
            {"zone": zone.name, "pit": profile.pit.name, "missing": ", ".join(profile.missing)},
            place=place,
        )
    if potential.name == "unknown":
        return
    values: Values = {grade: ", ".join(potential.named(grade)) or "none" for grade in GRADES}
    values |= {"zone": zone.name, "potential": potential.name}
    if potential.name == "low":
        yield Finding("site", "care", "soil.potential", values, f"{key}.potential", place=place)
    else:
        yield Finding("site", "note", "soil.potential", values, f"{key}.potential", place=place)


def _pit(number: int, profile: Profile, place: Where) -> Iterator[Finding]:
    pit = profile.pit
    depth_key = f"site.pit.{number}.depth"
    depth_m = profile.depth_m
    if depth_m is not None and depth_m < SHALLOW_M and not profile.is_deeper:
        yield Finding(
            "site",
            "care",
            "soil.shallow",
            {
                "pit": pit.name,
                "depth": (depth_m, "m"),
                "limit": pit.limiting_kind if pit.limiting_kind != NO_LIMIT else "water",
                "shallow": (SHALLOW_M, "m"),
            },
            depth_key,
            "sa-soil-preparation",
            place,
        )
    if profile.is_deeper and pit.depth_m < profile.rooting_depth_m:
        yield Finding(
            "site",
            "note",
            "soil.pit_short",
            {
                "pit": pit.name,
                "depth": (pit.depth_m, "m"),
                "rooting": (profile.rooting_depth_m, "m"),
            },
            depth_key,
            place=place,
        )
    for layer in profile.layers:
        yield from _layer(pit.name, layer, place)
    yield from _salty(profile, place)
    yield from _sodic(profile, place)


def _layer(pit: str, layer: SoilLayer, place: Where) -> Iterator[Finding]:
    measured, about = layer.measured, _about(pit, layer)
    if layer.is_by_name:
        values: Values = {**about, "texture": layer.texture}
        yield Finding("site", "note", "soil.by_name", values, "", "saxton-rawls", place)
    elif measured.texture and layer.texture and measured.texture != layer.texture:
        values = {**about, "named": measured.texture, "texture": layer.texture}
        yield Finding("site", "care", "soil.texture_differs", values, "", "usda-texture", place)
    if layer.salinity is None and measured.conductivity_ds_m is not None:
        values = {**about, "method": measured.conductivity_method or "?"}
        yield Finding("site", "care", "soil.salinity_method", values, "", "memory", place)


def _salty(profile: Profile, place: Where) -> Iterator[Finding]:
    """Speak of the saltiest layer of a pit, if it is salty enough to harm."""
    layer, salt = _gravest(profile, "salinity", SALINITY_ORDER)
    if layer is None or salt is None or salt.name not in {"harmful", "saline"}:
        return
    values: Values = {**_about(profile.pit.name, layer), "class": salt.name}
    if salt.measure == USABLE_SALINITY:
        values = {
            **values,
            "value": (salt.value, "dS/m"),
            "yield": (round(float(relative_yield_pct(salt.value))), "%"),
            "threshold": (GRAPE_THRESHOLD_DS_M, "dS/m"),
            "lowest": (LOWEST_THRESHOLD_DS_M, "dS/m"),
        }
        yield Finding("site", "care", "soil.salty", values, "", "maas-hoffman", place)
    else:
        values = {**values, "value": (salt.value, "ohm")}
        yield Finding("site", "care", "soil.salty_paste", values, "", salt.source, place)


def _sodic(profile: Profile, place: Where) -> Iterator[Finding]:
    """Speak of the most sodic layer of a pit, if any source calls it sodic."""
    layer, sodium = _gravest(profile, "sodicity", SODICITY_ORDER)
    if layer is None or sodium is None:
        return
    values: Values = {
        **_about(profile.pit.name, layer),
        "measure": sodium.measure,
        "value": (round(sodium.value, 1), sodium.unit.replace("-", "")),
    }
    if sodium.name == "sodic":
        yield Finding("site", "care", "soil.sodic", values, "", sodium.source, place)
    elif sodium.name == "doubtful":
        yield Finding("site", "note", "soil.sodic_doubtful", values, "", sodium.source, place)


def _gravest(
    profile: Profile, name: str, order: Sequence[str]
) -> tuple[SoilLayer | None, Rated | None]:
    """Return the layer in the gravest class; of several the one with the greatest number."""
    found = [(layer, getattr(layer, name)) for layer in profile.layers]
    known = [(layer, one) for layer, one in found if one is not None]
    return max(
        known, key=lambda pair: (order.index(pair[1].name), pair[1].value), default=(None, None)
    )


def _about(pit: str, layer: SoilLayer) -> Values:
    measured = layer.measured
    return {"pit": pit, "top": (measured.top_m, "m"), "bottom": (measured.bottom_m, "m")}
