"""Write a plan as ``plan.json``, for other programs and for comparing two plans, and read it.

The same brief, the same inputs and the same version give the same bytes, but for
``made``: keys are sorted, floats have ten significant digits, money is text.
"""

import json
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
from pydantic import BaseModel

from aanplant import __version__, messages, tables
from aanplant.brief import Brief
from aanplant.errors import InputError
from aanplant.files.json_text import indented
from aanplant.files.plan_tables import plan_tables
from aanplant.plan import Plan
from aanplant.site.frame import Frame
from aanplant.working import Figures, Finding, Input, Working

FORMAT = "aanplant-plan/1"
SIGNIFICANT_DIGITS = 10
_FRAME = ("longitude_deg", "latitude_deg", "height_m")
LARGEST_FILE_BYTES = 100_000_000


@dataclass(frozen=True)
class PlanRecord:
    """A plan as its file tells it.

    Parameters
    ----------
    made : datetime
        When it was made. [UTC]
    engine : str
        Version that made it.
    frame : Frame
        The block's own grid.
    brief : mapping
        Every key with its value in fixed units, by section.
    defaults : mapping of str to mapping
        Source of each default, by dotted key.
    inputs : mapping of str to str
        SHA-256 of each file read, by name.
    figures : Figures
        With their working.
    findings : tuple of Finding
        The gravest first.
    tables : mapping of str to tuple of mapping
        Lists, such as ``rows`` and ``orders``, one mapping a line.
    """

    made: datetime
    engine: str
    frame: Frame
    brief: Mapping[str, Any]
    defaults: Mapping[str, Mapping[str, str]]
    inputs: Mapping[str, str]
    figures: Figures
    findings: tuple[Finding, ...]
    tables: Mapping[str, tuple[Mapping[str, Any], ...]] = field(default_factory=dict)


def write_plan_json(plan: Plan, path: Path, *, made: datetime) -> None:
    """Write ``plan.json``.

    Parameters
    ----------
    plan : Plan
        Also one that stopped after an early stage.
    path : Path
        File to write.
    made : datetime
        When the plan was made; the only part that differs when it is made again. [UTC]
    """
    path.write_text(plan_json(plan, made=made), encoding="utf-8", newline="\n")


def plan_json(plan: Plan, *, made: datetime) -> str:
    """Return the text of ``plan.json``; errors are those of ``plan_document``."""
    return f"{indented(plan_document(plan, made=made))}\n"


def plan_document(plan: Plan, *, made: datetime) -> dict[str, Any]:
    """Return what ``plan.json`` holds, as dicts, lists, texts and numbers.

    Raises
    ------
    ValueError
        If ``made`` has no time zone, or a figure is no finite number.
    """
    if made.tzinfo is None:
        raise ValueError("made must carry its time zone")
    site = plan.site
    content = {
        "format": FORMAT,
        "made": made.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z"),
        "engine": __version__,
        "brief": plan.brief.canonical(),
        "defaults": _defaults(plan.brief),
        "inputs": dict(plan.inputs.files),
        "estate": plan.inputs.estate,
        "block": site.name,
        "currency": plan.inputs.currency,
        "frame": {name: getattr(site.frame, name) for name in _FRAME},
        "grid": {"code": site.grid.code, "name": site.grid.name},
        "figures": [_figure(working) for working in plan.figures],
        "findings": [_finding(finding, plan) for finding in plan.findings],
        "tables": plan_tables(plan),
    }
    document: dict[str, Any] = plain(content)
    return document


def plain(value: object) -> Any:  # noqa: ANN401 - any JSON
    """Turn a value into what JSON holds, the same on every run.

    Floats keep ten significant digits, Decimals become text, numpy scalars plain numbers.

    Raises
    ------
    ValueError
        If a number is not finite.
    TypeError
        If it is of a kind no plan holds.
    """
    kind = type(value)
    # A plan is mostly these: asking for the kind itself is quicker than matching it.
    if kind is str and value.isascii():  # type: ignore[attr-defined]
        return value
    if kind is float:
        return _rounded(value)  # type: ignore[arg-type]
    match value:
        case dict() | Mapping():
            return {str(key): plain(item) for key, item in value.items()}
        case list() | tuple() | np.ndarray():
            return [plain(item) for item in value]
        case np.generic():
            return _plain_one(value.item())
    return _plain_one(value)


def _plain_one(value: object) -> bool | int | float | str | None:
    match value:
        case None | bool():
            return value
        case int():
            return int(value)
        case str():
            return value.encode("utf-8", "replace").decode("utf-8")  # halves of characters
        case float():
            return _rounded(value)
        case Decimal():
            return _money(value)
    raise TypeError(f"a plan cannot hold a {type(value).__name__}")


def read_plan_json(path: Path) -> PlanRecord:
    """Read ``plan.json``; fields this version does not know are left aside.

    Raises
    ------
    InputError
        If the file is no plan, or one of a format this version cannot read.
    """
    content = _parsed(path)
    found = content.get("format")
    if found != FORMAT:
        raise InputError(f"{path.name}: format", repr(found), f'"{FORMAT}"')
    try:
        return PlanRecord(
            made=datetime.fromisoformat(content["made"]).astimezone(UTC),
            engine=str(content["engine"]),
            frame=Frame(**{name: float(content["frame"][name]) for name in _FRAME}),
            brief=content["brief"],
            defaults=content.get("defaults", {}),
            inputs=content["inputs"],
            figures=Figures(_read_figure(item) for item in content["figures"]),
            findings=tuple(_read_finding(item) for item in content["findings"]),
            tables={name: tuple(lines) for name, lines in content["tables"].items()},
        )
    except KeyError as error:
        raise InputError(path.name, f"no {error}", f"a whole plan in the format {FORMAT}") from None
    except (TypeError, ValueError, AttributeError) as error:
        raise InputError(
            path.name, f"a damaged plan ({error})", "a plan as it was written"
        ) from None


def _money(amount: Decimal) -> str:
    if not amount.is_finite():
        raise ValueError(f"a plan cannot hold the amount {amount}")
    return f"{amount:f}"


def _rounded(number: float) -> float:
    if not math.isfinite(number):
        raise ValueError(f"a plan cannot hold the number {number}")
    return float(f"{number:.{SIGNIFICANT_DIGITS}g}") + 0.0  # no minus nought


def _defaults(brief: Brief) -> dict[str, dict[str, str]]:
    """Every key whose default stands, with the source of that default."""
    return {
        key: _source(brief.as_input(key).source)
        for key in _keys("", brief)
        if not brief.is_given(key)
    }


def _keys(prefix: str, section: BaseModel) -> Iterable[str]:
    for name in type(section).model_fields:
        below = getattr(section, name)
        if isinstance(below, BaseModel):
            yield from _keys(f"{prefix}{name}.", below)
        else:
            yield f"{prefix}{name}"


def _source(name: str) -> dict[str, str]:
    source = tables.sources()[name]
    return {"id": source.id, "text": source.text, "certainty": source.certainty}


def _figure(working: Working) -> dict[str, object]:
    return {
        "key": working.key,
        "message": working.message_id,
        "about": working.about,
        "label": messages.label(working),
        "value": working.value,
        "unit": working.unit,
        "formula": messages.formula(working),
        "inputs": [_input(item) for item in working.inputs],
        "source": _source(working.source),
    }


def _input(item: Input) -> dict[str, object]:
    return {
        "name": item.name,
        "value": item.value,
        "unit": item.unit,
        "origin": item.origin,
        "source": _source(item.source) if item.source else None,
    }


def _finding(finding: Finding, plan: Plan) -> dict[str, object]:
    return {
        "stage": finding.stage,
        "level": finding.level,
        "message": finding.message,
        "values": {name: _with_unit(value) for name, value in finding.values.items()},
        "text": messages.sentence(finding),
        "figure": finding.figure,
        "source": _source(finding.source),
        "place": None if finding.place is None else _place(finding.place, plan),
    }


def _with_unit(value: object) -> object:
    if isinstance(value, tuple):
        return {"value": value[0], "unit": value[1]}
    return value


def _place(xy: Sequence[float], plan: Plan) -> dict[str, float]:
    longitude, latitude = plan.site.frame.to_lonlat([xy])[0]
    return {"x_m": xy[0], "y_m": xy[1], "longitude_deg": longitude, "latitude_deg": latitude}


def _parsed(path: Path) -> Mapping[str, Any]:
    if path.stat().st_size > LARGEST_FILE_BYTES:
        raise InputError(path.name, f"{path.stat().st_size} bytes", "a plan.json below 100 MB")
    try:
        content = json.loads(path.read_text(encoding="utf-8"))
    except (ValueError, RecursionError) as error:
        raise InputError(path.name, f"text that is no JSON ({error})", "a plan.json") from None
    if not isinstance(content, dict):
        raise InputError(path.name, "JSON that is no plan", f"a plan in the format {FORMAT}")
    return content


def _read_figure(item: Mapping[str, Any]) -> Working:
    inputs = tuple(
        Input(one["name"], one["value"], one["unit"], one["origin"], _source_id(one["source"]))
        for one in item["inputs"]
    )
    key, message = item["key"], item["message"]
    return Working(
        key, item["value"], item["unit"], inputs, _source_id(item["source"]),
        about=item["about"], message="" if message == key else message,
    )  # fmt: skip


def _read_finding(item: Mapping[str, Any]) -> Finding:
    place = item["place"]
    return Finding(
        item["stage"],
        item["level"],
        item["message"],
        {
            name: (value["value"], value["unit"]) if isinstance(value, dict) else value
            for name, value in item["values"].items()
        },
        item["figure"],
        _source_id(item["source"]),
        None if place is None else (place["x_m"], place["y_m"]),
    )


def _source_id(source: Mapping[str, str] | None) -> str:
    return "" if source is None else source["id"]
