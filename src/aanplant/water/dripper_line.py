"""Which dripper line serves a block, for the pressure its drippers must have."""

import math
from dataclasses import replace

import numpy as np

from aanplant.brief import Brief
from aanplant.errors import InputError
from aanplant.water.emitters import KPA_PER_M, EmitterLaw
from aanplant.water.lateral_bores import BoreTable, LateralLines, tabulate
from aanplant.water.lateral_choice import LateralLimits, LateralTooLong, choose_bore
from aanplant.water.longest_lateral import LongestLateral, longest_laterals
from aanplant.water.pipes import MM_PER_M, Pipe, pipes_of
from aanplant.water.system import System
from aanplant.water.system_pipes import hardest_laterals, lateral_lines


def with_margin(law: EmitterLaw, margin_kpa: float) -> EmitterLaw:
    """Return the law as pipes are sized for it: regulation starts by a margin later.

    Raises
    ------
    InputError
        If that leaves nothing of the range.
    """
    if not law.keeps_flow:
        return law
    start = law.lowest_head_m + margin_kpa / KPA_PER_M
    if start >= law.highest_head_m:
        raise InputError(
            "brief.toml: uniformity.start_margin",
            f"{margin_kpa:g} kPa over the {law.lowest_head_m * KPA_PER_M:g} kPa at which the "
            "dripper's regulation starts",
            f"less than {(law.highest_head_m - law.lowest_head_m) * KPA_PER_M:g} kPa, so that it "
            "stays within the dripper's range",
        )
    return replace(law, lowest_head_m=start)


def line_sizes(brief: Brief) -> tuple[dict[float, Pipe], LateralLimits]:
    """Return the dripper lines to choose from by their bore, and what laterals must keep."""
    table = {pipe.bore_m: pipe for pipe in pipes_of("LDPE")}
    wanted = brief.pipes.lateral_bore
    if wanted is not None:
        bore = wanted / MM_PER_M
        nearest = table[min(table, key=lambda own: abs(own - bore))]
        table = {bore: replace(nearest, bore_m=bore, outside_m=bore + 2.0 * nearest.wall_m)}
    rated = min(pipe.rated_head_m for pipe in table.values())
    return table, LateralLimits(brief.pipes.flow_variation, rated)


def longest_of(brief: Brief, system: System, law: EmitterLaw) -> tuple[LongestLateral, ...]:
    """Find how long laterals may be in every bore to choose from, level and up the steepest row.

    Parameters
    ----------
    brief, system, law
        As ``choose_line`` takes them.
    """
    table, limits = line_sizes(brief)
    laterals = system.laterals
    rise = float(np.max(-laterals.fall_m / laterals.length_m))
    spacing_m = brief.water.emitter.spacing
    return longest_laterals(sorted(table), law, limits, spacing_m, rise=max(rise, 0.0))


def choose_line(brief: Brief, system: System, law: EmitterLaw) -> tuple[Pipe, BoreTable]:
    """Choose the dripper line; a regulating dripper's inlet shall need no more than its pressure.

    Where no line keeps that, the narrowest that keeps the dripper's range.

    Parameters
    ----------
    brief : Brief
        What is asked.
    system : System
        As laid.
    law : EmitterLaw
        Of its drippers, as pipes are sized for it.

    Returns
    -------
    Pipe, BoreTable
        The line, and the pressures of all laterals in it.

    Raises
    ------
    InputError
        If no line waters evenly.
    """
    table, limits = line_sizes(brief)
    bores = sorted(table)
    tried = lateral_lines(system, hardest_laterals(system))
    try:
        choice = choose_bore(tried, bores, law, _wanted(limits, law))
    except LateralTooLong:
        try:
            choice = choose_bore(tried, bores, law, limits)
        except LateralTooLong as refusal:
            raise _too_long(brief, refusal, tried, law, limits) from None
    return table[bores[choice.place]], tabulate(
        lateral_lines(system, np.arange(len(system.laterals))), [choice.bore_m], law
    )


def _wanted(limits: LateralLimits, law: EmitterLaw) -> LateralLimits:
    return replace(limits, most_pressure_m=law.head_m) if law.keeps_flow else limits


def _too_long(
    brief: Brief, refusal: LateralTooLong, tried: LateralLines, law: EmitterLaw,
    limits: LateralLimits,
) -> InputError:  # fmt: skip
    """Name the key to change, and to what: rows as long as works, or a bore that does."""
    works = f"rows.longest of at most {math.floor(refusal.longest_m)} m"
    if brief.pipes.lateral_bore is None:
        return InputError(
            "brief.toml: rows.longest",
            f"laterals with {refusal.found}",
            f"{works}, or drippers that give less or regulate (water.emitter)",
        )
    try:
        bore = choose_bore(tried, [pipe.bore_m for pipe in pipes_of("LDPE")], law, limits).bore_m
    except LateralTooLong:
        pass
    else:
        works = f"a bore of at least {bore * MM_PER_M:g} mm, or {works}"
    return InputError("brief.toml: pipes.lateral_bore", f"laterals with {refusal.found}", works)
