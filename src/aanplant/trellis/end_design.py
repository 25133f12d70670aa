"""Whether the ends of rows hold: every row's wires against its post, brace and anchor."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant import tables
from aanplant.brief.ends import EndRules
from aanplant.trellis.anchors import AnchorSoil, deadman_n, deadman_uplift_n, helix_n, plate_n
from aanplant.trellis.breaches import Breach
from aanplant.trellis.end_strength import euler_load_n, post_bending_nm
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

HELIX_SIZES_MM = (100.0, 150.0, 200.0, 250.0, 300.0)
"""Helices the trade sells; common practice, no source."""
BRACE_LENGTH_PER_HEIGHT = 2.0
"""Least length of a brace for each metre of its rail's height; from memory."""


@dataclass(frozen=True, slots=True)
class PartUse:
    """How far one part of a row's end is used.

    Parameters
    ----------
    part : str
        ``anchor``, ``anchor uplift``, ``post pull-out``, ``strut``, ``rail`` or ``block``.
    load_n, holds_n : ndarray, shape (n_rows,)
        What comes on it, and at what it gives way. [N]
    factor : float
        Of safety between the two. [-]
    """

    part: str
    load_n: Floats
    holds_n: Floats
    factor: float

    @property
    def use(self) -> Floats:
        """Load over what is allowed; above 1 it does not hold as it should. [-]."""
        return np.asarray(self.load_n * self.factor / self.holds_n)


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
    post_bending_nm : ndarray, shape (n_rows,)
        Greatest bending in the end post. [N m]
    helix_mm : ndarray, shape (n_rows,)
        Helix of each row; nan where the anchor is none. [mm]
    is_lighter : ndarray of bool, shape (n_rows,)
        Short rows that have the lighter helix, which holds.
    mend_helix_mm : ndarray, shape (n_rows,)
        Smallest helix of the trade that holds; nan where none does or it is no helix. [mm]
    printed_longest_m : ndarray, shape (n_rows,)
        Longest row that printed practice gives for this end; nan where none is printed. It is
        not from statics: between fixed ends the pull does not grow with the row. [m]
    breaches : tuple of Breach
        What does not hold, each part once with its worst row.
    """

    pull: RowPull
    held: TieBack | HBrace | Strut
    parts: tuple[PartUse, ...]
    post_bending_nm: Floats
    helix_mm: Floats
    is_lighter: NDArray[np.bool_]
    mend_helix_mm: Floats
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


def anchor_soil(rules: EndRules) -> AnchorSoil:
    """Return the ground of the anchors as the brief describes it."""
    return AnchorSoil(
        rules.cohesion * 1e3 if rules.ground == "clay" else 0.0,
        rules.friction_angle,
        rules.unit_weight * 1e3,
        rules.waterlogged,
    )


def design_ends(
    rules: EndRules,
    tension_n: ArrayLike,
    height_m: ArrayLike,
    strands: ArrayLike,
    *,
    anchor_distance_m: float,
    row_length_m: ArrayLike,
    post_above_m: float,
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
    post_above_m : float
        Length of the end post above the ground, along the post. [m]

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
    helix = mend = np.full(length.shape, np.nan)
    held: TieBack | HBrace | Strut
    if rules.assembly == "tie-back":
        held = tie_back(pull, rules.tie_height, anchor_distance_m, rules.lean)
        if rules.anchor == "helix":
            lighter = _short_rows_that_hold(rules, held.tie_n, length, soil)
            helix = np.where(lighter, rules.lighter_helix, rules.helix_diameter)
            mend = _smallest_that_holds(rules, held.tie_n, soil)
        parts, at = _tied(rules, held, helix, soil), rules.tie_height
    elif rules.assembly == "h-brace":
        held = h_brace(pull, rules.rail_height, rules.post_distance)
        rail = _bowing(rules, "rail", held.rail_n, np.asarray(rules.post_distance))
        parts, at = (rail, _pull_out(rules, held.uplift_n)), rules.rail_height
    else:
        held = strut(pull, rules.strut_height, rules.strut_distance)
        bows = _bowing(rules, "strut", held.axial_n, held.length_m)
        block = deadman_n(rules.block_depth, rules.block_width, soil)
        pushes = _use(rules, "block", held.block_horizontal_n, block)
        parts, at = (bows, pushes, _pull_out(rules, held.uplift_n)), rules.strut_height
    upright_m = post_above_m * np.cos(np.radians(rules.lean if rules.assembly == "tie-back" else 0))
    return EndDesign(
        pull,
        held,
        parts,
        post_bending_nm(tension, height_m, at, strands),
        helix,
        lighter,
        mend,
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


def _tied(
    rules: EndRules, held: TieBack, helix_mm: Floats, soil: AnchorSoil
) -> tuple[PartUse, ...]:
    if rules.anchor == "helix":
        return (_use(rules, "anchor", held.tie_n, helix_n(helix_mm, rules.anchor_depth, soil)),)
    if rules.anchor == "plate":
        holds = plate_n(rules.plate_width, rules.plate_length, rules.anchor_depth, soil)
        return (_use(rules, "anchor", held.tie_n, holds),)
    log = rules.anchor_depth, rules.deadman_length
    lifts = deadman_uplift_n(*log, rules.trench_width, soil)
    return (
        _use(rules, "anchor", np.abs(held.anchor_horizontal_n), deadman_n(*log, soil)),
        _use(rules, "anchor uplift", held.uplift_n, lifts),
    )


def _use(rules: EndRules, part: str, load_n: Floats, holds_n: Floats) -> PartUse:
    return PartUse(part, load_n, np.broadcast_to(holds_n, load_n.shape), rules.factor_of_safety)


def _pull_out(rules: EndRules, uplift_n: Floats) -> PartUse:
    return _use(rules, "post pull-out", uplift_n, np.asarray(rules.post_pull_out * 1e3))


def _bowing(rules: EndRules, part: str, push_n: Floats, length_m: Floats) -> PartUse:
    bows = euler_load_n(rules.strut_diameter, length_m, rules.stiffness * 1e6)
    return PartUse(part, push_n, np.broadcast_to(bows, push_n.shape), rules.strut_factor)


def _short_rows_that_hold(
    rules: EndRules, tie_n: Floats, length_m: Floats, soil: AnchorSoil
) -> NDArray[np.bool_]:
    allowed = helix_n(rules.lighter_helix, rules.anchor_depth, soil) / rules.factor_of_safety
    short = rules.lighter_short_rows & (length_m <= rules.short_row)
    return np.asarray(short & (tie_n <= allowed))


def _smallest_that_holds(rules: EndRules, tie_n: Floats, soil: AnchorSoil) -> Floats:
    sizes = np.array(HELIX_SIZES_MM)
    allowed = helix_n(sizes, rules.anchor_depth, soil) / rules.factor_of_safety
    place = np.searchsorted(np.maximum.accumulate(allowed), tie_n)
    return np.append(sizes, np.nan)[place]


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
