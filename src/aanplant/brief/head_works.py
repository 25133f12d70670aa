"""The keys of the brief on the pump, the filter and what is injected."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from aanplant.brief.fields import MEMORY, PRACTICE, Default, Quantity, Section, refusal

SourceKind = Literal["dam", "river", "canal", "borehole", "municipal"]
_Flow = Annotated[float, Quantity("m3/h", 0.0, 5000.0)]
_Head = Annotated[float, Quantity("m", 0.0, 500.0)]
_Share = Annotated[float, Quantity("", 0.05, 1.0)]


class PumpRules(Section):
    """The pump and what drives it."""

    curve: Annotated[tuple[tuple[_Flow, _Head], ...], Field(max_length=60)] = ()
    """Points of the pump's curve: flow in m3/h and head in m of water, flows rising."""
    npsh_required: _Head | None = None
    """Suction head the pump needs at the flow asked of it, as its maker states."""
    suction_lift: Annotated[float, Quantity("m", -100.0, 10.0), PRACTICE] = 0.0
    """Height of the pump above the lowest water; below 0 where water flows to it."""
    suction_loss: Annotated[float, Quantity("m", 0.0, 10.0), PRACTICE] = 0.5
    """Friction in the suction pipe, foot valve and strainer."""
    water_temperature: Annotated[float, Quantity("degC", 0.0, 60.0), PRACTICE] = 20.0
    """Of the water in summer."""
    efficiency: Annotated[_Share, MEMORY] = 0.70
    """Of the pump at the flow asked of it."""
    motor_efficiency: Annotated[_Share, MEMORY] = 0.90
    """Of the motor and what stands between it and the meter."""
    friction_margin: Annotated[float, Quantity("", 0.0, 1.0), PRACTICE] = 0.10
    """Added to all friction."""
    energy_price: Annotated[float, Quantity("", 0.0, 1000.0)] | None = None
    """Price of a kilowatt-hour, in the estate's currency."""

    @model_validator(mode="after")
    def _rising_flow_falling_head(self) -> Self:
        if self.curve and len(self.curve) < 2:  # noqa: PLR2004 - a line needs two points
            raise refusal("one point of pump.curve", "at least two")
        for (flow, head), (next_flow, next_head) in zip(self.curve, self.curve[1:], strict=False):
            if next_flow <= flow:
                raise refusal(
                    f"pump.curve with {next_flow:g} m3/h after {flow:g} m3/h", "flows that rise"
                )
            if next_head > head:
                raise refusal(
                    f"pump.curve that rises from {head:g} to {next_head:g} m "
                    f"between {flow:g} and {next_flow:g} m3/h",
                    "a head that falls as the flow grows: a pump with a rising part can hunt "
                    "between two flows",
                )
        return self


class HeadWorks(Section):
    """Filter, injection and where the water comes from."""

    source_kind: Annotated[SourceKind, PRACTICE] = "dam"
    """dam, river, canal, borehole or municipal (any drinking water)."""
    carries_organics: Annotated[bool, PRACTICE] = True
    """Whether algae or other organic matter come with the water."""
    carries_sand: Annotated[bool, PRACTICE] = False
    """Whether sand comes with the water."""
    injects: Annotated[bool, PRACTICE] = True
    """Whether fertiliser or other chemicals are put into the water."""
    dirty_filter: Annotated[float, Quantity("kPa", 1.0, 200.0), Default("sa-design-norms")] = 40.0
    """Pressure the filter takes when it is due for cleaning."""
    fittings_loss: Annotated[float, Quantity("m", 0.0, 50.0), PRACTICE] = 3.0
    """Head lost at the meter, valves and regulators together."""
