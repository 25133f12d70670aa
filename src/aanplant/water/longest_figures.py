"""Figures of the longest lateral in each bore of dripper line."""

from aanplant.brief import Brief
from aanplant.water.designed import DesignedSystem
from aanplant.water.emitters import KPA_PER_M
from aanplant.water.longest_lateral import LongestLateral
from aanplant.water.pipes import MM_PER_M
from aanplant.water.use_base import flow_input
from aanplant.working import Input, Working


def longest_figures(brief: Brief, made: DesignedSystem) -> tuple[Working, ...]:
    """Return the longest lateral on level ground, one figure a bore.

    Parameters
    ----------
    brief : Brief
        Gives the spacing of the drippers and the limits.
    made : DesignedSystem
        As designed.
    """
    return tuple(
        _regulating(brief, made, one) if made.law.keeps_flow else _plain(brief, made, one)
        for one in made.longest
    )


def _plain(brief: Brief, made: DesignedSystem, one: LongestLateral) -> Working:
    return Working(
        _key(one),
        one.length_m,
        "m",
        (*_line(brief, made, one), brief.as_input("pipes.flow_variation")),
        "darcy-weisbach",
        about=_bore(one),
        message="water.longest_lateral",
    )


def _regulating(brief: Brief, made: DesignedSystem, one: LongestLateral) -> Working:
    law = made.law
    start, end = (head * KPA_PER_M for head in (law.lowest_head_m, law.highest_head_m))
    line_class = made.lateral_pipe.rated_head_m * KPA_PER_M
    return Working(
        _key(one),
        one.length_m,
        "m",
        (
            *_line(brief, made, one),
            Input("start", start, "kPa", "table:emitters.csv", law.source),
            brief.as_input("uniformity.start_margin", "margin"),
            Input("highest_pressure", end, "kPa", "table:emitters.csv", law.source),
            Input("class", line_class, "kPa", "table:pipes.csv"),
        ),
        "darcy-weisbach",
        about=_bore(one),
        message="water.longest_lateral_regulating",
    )


def _line(brief: Brief, made: DesignedSystem, one: LongestLateral) -> tuple[Input, ...]:
    return (
        Input("bore", one.bore_m * MM_PER_M, "mm", "table:pipes.csv"),
        flow_input(brief, made.law),
        brief.as_input("water.emitter.spacing", "dripper_spacing"),
    )


def _key(one: LongestLateral) -> str:
    return f"water.longest_lateral.{one.bore_m * MM_PER_M:g}"


def _bore(one: LongestLateral) -> str:
    return f"{one.bore_m * MM_PER_M:g} mm"
