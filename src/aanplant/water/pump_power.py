"""What a pump must lift and overcome, and the power and energy it draws for that."""

from dataclasses import dataclass

from aanplant.water.emitters import KPA_PER_M, WATER_N_M3

SECONDS_PER_HOUR = 3600.0
W_PER_KW = 1000.0


@dataclass(frozen=True, slots=True)
class PumpHead:
    """What a pump must lift and overcome, part by part.

    Parameters
    ----------
    lift_m : float
        From the lowest water to the place that decides. [m]
    pressure_m : float
        Wanted there. [m]
    friction_m : float
        In pipes and fittings, the suction side among them. [m]
    margin_m : float
        Added to the friction. [m]
    filter_m : float
        At the filter when it is due for cleaning. [m]
    fittings_m : float
        At meter, valves and regulators. [m]
    """

    lift_m: float
    pressure_m: float
    friction_m: float
    margin_m: float
    filter_m: float
    fittings_m: float

    @property
    def total_m(self) -> float:
        """All of it. [m]."""
        return (
            self.lift_m
            + self.pressure_m
            + self.friction_m
            + self.margin_m
            + self.filter_m
            + self.fittings_m
        )


def pump_head(
    lift_m: float,
    pressure_m: float,
    friction_m: float,
    *,
    friction_margin: float,
    dirty_filter_kpa: float,
    fittings_m: float = 0.0,
) -> PumpHead:
    """Add up what a pump must give; the filter counts as dirty. [m]."""
    return PumpHead(
        lift_m,
        pressure_m,
        friction_m,
        friction_margin * friction_m,
        dirty_filter_kpa / KPA_PER_M,
        fittings_m,
    )


@dataclass(frozen=True, slots=True)
class Power:
    """What it takes to lift water.

    Parameters
    ----------
    hydraulic_kw : float
        What the water gains. [kW]
    shaft_kw : float
        At the pump's shaft. [kW]
    input_kw : float
        At the meter. [kW]
    kwh_per_m3 : float
        Energy for each cubic metre. [kWh/m3]
    """

    hydraulic_kw: float
    shaft_kw: float
    input_kw: float
    kwh_per_m3: float


def power(flow_m3_s: float, head_m: float, efficiency: float, motor_efficiency: float) -> Power:
    """Return the power for a flow at a head, P = rho g Q H/eta.

    Parameters
    ----------
    flow_m3_s : float
        [m3/s]
    head_m : float
        [m]
    efficiency, motor_efficiency : float
        Of pump and motor, above 0 to 1. [-]
    """
    if not (0.0 < efficiency <= 1.0 and 0.0 < motor_efficiency <= 1.0):
        raise ValueError("efficiencies must be above 0 and at most 1")
    hydraulic = WATER_N_M3 * flow_m3_s * head_m / W_PER_KW
    shaft = hydraulic / efficiency
    drawn = shaft / motor_efficiency
    per_m3 = WATER_N_M3 * head_m / (efficiency * motor_efficiency) / W_PER_KW / SECONDS_PER_HOUR
    return Power(hydraulic, shaft, drawn, per_m3)
