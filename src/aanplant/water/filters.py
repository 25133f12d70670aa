"""Which filter guards the drippers, how fine and how large it must be."""

from dataclasses import dataclass
from typing import Literal

from aanplant.brief import Brief
from aanplant.tables import rows
from aanplant.water.emitters import KPA_PER_M, EmitterLaw

FilterKind = Literal["media", "screen or disc"]

PASSAGE_SHARE = 0.1
"""The opening of a filter is at most this share of the passage it guards (recalled)."""
COARSEST_UM = 130.0
"""Coarsest grade that is usual for drip, 120 mesh (published)."""
SAND_SEPARATED_FROM = ("river", "borehole")
"""Sources from which sand is taken out before the filter when they carry it."""
OPEN_WATER = ("dam", "river", "canal")
UM_PER_M = 1e6
SECONDS_PER_HOUR = 3600.0


@dataclass(frozen=True, slots=True)
class FilterChoice:
    """The filter a system needs.

    Parameters
    ----------
    kind : {"media", "screen or disc"}
        By the water.
    opening_um : float
        Largest opening that guards the dripper. [um]
    mesh : int
        Coarsest mesh of the table that is fine enough; 0 when none is.
    area_m2 : float
        Of the filter, at the careful end of the published rate. [m2]
    least_area_m2 : float
        At the other end. [m2]
    rate_source : str
        Source id of the rate.
    dirty_m : float
        Head it takes when due for cleaning. [m]
    takes_out_sand_first : bool
        Whether a sand separator stands before it.
    guards_media : bool
        Whether a screen stands behind a media filter, to catch its sand.
    """

    kind: FilterKind
    opening_um: float
    mesh: int
    area_m2: float
    least_area_m2: float
    rate_source: str
    dirty_m: float
    takes_out_sand_first: bool
    guards_media: bool


def choose_filter(brief: Brief, law: EmitterLaw, flow_m3_s: float) -> FilterChoice:
    """Choose the filter by source of the water, dripper and flow.

    Media where open water brings organic matter, screen or disc else.

    Parameters
    ----------
    brief : Brief
        Says where the water comes from and what it carries.
    law : EmitterLaw
        Of the dripper, for its passage.
    flow_m3_s : float
        Of the largest set. [m3/s]
    """
    works = brief.head_works
    kind: FilterKind = (
        "media" if works.source_kind in OPEN_WATER and works.carries_organics else "screen or disc"
    )
    opening = opening_um(law.passage_m)
    rate = next(row for row in rows("filter_rates.csv") if kind.startswith(row["filter"]))
    flow_m3_h = flow_m3_s * SECONDS_PER_HOUR
    return FilterChoice(
        kind,
        opening,
        mesh_for(opening),
        flow_m3_h / float(rate["low_m3_h_m2"]),
        flow_m3_h / float(rate["high_m3_h_m2"]),
        rate["source"],
        works.dirty_filter / KPA_PER_M,
        works.carries_sand and works.source_kind in SAND_SEPARATED_FROM,
        kind == "media",
    )


def opening_um(passage_m: float | None) -> float:
    """Return the largest opening of a filter for a dripper's passage. [um].

    A tenth of the passage, and never coarser than the usual grade.
    """
    if passage_m is None:
        return COARSEST_UM
    return min(COARSEST_UM, PASSAGE_SHARE * passage_m * UM_PER_M)


def mesh_for(opening: float) -> int:
    """Return the coarsest mesh of the table that keeps an opening in um; 0 when none does."""
    fine = [
        int(row["mesh"]) for row in rows("filter_meshes.csv") if float(row["opening_um"]) <= opening
    ]
    return min(fine, default=0)
