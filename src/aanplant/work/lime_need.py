"""Lime of one layer by every method its analysis allows, with the guards around it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from aanplant.brief.preparation import Preparation
from aanplant.work.layer_slices import NOT_NEEDED, Slice
from aanplant.work.lime import (
    RATIO_SWITCH,
    SAMPLE_M,
    exchangeable_acid_lime,
    mineral_acidity,
    organic_factor,
    stoichiometric_lime,
    stone_factor,
    wants_dolomite,
)
from aanplant.work.lime_buffers import adams_evans_lime, mehlich_acidity, mehlich_lime, smp_lime

NO_LIME_PH: Mapping[str, float] = {"KCl": 5.5, "CaCl2": 5.5, "water": 6.5}
"""pH from which no lime is given. 5.5 in KCl is the handbooks'; the others are judged from it."""
METHODS_APART = 2.0
"""Methods further apart than this are for an adviser to settle."""
LITTLE_T_HA = 0.5
"""Methods that all stay below this agree well enough (judgement). [t/ha]"""
MOST_LIME_T_HA = 8.0
"""More lime than this in one layer is for an adviser to confirm. [t/ha]"""


@dataclass(frozen=True, slots=True)
class LimeNeed:
    """Lime of one layer, as pure carbonate.

    Parameters
    ----------
    methods : mapping of str to float
        Rate by each method that can be reckoned, stones and humus taken off. [t/ha]
    chosen : str
        Method that is ordered by; "" when there is no rate.
    why_none : str
        Why there is no rate, or none is needed; "" when there is one.
    doubts : tuple of str
        What an adviser must confirm.
    is_dolomitic : bool
        Whether magnesium is wanted.
    acidity_cmol_kg : float
        As used by the exchangeable-acid method. [cmol(+)/kg]
    credit_cmol_kg : float
        Magnesium credited. [cmol(+)/kg]
    organic_factor : float
        Multiplier for humus. [-]
    buffer : str
        Buffer method used; "" for none.
    """

    methods: Mapping[str, float]
    chosen: str = ""
    why_none: str = ""
    doubts: tuple[str, ...] = ()
    is_dolomitic: bool = False
    acidity_cmol_kg: float = 0.0
    credit_cmol_kg: float = 0.0
    organic_factor: float = 1.0
    buffer: str = ""

    @property
    def rate_t_ha(self) -> float | None:
        """What is ordered by, None when nobody can say. [t/ha]."""
        if self.chosen:
            return self.methods[self.chosen]
        return 0.0 if self.why_none in NOT_NEEDED else None


def lime_need(part: Slice, rules: Preparation) -> LimeNeed:
    """Reckon lime by all methods the pit allows, and guard it.

    Parameters
    ----------
    part : Slice
        Layer.
    rules : Preparation
        Settings of the brief.
    """
    measured = part.layer.measured
    if measured.ph is None or not measured.ph_method:
        return LimeNeed({}, why_none="pH and what it was measured in")
    if (measured.active_lime_pct or 0.0) > 0.0:
        return LimeNeed({}, why_none="free lime")
    if measured.ph >= NO_LIME_PH[measured.ph_method]:
        return LimeNeed({}, why_none="not acid")
    acidity, calcium, magnesium = (
        measured.acidity_cmol_kg,
        measured.calcium_cmol_kg,
        measured.magnesium_cmol_kg,
    )
    if acidity is None or calcium is None or magnesium is None:
        return LimeNeed({}, why_none="exchangeable acidity, calcium and magnesium")
    used, humus, doubts = _without_humus(part, acidity, rules)
    stones = float(stone_factor(part.stones_pct))
    printed = float(
        exchangeable_acid_lime(
            used, calcium, magnesium, ratio=rules.lime_ratio, credit=rules.lime_credit
        )
    )
    methods = {
        "exchangeable acid": printed * part.thickness_m / SAMPLE_M * stones * humus,
        "stoichiometric": float(
            stoichiometric_lime(acidity, part.thickness_m, part.density_t_m3) * stones
        ),
    }
    buffered, buffer = _by_buffer(part, float(rules.lime_target_ph))
    if buffered is not None:
        methods["buffer"] = buffered
    if rules.lime_method not in methods:
        return LimeNeed(methods, why_none="a buffer pH, its method and the pH in water")
    kind = rules.lime_kind
    return LimeNeed(
        methods,
        rules.lime_method,
        doubts=(*doubts, *_doubts(methods, rules.lime_method)),
        is_dolomitic=kind == "dolomitic"
        or (
            kind in {"ratio", "clay"}
            and wants_dolomite(calcium, magnesium, part.layer.clay_pct, rule=kind)
        ),
        acidity_cmol_kg=used,
        credit_cmol_kg=_magnesium_credit(calcium, magnesium, rules.lime_credit),
        organic_factor=humus,
        buffer=buffer,
    )


def _magnesium_credit(calcium: float, magnesium: float, credit: str) -> float:
    if credit == "switched":
        return magnesium if calcium >= RATIO_SWITCH * magnesium else calcium / 4.0
    return min(magnesium, calcium / 4.0)


def _without_humus(
    part: Slice, acidity: float, rules: Preparation
) -> tuple[float, float, tuple[str, ...]]:
    """Acidity and multiplier by the rule for organic matter, and what stays in doubt."""
    measured, matter = part.layer.measured, part.layer.organic_matter_pct
    if rules.lime_organic == "none":
        return acidity, 1.0, ()
    if matter is None:
        return acidity, 1.0, ("organic matter is not known",)
    if rules.lime_organic == "steps":
        factor = organic_factor(matter)
        if factor is None:
            return acidity, 1.0, ("more organic matter than the table of the method has",)
        return acidity, factor, ()
    if measured.ph_method != "KCl" or measured.ph is None:
        return acidity, 1.0, ("the rule for organic carbon wants the pH in KCl",)
    carbon = (
        measured.carbon_pct
        if measured.carbon_pct is not None
        else matter / part.layer.matter_per_carbon
    )
    return mineral_acidity(acidity, measured.ph, carbon), 1.0, ()


def _by_buffer(part: Slice, target_ph: float) -> tuple[float | None, str]:
    """Lime by the buffer the laboratory used; None where it used none or its table ends."""
    measured = part.layer.measured
    method = measured.buffer_method.casefold()
    name = next((name for name in _BUFFERS if name.casefold() in method), "")
    if measured.buffer_ph is None or not name:
        return None, ""
    ph_water = measured.ph if measured.ph_method == "water" else None
    try:
        lime = _BUFFERS[name](part, ph_water, measured.buffer_ph, target_ph)
    except ValueError:  # beyond the method's own table: it has no answer
        lime = None
    return lime, name if lime is not None else ""


def _smp(part: Slice, _: float | None, buffer_ph: float, target_ph: float) -> float:
    lime = smp_lime(buffer_ph, target_ph, part.thickness_m)
    return lime * float(stone_factor(part.stones_pct))


def _adams_evans(
    part: Slice, ph_water: float | None, buffer_ph: float, target_ph: float
) -> float | None:
    if ph_water is None:
        return None
    return adams_evans_lime(ph_water, buffer_ph, target_ph, part.soil_t_ha)


def _mehlich(
    part: Slice, ph_water: float | None, buffer_ph: float, target_ph: float
) -> float | None:
    if ph_water is None:
        return None
    lime = mehlich_lime(ph_water, mehlich_acidity(buffer_ph), target_ph, part.thickness_m)
    return lime * float(stone_factor(part.stones_pct))


_BUFFERS: Mapping[str, Callable[[Slice, float | None, float, float], float | None]] = {
    "SMP": _smp,
    "Adams": _adams_evans,
    "Mehlich": _mehlich,
}


def _doubts(methods: Mapping[str, float], chosen: str) -> tuple[str, ...]:
    found = []
    low, high = min(methods.values()), max(methods.values())
    if high > max(METHODS_APART * low, LITTLE_T_HA):
        found.append(f"methods more than twofold apart ({low:.1f} to {high:.1f} t/ha)")
    if methods[chosen] > MOST_LIME_T_HA:
        found.append(f"more than {MOST_LIME_T_HA:g} t/ha in one layer")
    return tuple(found)
