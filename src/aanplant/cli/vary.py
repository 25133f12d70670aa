"""``aanplant vary``: alternatives of a brief side by side."""

import itertools
import json
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from pydantic import BaseModel
from rich.table import Table

from aanplant import messages
from aanplant.brief import Brief, validated
from aanplant.catalogues import FIRST_LANGUAGE
from aanplant.cli.app import Units
from aanplant.cli.plan import shown_units
from aanplant.cli.terminal import output, progress
from aanplant.cli.writing import spoken_in
from aanplant.errors import InputError
from aanplant.files import open_block, read_inputs
from aanplant.plan import Plan, make_plan
from aanplant.report.alternatives import columns, cost_told, is_costed, outcome_of
from aanplant.units import UnitSystem, show_number, shown_in
from aanplant.working import Working

MOST_ALTERNATIVES = 200
_WIDEST = 1000


def run_vary(
    brief_path: Path, alternatives: Sequence[str], units: Units | None, *, as_json: bool
) -> None:
    """Plan every combination of the alternatives and show them as a table."""
    block = open_block(brief_path)
    inputs = read_inputs(block)
    system = shown_units(units, block)
    choices = [_choice(text) for text in alternatives]
    keys = [key for key, _ in choices]
    combinations = list(itertools.product(*(values for _, values in choices)))
    if len(combinations) > MOST_ALTERNATIVES:
        raise InputError(
            "vary", f"{len(combinations)} combinations", f"at most {MOST_ALTERNATIVES}"
        )
    briefs = [_varied(block.brief, dict(zip(keys, values, strict=True))) for values in combinations]
    plans: list[Plan] = []
    with progress(block.brief.block.name) as check:
        for brief in briefs:
            plans.append(
                make_plan(brief, inputs, earlier=plans[-1] if plans else None, check=check)
            )
    if as_json:
        _write_json(keys, combinations, plans)
        return
    with spoken_in(inputs, FIRST_LANGUAGE):
        _show_table(keys, combinations, plans, system)


def _show_table(
    keys: list[str],
    combinations: Sequence[tuple[str, ...]],
    plans: Sequence[Plan],
    system: UnitSystem,
) -> None:
    table = Table(box=None, pad_edge=False, padding=(0, 1))
    for key in keys:
        table.add_column(
            _heading(key.rpartition(".")[2].replace("_", " ")), justify="right", no_wrap=True
        )
    outcomes = [outcome_of(plan) for plan in plans]
    shown = columns(outcomes)
    for key in shown:
        figure = plans[0].figures[key]
        unit = "" if isinstance(figure.value, str) else shown_in(0.0, figure.unit, system)[1]
        table.add_column(
            _heading(messages.word(f"vary.{key}"), unit), justify="right", no_wrap=True
        )
    # What makes a cheap alternative cheap may be a missing price, or a trellis that does not hold.
    counts = {
        "unpriced": [outcome.unpriced for outcome in outcomes],
        "stops": [outcome.stops for outcome in outcomes],
    }
    counts = {name: column for name, column in counts.items() if any(column)}
    for name in counts:
        table.add_column(_heading(messages.word(f"vary.{name}")), justify="right", no_wrap=True)
    for at, (values, plan) in enumerate(zip(combinations, plans, strict=True)):
        told = (str(column[at]) for column in counts.values())
        table.add_row(*values, *(_value(plan.figures[key], system) for key in shown), *told)
    # A narrow terminal may break lines, but no digit is cut off.
    needed = output.measure(table, options=output.options.update(width=_WIDEST)).maximum
    output.width = max(output.width, needed)
    output.print(table)
    names = [" ".join(values) for values in combinations]
    if is_costed(outcomes) and len(outcomes) > 1:
        output.print("")
        for name, outcome in zip(names[1:], outcomes[1:], strict=True):
            output.print(cost_told(outcome, outcomes[0], name=name, beside=names[0]))


def _heading(label: str, unit: str = "") -> str:
    """Break a heading into one word a line, its unit last, so that columns stay narrow."""
    return "\n".join([*label.split(), *([unit] if unit and unit not in label else [])])


def _value(figure: Working, system: UnitSystem) -> str:
    if isinstance(figure.value, str):
        return figure.value
    return show_number(shown_in(figure.value, figure.unit, system)[0])


def _write_json(
    keys: list[str], combinations: Sequence[tuple[str, ...]], plans: Sequence[Plan]
) -> None:
    document = [
        {
            "brief": dict(zip(keys, values, strict=True)),
            "figures": {
                figure.key: {"value": figure.value, "unit": figure.unit} for figure in plan.figures
            },
            "stop": plan.must_stop,
        }
        for values, plan in zip(combinations, plans, strict=True)
    ]
    json.dump(document, sys.stdout, indent=1, sort_keys=True)
    sys.stdout.write("\n")


def _choice(text: str) -> tuple[str, list[str]]:
    """Read ``row_width=2.4m,2.5m`` into a dotted key and its values."""
    name, equals, values = text.partition("=")
    listed = [value.strip() for value in values.split(",") if value.strip()]
    if not equals or not listed:
        raise InputError("vary", repr(text), "KEY=VALUE,VALUE, such as row_width=2.4m,2.5m")
    known = [key for key in _keys(Brief) if key == name or key.rpartition(".")[2] == name]
    if len(known) != 1:
        import difflib

        every = list(_keys(Brief))
        last = {key.rpartition(".")[2] for key in every}
        close = difflib.get_close_matches(name, [*every, *sorted(last)], n=3)
        near = known or [key for key in every if key in close or key.rpartition(".")[2] in close]
        raise InputError(
            "vary", repr(name), " or ".join(near) or "a key of the brief, such as vines.row_width"
        )
    return known[0], listed


def _keys(model: type[BaseModel], prefix: str = "") -> Iterator[str]:
    for name, info in model.model_fields.items():
        annotation = info.annotation
        if isinstance(annotation, type) and issubclass(annotation, BaseModel):
            yield from _keys(annotation, f"{prefix}{name}.")
        else:
            yield f"{prefix}{name}"


def _varied(brief: Brief, changes: dict[str, str]) -> Brief:
    """Return the brief with other values, read as if they stood in the file."""
    data = brief.model_dump(exclude_unset=True)
    for key, text in changes.items():
        *path, last = key.split(".")
        section: dict[str, Any] = data
        for name in path:
            section = section.setdefault(name, {})
        section[last] = _toml_value(text)
    return validated(Brief, data, "vary")


def _toml_value(text: str) -> bool | int | float | str:
    if text in {"true", "false"}:
        return text == "true"
    for kind in (int, float):
        try:
            return kind(text)
        except ValueError:
            continue
    return text
