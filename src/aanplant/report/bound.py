"""A paper as it is bound: its template, its drawings, and what every paper carries."""

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from aanplant.messages import show_date, speech
from aanplant.plan import Plan
from aanplant.report.rendering import TEMPLATES, Press, as_json
from aanplant.report.sheet import heading_of
from aanplant.report.svg import Drawing


def properties(plan: Plan, made: datetime) -> dict[str, Any]:
    """Language, title, author and date, by the names that every template uses.

    Parameters
    ----------
    plan : Plan
        Whose paper it is.
    made : datetime
        When the plan is made, with its time zone; its date stands on the paper.
    """
    return {
        "language": speech().language,
        "title": heading_of(plan),
        "author": plan.inputs.estate,
        "made": [made.year, made.month, made.day],
        "date": show_date(made),
    }


def print_paper(
    template: str,
    data: Mapping[str, Any],
    path: Path,
    *,
    made: datetime,
    drawings: Mapping[str, Drawing] | None = None,
) -> None:
    """Set a paper and write it as PDF.

    Parameters
    ----------
    template : str
        Name of the template, without its ending.
    data : mapping
        Texts by the names that the template uses; they are only ever text.
    path : Path
        Where to write.
    made : datetime
        When the plan is made; stands in the file's properties.
    drawings : mapping of str to Drawing, optional
        By the names of the files that the template places.

    Raises
    ------
    RenderingError
        If the paper can't be set as it is meant.
    """
    source = (TEMPLATES / f"{template}.typ").read_text(encoding="utf-8")
    files = {name: one.svg(alone=False).encode("utf-8", "replace")
             for name, one in (drawings or {}).items()}  # fmt: skip
    Press(source, {**files, "data.json": as_json(data)}, made=made).print_to({"pdf": path})
