"""Read soil pits from a table, one line a layer."""

from collections.abc import Mapping
from itertools import pairwise
from pathlib import Path

from aanplant.errors import InputError
from aanplant.files.corners import place_columns, places
from aanplant.files.delimited import Line, TextTable, read_table
from aanplant.files.land import check_on_land
from aanplant.files.pit_columns import TEXT_COLUMNS, Found, understand
from aanplant.files.pit_layers import read_layer, read_number
from aanplant.files.reading import one_of
from aanplant.pits import LIMITS, NO_LIMIT, Pit, PitLayer

TOUCHING_M = 0.0005
"""Layers whose faces are this near each other touch: half a millimetre."""
NONE_WORDS = ("none", "no", "dry")


def read_pits(path: Path, *, grid: str = "") -> tuple[Pit, ...]:
    """Read pits and their layers from columns found by their names.

    A line is a layer; the lines of a pit share its name. Place, water table and limiting
    layer are the pit's: written on one of its lines, or the same on all. An empty cell
    means not measured. Columns nobody knows are left alone unless they look misspelt.

    Parameters
    ----------
    path : Path
        The table.
    grid : str
        Grid of the places where they are not latitude and longitude.

    Returns
    -------
    tuple of Pit
        In the order of the file.

    Raises
    ------
    InputError
        If a column or number can't be read, a unit or method isn't said, layers overlap
        or leave a gap, or sand, silt and clay don't add to 100.
    """
    table = read_table(path)
    found = understand(table.columns, path.name)
    texts = _text_columns(table, path.name)
    _require(table, found, texts, path.name)
    by_pit: dict[str, list[Line]] = {}
    for line in table.lines:
        name = line.cells[texts["pit"]]
        if not name:
            raise InputError(line.where, "a layer without its pit", "the name of the pit")
        by_pit.setdefault(name, []).append(line)
    if not by_pit:
        raise InputError(path.name, "a header without layers", "one line a layer")
    across_along = place_columns(table, path.name, grid=grid)
    spots = [_spot(lines, across_along) for lines in by_pit.values()]
    lonlat, _ = places(table, tuple(spots), path.name, grid=grid)
    check_on_land(lonlat, path.name)
    return tuple(
        _pit(name, lines, place, (table, found, texts))
        for (name, lines), place in zip(by_pit.items(), lonlat.tolist(), strict=True)
    )


def _text_columns(table: TextTable, where: str) -> Mapping[str, str]:
    """Return the header of each text column by its field."""
    columns: dict[str, str] = {}
    for header in table.columns:
        field = TEXT_COLUMNS.get(header)
        if field in columns:
            raise InputError(where, f"{header!r} and {columns[field]!r}", "one of them")
        if field:
            columns[field] = header
    return columns


def _require(
    table: TextTable, found: tuple[Found, ...], texts: Mapping[str, str], where: str
) -> None:
    fields = {one.column.field for one in found}
    if "pit" not in texts or not {"top_m", "bottom_m"} <= fields:
        raise InputError(
            where,
            f"columns {', '.join(table.columns)}",
            "columns pit, top (cm) and bottom (cm), and a place: latitude and longitude",
        )
    stones = [one.header for one in found if one.column.field.startswith("stones")]
    if len(stones) > 1:
        raise InputError(where, f"{stones[0]!r} and {stones[1]!r}", "stones by volume or by weight")


def _spot(lines: list[Line], columns: tuple[str, str]) -> Line:
    """Return the line of a pit that gives its place; the others must agree or be silent."""
    given = [line for line in lines if any(line.cells[name] for name in columns)]
    if not given:
        raise InputError(lines[0].where, "a pit without its place", " and ".join(columns))
    first = [given[0].cells[name] for name in columns]
    for line in given[1:]:
        if [line.cells[name] for name in columns] != first:
            raise InputError(
                line.where, "another place than the pit's line above", "one place a pit"
            )
    return given[0]


def _pit(
    name: str,
    lines: list[Line],
    place: list[float],
    columns: tuple[TextTable, tuple[Found, ...], Mapping[str, str]],
) -> Pit:
    table, found, texts = columns
    layers = sorted(
        (read_layer(line, table.separator, found, texts) for line in lines),
        key=lambda layer: layer.top_m,
    )
    _check_depths(name, layers)
    limits = _of_the_pit(lines, "limiting_depth_m", table, found)
    water = _of_the_pit(lines, "water_table_m", table, found)
    kind = _one_text(lines, texts.get("limiting_kind"))
    where = f"{lines[0].where}: pit {name}"
    depth_m = limits if isinstance(limits, float) else None
    if kind and kind not in (*LIMITS, NO_LIMIT):
        raise InputError(where, f"the limiting layer {kind!r}", one_of(kind, (*LIMITS, NO_LIMIT)))
    if limits == NO_LIMIT:
        kind = kind or NO_LIMIT
    if (depth_m is None) == (kind in LIMITS):
        raise InputError(
            where,
            f"the limiting layer {kind!r} without its depth"
            if kind
            else "a limiting depth without what limits",
            f"depth and kind together, or the kind {NO_LIMIT!r}; kinds are {', '.join(LIMITS)}",
        )
    if depth_m is not None and depth_m > layers[-1].bottom_m + TOUCHING_M:
        raise InputError(
            where, f"a limiting layer at {depth_m:g} m", f"one above the bottom of the pit, "
            f"{layers[-1].bottom_m:g} m",
        )  # fmt: skip
    return Pit(
        name=name,
        longitude_deg=place[0],
        latitude_deg=place[1],
        layers=tuple(layers),
        limiting_depth_m=depth_m,
        limiting_kind=kind,
        water_table_m=water if isinstance(water, float) else None,
        is_dry=water == NO_LIMIT,
        where=where,
    )


def _check_depths(name: str, layers: list[PitLayer]) -> None:
    for layer in layers:
        if layer.bottom_m <= layer.top_m:
            raise InputError(
                layer.where, f"a layer from {layer.top_m:g} to {layer.bottom_m:g} m", "top, bottom"
            )
    if layers[0].top_m > TOUCHING_M:
        raise InputError(
            layers[0].where,
            f"pit {name}, which begins at {layers[0].top_m:g} m",
            "a first layer from the surface, 0",
        )
    for above, below in pairwise(layers):
        if abs(below.top_m - above.bottom_m) > TOUCHING_M:
            kind = "a gap" if below.top_m > above.bottom_m else "an overlap"
            raise InputError(
                below.where,
                f"{kind} in pit {name}: a layer ends at {above.bottom_m:g} m and the next "
                f"begins at {below.top_m:g} m",
                "layers that follow one another",
            )


def _of_the_pit(
    lines: list[Line], field: str, table: TextTable, found: tuple[Found, ...]
) -> float | str | None:
    one = next((one for one in found if one.column.field == field), None)
    if one is None:
        return None
    text = _one_text(lines, one.header)
    if text in NONE_WORDS:
        return NO_LIMIT
    line = next((line for line in lines if line.cells[one.header]), None)
    return None if line is None else read_number(line, one, table.separator)


def _one_text(lines: list[Line], header: str | None) -> str:
    if header is None:
        return ""
    said = dict.fromkeys(line.cells[header].lower() for line in lines if line.cells[header])
    if len(said) > 1:
        raise InputError(
            lines[-1].where, f"{header} {' and '.join(said)} in one pit", "one for each pit"
        )
    return next(iter(said), "")
