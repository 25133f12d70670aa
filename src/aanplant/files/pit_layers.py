"""Read one layer of a soil pit, the methods beside its numbers."""

from collections.abc import Iterable, Mapping
from typing import Any

from aanplant.errors import InputError
from aanplant.files.delimited import Line, plain_number
from aanplant.files.pit_columns import PH_WORDS, PHOSPHORUS_WORDS, SALINITY_WORDS, Found
from aanplant.files.reading import one_of
from aanplant.pits import PH_METHODS, PitLayer
from aanplant.tables import rows

OF_THE_PIT = ("limiting_depth_m", "water_table_m")
"""Numbers on a line that are the whole pit's."""
TEXTURE_SUM_PCT = 100.0
TEXTURE_TOLERANCE_PCT = 2.0
"""Sand, silt and clay, each rounded by a laboratory, may miss 100 by this much (judgement)."""


def read_layer(
    line: Line, separator: str, found: tuple[Found, ...], texts: Mapping[str, str]
) -> PitLayer:
    """Read the layer on one line.

    Parameters
    ----------
    line : Line
        Of the table.
    separator : str
        What stands between its cells.
    found : tuple of Found
        Numeric columns.
    texts : mapping of str to str
        Header of each text column by its field.

    Raises
    ------
    InputError
        If a number, method or texture isn't known, or the depths are missing.
    """
    values: dict[str, Any] = {}
    methods: dict[str, str] = {}
    for one in sorted(found, key=_rank):
        field = one.column.field
        if field in OF_THE_PIT or not line.cells[one.header] or field in values:
            continue
        values[field] = read_number(line, one, separator)
        methods[field] = one.method
    for field in ("top_m", "bottom_m"):
        if field not in values:
            raise InputError(line.where, "a layer without its depths", "top and bottom")
    _fill_texture(values, line)
    words = {field: line.cells[header] for field, header in texts.items()}
    return PitLayer(
        **values,
        texture=_known(words.get("texture", ""), _textures(), "texture", line),
        ph_method=_method(methods.get("ph"), words.get("ph_method", ""), PH_WORDS, line),
        phosphorus_test=_method(
            methods.get("phosphorus_mg_kg"),
            words.get("phosphorus_test", ""),
            PHOSPHORUS_WORDS,
            line,
        ),
        conductivity_method=_method(
            methods.get("conductivity_ds_m"),
            words.get("conductivity_method", ""),
            SALINITY_WORDS,
            line,
        ),
        buffer_method=words.get("buffer_method", ""),
        where=line.where,
    )


def _rank(one: Found) -> int:
    """Take pH in KCl before CaCl2 before water where a line states several."""
    order = ("KCl", "CaCl2", "water")
    return order.index(one.method) if one.method in PH_METHODS else len(order)


def read_number(line: Line, one: Found, separator: str) -> float:
    """Read a cell and bring it to the unit of its field.

    Raises
    ------
    InputError
        If it is no number, or lies where no real soil does.
    """
    where = f"{line.where}: {one.header}"
    value = float(plain_number(line.cells[one.header], where, separator=separator)) * one.factor
    low, high = one.column.low, one.column.high
    if not low <= value <= high:
        scale = one.factor
        raise InputError(
            where,
            repr(line.cells[one.header]),
            f"{low / scale:g} to {high / scale:g}, as no soil lies outside",
        )
    return round(value, 9)


def _fill_texture(values: dict[str, Any], line: Line) -> None:
    """Check that sand, silt and clay add to 100, and find the third from two."""
    names = ("sand_pct", "silt_pct", "clay_pct")
    known = [name for name in names if name in values]
    total = sum(values[name] for name in known)
    is_whole = len(known) == len(names)
    if total > TEXTURE_SUM_PCT + TEXTURE_TOLERANCE_PCT or (
        is_whole and total < TEXTURE_SUM_PCT - TEXTURE_TOLERANCE_PCT
    ):
        raise InputError(
            line.where,
            f"sand, silt and clay that add to {total:g} %",
            f"100 %, within {TEXTURE_TOLERANCE_PCT:g}",
        )
    if len(known) == len(names) - 1:
        missing = next(name for name in names if name not in values)
        values[missing] = max(0.0, round(TEXTURE_SUM_PCT - total, 9))
    if known != ["clay_pct"] and len(known) == 1:
        raise InputError(line.where, f"{known[0][:-4]} alone", "two of sand, silt and clay")
    # What rounding left over goes with the silt, the part that is usually found by difference.
    if values.get("sand_pct", 0.0) + values.get("clay_pct", 0.0) > TEXTURE_SUM_PCT:
        values["sand_pct"] = TEXTURE_SUM_PCT - values["clay_pct"]


def _method(named: str | None, said: str, words: Mapping[str, str], line: Line) -> str:
    """Return the method of a number from its header, or from the column that says it."""
    if named is None:
        return ""
    if not said:
        return named
    word = said.lower().removeprefix("ph ").replace("(", "").replace(")", "")
    method = words.get(word, "")
    if not method:
        raise InputError(
            line.where, f"the method {said!r}", one_of(said, dict.fromkeys(words.values()))
        )
    if named and named != method:
        raise InputError(line.where, f"the methods {named} and {said}", "one of them")
    return method


def _known(text: str, known: Iterable[str], what: str, line: Line) -> str:
    word = " ".join(text.lower().replace("-", " ").split())
    if word and word not in known:
        raise InputError(line.where, f"the {what} {text!r}", one_of(word, known))
    return word


def _textures() -> tuple[str, ...]:
    return tuple(row["class"] for row in rows("texture_classes.csv"))
