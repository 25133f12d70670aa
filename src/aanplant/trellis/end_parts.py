"""What holds a row's end, part by part: what comes on each and at what it gives way."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from aanplant.brief.ends import EndRules
from aanplant.trellis.anchors import AnchorSoil, deadman_n, deadman_uplift_n, helix_n, plate_n
from aanplant.trellis.embedment import broms_clay, broms_sand
from aanplant.trellis.end_strength import euler_load_n
from aanplant.trellis.ends import Floats, Strut, TieBack
from aanplant.trellis.posts import section_modulus_cm3, ultimate_moment_nm


@dataclass(frozen=True, slots=True)
class PartUse:
    """How far one part of a row's end is used.

    Parameters
    ----------
    part : str
        ``anchor``, ``anchor uplift``, ``post pull-out``, ``strut``, ``rail``, ``block``,
        ``end post`` or ``foot``.
    load, holds : ndarray, shape (n_rows,)
        What comes on it, and at what it gives way, in ``unit``.
    factor : float
        Of safety between the two. [-]
    unit : str
        N, or N m where a post bends.
    """

    part: str
    load: Floats
    holds: Floats
    factor: float
    unit: str = "N"

    @property
    def use(self) -> Floats:
        """Load over what is allowed; above 1 it does not hold as it should. [-]."""
        return np.asarray(self.load * self.factor / self.holds)


@dataclass(frozen=True, slots=True)
class EndPost:
    """The end post, as the system and the timber of the posts make it.

    Parameters
    ----------
    above_m, embedment_m : float
        Its length above and in the ground, along the post. [m]
    strength_mpa : float
        Strength in bending that 95 posts of 100 reach. [MPa]
    working_factor : float
        What the strength is divided by. [-]
    """

    above_m: float
    embedment_m: float
    strength_mpa: float
    working_factor: float


def anchor_soil(rules: EndRules) -> AnchorSoil:
    """Return the ground of the anchors as the brief describes it."""
    return AnchorSoil(
        rules.cohesion * 1e3 if rules.ground == "clay" else 0.0,
        rules.friction_angle,
        rules.unit_weight * 1e3,
        rules.waterlogged,
    )


def anchor_parts(
    rules: EndRules, held: TieBack, helix_mm: Floats, soil: AnchorSoil
) -> tuple[PartUse, ...]:
    """Return what holds the tie of a tied post: its anchor, against being drawn and lifted."""
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


def pull_out(rules: EndRules, uplift_n: Floats) -> PartUse:
    """Return how the post of an H-brace or strut stands against being drawn out."""
    return _use(rules, "post pull-out", uplift_n, np.asarray(rules.post_pull_out * 1e3))


def bowing(rules: EndRules, part: str, push_n: Floats, length_m: ArrayLike) -> PartUse:
    """Return how a strut or rail stands against bowing out."""
    bows = euler_load_n(rules.strut_diameter, length_m, rules.stiffness * 1e6)
    return PartUse(part, push_n, np.broadcast_to(bows, push_n.shape), rules.strut_factor)


def strut_parts(rules: EndRules, held: Strut, soil: AnchorSoil) -> tuple[PartUse, ...]:
    """Return what holds a strutted post: the strut, its block and the post in the ground."""
    block = deadman_n(rules.block_depth, rules.block_width, soil)
    return (
        bowing(rules, "strut", held.axial_n, held.length_m),
        _use(rules, "block", held.block_horizontal_n, block),
        pull_out(rules, held.uplift_n),
    )


def post_part(rules: EndRules, post: EndPost, bending_nm: Floats) -> PartUse:
    """Return how the end post stands against being bent."""
    breaks = ultimate_moment_nm(section_modulus_cm3(rules.post_diameter), post.strength_mpa)
    held = np.broadcast_to(breaks, bending_nm.shape)
    return PartUse("end post", bending_nm, held, post.working_factor, "N m")


def foot_part(rules: EndRules, post: EndPost, shear_n: Floats, soil: AnchorSoil) -> PartUse:
    """Return how the ground beside the foot of the end post is used, after Broms.

    A measure to compare ends by, no stamp: the formulas were not made for posts this slender.
    """
    size = post.embedment_m, 0.0, rules.post_diameter / 1000.0
    if soil.cohesion_pa > 0.0:
        turned = broms_clay(*size, soil.cohesion_pa)
    else:
        turned = broms_sand(*size, soil.unit_weight_n_m3, soil.friction_deg)
    return _use(rules, "foot", np.abs(shear_n), soil.share * turned.force_n)


def _use(rules: EndRules, part: str, load_n: Floats, holds_n: Floats) -> PartUse:
    return PartUse(part, load_n, np.broadcast_to(holds_n, load_n.shape), rules.factor_of_safety)
