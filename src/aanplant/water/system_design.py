"""Design the irrigation system of a block: lay it, size its pipes, run every set, name the pump."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import Brief
from aanplant.errors import InputError
from aanplant.inputs import PriceLine, WaterSource
from aanplant.layout import Layout
from aanplant.site import Site
from aanplant.stock import Stock
from aanplant.water.backflow import MUNICIPAL
from aanplant.water.designed import DesignedSystem
from aanplant.water.dripper_line import longest_of, with_margin
from aanplant.water.duties import set_duties
from aanplant.water.emitters import EmitterLaw, law_of
from aanplant.water.energy import head_price
from aanplant.water.filters import choose_filter
from aanplant.water.lay_system import lay_system
from aanplant.water.pump_power import PumpHead, pump_head
from aanplant.water.suction import suction_head_m
from aanplant.water.system import System
from aanplant.water.system_advice import advice
from aanplant.water.system_figures import figures
from aanplant.water.system_runs import run_system
from aanplant.water.system_sizing import SizedSystem, size_system, water_level_m, works_loss_m
from aanplant.water.system_surge import worst_surge
from aanplant.water.uniformity import allowable_head

Values = NDArray[np.float64]

USUAL_SUBUNIT = 0.2
"""Of the drippers' pressure, what may differ in a set whose drippers differ too much from one
another for the uniformity wanted (common practice)."""
SYSTEM_KEYS = (
    "sets",
    "mains",
    "pipes",
    "pump",
    "head_works",
    "uniformity",
    "water.flow_available",
    "water.emitter.product",
    "water.emitter.pressure",
    "water.emitter.exponent",
    "water.emitter.second_flow",
    "water.emitter.second_pressure",
    "water.emitter.variation",
    "water.emitter.lowest_pressure",
    "water.emitter.highest_pressure",
    "water.emitter.passage",
)
"""Keys that only the system uses."""


def design_system(  # noqa: PLR0917 - what is known, in the order of the job
    brief: Brief,
    site: Site,
    stock: Stock,
    layout: Layout,
    source: WaterSource | None,
    route_lonlat: Values | None = None,
    prices: Sequence[PriceLine] = (),
    pumped_m3: float | None = None,
) -> DesignedSystem | None:
    """Design the system; None where the brief names no source of water.

    Parameters
    ----------
    brief, site, stock, layout
        What is asked, the ground, the spacing and the rows.
    source : WaterSource or None
        Where the mainline begins.
    route_lonlat : ndarray, shape (n, 2), optional
        Line along which the mainline leaves the source. [deg]
    prices : sequence of PriceLine
        Of pipes.
    pumped_m3 : float, optional
        Water pumped in a season, against whose energy pipes are weighed where the pump is not
        chosen yet. [m3]

    Raises
    ------
    InputError
        If the system cannot be laid or no pipe keeps velocity and pressure.
    """
    if source is None or not len(layout.positions):
        return None
    law = law_of(brief)
    system = lay_system(brief, site, stock, layout, source, route_lonlat)
    flow = system.sets.flow_m3_s
    each_vine = max(stock.vine_spacing_m / brief.water.emitter.spacing, 1.0)
    sized = size_system(
        brief,
        system,
        law,
        prices,
        _subunit_m(brief, law, each_vine),
        head_price=None if pumped_m3 is None else head_price(brief, pumped_m3),
    )
    ran = run_system(system, sized, law, each_vine)
    surge, surge_node = worst_surge(sized.pipes, sized.pipe, ran.most_pressure_m, ran.velocity_m_s)
    level = water_level_m(brief, system)
    duties = set_duties(brief, flow, sized.asked_head_m - level + works_loss_m(brief))
    height = float(system.z_m[0]) if system.heights_known else site.frame.height_m
    made = DesignedSystem(
        system=system,
        law=law,
        pipes=sized.pipes,
        pipe=sized.pipe,
        pressure_m=ran.pressure_m,
        emitter_flow_m3_s=ran.emitter_flow_m3_s,
        pipe_flow_m3_s=ran.pipe_flow_m3_s,
        velocity_m_s=ran.velocity_m_s,
        starved=ran.starved,
        runs=ran.runs,
        duties=duties,
        pump_head=_pump_head(brief, system, sized, duties.worst),
        rest_head_m=sized.rest_head_m,
        suction_head_m=float(
            suction_head_m(
                height,
                brief.pump.suction_lift,
                brief.pump.suction_loss,
                brief.pump.water_temperature,
            )
        ),
        filter=choose_filter(brief, law, float(flow.max())),
        surge=surge,
        surge_node=surge_node,
        is_priced=sized.is_priced,
        is_pumped=brief.head_works.source_kind != MUNICIPAL,
        longest=longest_of(brief, system, with_margin(law, brief.uniformity.start_margin)),
        weighed_m3=pumped_m3 if sized.is_weighed else None,
    )
    return replace(
        made, figures=figures(brief, made, each_vine, height), findings=advice(brief, made, height)
    )


def _subunit_m(brief: Brief, law: EmitterLaw, emitters_per_vine: float) -> float:
    """By how much pressure may differ within a set. [m]."""
    try:
        return allowable_head(law, brief.uniformity.emission, emitters_per_vine).subunit_m
    except InputError:  # told by the uniformity that is found
        return USUAL_SUBUNIT * law.head_m


def _pump_head(brief: Brief, system: System, sized: SizedSystem, worst: int) -> PumpHead:
    """Head of the pump in the worst set, part by part, up to the inlet that decides."""
    inlet = int(sized.deciding[worst])
    lift = float(system.z_m[inlet]) - water_level_m(brief, system)
    friction, suction = float(sized.friction_m[worst]), brief.pump.suction_loss
    margin = brief.pump.friction_margin
    dirty, fittings = brief.head_works.dirty_filter, brief.head_works.fittings_loss
    pipes_m = friction * (1.0 + margin)
    pressure = float(sized.asked_head_m[worst]) - pipes_m - float(system.z_m[inlet])
    return pump_head(
        lift,
        pressure,
        friction + suction,
        friction_margin=margin,
        dirty_filter_kpa=dirty,
        fittings_m=fittings,
    )
