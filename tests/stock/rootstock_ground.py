"""Pits, zones and briefs on which rootstocks are chosen in the tests."""

from dataclasses import replace

import numpy as np

from aanplant.brief import parse_brief
from aanplant.inputs import Inputs, Outline
from aanplant.pits import Pit, PitLayer
from aanplant.site import survey
from aanplant.stock.rootstock_answer import LIMITS
from aanplant.stock.rootstock_choice import choose_rootstock, rank_stocks
from aanplant.stock.rootstocks import rootstocks
from aanplant.stock.site_demands import LimeReading, ZoneDemands

SOUTH = (18.8600, -33.9300)
RING = np.array([(0.0, 0.0), (0.0015, 0.0), (0.0015, 0.0012), (0.0, 0.0012), (0.0, 0.0)])
LAYER = PitLayer(
    0.0,
    0.5,
    sand_pct=60.0,
    silt_pct=20.0,
    clay_pct=20.0,
    stones_volume_pct=5.0,
    organic_matter_pct=1.5,
    ph=5.5,
    ph_method="KCl",
    conductivity_ds_m=0.4,
    conductivity_method="ECe",
    where="pits.csv: line 2",
)
KNOWN = rootstocks()


def brief_of(text="", *, rootstock="choose", cultivar="Chenin blanc"):
    return parse_brief(
        f"""
[block]
name = "Test"
boundary = "boundary.gpx"
pits = "pits.csv"
[vines]
cultivar = "{cultivar}"
rootstock = "{rootstock}"
row_width = "2.5 m"
vine_spacing = "1.2 m"
{text}
""",
        "brief.toml",
    )


def pit(name="A", *, at=(0.0003, 0.0006), kind="none", below=None, **layer):
    top = replace(LAYER, **layer)
    sub = replace(top, top_m=0.5, bottom_m=1.0, **(below or {}))
    west, south = SOUTH
    return Pit(
        name, west + at[0], south + at[1], (top, sub), limiting_kind=kind, is_dry=True,
        limiting_depth_m=None if kind == "none" else 0.9, where=f"pits.csv: {name}",
    )  # fmt: skip


def inputs_of(*pits, own=()):
    return Inputs(
        Outline("boundary.gpx", "polygon", (RING + np.array(SOUTH),)), pits=pits, rootstocks=own
    )


def chosen(*pits, text="", own=(), **vines):
    brief, inputs = brief_of(text, **vines), inputs_of(*pits, own=own)
    return choose_rootstock(brief, survey(brief, inputs), inputs)


def said(found):
    return {finding.message: finding for finding in found.findings}


BRIEF = brief_of()
SITE = survey(BRIEF, inputs_of(pit()))


def zone_of(*, lime=0.0, iron=None, ece=0.4, wet=1.0, potential="medium", ph=5.5, area=1.0):
    reading = LimeReading(lime, iron, "pits.csv")
    return ZoneDemands(
        "A", area, "A", "pits.csv", lime=reading, index=reading if iron else None,
        ece_ds_m=ece, wet_rating=wet, potential=potential, ph_kcl=ph,
    )  # fmt: skip


def state_of(stock, limit, zone, brief=BRIEF):
    found = rank_stocks(brief, SITE, KNOWN, (zone,))
    return int(found.states[KNOWN.names.index(stock), 0, LIMITS.index(limit)])


def most(stock, limit, worst, zone_at, *bad):
    """Greatest demand that a stock bears, by halving the range."""
    low, high = 0.0, worst
    for _ in range(40):
        tried = (low + high) / 2
        if state_of(stock, limit, zone_at(tried)) in bad:
            high = tried
        else:
            low = tried
    return low
