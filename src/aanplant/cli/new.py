"""``aanplant new``: a starter estate with every key of the brief explained."""

import json
import shutil
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from aanplant import tables
from aanplant.brief import Brief, Default, Section, meanings, quantity_of
from aanplant.cli.terminal import output
from aanplant.errors import InputError, cannot_be_made
from aanplant.estate import Estate
from aanplant.workforce import Crew, EstateMachine, OwnTask

_STARTER_VALUES = {
    "block.boundary": "boundary.geojson",
    "vines.row_width": "2.5 m",
    "vines.vine_spacing": "1.2 m",
}
_TABLES: dict[str, type[Section]] = {
    "crews": Crew,
    "machines": EstateMachine,
    "tasks": OwnTask,
}
_HEADERS = {"crews": "[[crews]]", "machines": "[machines.ripper]", "tasks": "[[tasks]]"}
"""How a table of which there may be several begins."""
_BOUNDARY_LONLAT = (
    (18.8600, -33.9300),
    (18.8627, -33.9298),
    (18.8631, -33.9322),
    (18.8602, -33.9325),
    (18.8600, -33.9300),
)
_PRICES = """\
# What things cost. Leave a price empty while you don't know it: the plan lists it as missing.
# unit is what the price is for: each, m, a pack (coil, roll, bag, bundle, box) or, for wire, kg.
# pack size is optional: units in a pack, where yours differs from the usual.
item,unit,price,pack size,note
vine,each,,,
peg,each,,,
line-post-softwood-75-100-2.4,each,,,
line-post-softwood-100-125-2.4,each,,,
end-post-softwood-125-3,each,,,
anchor-helix-200,each,,,
wire-2.5-high-strain,coil,,,
wire-2.24-high-strain,coil,,,
wire-3.15-high-strain,coil,,,
join,each,,,
strainer,each,,,
staple,box,,,
hook,each,,,
pair-clip,each,,,
tie,bag,,,
guard,each,,,
dripper-line,m,,,
"""


def write_starter(folder: Path) -> None:
    """Write a starter estate.

    Raises
    ------
    InputError
        If the folder holds anything already, or cannot be made.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise InputError(str(folder), "something there already", "a new or empty folder")
    staged = folder.with_name(f".{folder.name}.new")
    shutil.rmtree(staged, ignore_errors=True)
    try:
        block = staged / "blocks" / "first"
        block.mkdir(parents=True)
        (staged / "estate.toml").write_text(_estate_text(), encoding="utf-8")
        (staged / "prices.csv").write_text(_PRICES, encoding="utf-8")
        (block / "brief.toml").write_text(brief_text(_STARTER_VALUES), encoding="utf-8")
        (block / "boundary.geojson").write_text(_boundary_text(), encoding="utf-8")
        if folder.is_dir():
            folder.rmdir()
        staged.rename(folder)
    except OSError as error:
        shutil.rmtree(staged, ignore_errors=True)
        raise cannot_be_made(folder, error) from None
    output.print(f"A starter estate is in {folder}. Next:", markup=False)
    output.print(
        f"  1. put your field's outline in {folder / 'blocks' / 'first'}, name it in brief.toml",
        markup=False,
    )
    output.print(f"  2. aanplant plan {folder / 'blocks' / 'first'}", markup=False)


def _boundary_text() -> str:
    feature = {
        "type": "Feature",
        "properties": {"name": "An invented field: replace it with your own outline"},
        "geometry": {
            "type": "Polygon",
            "coordinates": [[list(point) for point in _BOUNDARY_LONLAT]],
        },
    }
    return json.dumps({"type": "FeatureCollection", "features": [feature]}, indent=1) + "\n"


def _estate_text() -> str:
    lines = ["# The estate: what all blocks share. Every key may be left out.", ""]
    for name, info in Estate.model_fields.items():
        if not isinstance(info.annotation, type) or not issubclass(info.annotation, Section):
            lines += [] if name in _TABLES else _key_lines(Estate, name, None)
    for name, info in Estate.model_fields.items():
        model = info.annotation
        if isinstance(model, type) and issubclass(model, Section):
            lines += ["", f"[{name}]  # {(model.__doc__ or '').strip()}"]
            for key in model.model_fields:
                lines += _key_lines(model, key, None)
    for name, model in _TABLES.items():
        lines += ["", f"# {_HEADERS[name]}  # {(model.__doc__ or '').strip()} One table each."]
        for key in model.model_fields:
            lines += _key_lines(model, key, None)
    return "\n".join(lines) + "\n"


def brief_text(values: dict[str, str]) -> str:
    """Write a commented brief in which only ``values`` (by dotted key) are set."""
    lines = [
        "# The brief of one block. Keys behind # show their default; take the # away to change it.",
        '# Numbers may carry a unit: "2.5 m", "8 ft 6 in". Bare numbers are in the unit named.',
    ]
    for section, info in Brief.model_fields.items():
        model = info.annotation
        if isinstance(model, type) and issubclass(model, Section):
            lines += ["", f"[{section}]  # {(model.__doc__ or '').strip()}"]
            for name in model.model_fields:
                lines += _key_lines(model, name, values.get(f"{section}.{name}"))
    return "\n".join(lines) + "\n"


def _key_lines(section: type[Section], key: str, value: str | None) -> list[str]:
    info = section.model_fields[key]
    name = info.alias or key
    notes = [meanings(section).get(key, "").rstrip(".")]
    quantity = quantity_of(info)
    if quantity and quantity.unit:
        notes.append(f"in {quantity.unit}")
    notes.extend(
        f"default: {tables.sources()[item.source].text}"
        for item in info.metadata
        if isinstance(item, Default)
    )
    lines = [f"# {'; '.join(notes)}."]
    if value is not None:
        return [*lines, f"{name} = {_toml(value)}"]
    default = None if info.is_required() else info.get_default(call_default_factory=True)
    return [*lines, f"# {name} = {_toml(default)}" if default is not None else f"# {name} ="]


def _toml(value: Any) -> str:  # noqa: ANN401 - any default of the brief
    if isinstance(value, BaseModel):
        set_keys = [f"{name} = {_toml(below)}" for name, below in value if below is not None]
        return "{ " + ", ".join(set_keys) + " }"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, tuple):
        return f"[{', '.join(_toml(below) for below in value)}]"
    return json.dumps(value, ensure_ascii=False)
