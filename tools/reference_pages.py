"""Write the pages of ``docs/`` that are made from the code, so that they can't drift from it.

``python -m tools.reference_pages`` writes them; a test compares them with the code.
"""

import ast
import inspect
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import cache
from pathlib import Path
from typing import Any, get_args, get_type_hints

import annotated_types
from pydantic import BaseModel
from pydantic.fields import FieldInfo
from typer.models import ArgumentInfo

import aanplant
from aanplant import messages, tables
from aanplant.brief import Brief, Default, Quantity, Section, meanings, parse_brief
from aanplant.cli.app import app
from aanplant.estate import Estate
from aanplant.files import open_block, read_inputs
from aanplant.plan import make_plan
from aanplant.stages import STAGE_NAMES
from aanplant.working import LEVELS, Working

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"
EXAMPLES = ROOT / "examples" / "lowquince" / "blocks"
SOURCE = Path(aanplant.__file__).parent
MADE = "\n*This page is made from the code by* `python -m tools.reference_pages`*.*\n"
LONGEST_TABLE = 60
"""Longer tables are for the program to look up, and for nobody to read."""
LEVEL_MEANS = {
    "stop": "a person could be hurt, a law broken or the block fail; `aanplant plan` exits 1",
    "care": "look at this before anything is ordered or set out",
    "note": "worth knowing; nothing to do",
}
CERTAINTY_MEANS = {
    "published": "printed in the source named",
    "standard": "laid down by the standard named",
    "arithmetic": "follows from the inputs; no source needed",
    "practice": "common practice, with no source; change it where yours differs",
    "memory": "recalled and not checked against a source; treat it as a setting to confirm",
}


def pages() -> Mapping[str, Callable[[], str]]:
    """Return the generated pages: file name under ``docs/``, and what makes its text."""
    return {
        "brief-reference.md": brief_page,
        "figures.md": figures_page,
        "findings.md": findings_page,
        "commands.md": commands_page,
        "sources.md": sources_page,
    }


def brief_page() -> str:
    """Every key of a brief and of an estate: meaning, unit, range, default and its source."""
    lines = [
        "# Every key of the brief",
        MADE,
        "A quantity is a bare number in the unit of its key, or text with its own unit, such as",
        '`"2.5 m"`, `"9 ft"`, `"8 ft 6 in"` or `"2.3 L/h"`. Unknown keys are refused, and the',
        "nearest known key is named. *Basis* is where a default comes from; its words are",
        "explained under [Sources](sources.md).",
    ]
    smallest = parse_brief(
        '[block]\nboundary = "b"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n', "brief.toml"
    )
    for section, info in Brief.model_fields.items():
        model = info.annotation
        if isinstance(model, type) and issubclass(model, Section):
            lines += ["", f"## [{section}]", "", str(model.__doc__).strip(), ""]
            units = {
                name: smallest.as_input(f"{section}.{name}").unit
                for name, below in model.model_fields.items()
                if _nested(below) is None
            }
            lines += _key_table(model, units)
            lines += _tables_below(section, model)
    lines += [
        "",
        "## estate.toml",
        "",
        str(Estate.__doc__).strip().replace("``", "`"),
        "",
        *_key_table(Estate),
    ]
    return "\n".join(lines) + "\n"


def figures_page() -> str:
    """Every figure: what it is called, its unit, how it is found, and from what."""
    lines = [
        "# Every figure",
        MADE,
        "`aanplant plan BRIEF --why KEY` unfolds a figure of your own plan down to what was asked",
        "and measured. A key that ends in … stands for several figures, one for each wire, item",
        "or price. In a formula stand the names of the inputs.",
    ]
    entries = messages.catalogue()["figure"]
    examples = _example_figures()
    for subject in dict.fromkeys(key.partition(".")[0] for key in entries):
        lines += ["", f"## {subject}"]
        for key in sorted(name for name in entries if name.startswith(f"{subject}.")):
            lines += _figure_lines(key, entries[key], examples.get(key, ()))
    return "\n".join(lines) + "\n"


def findings_page() -> str:
    """Every finding, by stage, with its level and sentence."""
    lines = [
        "# Every finding",
        MADE,
        "Advice comes in three levels, and `aanplant plan` writes the gravest first. Names in",
        "braces are filled in from your plan.",
        "",
        _table(("level", "means"), [(level, LEVEL_MEANS[level]) for level in LEVELS]),
    ]
    made = _findings_in_code()
    entries = messages.catalogue()["finding"]
    by_stage: dict[str, list[tuple[str, str, str]]] = {}
    for key, entry in entries.items():
        for stage, levels in made.get(key, {"": {"?"}}).items():
            row = (_code(key), " or ".join(sorted(levels)), _cell(entry["text"]))
            by_stage.setdefault(stage, []).append(row)
    for stage in sorted(by_stage, key=lambda name: (*STAGE_NAMES, name).index(name)):
        rows = sorted(by_stage[stage])
        lines += ["", f"## {stage}", "", _table(("key", "level", "sentence"), rows)]
    return "\n".join(lines) + "\n"


def commands_page() -> str:
    """Every command with its arguments and options."""
    lines = [
        "# Every command",
        MADE,
        "Results go to standard output, progress and advice to standard error.",
        "",
        _table(
            ("exit code", "means"),
            [
                ("0", "done"),
                ("1", "done, and at least one finding says stop"),
                ("2", "something in the input or the call cannot be used; nothing was written"),
                ("3", "failed for another reason, which is a fault in the program"),
            ],
        ),
    ]
    for command in app.registered_commands:
        function = command.callback
        if function is None:
            continue
        name = command.name or function.__name__
        parameters = _parameters(function)
        arguments = [
            one.shown if one.is_required else f"[{one.shown}]"
            for one in parameters
            if one.is_argument
        ]
        call = " ".join(["aanplant", name, "[OPTIONS]", *arguments])
        lines += ["", f"## aanplant {name}", "", inspect.cleandoc(function.__doc__ or ""), ""]
        lines += [
            "```text",
            call if len(parameters) > len(arguments) else call.replace(" [OPTIONS]", ""),
            "```",
        ]
        rows = [
            (_code(one.shown), _cell(one.meaning), "required" if one.is_required else one.default)
            for one in parameters
        ]
        if rows:
            lines += ["", _table(("argument or option", "meaning", "default"), rows)]
    return "\n".join(lines).rstrip() + "\n"


def sources_page() -> str:
    """Every source, and the tables the program ships with the source of each row."""
    sources = tables.sources().values()
    lines = [
        "# Sources and tables",
        MADE,
        "Every figure and every default names where it comes from, and how sure that is.",
        "",
        _table(
            ("certainty", "means"),
            [(word, CERTAINTY_MEANS.get(word, "")) for word in _certainties(sources)],
        ),
        "",
        "## Sources",
        "",
        _table(
            ("id", "source", "certainty"),
            [(_code(source.id), _cell(source.text), source.certainty) for source in sources],
        ),
    ]
    for path in sorted((SOURCE / "tables").glob("*.csv")):
        if path.name == "sources.csv":
            continue
        rows = tables.rows(path.name)
        lines += ["", f"## {path.name}", ""]
        if len(rows) > LONGEST_TABLE:
            named = ", ".join(dict.fromkeys(_code(row["source"]) for row in rows))
            lines.append(f"{len(rows)} rows of {', '.join(rows[0])}, from {named}.")
            continue
        lines.append(_table(tuple(rows[0]), [tuple(map(_cell, row.values())) for row in rows]))
    return "\n".join(lines) + "\n"


def _certainties(sources: Iterable[tables.Source]) -> list[str]:
    used = {source.certainty for source in sources}
    return [word for word in CERTAINTY_MEANS if word in used] + sorted(used - {*CERTAINTY_MEANS})


def _key_table(model: type[BaseModel], units: Mapping[str, str] | None = None) -> list[str]:
    rows = []
    for name, info in model.model_fields.items():
        if _nested(info) is not None:
            continue
        unit = next((item.unit for item in _marks(info) if isinstance(item, Quantity)), "")
        unit = unit or (units or {}).get(name, "")
        basis = next((item.source for item in info.metadata if isinstance(item, Default)), "")
        meaning = meanings(model).get(name, "")
        rows.append((_code(name), _cell(meaning), unit, _range(info), _default(info), basis))
    return [_table(("key", "meaning", "unit", "range", "default", "basis"), rows)]


def _tables_below(section: str, model: type[BaseModel]) -> Iterator[str]:
    for name, info in model.model_fields.items():
        below = _nested(info)
        if below is None:
            continue
        is_list = below is not info.annotation
        heading = f"[[{section}.{name}]]" if is_list else f"[{section}.{name}]"
        yield from ("", f"### {heading}", "", meanings(model).get(name, ""), "")
        if is_list:
            yield from ("One such table for each; none by default.", "")
        yield from _key_table(below)


def _nested(info: FieldInfo) -> type[BaseModel] | None:
    """Model of a key that is a table, or a list of tables, of its own."""
    for item in (info.annotation, *get_args(info.annotation)):
        if isinstance(item, type) and issubclass(item, BaseModel):
            return item
    return None


def _marks(info: FieldInfo) -> list[Any]:
    """Quantities, limits and defaults' sources, also those of a key that may be left empty."""
    inner = [
        mark for item in get_args(info.annotation) for mark in getattr(item, "__metadata__", ())
    ]
    return [*info.metadata, *inner]


def _plain(number: float) -> str:
    """Write a limit in full, thousands set apart."""
    return f"{number:,.0f}".replace(",", " ") if number == round(number) else f"{number:g}"


def _range(info: FieldInfo) -> str:
    choices = [choice for choice in get_args(info.annotation) if isinstance(choice, str)]
    if choices:
        return ", ".join(_code(f'"{choice}"') for choice in choices)
    for item in _marks(info):
        if isinstance(item, Quantity):
            return f"{_plain(item.low)} to {_plain(item.high)}"
    low = next((item.ge for item in info.metadata if isinstance(item, annotated_types.Ge)), None)
    high = next((item.le for item in info.metadata if isinstance(item, annotated_types.Le)), None)
    if low is not None and high is not None:
        return f"{low} to {high}"
    return "true, false" if info.annotation is bool else ""


def _default(info: FieldInfo) -> str:
    if info.is_required():
        return "required"
    value: Any = info.get_default(call_default_factory=True)
    if value in ("", None, (), {}):
        return "none"
    if isinstance(value, bool):
        return _code(str(value).lower())
    return _code(_toml(value))


def _toml(value: object) -> str:
    if isinstance(value, tuple):
        return f"[{', '.join(_toml(item) for item in value)}]"
    return f'"{value}"' if isinstance(value, str) else f"{value:g}"


@cache
def _example_figures() -> Mapping[str, tuple[Working, ...]]:
    """Figures of the example estate by message id, for their units and inputs."""
    found: dict[str, list[Working]] = {}
    for brief in sorted(EXAMPLES.glob("*/brief.toml")):
        block = open_block(brief)
        for working in make_plan(block.brief, read_inputs(block)).figures:
            found.setdefault(working.message_id, []).append(working)
    return {key: tuple(workings) for key, workings in found.items()}


def _figure_lines(key: str, entry: Mapping[str, str], examples: Sequence[Working]) -> Iterator[str]:
    shown = key if not examples or examples[0].key == key else _family(examples)
    yield from ("", f"### {shown}", "", f"**{entry['label']}** = {entry['formula']}", "")
    if not examples:
        return
    units = dict.fromkeys(_unit_name(working) for working in examples)
    yield f"- unit: {' or '.join(units)}"
    inputs: dict[str, None] = {}
    if shown == key:
        for working in examples:
            inputs.update((_input_text(item.name, item.origin), None) for item in working.inputs)
    if inputs and key != "work.budget.materials":
        yield f"- from: {', '.join(inputs)}"
    certain = dict.fromkeys(tables.sources()[working.source].text for working in examples)
    yield f"- source: {'; '.join(certain)}"


def _family(examples: Sequence[Working]) -> str:
    """Key that several figures share, such as ``work.order.…``."""
    return examples[0].key.rpartition(".")[0] + ".…"


def _unit_name(working: Working) -> str:
    is_money = working.key.startswith("work.budget.")
    return "the estate's currency" if is_money else working.unit or "none, a count"


def _input_text(name: str, origin: str) -> str:
    kind, _, rest = origin.partition(":")
    match kind:
        case "figure" | "brief" | "default":
            return f"{name} (`{rest}`)"
        case "table" | "file":
            return f"{name} ({rest.partition(':')[0]})"
        case _:
            return f"{name} ({origin})"


def _findings_in_code() -> Mapping[str, Mapping[str, set[str]]]:
    """Message id of each finding the code makes, with its stages and their levels."""
    found: dict[str, dict[str, set[str]]] = {}
    for path in SOURCE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Finding"):
                continue
            values = [item.value for item in node.args[:3] if isinstance(item, ast.Constant)]
            if len(values) == 3:  # noqa: PLR2004 - stage, level, message
                stage, level, key = map(str, values)
                found.setdefault(key, {}).setdefault(stage, set()).add(level)
    return found


@dataclass(frozen=True, slots=True)
class _Parameter:
    shown: str
    meaning: str
    default: str
    is_argument: bool
    is_required: bool


def _parameters(function: Callable[..., Any]) -> list[_Parameter]:
    """Arguments and options of a command, from its signature."""
    kinds = get_type_hints(function, include_extras=True)
    return [
        _parameter(name, kinds[name], parameter.default)
        for name, parameter in inspect.signature(function).parameters.items()
    ]


def _parameter(name: str, kind: Any, default: object) -> _Parameter:  # noqa: ANN401 - a type hint
    about = kind.__metadata__[0]
    types = (kind.__origin__, *get_args(kind.__origin__))
    is_argument = isinstance(about, ArgumentInfo)
    enums = [item for item in types if isinstance(item, type) and issubclass(item, Enum)]
    value = "|".join(str(choice.value) for enum in enums for choice in enum)
    shown = str(about.metavar or value or name.upper())
    if not is_argument:
        # Inside Annotated, typer keeps the first name where a default would stand.
        names = [one for one in (about.default, *(about.param_decls or ())) if isinstance(one, str)]
        shown = ", ".join(names) + ("" if bool in types else f" {shown}")
    is_required = default is inspect.Parameter.empty
    has_default = not is_required and default not in (None, False)
    return _Parameter(
        shown,
        about.help or "",
        _code(str(default)) if has_default else "",
        is_argument,
        is_required,
    )


def _table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    lines = ["| " + " | ".join(heads) + " |", "|" + "---|" * len(heads)]
    lines += ["| " + " | ".join(row) + " |" for row in rows]
    return "\n".join(lines)


def _code(text: str) -> str:
    return f"`{text.replace('|', chr(92) + '|')}`"


def _cell(text: str) -> str:
    return " ".join(str(text).split()).replace("|", "\\|").replace("<", "&lt;")


def write() -> list[str]:
    """Write the pages that have changed; return their names."""
    changed = []
    for name, page in pages().items():
        path, text = DOCS / name, page()
        if not path.exists() or path.read_text(encoding="utf-8") != text:
            path.write_text(text, encoding="utf-8", newline="\n")
            changed.append(name)
    return changed


if __name__ == "__main__":
    sys.stdout.write(f"written: {', '.join(write()) or 'nothing, all pages are as the code'}\n")
