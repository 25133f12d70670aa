"""Pipe drains of a block: metres by zone and in all, and the hours to dig them in."""

from collections.abc import Iterator, Sequence

from aanplant.brief import Brief
from aanplant.work.drains import drain_spacing_m
from aanplant.work.zone_preparation import ZonePreparation
from aanplant.working import Input, Working

PIPE_TRENCH_WIDTH_M = 0.3
"""Width of the trench of a pipe drain dug by machine (judgement)."""
_M2_PER_HA = 10_000.0


def measured_spacing(brief: Brief) -> float | None:
    """Spacing of pipe drains at the conductivity as measured, None where it is not known. [m]."""
    rules = brief.preparation
    if rules.drain_conductivity is None or rules.drain_impermeable is None:
        return None
    head_m = rules.drain_depth - rules.drain_water_table
    below_m = rules.drain_impermeable - rules.drain_depth
    if head_m <= 0 or below_m < 0:
        return None
    return drain_spacing_m(
        rules.drain_conductivity, rules.drain_discharge / 1000.0, head_m, below_m
    )


def pipe_drains(
    brief: Brief,
    zones: Sequence[ZonePreparation],
    inputs: tuple[Input, ...],
    span: tuple[Working, Working],
) -> Iterator[Working]:
    """Make the figures of pipe and digging; nothing where a designer is needed.

    Parameters
    ----------
    brief : Brief
        Its section ``preparation``.
    zones : sequence of ZonePreparation
        Whose ground is drained.
    inputs : tuple of Input
        What the spacing is found from.
    span : tuple of Working
        Least and most spacing.
    """
    spacing_m = measured_spacing(brief)
    if spacing_m is None:
        return
    spacing = Working("work.drain_spacing", spacing_m, "m", inputs, "hooghoudt")
    yield spacing
    share = brief.as_input("preparation.drained_share", "share")
    pipes = [
        Working(
            f"work.drain_pipe.{zone.number}",
            _metres(zone.zone.area_ha, brief, spacing_m),
            "m",
            (_area(zone), share, spacing.as_input("spacing")),
            "arithmetic",
            about=f"zone {zone.zone.name}",
            message="work.drain_pipe_zone",
        )
        for zone in zones
    ]
    yield from pipes
    in_all = Working(
        "work.drain_pipe",
        sum(float(pipe.value) for pipe in pipes),
        "m",
        tuple(pipe.as_input(f"zone_{n}") for n, pipe in enumerate(pipes, start=1)),
        "arithmetic",
    )
    yield in_all
    areas = tuple(_area(zone, f"area_{n}") for n, zone in enumerate(zones, start=1))
    area_ha = sum(zone.zone.area_ha for zone in zones)
    least, most = span
    yield Working(
        "work.drain_pipe_least",
        _metres(area_ha, brief, float(most.value)),
        "m",
        (*areas, share, most.as_input("spacing")),
        "arithmetic",
    )
    yield Working(
        "work.drain_pipe_most",
        _metres(area_ha, brief, float(least.value)),
        "m",
        (*areas, share, least.as_input("spacing")),
        "arithmetic",
    )
    rules = brief.preparation
    yield Working(
        "work.drain_hours",
        float(in_all.value) * rules.drain_depth * PIPE_TRENCH_WIDTH_M / rules.digger_rate,
        "h",
        (
            in_all.as_input("pipe"),
            brief.as_input("preparation.drain_depth", "depth"),
            Input("width", PIPE_TRENCH_WIDTH_M, "m", "default:pipe trench width", "practice"),
            brief.as_input("preparation.digger_rate", "rate"),
        ),
        "memory",
    )


def _metres(area_ha: float, brief: Brief, spacing_m: float) -> float:
    return area_ha * _M2_PER_HA * brief.preparation.drained_share / spacing_m


def _area(zone: ZonePreparation, name: str = "area") -> Input:
    origin = f"figure:site.zone.{zone.number}.area" if zone.number else "measured"
    return Input(name, zone.zone.area_ha, "ha", origin)
