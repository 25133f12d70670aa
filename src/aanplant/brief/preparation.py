"""The section of the brief on what is done to the soil before the rows are set out."""

from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, model_validator

from aanplant.brief.fields import (
    MEMORY,
    PRACTICE,
    Default,
    Name,
    NumberRange,
    Quantity,
    Section,
    refusal,
)
from aanplant.brief.sections import CHOOSE
from aanplant.errors import InputError
from aanplant.units import parse_quantity

Implement = Literal["choose", "ripper", "delver", "shift delver", "excavator", "none"]
Drainage = Literal["present", "planned", "none", "unknown"]
Credit = Literal["continuous", "switched"]
DEEPEST_M = 1.5


def _depth(value: object) -> float | str:
    if value == CHOOSE:
        return CHOOSE
    try:
        number = parse_quantity(value, "m", "")
    except InputError as error:
        raise refusal(error.found, f'"choose" or {error.expected}') from None
    if not 0 <= number <= DEEPEST_M:
        raise refusal(repr(value), f'"choose" or a depth from 0 to {DEEPEST_M:g} m')
    return number


_Share = Annotated[float, Quantity("", 0.0, 0.9)]
_Percent = Annotated[float, Quantity("", 0.0, 100.0)]


class Preparation(Section):
    """What is done to the soil before rows are set out."""

    loosening_depth: Annotated[
        float | Literal["choose"],
        BeforeValidator(_depth),
        NumberRange("m", 0.0, DEEPEST_M),
        Default("sa-soil-preparation"),
    ] = CHOOSE
    """Depth of loosening in metres, or "choose"."""
    implement: Annotated[Implement, PRACTICE] = CHOOSE
    """What loosens the soil, or "choose"."""
    depth_confirmed_by: Name = ""
    """Adviser who allows loosening closer above a sodic, dispersive or waterlogged layer."""
    drainage: Annotated[Drainage, PRACTICE] = "unknown"
    """Whether the land drains: present, planned, none or unknown."""
    cut_off_drain: Annotated[float, Quantity("m", 0.0, 20_000.0), PRACTICE] = 0.0
    """Length of cut-off drain above the block."""
    cut_off_depth: Annotated[float, Quantity("m", 0.2, 3.0), MEMORY] = 1.2
    """Depth of the cut-off drain."""
    subsurface_drains: Annotated[Literal["yes", "no"], PRACTICE] = "no"
    """Pipe drains under the block."""
    drain_depth: Annotated[float, Quantity("m", 0.5, 4.0), MEMORY] = 1.5
    """Depth of the pipe drains."""
    drain_conductivity: Annotated[float, Quantity("", 0.001, 50.0)] | None = None
    """Hydraulic conductivity measured in an auger hole, in metres a day."""
    drain_impermeable: Annotated[float, Quantity("m", 0.5, 30.0)] | None = None
    """Depth of the layer that stops water."""
    drain_discharge: Annotated[float, Quantity("", 0.1, 50.0), MEMORY] = 5.0
    """Water the drains must carry off, in millimetres a day."""
    drain_water_table: Annotated[float, Quantity("m", 0.2, 3.0), MEMORY] = 1.0
    """Highest water table allowed midway between two drains, below the surface."""
    drained_share: Annotated[float, Quantity("", 0.0, 1.0), PRACTICE] = 1.0
    """Share of the field under which pipe drains are laid."""
    lime_confirmed_by: Name = ""
    """Adviser who confirms the lime where the methods disagree or much is needed."""
    lime_method: Annotated[
        Literal["exchangeable acid", "stoichiometric", "buffer"], Default("sa-fertiliser-wine")
    ] = "exchangeable acid"
    """Which method is ordered by; the others stand beside it."""
    lime_ratio: Annotated[float, Quantity("", 1.0, 20.0), Default("sa-fertiliser-wine")] = 10.0
    """(Ca + Mg) / acidity wanted: 10 for pH(KCl) 5.5, 5 for about 5 on sand."""
    lime_credit: Annotated[Credit, PRACTICE] = "continuous"
    """How magnesium counts: continuous, or switched at Ca:Mg 6 as printed."""
    lime_organic: Annotated[Literal["steps", "carbon", "none"], Default("sa-fertiliser-wine")] = (
        "steps"
    )
    """Organic matter: steps (Conradie 1994), carbon (Smuts 2001) or none."""
    lime_kind: Annotated[
        Literal["ratio", "clay", "calcitic", "dolomitic"], Default("sa-fertiliser-wine")
    ] = "ratio"
    """calcitic, dolomitic, or by rule: ratio (Ca:Mg above 6), clay (dolomitic below 15 %)."""
    lime_target_ph: Annotated[Literal["6.0", "6.5"], MEMORY] = "6.0"
    """pH in water that the buffer methods aim at."""
    lime_neutralising_value: Annotated[float, Quantity("", 20.0, 260.0)] | None = None
    """Neutralising value of the dry lime, pure carbonate = 100; from the table when left out."""
    lime_fineness: Annotated[float, Quantity("", 10.0, 100.0), PRACTICE] = 100.0
    """Share of the lime fine enough to react, in per cent."""
    lime_moisture: Annotated[_Share, PRACTICE] = 0.0
    """Water in the lime as delivered, as a fraction."""
    gypsum_trigger: Annotated[_Percent, Default("sa-soil-preparation")] = 10.0
    """Sodium as per cent of the exchange capacity (ESP) above which gypsum is reckoned."""
    gypsum_target: Annotated[_Percent, Default("oster-gypsum")] = 6.0
    """ESP wanted, for the rules that have one."""
    gypsum_purity: Annotated[float, Quantity("", 0.3, 1.0), Default("sa-fertiliser-wine")] = 0.9
    """Gypsum in the dry product, as a fraction."""
    gypsum_moisture: Annotated[_Share, Default("sa-fertiliser-wine")] = 0.25
    """Water in the gypsum as delivered, as a fraction."""
    amend_depth: Annotated[float, Quantity("m", 0.1, 1.2), Default("sa-fertiliser-wine")] = 0.9
    """Depth to which lime and gypsum are reckoned and mixed, never below the loosening."""
    phosphorus_depth: Annotated[float, Quantity("m", 0.1, 1.2), Default("sa-fertiliser-wine")] = 0.6
    """Depth to which phosphorus and potassium are mixed, never below the loosening."""
    superphosphate_p: Annotated[float, Quantity("", 0.02, 0.3), Default("sa-fertiliser-wine")] = (
        0.105
    )
    """Phosphorus in the superphosphate, as a fraction."""
    potassium_content: Annotated[float, Quantity("", 0.05, 0.6), MEMORY] = 0.415
    """Potassium in the potash fertiliser, as a fraction (0.415 for sulphate)."""
    bulk_density: Annotated[float, Quantity("", 0.8, 2.0), PRACTICE] = 1.5
    """Density in t/m3 where a pit gives none."""
    cover_crop: Name = ""
    """Cover crop by name, as the table has it; none when left out."""
    cover_crop_share: Annotated[float, Quantity("", 0.0, 1.0), PRACTICE] = 1.0
    """Share of the field that is sown."""
    ridge_height: Annotated[float, Quantity("m", 0.0, 1.0), PRACTICE] = 0.0
    """Height of the ridges after settling; 0 for none."""
    ridge_crown: Annotated[float, Quantity("m", 0.1, 3.0), PRACTICE] = 0.8
    """Width of the ridge at its top."""
    ridge_base: Annotated[float, Quantity("m", 0.2, 6.0), PRACTICE] = 1.6
    """Width of the ridge at its foot."""
    ridge_settling: Annotated[float, Quantity("", 0.0, 0.5), MEMORY] = 0.15
    """Share of its height a fresh ridge loses while it settles."""
    ridge_passes: Annotated[float, Quantity("", 1.0, 20.0), PRACTICE] = 2.0
    """Passes of the ridger along each row."""
    ridge_speed: Annotated[float, Quantity("km/h", 0.5, 15.0), PRACTICE] = 4.0
    """Speed of the ridger."""
    settling: Annotated[float, Quantity("", 0.0, 104.0), MEMORY] = 8.0
    """Weeks the loosened soil settles before it is ridged."""
    digger_rate: Annotated[float, Quantity("", 1.0, 500.0), MEMORY] = 40.0
    """Soil the digger moves in an hour, in cubic metres."""

    @model_validator(mode="after")
    def _a_ridge_is_wider_at_its_foot(self) -> Self:
        if self.ridge_base < self.ridge_crown:
            raise refusal(
                f"ridge_base = {self.ridge_base:g} m with ridge_crown = {self.ridge_crown:g} m",
                "a foot at least as wide as the top",
            )
        return self
