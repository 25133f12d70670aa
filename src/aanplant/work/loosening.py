"""How deep to loosen where a pit was dug, with what, and in which moisture."""

from collections.abc import Mapping
from dataclasses import dataclass

from aanplant.site.profile import Profile, SoilLayer
from aanplant.site.salinity import sodicity
from aanplant.tables import rows
from aanplant.work.gypsum_need import asks_for_gypsum

GOAL_M = 0.9
"""Middle of 0.8 to 1.0 m (Soil preparation for wine and table grapes)."""
SHALLOWEST_DRYLAND_M = 0.6
"""Less rooting depth cannot sustain dryland vines (same handbook)."""
SANDY_CLAY_PCT = 6.0
SANDY_DEPTH_M = 0.45
"""Below 6 % clay deep loosening is often needless, and 0.45 m was enough (same handbook)."""
KEEP_ABOVE_M = 0.1
"""Never closer than this above a harmful layer, without an adviser's word."""
HARMFUL = ("sodic", "dispersive", "waterlogged")
UNBREAKABLE = ("rock",)
_ROUNDING_M = 1e-9
ACID_PH_KCL = 4.5
"""Subsoil more acid than this wants lime worked in deep (judgement)."""


@dataclass(frozen=True, slots=True)
class Loosening:
    """How deep to loosen at a pit.

    Parameters
    ----------
    depth_m : float
        0 where nothing should be loosened. [m]
    goal_m : float
        What was wanted before anything stood in the way. [m]
    held_by : str
        What holds it: sodic, dispersive, waterlogged, rock, pit; "" for nothing.
    held_at_m : float
        Depth of what holds it; 0 for nothing. [m]
    is_sandy : bool
        Whether the goal is that of sand.
    """

    depth_m: float
    goal_m: float
    held_by: str = ""
    held_at_m: float = 0.0
    is_sandy: bool = False


def loosening_at(
    profile: Profile, wanted_m: float | None, *, gypsum_trigger_pct: float, adviser_allows: bool
) -> Loosening:
    """Find the depth to loosen at a pit.

    Parameters
    ----------
    profile : Profile
        The pit, worked out.
    wanted_m : float or None
        Asked for; None to choose. [m]
    gypsum_trigger_pct : float
        ESP above which gypsum is reckoned, and a layer held for sodic. [%]
    adviser_allows : bool
        Whether an adviser allows less than 100 mm above a harmful layer, or into it.
    """
    pit = profile.pit
    sandy = wanted_m is None and _is_sand_without_need(profile)
    goal_m = wanted_m if wanted_m is not None else SANDY_DEPTH_M if sandy else GOAL_M
    holds = [(pit.depth_m, "pit", pit.depth_m)]
    if pit.limiting_depth_m is not None and pit.limiting_kind in UNBREAKABLE:
        holds.append((pit.limiting_depth_m, pit.limiting_kind, pit.limiting_depth_m))
    harmful = harmful_layer(profile, gypsum_trigger_pct)
    if harmful is not None and not adviser_allows:
        at_m, kind = harmful
        holds.append((max(0.0, at_m - KEEP_ABOVE_M), kind, at_m))
    depth_m, kind, at_m = min(holds, key=lambda hold: hold[0])
    if depth_m >= goal_m - _ROUNDING_M:
        return Loosening(goal_m, goal_m, is_sandy=sandy)
    return Loosening(depth_m, goal_m, kind, at_m, sandy)


def harmful_layer(profile: Profile, gypsum_trigger_pct: float) -> tuple[float, str] | None:
    """Depth and kind of the shallowest layer that must not be stirred up, None without one. [m].

    What is sodic enough for gypsum is sodic enough to be left alone: one handbook prints
    both 10 and 15 for the trigger, and the lower of the two figures counts for both.
    """
    pit = profile.pit
    found = [
        (layer.measured.top_m, "sodic")
        for layer in profile.layers
        if is_held_for_sodic(layer, gypsum_trigger_pct)
    ]
    if pit.limiting_depth_m is not None and pit.limiting_kind in HARMFUL:
        found.append((pit.limiting_depth_m, pit.limiting_kind))
    if pit.water_table_m is not None:
        found.append((pit.water_table_m, "waterlogged"))
    return min(found, default=None)


def is_held_for_sodic(layer: SoilLayer, gypsum_trigger_pct: float) -> bool:
    """Whether a layer asks for gypsum, or is sodic by every source."""
    rated = sodicity(layer.measured)
    by_every_source = rated is not None and rated.name == "sodic"
    return by_every_source or asks_for_gypsum(layer, gypsum_trigger_pct)


def doubtful_layer(profile: Profile, gypsum_trigger_pct: float) -> SoilLayer | None:
    """Shallowest layer that some sources call sodic and nothing holds, None without one."""
    found = [
        layer
        for layer in profile.layers
        if (rated := sodicity(layer.measured)) is not None
        and rated.name == "doubtful"
        and not is_held_for_sodic(layer, gypsum_trigger_pct)
    ]
    return min(found, key=lambda layer: layer.measured.top_m, default=None)


def _is_sand_without_need(profile: Profile) -> bool:
    """All sand, nothing compacted to break, no acid subsoil that wants lime."""
    clay = [layer.clay_pct for layer in profile.layers]
    acid = any(
        layer.ph is not None and layer.ph_method == "KCl" and layer.ph < ACID_PH_KCL
        for layer in profile.pit.layers
        if layer.bottom_m > SANDY_DEPTH_M
    )
    return (
        all(share is not None and share < SANDY_CLAY_PCT for share in clay)
        and profile.pit.limiting_kind not in {"compaction", "hard pan", "dense clay"}
        and not acid
    )


def choose_implement(depth_m: float, *, is_acid: bool) -> str:
    """Name the implement for a depth: one that mixes where lime must go deep.

    Parameters
    ----------
    depth_m : float
        To loosen. [m]
    is_acid : bool
        Whether lime must be mixed into the subsoil.
    """
    if depth_m <= 0:
        return "none"
    order = ("shift delver", "delver", "ripper") if is_acid else ("ripper", "delver")
    table = implements()
    fitting = [name for name in order if table[name].reaches(depth_m)]
    return fitting[0] if fitting else "ripper" if depth_m < table["delver"].least_m else "excavator"


@dataclass(frozen=True, slots=True)
class Implement:
    """What loosens the soil.

    Parameters
    ----------
    name : str
        As the brief has it.
    least_m, greatest_m : float
        Depths it works at. [m]
    hectares_per_hour : float
        0 when it does nothing. [ha/h]
    driest_share, wettest_share : float
        Share of the available water the soil may hold while it works. [-]
    moisture : str
        The same in words.
    """

    name: str
    least_m: float
    greatest_m: float
    hectares_per_hour: float
    driest_share: float
    wettest_share: float
    moisture: str

    def reaches(self, depth_m: float) -> bool:
        """Whether it works at a depth."""
        return self.least_m <= depth_m <= self.greatest_m


def implements() -> Mapping[str, Implement]:
    """Return all implements by name."""
    return {
        row["implement"]: Implement(
            name=row["implement"],
            least_m=float(row["least_depth_m"]),
            greatest_m=float(row["greatest_depth_m"]),
            hectares_per_hour=float(row["hectares_per_hour"]),
            driest_share=float(row["driest_share"]),
            wettest_share=float(row["wettest_share"]),
            moisture=row["moisture"],
        )
        for row in rows("implements.csv")
    }
