"""The preparation of a block's soil: each zone by its own pit, then the block as a whole."""

from collections.abc import Sequence
from dataclasses import dataclass

from aanplant.brief import Brief
from aanplant.layout import Layout
from aanplant.site import Site
from aanplant.site.zones import Zone
from aanplant.work.earthworks import earthworks
from aanplant.work.layer_figures import gypsum_figures, lime_figures, nutrient_figures
from aanplant.work.preparation_advice import advice
from aanplant.work.preparation_steps import Step, steps
from aanplant.work.spread_lines import Amount, SpreadLine, amounts
from aanplant.work.spreading import spread_lines
from aanplant.work.works_ordered import works_ordered
from aanplant.work.zone_preparation import ZonePreparation, prepare_zone
from aanplant.working import Figures, Finding, Working

WHOLE_FIELD = "whole field"
"""Name of the one zone of a field without pits."""


@dataclass(frozen=True)
class SoilPreparation:
    """What is done to the soil of a block.

    Parameters
    ----------
    zones : tuple of ZonePreparation
        As the soil was zoned; one without a pit where nothing was dug.
    spreading : tuple of SpreadLine
        What the spreader puts on each zone.
    amounts : tuple of Amount
        What is ordered of each product.
    works : tuple of Amount
        Machine hours and drain pipe.
    steps : tuple of Step
        In their order.
    figures, findings
        What there is to say.
    """

    zones: tuple[ZonePreparation, ...]
    spreading: tuple[SpreadLine, ...]
    amounts: tuple[Amount, ...]
    works: tuple[Amount, ...]
    steps: tuple[Step, ...]
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]


def prepare_soil(brief: Brief, site: Site, layout: Layout) -> SoilPreparation:
    """Work out the preparation of a block.

    Parameters
    ----------
    brief : Brief
        Its section ``preparation``.
    site : Site
        With the zones of its soil.
    layout : Layout
        Rows, for ridges.

    Raises
    ------
    InputError
        If the cover crop is not known.
    """
    row_length = next(figure for figure in layout.figures if figure.key == "layout.row_length")
    zones = _zones(brief, site)
    return prepared(brief, zones, row_length, has_pits=site.soil is not None)


def prepared(
    brief: Brief, zones: Sequence[ZonePreparation], row_length: Working, *, has_pits: bool
) -> SoilPreparation:
    """Add up zones that were worked out; parameters as ``prepare_soil`` and its parts."""
    lines, products = spread_lines(brief, zones)
    ordered = amounts(lines, products)
    works = earthworks(brief, zones, row_length)
    hired = works_ordered(Figures(works), zones)
    summed = (amount.needed for amount in hired if amount.item != "drain-pipe")
    works = (*works, *summed)
    made = [
        figure
        for zone in zones
        for figure in (
            *lime_figures(zone, brief),
            *gypsum_figures(zone, brief),
            *nutrient_figures(zone, brief),
        )
    ]
    loosens = any(zone.loosening is not None and zone.loosening.depth_m > 0 for zone in zones)
    return SoilPreparation(
        tuple(zones),
        lines,
        ordered,
        hired,
        steps(brief, Figures(works), spreads=bool(lines), loosens=loosens),
        (*made, *products, *(amount.needed for amount in ordered), *works),
        tuple(advice(brief, zones, has_pits=has_pits)),
    )


def _zones(brief: Brief, site: Site) -> tuple[ZonePreparation, ...]:
    if site.soil is None:
        return (prepare_zone(0, Zone(WHOLE_FIELD, site.field, None), brief.preparation),)
    return tuple(
        prepare_zone(number, zone, brief.preparation)
        for number, zone in enumerate(site.soil.zones, start=1)
    )
