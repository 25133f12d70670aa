"""The vines of a block and how far apart they stand."""

from dataclasses import dataclass

from aanplant.brief import Brief
from aanplant.inputs import Inputs
from aanplant.site import Site
from aanplant.stock.affinity import affinity
from aanplant.stock.cultivar_fit import CultivarFit, survey_cultivar
from aanplant.stock.rootstock_choice import RootstockChoice, choose_rootstock
from aanplant.stock.rootstocks import rootstocks
from aanplant.stock.spacing import Spacing, survey_spacing
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
    cultivar_fit : CultivarFit, optional
        How the cultivar suits heat and frost; None while it is open.
    spacing : Spacing, optional
        How the spacing stands beside the rules.
    rootstock_choice : RootstockChoice, optional
        Which rootstocks may stand here, and why; None while the brief leaves it empty.
    """

    cultivar: str
    clone: str
    rootstock: str
    row_width_m: float
    vine_spacing_m: float
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]
    cultivar_fit: CultivarFit | None = None
    spacing: Spacing | None = None
    rootstock_choice: RootstockChoice | None = None

    @property
    def area_per_vine_m2(self) -> float:
        """Ground that belongs to one vine. [m2]."""
        return self.row_width_m * self.vine_spacing_m


def choose(brief: Brief, site: Site, inputs: Inputs | None = None) -> Stock:
    """Take the vines and their spacing as the brief asks for them, and judge them by the site.

    Raises
    ------
    InputError
        If no table holds the cultivar or the rootstock.
    """
    own_cultivars = inputs.cultivars if inputs else ()
    fit = survey_cultivar(brief, site, own_cultivars)
    scion = fit.cultivar.span("vigour") if fit else None
    chosen = choose_rootstock(brief, site, inputs)
    rootstock = (chosen.named or chosen.picked) if chosen else ""
    spacing = survey_spacing(
        brief,
        site,
        scion_vigour=(scion.low + scion.high) / 2.0 if scion else None,
        rootstock_vigour=chosen.vigour_of(rootstock) if chosen and rootstock else None,
    )
    vines = brief.vines
    topics = [topic for topic in (fit, chosen, spacing) if topic is not None]
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
        rootstock=rootstock,
        row_width_m=vines.row_width,
        vine_spacing_m=vines.vine_spacing,
        figures=(
            row_width,
            vine_spacing,
            density,
            *(figure for topic in topics for figure in topic.figures),
        ),
        findings=(
            *affinity(rootstock, vines.cultivar, rootstocks(inputs.rootstocks if inputs else ())),
            *(finding for topic in topics for finding in topic.findings),
        ),
        cultivar_fit=fit,
        spacing=spacing,
        rootstock_choice=chosen,
    )
