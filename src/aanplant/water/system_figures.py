"""Figures of the irrigation system: sets, pressures, evenness, pipes, pump and energy."""

import math

from aanplant.brief import Brief
from aanplant.water.designed import DesignedSystem
from aanplant.water.emitters import KPA_PER_M, LITRES_PER_HOUR, WATER_N_M3
from aanplant.water.friction import STANDARD_GRAVITY_M_S2
from aanplant.water.longest_figures import longest_figures
from aanplant.water.pipes import MM_PER_M, Pipe
from aanplant.water.surge import wave_speed_m_s
from aanplant.water.system import LATERAL, MAINLINE, SUBMAIN
from aanplant.water.use_base import flow_input
from aanplant.working import Input, Working

M3_H = 3600.0
_MEASURED = "measured"


def figures(
    brief: Brief, made: DesignedSystem, emitters_per_vine: float, height_m: float
) -> tuple[Working, ...]:
    """Make the figures of a system; what differs by set is that of the worst set.

    Parameters
    ----------
    brief : Brief
        Gives the pump's efficiencies and the price of energy.
    made : DesignedSystem
        As designed.
    emitters_per_vine : float
        Drippers that water one vine together. [-]
    height_m : float
        Of the pump above the sea. [m]
    """
    return (
        *_sets(brief, made),
        *_pressures(brief, made),
        *_evenness(made, emitters_per_vine),
        *_pipes(made),
        *longest_figures(brief, made),
        *_pump(brief, made, height_m),
    )


def pipe_name(pipe: Pipe) -> str:
    """Name of a pipe: material, class, and the size by which it is sold."""
    if pipe.material == "LDPE":
        return f"dripper line, bore {pipe.bore_m * MM_PER_M:g} mm"
    return f"{pipe.material} {pipe.series}, {pipe.outside_m * MM_PER_M:g} mm"


def _sets(brief: Brief, made: DesignedSystem) -> list[Working]:
    sets = made.system.sets
    largest = int(sets.flow_m3_s.argmax())
    of_one = flow_input(brief, made.law)
    drippers = Working(
        "water.system_drippers",
        int(sets.emitters.sum()),
        "",
        (Input("laterals", len(made.system.laterals), "", _MEASURED),),
        "arithmetic",
    )
    limit = made.system.flow_limit_m3_s * M3_H
    return [
        drippers,
        Working(
            "water.sets",
            len(sets),
            "",
            (
                drippers.as_input("drippers"),
                of_one,
                Input(
                    "largest_flow",
                    limit if math.isfinite(limit) else "not known",
                    "m3/h" if math.isfinite(limit) else "",
                    "brief:sets.flow" if brief.sets.flow else "brief:water.flow_available",
                ),
            ),
            "arithmetic",
        ),
        Working(
            "water.set_flow",
            int(sets.emitters[largest]) * float(of_one.value) / 1000.0,
            "m3/h",
            (
                Input("drippers", int(sets.emitters[largest]), "", _MEASURED),
                of_one,
            ),
            "arithmetic",
        ),
    ]


def _pressures(brief: Brief, made: DesignedSystem) -> list[Working]:
    runs = made.runs
    low, high = int(runs.least_m.argmin()), int(runs.most_m.argmax())

    def inputs(number: int, node: int, pressure_m: float) -> tuple[Input, ...]:
        head, height = float(runs.source_head_m[number]), float(made.system.z_m[node])
        return (
            Input("head_at_source", head, "m", _MEASURED),
            Input("height", height, "m", _MEASURED),
            Input("lost_in_pipes", head - height - pressure_m, "m", _MEASURED),
            Input("weight_of_water", KPA_PER_M, "kPa/m", _MEASURED),
        )

    least = Working(
        "water.pressure_least",
        float(runs.least_m[low]) * KPA_PER_M,
        "kPa",
        inputs(low, int(runs.least_node[low]), float(runs.least_m[low])),
        "darcy-weisbach",
    )
    return [
        least,
        *_over_start(brief, made, least),
        Working(
            "water.pressure_most",
            float(runs.most_m[high]) * KPA_PER_M,
            "kPa",
            inputs(high, int(runs.most_node[high]), float(runs.most_m[high])),
            "darcy-weisbach",
        ),
        _velocity(made),
        _surge(made),
        Working(
            "water.flushing_velocity",
            float(runs.flushing_m_s.min()),
            "m/s",
            (
                Input("bore", made.lateral_pipe.bore_m * MM_PER_M, "mm", "table:pipes.csv"),
                Input(
                    "length",
                    float(
                        made.system.laterals.length_m[
                            runs.flushing_lateral[runs.flushing_m_s.argmin()]
                        ]
                    ),
                    "m",
                    _MEASURED,
                ),
            ),
            "drip-filtration",
        ),
    ]


def _over_start(brief: Brief, made: DesignedSystem, least: Working) -> list[Working]:
    """How far the weakest dripper lies over the start of its regulation, if it regulates."""
    if not made.law.keeps_flow:
        return []
    value = made.law.lowest_head_m * KPA_PER_M
    start = Input("start", value, "kPa", "table:emitters.csv", made.law.source)
    if brief.is_given("water.emitter.lowest_pressure"):
        start = brief.as_input("water.emitter.lowest_pressure", "start")
    return [
        Working(
            "water.start_margin",
            float(least.value) - value,
            "kPa",
            (least.as_input("pressure_least"), start),
            "arithmetic",
        )
    ]


def _velocity(made: DesignedSystem) -> Working:
    worst = int(made.runs.velocity_m_s.argmax())
    node = int(made.runs.velocity_node[worst])
    pipe = made.pipes[int(made.pipe[node])]
    return Working(
        "water.velocity_most",
        float(made.runs.velocity_m_s[worst]),
        "m/s",
        (
            Input("flow", float(made.pipe_flow_m3_s[node]) * M3_H, "m3/h", _MEASURED),
            Input("bore", pipe.bore_m * MM_PER_M, "mm", "table:pipes.csv", pipe.source),
        ),
        "arithmetic",
    )


def _surge(made: DesignedSystem) -> Working:
    pipe = made.pipes[int(made.pipe[made.surge_node])]
    wave = float(wave_speed_m_s(pipe.bore_m, pipe.wall_m, pipe.elasticity_pa))
    return Working(
        "water.surge",
        made.surge.surge_m * KPA_PER_M,
        "kPa",
        (
            Input("wave_speed", wave, "m/s", _MEASURED),
            Input("velocity", float(made.velocity_m_s[made.surge_node]), "m/s", _MEASURED),
            Input("gravity", STANDARD_GRAVITY_M_S2, "m/s2", _MEASURED),
            Input("weight_of_water", KPA_PER_M, "kPa/m", _MEASURED),
        ),
        "joukowsky",
    )


def _evenness(made: DesignedSystem, emitters_per_vine: float) -> list[Working]:
    runs = made.runs
    worst = int(runs.emission_pct.argmin())
    own = made.system.is_emitter & (made.system.set_of == worst)
    least = float(made.emitter_flow_m3_s[own].min()) / LITRES_PER_HOUR
    mean = float(runs.mean_flow_m3_s[worst]) / LITRES_PER_HOUR
    low = int(runs.low_quarter_pct.argmin())
    return [
        Working(
            "water.emission_uniformity",
            float(runs.emission_pct[worst]),
            "%",
            (
                Input("variation", made.law.variation, "", "table:emitters.csv", made.law.source),
                Input("drippers_a_vine", emitters_per_vine, "", _MEASURED),
                Input("least_flow", least, "L/h", _MEASURED),
                Input("mean_flow", mean, "L/h", _MEASURED),
            ),
            "keller-karmeli",
        ),
        Working(
            "water.low_quarter_uniformity",
            float(runs.low_quarter_pct[low]),
            "%",
            (Input("drippers", int(made.system.sets.emitters[low]), "", _MEASURED),),
            "merriam-keller",
        ),
        Working(
            "water.flow_variation",
            100.0 * float(runs.flow_variation.max()),
            "%",
            (Input("sets", len(runs), "", "figure:water.sets"),),
            "arithmetic",
        ),
    ]


def _pipes(made: DesignedSystem) -> list[Working]:
    found = []
    lengths: dict[Pipe, float] = {}
    for kind in ("mainline", "submain"):
        for pipe, metres in made.metres[kind].items():
            lengths[pipe] = lengths.get(pipe, 0.0) + metres
    for pipe in made.pipes:
        if pipe not in lengths:
            continue
        inputs = tuple(
            Input(kind, made.metres[kind].get(pipe, 0.0), "m", _MEASURED)
            for kind in ("mainline", "submain")
        )
        found.append(
            Working(
                f"water.pipe.{pipe.item}",
                lengths[pipe],
                "m",
                inputs,
                "arithmetic",
                about=pipe_name(pipe),
                message="water.pipe_length",
            )
        )
    system = made.system
    return [
        Working(
            "water.mainline_length",
            system.total_length_m(MAINLINE),
            "m",
            (Input("pipes", len(system.pipes(MAINLINE)), "", _MEASURED),),
            "arithmetic",
        ),
        Working(
            "water.submain_length",
            system.total_length_m(SUBMAIN),
            "m",
            (Input("submains", len(system.submains), "", _MEASURED),),
            "arithmetic",
        ),
        Working(
            "water.lateral_length",
            system.total_length_m(LATERAL),
            "m",
            (Input("laterals", len(system.laterals), "", _MEASURED),),
            "arithmetic",
        ),
        *found,
    ]


def _pump(brief: Brief, made: DesignedSystem, height_m: float) -> list[Working]:
    duties, head, worst = made.duties, made.pump_head, made.duties.worst
    flow = Working(
        "water.pump.flow",
        float(duties.flow_m3_s[worst]) * M3_H,
        "m3/h",
        (
            Input("drippers", int(made.system.sets.emitters[worst]), "", _MEASURED),
            flow_input(brief, made.law),
        ),
        "arithmetic",
    )
    asked = Working(
        "water.pump.head",
        head.total_m,
        "m",
        tuple(
            Input(name, value, "m", origin)
            for name, value, origin in (
                ("lift", head.lift_m, _MEASURED),
                ("pressure", head.pressure_m, _MEASURED),
                ("friction", head.friction_m, _MEASURED),
                ("margin", head.margin_m, "brief:pump.friction_margin"),
                ("filter", head.filter_m, "brief:head_works.dirty_filter"),
                ("fittings", head.fittings_m, "brief:head_works.fittings_loss"),
            )
        ),
        "practice",
    )
    pumped = Input("head_pumped", float(duties.pumped_head_m[worst]), "m", _MEASURED)
    efficiency = (
        brief.as_input("pump.efficiency", "pump_efficiency"),
        brief.as_input("pump.motor_efficiency", "motor_efficiency"),
    )
    weight = Input("weight_of_water", WATER_N_M3 / 1000.0, "kN/m3", _MEASURED)
    energy = Working(
        "water.pump.energy",
        float(duties.kwh_per_m3[worst]),
        "kWh/m3",
        (weight, pumped, *efficiency),
        "arithmetic",
    )
    return [
        flow,
        asked,
        Working(
            "water.pump.power",
            float(duties.input_kw[worst]),
            "kW",
            (weight, flow.as_input("flow"), pumped, *efficiency),
            "arithmetic",
        ),
        energy,
        Working(
            "water.pump.suction_head",
            made.suction_head_m,
            "m",
            (
                Input("height", height_m, "m", _MEASURED),
                brief.as_input("pump.suction_lift", "suction_lift"),
                brief.as_input("pump.suction_loss", "suction_loss"),
                brief.as_input("pump.water_temperature", "water_temperature"),
            ),
            "suction-pages",
        ),
        Working(
            "water.filter_area",
            made.filter.area_m2,
            "m2",
            (Input("flow", float(made.runs.flow_m3_s.max()) * M3_H, "m3/h", _MEASURED),),
            made.filter.rate_source,
        ),
    ]
