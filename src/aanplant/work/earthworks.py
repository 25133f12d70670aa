"""Drains, loosening and ridges of a block: metres, cubic metres and machine hours."""

from collections.abc import Iterator, Sequence

from aanplant.brief import Brief
from aanplant.work.drains import CONDUCTIVITY_DOUBT, PIPE_RADIUS_M, drain_spacing_range_m
from aanplant.work.loosening import KEEP_ABOVE_M, implements
from aanplant.work.pipe_drains import measured_spacing, pipe_drains
from aanplant.work.ridges import fresh_height_m, pass_hours, ridge_section_m2
from aanplant.work.zone_preparation import ZonePreparation
from aanplant.working import Input, Working

TRENCH_WIDTH_M = 0.6
"""Width of a cut-off drain dug by machine (judgement)."""


def earthworks(
    brief: Brief, zones: Sequence[ZonePreparation], row_length: Working
) -> tuple[Working, ...]:
    """Make the figures of the works, in their order: drain, loosen, ridge.

    Parameters
    ----------
    brief : Brief
        Its section ``preparation``.
    zones : sequence of ZonePreparation
        Worked out.
    row_length : Working
        Length of all rows.
    """
    return (*_drains(brief, zones), *_loosening(brief, zones), *_ridges(brief, row_length))


def drain_spacing(brief: Brief) -> tuple[float, float] | None:
    """Range of the spacing of pipe drains, None where a designer is needed. [m]."""
    rules = brief.preparation
    if rules.drain_conductivity is None or rules.drain_impermeable is None:
        return None
    if measured_spacing(brief) is None:
        return None
    head_m = rules.drain_depth - rules.drain_water_table
    below_m = rules.drain_impermeable - rules.drain_depth
    return drain_spacing_range_m(
        rules.drain_conductivity, rules.drain_discharge / 1000.0, head_m, below_m
    )


def _drains(brief: Brief, zones: Sequence[ZonePreparation]) -> Iterator[Working]:
    rules = brief.preparation
    if rules.cut_off_drain:
        volume = Working(
            "work.cut_off_volume",
            rules.cut_off_drain * rules.cut_off_depth * TRENCH_WIDTH_M,
            "m3",
            (
                brief.as_input("preparation.cut_off_drain", "length"),
                brief.as_input("preparation.cut_off_depth", "depth"),
                Input("width", TRENCH_WIDTH_M, "m", "default:trench width", "practice"),
            ),
            "arithmetic",
        )
        yield volume
        yield Working(
            "work.cut_off_hours",
            float(volume.value) / rules.digger_rate,
            "h",
            (volume.as_input("volume"), brief.as_input("preparation.digger_rate", "rate")),
            "memory",
        )
    if rules.subsurface_drains == "yes":
        spacing = drain_spacing(brief)
        inputs = (
            *(
                brief.as_input(f"preparation.drain_{name}", name)
                for name in ("depth", "water_table", "discharge")
            ),
            Input(
                "conductivity",
                _or_unknown(rules.drain_conductivity),
                "m/d",
                _given(brief, "drain_conductivity"),
            ),
            Input(
                "impermeable",
                _or_unknown(rules.drain_impermeable),
                "m",
                _given(brief, "drain_impermeable"),
            ),
            Input("doubt", CONDUCTIVITY_DOUBT, "", "default:doubt of conductivity", "practice"),
            Input("pipe_radius", PIPE_RADIUS_M, "m", "default:pipe radius", "practice"),
        )
        narrow, wide = spacing or ("designer needed", "designer needed")
        unit = "m" if spacing else ""
        span = (
            Working("work.drain_spacing_least", narrow, unit, inputs, "hooghoudt"),
            Working("work.drain_spacing_most", wide, unit, inputs, "hooghoudt"),
        )
        yield from span
        as_measured = tuple(item for item in inputs if item.name != "doubt")
        yield from pipe_drains(brief, zones, as_measured, span)


def _or_unknown(value: float | None) -> float | str:
    return "unknown" if value is None else value


def _given(brief: Brief, name: str) -> str:
    key = f"preparation.{name}"
    return f"{'brief' if brief.is_given(key) else 'default'}:{key}"


def _loosening(brief: Brief, zones: Sequence[ZonePreparation]) -> Iterator[Working]:
    hours = []
    for zone in zones:
        if zone.loosening is None:
            continue
        yield _depth(brief, zone)
        machine = implements()[zone.implement]
        if not zone.loosening.depth_m or not machine.hectares_per_hour:
            continue
        time = Working(
            f"work.loosening_hours.{zone.number}",
            zone.zone.area_ha / machine.hectares_per_hour,
            "h",
            (
                Input("area", zone.zone.area_ha, "ha", f"figure:site.zone.{zone.number}.area"),
                Input("implement", machine.name, "", "table:implements.csv", "memory"),
                Input("rate", machine.hectares_per_hour, "ha/h", "table:implements.csv", "memory"),
            ),
            "memory",
            about=f"zone {zone.zone.name}",
            message="work.loosening_hours_zone",
        )
        yield time
        hours.append(time)
    if hours:
        yield Working(
            "work.loosening_hours",
            sum(float(time.value) for time in hours),
            "h",
            tuple(time.as_input(f"zone_{n}") for n, time in enumerate(hours, start=1)),
            "arithmetic",
        )


def _depth(brief: Brief, zone: ZonePreparation) -> Working:
    loosening = zone.loosening
    assert loosening is not None  # noqa: S101 - zones without one were left out
    asked = brief.preparation.loosening_depth != "choose"
    goal = Input(
        "goal",
        loosening.goal_m,
        "m",
        "brief:preparation.loosening_depth" if asked else "default:preparation.loosening_depth",
        "" if asked else "sa-soil-preparation",
    )
    pit = zone.zone.pit
    origin = f"file:{pit.where.partition(':')[0]}" if pit and pit.where else "measured"
    held = loosening.held_by or "nothing"
    keeps = KEEP_ABOVE_M if loosening.held_by not in {"", "pit", "rock"} else 0.0
    held_at = (Input("held_at", loosening.held_at_m, "m", origin),) if loosening.held_by else ()
    return Working(
        f"work.loosening_depth.{zone.number}",
        loosening.depth_m,
        "m",
        (
            goal,
            Input("held_by", held, "", origin),
            *held_at,
            Input("kept_above", keeps, "m", "default:distance kept above", "practice"),
        ),
        "sa-soil-preparation",
        about=f"zone {zone.zone.name}",
        message="work.loosening_depth",
    )


def _ridges(brief: Brief, row_length: Working) -> Iterator[Working]:
    rules = brief.preparation
    if not rules.ridge_height:
        return
    fresh_m = fresh_height_m(rules.ridge_height, rules.ridge_settling)
    per_m = Working(
        "work.ridge_volume_per_m",
        ridge_section_m2(fresh_m, rules.ridge_crown, rules.ridge_base),
        "m3/m",
        tuple(
            brief.as_input(f"preparation.ridge_{name}", name)
            for name in ("height", "settling", "crown", "base")
        ),
        "arithmetic",
    )
    yield per_m
    yield Working(
        "work.ridge_volume",
        float(per_m.value) * float(row_length.value),
        "m3",
        (per_m.as_input("volume_per_m"), row_length.as_input("row_length")),
        "arithmetic",
    )
    yield Working(
        "work.ridge_hours",
        pass_hours(float(row_length.value), rules.ridge_passes, rules.ridge_speed),
        "h",
        (
            row_length.as_input("row_length"),
            brief.as_input("preparation.ridge_passes", "passes"),
            brief.as_input("preparation.ridge_speed", "speed"),
        ),
        "practice",
    )
