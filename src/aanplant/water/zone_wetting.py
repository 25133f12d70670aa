"""What the drippers of a block wet in each zone of its soil."""

from collections.abc import Sequence
from dataclasses import dataclass

from aanplant.brief import Brief
from aanplant.brief.drippers import FROM_PITS
from aanplant.site.texture import WHOLE_PCT
from aanplant.site.zones import Zone
from aanplant.tables import rows
from aanplant.trellis.breaches import Breach
from aanplant.water.emitters import LITRES_PER_HOUR, EmitterLaw
from aanplant.water.wetting import OVERLAP, dripper_spacing_m, strip_width_m, wetted_share

COARSE = ("sand", "loamy sand")
FINE = ("clay loam", "silty clay loam", "sandy clay", "silty clay", "clay")
"""Textures reckoned as coarse and fine; the rest are medium (a judgement)."""
UNKNOWN_TEXTURE = "coarse"
"""Taken without a pit: it wets the narrowest strip."""
ROOT_ZONE_M = 0.6
"""Layers that start above this depth decide the texture (a judgement)."""


def texture_group(texture: str) -> str:
    """Return coarse, medium or fine for a texture class."""
    return "coarse" if texture in COARSE else "fine" if texture in FINE else "medium"


@dataclass(frozen=True, slots=True)
class ZoneWetting:
    """What the drippers wet in a zone of the soil.

    Parameters
    ----------
    zone : str
        Its name, "" without zones.
    texture : str
        coarse, medium or fine.
    is_known : bool
        Whether brief or pit says so; else the narrowest strip is taken.
    strip_m : float
        Width of the wetted strip. [m]
    is_measured : bool
        Whether the strip was measured on the site.
    share : float
        Of the ground that is wetted. [-]
    joining_spacing_m : float
        Distance of drippers up to which their circles join. [m]
    """

    zone: str
    texture: str
    is_known: bool
    strip_m: float
    is_measured: bool
    share: float
    joining_spacing_m: float

    @property
    def radius_m(self) -> float:
        """How far water of one dripper reaches sideways. [m]."""
        return self.strip_m / 2.0


def wet(
    brief: Brief, zones: Sequence[Zone], law: EmitterLaw, *, measured_m: float | None = None
) -> tuple[ZoneWetting, ...]:
    """Find what the drippers wet in each zone, one without a name where there are none.

    Parameters
    ----------
    brief : Brief
        What is asked.
    zones : sequence of Zone
        Of the soil.
    law : EmitterLaw
        Of the dripper.
    measured_m : float, optional
        Width of the strip as a test on the site gave it; stands before the table. [m]
    """
    return tuple(_zone(brief, zone, law, measured_m) for zone in zones or (None,))


def breaches_of(brief: Brief, zones: Sequence[ZoneWetting]) -> tuple[Breach, ...]:
    """Return where drippers wet too little or too much, or leave dry gaps along the row.

    ``row`` is the place of the zone among those given.
    """
    rules, spacing = brief.wetting, brief.water.emitter.spacing
    found = []
    for at, zone in enumerate(zones):
        share = WHOLE_PCT * zone.share
        if share < rules.least:
            found.append(Breach("wetted_too_little", zone.zone, share, rules.least, "%", at))
        if share > rules.most:
            found.append(Breach("wetted_too_much", zone.zone, share, rules.most, "%", at))
        if spacing > zone.joining_spacing_m:
            limit = zone.joining_spacing_m
            found.append(Breach("drippers_too_far_apart", zone.zone, spacing, limit, "m", at))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Practice:
    """Drippers that South African wine growers use on a soil.

    Parameters
    ----------
    least_flow_lph, most_flow_lph : float
        [L/h]
    spacing_m : float
        [m]
    source : str
        Source id.
    """

    least_flow_lph: float
    most_flow_lph: float
    spacing_m: float
    source: str


def practice(texture: str) -> Practice:
    """Return what growers use on sandy soil, coarse, or on a heavier one."""
    soil = "sandy" if texture == "coarse" else "heavier"
    flow, spacing = (
        next(
            row
            for row in rows("dripper_practice.csv")
            if row["soil"] == soil and row["quantity"] == quantity
        )
        for quantity in ("flow", "spacing")
    )
    return Practice(float(flow["low"]), float(flow["high"]), float(spacing["low"]), flow["source"])


def _zone(
    brief: Brief, zone: Zone | None, law: EmitterLaw, measured_m: float | None
) -> ZoneWetting:  # fmt: skip
    rules = brief.wetting
    texture = rules.texture if rules.texture != FROM_PITS else _texture_of(zone)
    flow_lph = law.flow_m3_s / LITRES_PER_HOUR
    known = texture or UNKNOWN_TEXTURE
    strip = float(strip_width_m(flow_lph, known)) if measured_m is None else measured_m
    measured = measured_m is not None
    return ZoneWetting(
        zone.name if zone is not None else "",
        known,
        bool(texture),
        strip,
        measured,
        float(wetted_share(strip, brief.vines.row_width)),
        OVERLAP * strip if measured else float(dripper_spacing_m(flow_lph, known)),
    )


def _texture_of(zone: Zone | None) -> str:
    """Coarsest group of the layers in the root zone, as it wets the narrowest; "" if unknown."""
    if zone is None or zone.profile is None:
        return ""
    groups = [
        texture_group(layer.texture)
        for layer in zone.profile.layers
        if layer.texture and layer.measured.top_m < ROOT_ZONE_M
    ]
    return next((name for name in ("coarse", "medium", "fine") if name in groups), "")
