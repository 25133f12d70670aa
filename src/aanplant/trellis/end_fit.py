"""Heights of tie, rail and strut as they are built: within the end post that stands."""

import math

from aanplant.brief import Brief
from aanplant.brief.ends import EndRules
from aanplant.trellis.systems import System

BELOW_TOP_M = 0.05
"""A tie, a rail or a strut sits at least so far below the top of its post; common practice."""
_HEIGHTS = {"tie-back": "tie_height", "h-brace": "rail_height", "strut": "strut_height"}


def end_lean_deg(brief: Brief) -> float:
    """Lean of the end posts from upright: only tied ones lean. [deg]."""
    return brief.ends.lean if brief.ends.assembly == "tie-back" else 0.0


def ends_as_built(brief: Brief, system: System) -> EndRules:
    """Return the ends with heights that fit a low end post, where the brief gives none itself."""
    rules = brief.ends
    lowered = {}
    for assembly, key in _HEIGHTS.items():
        lean = math.radians(rules.lean if assembly == "tie-back" else 0.0)
        top_m = round(system.end_post_top_m * math.cos(lean) - BELOW_TOP_M, 2)
        if 0.0 < top_m < getattr(rules, key) and not brief.is_given(f"ends.{key}"):
            lowered[key] = top_m
    return rules.model_copy(update=lowered) if lowered else rules
