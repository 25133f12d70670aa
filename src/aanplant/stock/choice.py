"""The vines of a block and how far apart they stand."""

from dataclasses import dataclass

from aanplant.brief import CHOOSE, Brief
from aanplant.site import Site
from aanplant.working import Finding, Working


@dataclass(frozen=True)
class Stock:
    """The vines of a block.

    Parameters
    ----------
    cultivar, clone, rootstock : str
        Names, "" while not known.
    row_width_m, vine_spacing_m : float
        Between rows and between vines in the row. [m]
    figures, findings
        What the stage has to say.
    """

    cultivar: str
    clone: str
    rootstock: str
    row_width_m: float
    vine_spacing_m: float
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]

    @property
    def area_per_vine_m2(self) -> float:
        """Ground that belongs to one vine. [m2]."""
        return self.row_width_m * self.vine_spacing_m


def choose(brief: Brief, site: Site) -> Stock:  # noqa: ARG001 - the site decides once it knows the soil
    """Take the vines and their spacing as the brief asks for them."""
    vines = brief.vines
    findings = []
    if vines.rootstock == CHOOSE:
        findings.append(Finding("stock", "care", "stock.rootstock_open", source="brief"))
    row_width = Working(
        "stock.row_width",
        vines.row_width,
        "m",
        (brief.as_input("vines.row_width", "asked"),),
        "brief",
    )
    vine_spacing = Working(
        "stock.vine_spacing",
        vines.vine_spacing,
        "m",
        (brief.as_input("vines.vine_spacing", "asked"),),
        "brief",
    )
    density = Working(
        "stock.density_nominal",
        10_000.0 / (vines.row_width * vines.vine_spacing),
        "vines/ha",
        (row_width.as_input("row_width"), vine_spacing.as_input("vine_spacing")),
        "arithmetic",
    )
    return Stock(
        cultivar=vines.cultivar,
        clone=vines.clone,
        rootstock="" if vines.rootstock == CHOOSE else vines.rootstock,
        row_width_m=vines.row_width,
        vine_spacing_m=vines.vine_spacing,
        figures=(row_width, vine_spacing, density),
        findings=tuple(findings),
    )
