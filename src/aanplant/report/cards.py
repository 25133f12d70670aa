"""The nursery's order and the cards for receiving and planting vines, for gloves and a pencil."""

from datetime import datetime
from pathlib import Path
from typing import Any

from aanplant.messages import fill, sentence, word
from aanplant.plan import Plan
from aanplant.report.bound import print_paper, properties
from aanplant.report.card_parts import order_parts, planting_parts
from aanplant.report.receiving_parts import receiving_parts
from aanplant.report.sheet import heading_of
from aanplant.units import UnitSystem

PARTS = {
    "nursery-order": order_parts,
    "receiving-card": receiving_parts,
    "planting-card": planting_parts,
}
"""Papers by the name of their file, and what makes their parts."""


def write_card(
    plan: Plan, path: Path, name: str, *, made: datetime, system: UnitSystem = "metric"
) -> None:
    """Write one paper as PDF.

    Parameters
    ----------
    plan : Plan
        A whole plan.
    path : Path
        Where to write.
    name : str
        One of ``PARTS``.
    made : datetime
        When the plan is made; its date stands on the paper.
    system : {"metric", "imperial"}
        Units shown.
    """
    data = card_data(plan, name, made=made, system=system)
    print_paper("cards", data, path, made=made)


def card_data(plan: Plan, name: str, *, made: datetime, system: UnitSystem) -> dict[str, Any]:
    """Gather all texts of a paper, by the names the template uses."""
    stops = sum(finding.level == "stop" for finding in plan.findings)
    parts = PARTS[name](plan, system)
    if name == "nursery-order" and plan.work.nursery.findings:
        said = [sentence(finding, system) for finding in plan.work.nursery.findings]
        parts.append({"heading": word("cards.know"), "kind": "cautions", "rows": said})
    return {
        **properties(plan, made),
        "name": heading_of(plan),
        "title": word(f"cards.{name.replace('-', '_')}"),
        "standing": word("cards.standing"),
        "stop": fill("sheet.stops", count=stops) if stops else "",
        "parts": parts,
    }
