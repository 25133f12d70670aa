"""Figures and findings as the site report writes them, with a mark on every rule of thumb."""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from aanplant import tables
from aanplant.messages import label, sentence, show_date, word
from aanplant.plan import Plan
from aanplant.units import UnitSystem, show, show_number, shown_in
from aanplant.working import LEVELS, Finding, Working

_COSTS = "site.frost_cost"
"""Figures in the estate's currency, which they don't carry themselves."""

MARKS = {"practice": "*", "memory": "†"}
"""What stands beside a rule of thumb, and beside a value recalled and not checked."""
_MONTH_DAY = re.compile(r"\d\d-\d\d")
_DATE = re.compile(r"\d{4}-\d\d-\d\d")
_UNITS = {
    "deg": "°", "m2": "m²", "m3": "m³", "MJ/m2": "MJ/m²", "m3/m": "m³/m", "m3/h": "m³/h",
}  # fmt: skip


@dataclass(frozen=True)
class Table:
    """A table of texts.

    Parameters
    ----------
    heads, rows
        Texts of the header and of each line.
    left : sequence of int
        Columns that begin at the left; the others end at the right.
    title : str
        Heading above it, "" for none.
    is_wide : bool
        Whether its first column takes all the room that the others leave.
    """

    heads: Sequence[str]
    rows: Sequence[Sequence[str]]
    left: Sequence[int] = (0,)
    title: str = ""
    is_wide: bool = False

    def as_data(self) -> dict[str, Any]:
        """Return what the template reads."""
        aligned = ["left" if column in self.left else "right" for column in range(len(self.heads))]
        return {"title": self.title, "heads": list(self.heads),
                "rows": [list(row) for row in self.rows], "align": aligned,
                "wide": self.is_wide}  # fmt: skip


@dataclass(frozen=True)
class Chapter:
    """A chapter of the report.

    Parameters
    ----------
    key : str
        Part of the ids of its words.
    pictures : tuple of (str, callable)
        Caption and what draws it; none without data.
    tables : tuple of Table
        After its figures.
    findings : tuple of Finding
        The gravest first.
    missing : tuple of str
        A sentence for each file that would tell more.
    paragraphs : tuple of str
        The argument, before tables and drawings.
    title : str
        Heading, where it stands in the report on the whole plan.
    plates : tuple of (str, callable)
        Caption and what draws a sheet that takes a page of its own, in that report.
    """

    key: str
    pictures: tuple[tuple[str, Callable[[], Any]], ...] = ()
    tables: tuple[Table, ...] = ()
    findings: tuple[Finding, ...] = ()
    missing: tuple[str, ...] = field(default=())
    paragraphs: tuple[str, ...] = ()
    title: str = ""
    plates: tuple[tuple[str, Callable[[], Any]], ...] = ()


def short(value: float, unit: str, system: UnitSystem, digits: int = 3) -> str:
    """Write a value for a drawing or a sentence: few digits, counted in the reader's unit."""
    number, name = shown_in(value, unit, system)
    power = 10.0**digits
    return show(round(number) if abs(number) >= power else float(f"{number:.{digits}g}"), name)


def mark_of(source: str) -> str:
    """Mark of a source that is no published one, "" for the rest."""
    known = tables.sources().get(source)
    return MARKS.get(known.certainty, "") if known else ""


def figure_table(plan: Plan, system: UnitSystem, keys: Iterable[str]) -> Table | None:
    """Figures whose keys are named or begin with a name that ends in a dot; None without any."""
    wanted = tuple(keys)
    chosen = [
        figure
        for name in wanted
        for figure in plan.figures
        if figure.key == name or (name.endswith(".") and figure.key.startswith(name))
    ]
    if not chosen:
        return None
    heads = [word(f"site_report.head.{name}") for name in ("figure", "value", "unit", "mark")]
    return Table(
        heads, [figure_row(plan, figure, system) for figure in chosen], left=(0, 2, 3), is_wide=True
    )


def figure_row(plan: Plan, figure: Working, system: UnitSystem) -> list[str]:
    """Label, value, unit and source mark of one figure."""
    name = label(figure)
    if isinstance(figure.value, str):
        value, unit = figure.value, ""
        if _MONTH_DAY.fullmatch(value):
            value = date_words(value)
            name = name.removesuffix(word("site_report.month_day_ending"))
        elif _DATE.fullmatch(value):
            value = show_date(date.fromisoformat(value))
    else:
        number, unit = shown_in(figure.value, figure.unit, system)
        value = show_number(number)
        if figure.message_id == _COSTS:
            unit = plan.inputs.currency
    return [name, value, _UNITS.get(unit, unit), mark_of(figure.source)]


def date_words(month_and_day: str) -> str:
    """Write a day of any year, such as "09-08", in words."""
    return f"{int(month_and_day[3:])} {word(f'month_name.{month_and_day[:2]}')}"


def told(findings: Iterable[Finding], system: UnitSystem) -> list[dict[str, str]]:
    """Write findings for the template: level, its word, and the sentence with its mark."""
    return [
        {
            "level": finding.level,
            "word": word(f"site_report.level.{finding.level}"),
            "text": sentence(finding, system),
            "mark": mark_of(finding.source),
        }
        for finding in findings
    ]


def of_topics(plan: Plan, *topics: str) -> tuple[Finding, ...]:
    """Return findings of some topics (``soil.``) or ids, the gravest first."""
    found = [
        finding
        for finding in plan.findings
        if any(
            finding.message == topic
            or (topic.endswith((".", "_")) and finding.message.startswith(topic))
            for topic in topics
        )
    ]
    return tuple(sorted(found, key=lambda finding: LEVELS.index(finding.level)))
