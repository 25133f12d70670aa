"""What pumping a season's water costs, and what a metre of head is worth in pipe."""

import numpy as np

from aanplant.brief import Brief
from aanplant.water.designed import DesignedSystem
from aanplant.water.needs import WaterNeeds
from aanplant.water.pipe_cost import capital_recovery, energy_kwh_per_m
from aanplant.water.pipes import GRAVITY_M_S2, WATER_KG_M3
from aanplant.water.pump_power import SECONDS_PER_HOUR
from aanplant.working import Input, Working

WATER_KN_M3 = WATER_KG_M3 * GRAVITY_M_S2 / 1000.0


def season_volume_m3(needs: WaterNeeds) -> float:
    """Return the water drawn in a season of full bearing, the mean of the years. [m3]."""
    return float(needs.season.drawn_m3[:, -1].mean())


def head_price(brief: Brief, volume_m3: float) -> float | None:
    """Return what a metre of head costs in a year, in the estate's currency. [1/m].

    Parameters
    ----------
    brief : Brief
        Gives the price of energy and the efficiencies.
    volume_m3 : float
        Pumped in a year. [m3]

    Returns
    -------
    float or None
        None where the price of energy is not known.
    """
    pump = brief.pump
    if pump.energy_price is None:
        return None
    whole = pump.efficiency * pump.motor_efficiency
    kwh = energy_kwh_per_m(volume_m3 / SECONDS_PER_HOUR, 1.0, whole)
    return float(kwh) * pump.energy_price


def energy_figures(
    brief: Brief, made: DesignedSystem, needs: WaterNeeds, weather: str
) -> tuple[Working, ...]:
    """Return the season's water and what pumping it costs; nothing without a price of energy.

    Parameters
    ----------
    brief : Brief
        Gives the price of energy.
    made : DesignedSystem
        Its sets, each of which pumps its share of the water at its own head.
    needs : WaterNeeds
        The seasons.
    weather : str
        Origin of the weather.
    """
    if brief.pump.energy_price is None or not made.is_pumped:
        return ()
    volume = Working(
        "water.pump.season_volume",
        season_volume_m3(needs),
        "m3",
        (Input("years", needs.years.years, "", weather),),
        "fao-evapotranspiration",
    )
    flow = made.duties.flow_m3_s
    mean = Working(
        "water.pump.mean_energy",
        float(np.average(made.duties.kwh_per_m3, weights=flow)),
        "kWh/m3",
        (Input("sets", len(flow), "", "figure:water.sets"),),
        "arithmetic",
    )
    price = brief.as_input("pump.energy_price", "price")
    cost = Working(
        "water.pump.energy_cost",
        float(volume.value) * float(mean.value) * brief.pump.energy_price,
        "",
        (volume.as_input("season_volume"), mean.as_input("mean_energy"), price),
        "arithmetic",
    )
    if made.weighed_m3 is None:
        return volume, mean, cost
    head = Working(
        "water.pump.head_price",
        head_price(brief, made.weighed_m3) or 0.0,
        "",
        (
            Input("weight_of_water", WATER_KN_M3, "kN/m3", "measured"),
            Input("season_volume", made.weighed_m3, "m3", weather),
            price,
            brief.as_input("pump.efficiency", "pump_efficiency"),
            brief.as_input("pump.motor_efficiency", "motor_efficiency"),
        ),
        "arithmetic",
    )
    years = (brief.as_input("pipes.interest"), brief.as_input("pipes.years"))
    share = Working(
        "water.pump.recovery",
        float(capital_recovery(brief.pipes.interest, brief.pipes.years)),
        "",
        years,
        "arithmetic",
    )
    return volume, mean, cost, head, share
