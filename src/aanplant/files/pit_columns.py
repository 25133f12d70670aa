"""The columns of a table of soil pits: their names, their units, and how far they may go."""

import dataclasses
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from aanplant.errors import InputError
from aanplant.files.reading import did_you_mean
from aanplant.pits import (
    CALCIUM_MG_PER_CMOL,
    MAGNESIUM_MG_PER_CMOL,
    POTASSIUM_MG_PER_CMOL,
    SODIUM_MG_PER_CMOL,
)

Units = Mapping[str, float]
NO_UNIT: Units = {"": 1.0}
PERCENT: Units = {"%": 1.0}
LENGTH: Units = {"m": 1.0, "cm": 0.01, "mm": 0.001}
MASS_SHARE: Units = {"mg/kg": 1.0, "ppm": 1.0}
CHARGE: Units = dict.fromkeys(
    ("cmol/kg", "cmolc/kg", "meq/100 g", "meq/100g", "me/100 g", "me/100g"), 1.0
)
CONDUCTIVITY: Units = {"ds/m": 1.0, "ms/cm": 1.0, "ms/m": 0.01, "µs/cm": 0.001, "us/cm": 0.001}
DENSITY: Units = {"t/m3": 1.0, "g/cm3": 1.0, "kg/m3": 0.001}
VOLUME: Units = dict.fromkeys(
    ("% by volume", "% volume", "volume %", "vol %", "% vol", "% v/v"), 1.0
)
WEIGHT: Units = dict.fromkeys(
    ("% by weight", "% weight", "weight %", "% by mass", "mass %", "wt %", "% w/w"), 1.0
)
PH_WORDS = {"kcl": "KCl", "h2o": "water", "water": "water", "cacl2": "CaCl2"}
PHOSPHORUS_WORDS = {
    "bray 1": "Bray I",
    "bray i": "Bray I",
    "bray 2": "Bray II",
    "bray ii": "Bray II",
    "citric acid": "citric acid",
    "olsen": "Olsen",
    "mehlich 3": "Mehlich III",
    "mehlich iii": "Mehlich III",
}
SALINITY_WORDS = {"ece": "ECe", "extract": "ECe", "1:2.5": "EC 1:2.5", "1:5": "EC 1:5"}
SALINITY_WORDS |= {f"ec {word}": method for word, method in SALINITY_WORDS.items()}
_NEAR = 0.8
_SHORTEST_MISSPELT = 4


@dataclass(frozen=True, slots=True)
class Column:
    """A number that a pit or a layer may state.

    Parameters
    ----------
    field : str
        Its field in ``PitLayer`` or ``Pit``.
    names : tuple of str
        What the column may be called.
    units : mapping of str to float
        Factor to the field's unit; a single unit may be left out of the header.
    low, high : float
        No real soil lies outside. [field's unit]
    methods : mapping of str to str
        Words after the name that say the method, and the method they mean.
    """

    field: str
    names: tuple[str, ...]
    units: Units
    low: float
    high: float
    methods: Mapping[str, str] = dataclasses.field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Found:
    """A column of a file, understood."""

    header: str
    column: Column
    factor: float
    method: str


def _by_charge(mg_per_cmol: float) -> Units:
    return {**CHARGE, **dict.fromkeys(MASS_SHARE, 1.0 / mg_per_cmol)}


STONES = ("stones", "stone", "gravel", "coarse fragments")
COLUMNS = (
    Column("top_m", ("top", "from", "depth from", "layer top"), LENGTH, 0.0, 10.0),
    Column("bottom_m", ("bottom", "to", "depth to", "layer bottom"), LENGTH, 0.0, 10.0),
    Column("sand_pct", ("sand",), PERCENT, 0.0, 100.0),
    Column("silt_pct", ("silt",), PERCENT, 0.0, 100.0),
    Column("clay_pct", ("clay",), PERCENT, 0.0, 100.0),
    Column("stones_volume_pct", STONES, VOLUME, 0.0, 95.0),
    Column("stones_weight_pct", STONES, WEIGHT, 0.0, 98.0),
    Column("bulk_density_t_m3", ("bulk density",), DENSITY, 0.3, 2.3),
    Column("organic_matter_pct", ("organic matter", "om"), PERCENT, 0.0, 100.0),
    Column("carbon_pct", ("organic carbon", "carbon", "c"), {"%": 1.0, "g/kg": 0.1}, 0.0, 60.0),
    Column("ph", ("ph",), NO_UNIT, 2.0, 11.0, PH_WORDS),
    Column(
        "acidity_cmol_kg",
        ("exchangeable acidity", "acidity", "h", "h+al", "exchangeable h"),
        CHARGE,
        0.0,
        50.0,
    ),
    Column("calcium_cmol_kg", ("calcium", "ca"), _by_charge(CALCIUM_MG_PER_CMOL), 0.0, 150.0),
    Column("magnesium_cmol_kg", ("magnesium", "mg"), _by_charge(MAGNESIUM_MG_PER_CMOL), 0.0, 80.0),
    Column("sodium_cmol_kg", ("sodium", "na"), _by_charge(SODIUM_MG_PER_CMOL), 0.0, 80.0),
    Column(
        "potassium_mg_kg",
        ("potassium", "k"),
        {**MASS_SHARE, **dict.fromkeys(CHARGE, POTASSIUM_MG_PER_CMOL)},
        0.0,
        5_000.0,
    ),
    Column("phosphorus_mg_kg", ("phosphorus", "p"), MASS_SHARE, 0.0, 2_000.0, PHOSPHORUS_WORDS),
    Column("cec_cmol_kg", ("cec", "cation exchange capacity"), CHARGE, 0.0, 200.0),
    Column(
        "conductivity_ds_m",
        ("ec", "electrical conductivity", "conductivity"),
        CONDUCTIVITY,
        0.0,
        150.0,
        SALINITY_WORDS,
    ),
    Column("conductivity_ds_m", ("ece",), CONDUCTIVITY, 0.0, 150.0),
    Column("resistance_ohm", ("resistance", "paste resistance"), {"ohm": 1.0}, 1.0, 50_000.0),
    Column("sodium_adsorption_ratio", ("sar", "sodium adsorption ratio"), NO_UNIT, 0.0, 200.0),
    Column("active_lime_pct", ("active lime",), PERCENT, 0.0, 100.0),
    Column("iron_mg_kg", ("iron", "fe"), MASS_SHARE, 0.0, 10_000.0),
    Column("buffer_ph", ("buffer ph", "ph buffer"), NO_UNIT, 3.0, 9.0),
    Column("limiting_depth_m", ("limiting depth", "limiting layer depth"), LENGTH, 0.0, 10.0),
    Column("water_table_m", ("water table", "water table depth"), LENGTH, 0.0, 10.0),
)
TEXT_COLUMNS = {
    "pit": "pit",
    "profile": "pit",
    "texture": "texture",
    "texture class": "texture",
    "ph method": "ph_method",
    "p test": "phosphorus_test",
    "p method": "phosphorus_test",
    "phosphorus test": "phosphorus_test",
    "ec method": "conductivity_method",
    "conductivity method": "conductivity_method",
    "buffer method": "buffer_method",
    "limiting layer": "limiting_kind",
    "limiting kind": "limiting_kind",
}


def understand(headers: Iterable[str], where: str) -> tuple[Found, ...]:
    """Say what each numeric column of a table means; columns nobody knows are left alone.

    Parameters
    ----------
    headers : iterable of str
        Small letters, words one space apart.
    where : str
        File, for messages.

    Raises
    ------
    InputError
        If a known column has no unit where several are possible, an unknown unit, or a
        method that isn't known; if two columns state the same thing; or if a name looks
        like a misspelling.
    """
    found = []
    for header in headers:
        one = None if header in TEXT_COLUMNS else _understood(header, where)
        if one is not None:
            found.append(one)
    said = [(one.column.field, one.method) for one in found]
    for one in found:
        if said.count((one.column.field, one.method)) > 1:
            raise InputError(where, f"{one.header!r} and another column for it", "one of them")
    return tuple(found)


def _understood(header: str, where: str) -> Found | None:
    text = _bare(header)
    for column in COLUMNS:
        for name in column.names:
            if text != name and not text.startswith(f"{name} "):
                continue
            rest = text.removeprefix(name).strip()
            method = next(
                (word for word in sorted(column.methods, key=len, reverse=True)
                 if rest == word or rest.startswith(f"{word} ")),
                "",
            )  # fmt: skip
            unit = rest.removeprefix(method).strip()
            if not unit and len(column.units) == 1:
                unit = next(iter(column.units))
            if unit in column.units:
                said = "ECe" if name == "ece" else column.methods.get(method, "")
                return Found(header, column, column.units[unit], said)
    _refuse_if_nearly_known(header, where)
    return None


def _bare(header: str) -> str:
    """Take brackets and commas off: ``p (bray ii, mg/kg)`` is ``p bray ii mg/kg``."""
    plain = header.replace("cmol(+)", "cmol").replace("m³", "m3")
    return " ".join(re.sub(r"[()\[\],;]", " ", plain).split())


def _refuse_if_nearly_known(header: str, where: str) -> None:
    name = re.sub(r"\s*[(\[].*$", "", header).strip()
    units = [unit for column in COLUMNS if name in column.names for unit in column.units if unit]
    if units:
        raise InputError(
            where,
            f"the column {header!r}",
            f"its unit in brackets: {name} ({f'), {name} ('.join(dict.fromkeys(units))})",
        )
    if name in {known for column in COLUMNS for known in column.names}:
        raise InputError(where, f"the column {header!r}", f"{name} with a method that is known")
    known = [*TEXT_COLUMNS, *(known for column in COLUMNS for known in column.names)]
    near = did_you_mean(name, [word for word in known if len(word) >= _SHORTEST_MISSPELT],
                        cutoff=_NEAR)  # fmt: skip
    if near:
        raise InputError(where, f"the column {header!r}", f"{near!r}, if that is meant")
