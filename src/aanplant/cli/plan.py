"""``aanplant plan``: make a plan, show it, write its folder."""

import difflib
import json
import sys
from datetime import UTC, datetime
from pathlib import Path

import typer
from rich.markup import escape

from aanplant import messages, tables
from aanplant.catalogues import FIRST_LANGUAGE, languages
from aanplant.cli.app import Units
from aanplant.cli.terminal import output, progress, show_findings, show_summary
from aanplant.cli.writing import FILE_GROUPS, spoken_in, write_plan
from aanplant.errors import InputError
from aanplant.files import BlockFolder, open_block, read_inputs
from aanplant.plan import Plan, make_plan
from aanplant.units import UnitSystem


def plan_block(block: BlockFolder) -> Plan:
    """Read a block's inputs and plan it, with progress."""
    inputs = read_inputs(block)
    with progress(block.brief.block.name) as check:
        return make_plan(block.brief, inputs, check=check)


def shown_units(units: Units | None, block: BlockFolder) -> UnitSystem:
    """Units asked for, or the estate's."""
    return block.estate.units if units is None else units.value


def run_plan(
    brief_path: Path,
    units: Units | None,
    files: str,
    folder: Path | None,
    language: str,
    *,
    as_json: bool,
) -> None:
    """Plan a block, write its folder, show what matters; exit 1 when something says stop."""
    from aanplant.files.plan_json import plan_document

    kinds = file_groups(files)
    crew = known_language(language)
    block = open_block(brief_path)
    plan = plan_block(block)
    system = shown_units(units, block)
    made = datetime.now(UTC)
    target = block.plan_folder if folder is None else folder
    written = write_plan(plan, target, made=made, groups=kinds, system=system, language=crew)
    if as_json:
        json.dump(plan_document(plan, made=made), sys.stdout, indent=1, sort_keys=True)
        sys.stdout.write("\n")
    else:
        with spoken_in(plan.inputs, FIRST_LANGUAGE):
            show_summary(plan, system)
        output.print(f"\nWritten to {target}: {', '.join(written)}", markup=False)
    with spoken_in(plan.inputs, FIRST_LANGUAGE):
        show_findings(plan.findings, system)
    if plan.must_stop:
        raise typer.Exit(1)


def file_groups(text: str) -> tuple[str, ...]:
    """Read the ``--files`` option.

    Raises
    ------
    InputError
        If a name is not known.
    """
    names = [name.strip() for name in text.split(",") if name.strip()]
    if names == ["all"]:
        return FILE_GROUPS
    if names in (["none"], []):
        return ()
    for name in names:
        if name not in FILE_GROUPS:
            raise InputError(
                "--files", repr(name), f"all, none or some of {', '.join(FILE_GROUPS)}"
            )
    return tuple(names)


def known_language(name: str) -> str:
    """Read the ``--language`` option, "" where it is left out.

    Raises
    ------
    InputError
        If there is no such language.
    """
    if name and name not in languages():
        raise InputError("--language", repr(name), f"one of {', '.join(languages())}")
    return name


def show_why(brief_path: Path, key: str, units: Units | None) -> None:
    """Unfold a figure down to what was asked and measured.

    Raises
    ------
    InputError
        If there is no such figure.
    """
    block = open_block(brief_path)
    plan = plan_block(block)
    system = shown_units(units, block)
    if key not in plan.figures:
        near = difflib.get_close_matches(key, plan.figures.keys(), n=1, cutoff=0.4)
        expected = f'"{near[0]}"' if near else ", ".join(plan.figures.keys())
        raise InputError("--why", repr(key), expected)
    with spoken_in(plan.inputs, FIRST_LANGUAGE):
        _unfold(plan, key, system)


def _unfold(plan: Plan, key: str, system: UnitSystem) -> None:
    for depth, figure in plan.figures.unfold(key):
        indent = "    " * depth
        source = tables.sources()[figure.source]
        value = messages.show_value(figure.value, figure.unit, system)
        label = escape(messages.label(figure))
        output.print(f"{indent}[bold]{label}[/bold] = {value}   [dim]{figure.key}[/dim]")
        output.print(f"{indent}  = {messages.formula(figure)}", markup=False)
        for item in figure.inputs:
            origin = item.origin
            if item.source:
                origin += f" ({tables.sources()[item.source].text})"
            shown = messages.show_value(item.value, item.unit, system)
            output.print(f"{indent}    {item.name} = {shown}   from {origin}", markup=False)
        output.print(f"{indent}  source: {source.text}", markup=False)
