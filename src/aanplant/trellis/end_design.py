"""Whether the ends of rows hold: every row's wires against its post, brace and anchor."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant import tables
from aanplant.brief.ends import EndRules
from aanplant.trellis.breaches import Breach
from aanplant.trellis.end_mends import least_distance_m, short_rows_that_hold, smallest_helix_mm
from aanplant.trellis.end_parts import (
    EndPost,
    PartUse,
    anchor_parts,
    anchor_soil,
    bowing,
    foot_part,
    post_part,
    pull_out,
    strut_parts,
)
from aanplant.trellis.end_strength import post_bending_nm
from aanplant.trellis.ends import (
    Floats,
    HBrace,
    RowPull,
    Strut,
    TieBack,
    h_brace,
    row_pull,
    strut,
    tie_back,
)

BRACE_LENGTH_PER_HEIGHT = 2.0
"""Least length of a brace for each metre of its rail's height; from memory."""


@dataclass(frozen=True)
class EndDesign:
    """The ends of all rows; arrays have one entry a row.

    Parameters
    ----------
    pull : RowPull
        Of the wires on each end.
    held : TieBack, HBrace or Strut
        Forces in the assembly.
    parts : tuple of PartUse
        What holds it and how far each part is used.
    foot : PartUse
        How the ground beside the foot of the end post is used: a measure to compare ends by, not
        among the parts and never a breach.
    helix_mm : ndarray, shape (n_rows,)
        Helix of each row; nan where the anchor is none. [mm]
    is_lighter : ndarray of bool, shape (n_rows,)
        Short rows that have the lighter helix, which holds.
    mend_helix_mm : ndarray, shape (n_rows,)
        Smallest helix of the trade that holds; nan where none does or it is no helix. [mm]
    mend_distance_m : ndarray, shape (n_rows,)
        Least distance from post to anchor at which this helix or plate holds; nan where none
        does, or the anchor is a deadman or none. [m]
    printed_longest_m : ndarray, shape (n_rows,)
        Longest row that printed practice gives for this end; nan where none is printed. It is
        not from statics: between fixed ends the pull does not grow with the row. [m]
    breaches : tuple of Breach
        What does not hold, each part once with its worst row.
    """

    pull: RowPull
    held: TieBack | HBrace | Strut
    parts: tuple[PartUse, ...]
    foot: PartUse
    helix_mm: Floats
    is_lighter: NDArray[np.bool_]
    mend_helix_mm: Floats
    mend_distance_m: Floats
    printed_longest_m: Floats
    breaches: tuple[Breach, ...]

    @property
    def use(self) -> Floats:
        """Use of each row's most used part, shape (n_rows,). [-]."""
        return np.asarray(np.max([part.use for part in self.parts], axis=0))

    @property
    def pull_held_n(self) -> Floats:
        """Pull at the same height that each end would just hold, shape (n_rows,). [N]."""
        held = np.full(self.use.shape, np.inf)
        np.divide(self.pull.pull_n, self.use, where=self.use > 0.0, out=held)
        return held


def design_ends(
    rules: EndRules,
    tension_n: ArrayLike,
    height_m: ArrayLike,
    strands: ArrayLike,
    *,
    anchor_distance_m: float,
    row_length_m: ArrayLike,
    post: EndPost,
) -> EndDesign:
    """Check what stands at the ends of rows.

    Parameters
    ----------
    rules : EndRules
        Section ``ends`` of the brief.
    tension_n : array_like, shape (n_rows, n_lines)
        Greatest that one strand of each line comes to: under crop or on the coldest night. [N]
    height_m, strands : array_like, shape (n_lines,)
        Of each line above the ground [m], and its wires.
    anchor_distance_m : float
        From end post to anchor, above 0 for a tie-back. [m]
    row_length_m : array_like, shape (n_rows,)
        End post to end post. [m]
    post : EndPost
        Length, depth and strength of the end post.

    Raises
    ------
    ValueError
        If a tie-back has no room for its anchor.
    """
    length = np.asarray(row_length_m, np.float64)
    tension = np.broadcast_to(np.asarray(tension_n, np.float64), (len(length), np.size(strands)))
    pull = row_pull(tension, height_m, strands)
    soil = anchor_soil(rules)
    lighter = np.zeros(length.shape, dtype=bool)
    helix = mend = distance = np.full(length.shape, np.nan)
    held: TieBack | HBrace | Strut
    if rules.assembly == "tie-back":
        held, at = tie_back(pull, rules.tie_height, anchor_distance_m, rules.lean), rules.tie_height
        if rules.anchor == "helix":
            lighter = short_rows_that_hold(rules, held.tie_n, length, soil)
            helix = np.where(lighter, rules.lighter_helix, rules.helix_diameter)
            mend = smallest_helix_mm(rules, held.tie_n, soil)
        parts = anchor_parts(rules, held, helix, soil)
        if rules.anchor != "deadman":
            distance = least_distance_m(pull, at, parts[0].holds / parts[0].factor, rules.lean)
    elif rules.assembly == "h-brace":
        held, at = h_brace(pull, rules.rail_height, rules.post_distance), rules.rail_height
        rail = bowing(rules, "rail", held.rail_n, rules.post_distance)
        parts = (rail, pull_out(rules, held.uplift_n))
    else:
        held, at = strut(pull, rules.strut_height, rules.strut_distance), rules.strut_height
        parts = strut_parts(rules, held, soil)
    bending = post_part(rules, post, post_bending_nm(tension, height_m, at, strands))
    parts = (*parts, bending)
    upright_m = post.above_m * np.cos(np.radians(rules.lean if rules.assembly == "tie-back" else 0))
    return EndDesign(
        pull,
        held,
        parts,
        foot_part(rules, post, held.foot_shear_n, soil),
        helix,
        lighter,
        mend,
        distance,
        printed_longest_m(rules.assembly, helix),
        (*_misfits(rules, anchor_distance_m, at, float(upright_m)), *_overloads(parts)),
    )


def printed_longest_m(assembly: str, helix_mm: ArrayLike) -> Floats:
    """Longest row that printed practice gives for an end, shape of ``helix_mm``; else nan. [m]."""
    size = np.asarray(helix_mm, np.float64)
    longest = np.full(size.shape, np.nan)
    for row in tables.rows("end_row_lengths.csv"):
        if row["assembly"] == assembly and row["longest_m"]:
            # Rows rise by size, so that a larger helix takes the last it reaches.
            longest = np.where(size >= float(row["helix_mm"]), float(row["longest_m"]), longest)
    return longest


def _misfits(rules: EndRules, distance_m: float, at_m: float, upright_m: float) -> list[Breach]:
    found = []
    if at_m > upright_m:
        found.append(Breach("held_above_post", rules.assembly, at_m, upright_m, "m"))
    if rules.assembly == "h-brace":
        least = BRACE_LENGTH_PER_HEIGHT * rules.rail_height
        if rules.post_distance < least:
            found.append(Breach("brace_short", "rail", rules.post_distance, least, "m"))
    if rules.assembly == "tie-back" and rules.anchor == "deadman":
        # The soil a deadman pushes up must not be the soil the post leans on.
        wedge = rules.anchor_depth * np.tan(np.radians(45.0 + rules.friction_angle / 2.0))
        if distance_m < wedge:
            found.append(Breach("deadman_near", "anchor", distance_m, float(wedge), "m"))
    return found


def _overloads(parts: tuple[PartUse, ...]) -> list[Breach]:
    found = []
    for part in parts:
        use = part.use
        if len(use) and use.max() > 1.0:
            worst = int(use.argmax())
            found.append(Breach("end_overloaded", part.part, float(use[worst]), 1.0, "", worst))
    return found
