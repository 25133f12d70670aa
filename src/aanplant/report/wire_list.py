"""The wires of a trellis as a list: where each hangs, what it is, how hard it is strained."""

import numpy as np

from aanplant.messages import fill, term
from aanplant.report.trellis_view import Mark, TrellisView, measure
from aanplant.trellis.tension import pull_for_tension_n, thermal_change_n
from aanplant.trellis.wire_strength import (
    STANDARD_GRAVITY,
    STEEL_EXPANSION_PER_K,
    axial_stiffness_n,
    installed_tension_n,
    tension_limit_n,
)
from aanplant.units import UnitSystem, show_fixed, show_number

HEADS = ("mark", "wire", "height", "strands", "size", "tension", "reading")
BOARD_PEGS_M, BOARD_ASIDE_M = 1.0, 0.0125
"""Pegs of the board tester apart, and how far it draws the wire aside: the pull is then twenty
times the reading, as with the published board of 40 in and half an inch."""


def wire_rows(view: TrellisView, system: UnitSystem = "metric") -> list[list[str]]:
    """Return the list's rows of text, the highest wire first, by ``HEADS``."""
    return [
        [
            mark.letter,
            term(mark.wire.name),
            measure(mark.wire.height_m, system),
            strands_text(mark),
            size_text(mark),
            show_number(round(installed_tension_n(mark.wire))),
            show_fixed(board_reading_kg(installed_tension_n(mark.wire)), 1),
        ]
        for mark in reversed(view.marks)
    ]


def strands_text(mark: Mark) -> str:
    """Write how many strands, and whether they are lifted with the shoots."""
    kind = "movable" if mark.wire.movable else "fixed"
    return fill(f"trellis_drawing.{kind}", strands=mark.wire.strands)


def size_text(mark: Mark) -> str:
    """Write diameter and grade; the diameter of wire is in millimetres everywhere."""
    return f"{show_number(mark.wire.diameter_mm)} mm {term(mark.wire.grade)}"


def board_reading_kg(tension_n: float) -> float:
    """Return the reading of the board tester's spring balance at a pull. [kg]."""
    reading_n = pull_for_tension_n(tension_n, BOARD_ASIDE_M, BOARD_PEGS_M)
    return float(reading_n) / STANDARD_GRAVITY


def tension_when_n(mark: Mark, warmer_k: float) -> float:
    """Pull to strain a strand to when it is warmer or colder than planned, by its limit. [N]."""
    wire = mark.wire
    change = thermal_change_n(axial_stiffness_n(wire.diameter_mm), STEEL_EXPANSION_PER_K, warmer_k)
    asked = installed_tension_n(wire) + float(np.asarray(change))
    return min(max(asked, 0.0), tension_limit_n(wire.diameter_mm, wire.grade))
