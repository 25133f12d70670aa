"""Numbers of a pit and constants of a method as inputs of a figure, each with its origin."""

from aanplant.brief import Brief
from aanplant.work.layer_slices import Slice
from aanplant.work.zone_preparation import ZonePreparation
from aanplant.working import Input


def from_pit(part: Slice, name: str, value: float | str, unit: str) -> Input:
    """Return a number of the pit as an input, with the file it came from."""
    file = part.layer.measured.where.partition(":")[0]
    return Input(name, value, unit, f"file:{file}" if file else "measured")


def size_inputs(part: Slice) -> tuple[Input, ...]:
    """Thickness and stones of a slice."""
    known = part.layer.stones_volume_pct is not None
    stones = (
        from_pit(part, "stones", part.stones_pct, "%")
        if known
        else Input("stones", 0.0, "%", "default:no stones given", "practice")
    )
    return (from_pit(part, "thickness", part.thickness_m, "m"), stones)


def density_input(part: Slice, brief: Brief) -> Input:
    """Density of a slice: of the pit, by its texture, or the default of the brief."""
    if part.layer.measured.bulk_density_t_m3 is not None:
        return from_pit(part, "density", part.density_t_m3, "t/m3")
    if part.layer.bulk_density_t_m3 is not None:
        return Input("density", part.density_t_m3, "t/m3", "measured", "saxton-rawls")
    setting = brief.as_input("preparation.bulk_density", "density")
    return Input("density", part.density_t_m3, "t/m3", setting.origin, setting.source)


def about(zone: ZonePreparation, part: Slice) -> str:
    """Name a slice of a zone."""
    return f"zone {zone.zone.name}, {part.name}"


def constant(name: str, value: float, unit: str, source: str) -> Input:
    """Return a constant of a method as an input."""
    return Input(name, value, unit, f"default:{name}", source)
