"""The tables of the site report beside its figures: zones, layers, spreading, permissions."""

from aanplant.messages import word
from aanplant.plan import Plan
from aanplant.report.site_words import MARKS, Table, mark_of, short
from aanplant.site.profile import Profile
from aanplant.units import UnitSystem, show, show_number, shown_in

_DASH = "–"


def zone_table(plan: Plan, system: UnitSystem) -> Table | None:
    """Soil zones: pit, area, depth, water, potential and what holds it down."""
    soil = plan.site.soil
    if soil is None:
        return None
    rows = []
    for zone in soil.zones:
        potential = zone.potential
        weakest = potential.named("low") or potential.named("medium")
        rows.append(
            [
                zone.name,
                zone.pit.name if zone.pit else _DASH,
                short(zone.area_ha, "ha", system),
                _known(zone.depth_m, "m", system, "deeper" if _is_deeper(zone.profile) else ""),
                _known(zone.available_water_mm, "mm", system),
                potential.name + MARKS["practice"],
                ", ".join(weakest) or _DASH,
            ]
        )
    return Table(_heads("zone", "pit", "area", "depth", "water", "potential", "weakest"), rows,
                 left=(0, 1, 5, 6))  # fmt: skip


def layer_table(plan: Plan, system: UnitSystem) -> Table | None:
    """Layers of the pits: depth, texture, stones, acidity and available water."""
    soil = plan.site.soil
    if soil is None:
        return None
    factor, _ = shown_in(1.0, "mm", system)
    rows = []
    for profile in soil.profiles:
        for layer in profile.layers:
            measured = layer.measured
            top, bottom = (round(1000.0 * part * factor, 1)
                           for part in (measured.top_m, measured.bottom_m))  # fmt: skip
            stones, water = layer.stones_volume_pct, layer.available_mm_m
            ph = _DASH if measured.ph is None else show_number(measured.ph)
            rows.append(
                [
                    profile.pit.name,
                    f"{show_number(top)}–{show_number(bottom)}",
                    layer.texture or _DASH,
                    _DASH if stones is None else show(round(stones), "%"),
                    ph if measured.ph is None else f"{ph} ({measured.ph_method or _DASH})",
                    _DASH if water is None else show_number(round(water)),
                ]
            )
    unit = shown_in(1.0, "mm", system)[1]
    heads = _heads("pit", "layer", "texture", "stones", "ph", "layer_water")
    heads[1] = heads[1].format(unit=unit)
    return Table(heads, rows, left=(0, 2), title=word("site_report.table.layers"))


def preparation_table(plan: Plan, system: UnitSystem) -> Table | None:
    """How deep each zone is loosened and by what."""
    work = plan.results.get("work")
    if work is None or plan.site.soil is None:
        return None
    rows = []
    for zone in work.soil.zones:
        loosening = zone.loosening
        rows.append(
            [
                zone.zone.name,
                short(zone.zone.area_ha, "ha", system),
                _DASH if loosening is None else short(loosening.depth_m, "m", system),
                _DASH if loosening is None else short(loosening.goal_m, "m", system),
                zone.implement or _DASH,
            ]
        )
    return Table(_heads("zone", "area", "loosened", "wanted", "implement"), rows, left=(0, 4),
                 title=word("site_report.table.loosening"))  # fmt: skip


def spreading_table(plan: Plan, system: UnitSystem) -> Table | None:
    """List what is spread on each zone, how much of it, and what must wait."""
    work = plan.results.get("work")
    if work is None or not work.soil.spreading:
        return None
    rows, before = [], ""
    for line in work.soil.spreading:
        rows.append(
            [
                "" if line.zone == before else line.zone,
                line.product,
                short(line.rate, line.rate_unit, system),
                short(line.amount, line.unit, system),
                short(line.depth_m, "m", system) if line.depth_m else _DASH,
                line.status,
            ]
        )
        before = line.zone
    return Table(_heads("zone", "product", "rate", "amount", "mixed", "status"), rows,
                 left=(0, 1, 5), title=word("site_report.table.spreading"))  # fmt: skip


def history_table(plan: Plan) -> Table | None:
    """List what was asked of the land, and what is known of it."""
    history = plan.site.history
    if history is None:
        return None
    rows = [[name, state] for name, state in history.states.items()]
    return Table(
        _heads("asked", "state"), rows, left=(0, 1), title=word("site_report.table.history")
    )


def permission_table(plan: Plan) -> Table | None:
    """Permissions with what triggers them, who decides, and where they stand."""
    asked = plan.site.permissions
    if asked is None or not asked.permissions:
        return None
    rows = [
        [
            item.name,
            item.applies,
            item.status,
            item.authority,
            f"{show_number(item.lead_time_weeks)}{mark_of(item.source)}",
        ]
        for item in asked.permissions
    ]
    return Table(_heads("permission", "applies", "status", "authority", "weeks"), rows,
                 left=(0, 1, 2, 3), title=word("site_report.table.permissions"))  # fmt: skip


def _heads(*names: str) -> list[str]:
    return [word(f"site_report.head.{name}") for name in names]


def _is_deeper(profile: Profile | None) -> bool:
    return profile is not None and profile.is_deeper


def _known(value: float | None, unit: str, system: UnitSystem, more: str = "") -> str:
    if value is None:
        return word("site_report.unknown")
    text = short(value, unit, system)
    return word("site_report.at_least").format(value=text) if more else text
