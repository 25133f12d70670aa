"""The water of a block: its dripper line, and the system that feeds it."""

from dataclasses import dataclass

from aanplant.brief import Brief
from aanplant.errors import InputError
from aanplant.inputs import Inputs
from aanplant.layout import Layout
from aanplant.site import Site
from aanplant.stock import Stock
from aanplant.water.backflow import MUNICIPAL
from aanplant.water.delivery import SetDelivery, measured_sets
from aanplant.water.delivery_advice import delivery_advice, delivery_figures
from aanplant.water.designed import DesignedSystem
from aanplant.water.emitters import law_of
from aanplant.water.energy import energy_figures, season_volume_m3
from aanplant.water.running import Running, run_sets
from aanplant.water.system_advice import no_source
from aanplant.water.system_design import SYSTEM_KEYS, design_system
from aanplant.water.use_base import flow_input
from aanplant.water.water_use import WaterUse, survey_water_use
from aanplant.working import Finding, Working


@dataclass(frozen=True)
class Irrigation:
    """The dripper line.

    Parameters
    ----------
    dripper_line_m : float
        One line along every row, waste not counted. [m]
    drippers : int
        Drippers on it.
    system : DesignedSystem or None
        Pipes, sets and pump; None where the brief names no source of water.
    use : WaterUse or None
        What the vines ask of the water; None where none stand.
    running : Running or None
        When which set runs; None without a system, or without weather or normals.
    figures, findings
        What the stage has to say.
    delivery : tuple of SetDelivery
        Sets whose drippers were measured after installation.
    """

    dripper_line_m: float
    drippers: int
    system: DesignedSystem | None
    use: WaterUse | None
    running: Running | None
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]
    delivery: tuple[SetDelivery, ...] = ()


def design(
    brief: Brief, site: Site, stock: Stock, layout: Layout, inputs: Inputs | None = None
) -> Irrigation:
    """Work out the length of dripper line, and the system where a source of water is named.

    Raises
    ------
    InputError
        If the system cannot be laid or sized.
    """
    row_length = layout.line_length
    length_m = float(row_length.value)
    spacing_m = brief.water.emitter.spacing
    line = Working(
        "water.dripper_line",
        length_m,
        "m",
        (row_length,),
        "practice",
    )
    drippers = int(length_m / spacing_m)
    count = Working(
        "water.drippers",
        drippers,
        "",
        (line.as_input("dripper_line"), brief.as_input("water.emitter.spacing")),
        "arithmetic",
    )
    of_one = flow_input(brief, law_of(brief))
    flow = Working(
        "water.flow_at_once",
        drippers * float(of_one.value) / 1000.0,
        "m3/h",
        (count.as_input("drippers"), of_one),
        "arithmetic",
    )
    findings: list[Finding] = []
    system = None
    if inputs is not None:
        source, route = inputs.water_source, inputs.water_route
        system = design_system(
            brief, site, stock, layout, source, route, inputs.pipe_prices,
            _pumped_m3(brief, site, stock, layout) if source is not None else None,
        )  # fmt: skip
    delivery: tuple[SetDelivery, ...] = ()
    if inputs is not None and inputs.delivery_test:
        if system is None:
            raise InputError(
                "brief.toml: water.delivery_test", "volumes caught without a designed system",
                "water.source as well, so that they have a design to be compared with",
            )  # fmt: skip
        delivery = measured_sets(system, layout.positions, inputs.delivery_test)
        findings += delivery_advice(system, delivery)
    if system is None:
        findings += no_source(brief, SYSTEM_KEYS)
    use = survey_water_use(brief, site, stock, layout, system)
    running = None
    energy: tuple[Working, ...] = ()
    if system is not None and use is not None and use.needs is not None:
        running = run_sets(brief, system, use.needs)
        energy = energy_figures(brief, system, use.needs, use.weather)
    return Irrigation(
        length_m,
        drippers,
        system,
        use,
        running,
        (
            *(line, count, flow, *delivery_figures(delivery)),
            *(part for made in (use, system, running) if made for part in made.figures),
            *energy,
        ),
        (*findings, *(part for made in (use, system, running) if made for part in made.findings)),
        delivery,
    )


def _pumped_m3(brief: Brief, site: Site, stock: Stock, layout: Layout) -> float | None:
    """Water of a season to weigh pipes against; None where the pump or no price is known.

    The evenness of the system is not known yet, so the brief's efficiency counts. [m3]
    """
    if brief.pump.curve or brief.pump.energy_price is None:
        return None
    if brief.head_works.source_kind == MUNICIPAL:
        return None
    use = survey_water_use(brief, site, stock, layout)
    return None if use is None or use.needs is None else season_volume_m3(use.needs)
