"""The spreader sheet: for each soil zone what is spread, how deep it is worked in, and by what."""

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from aanplant.messages import fill, sentence, term, word
from aanplant.plan import Plan
from aanplant.report.bound import print_paper, properties
from aanplant.units import UnitSystem, show
from aanplant.work.spread_lines import TO_SPREAD, SpreadLine
from aanplant.work.zone_preparation import ZonePreparation

CAUTIONS = ("prepare.dust", "prepare.services", "prepare.moisture", "prepare.gypsum_no_drainage")
"""Findings that belong on the paper itself."""
_WORDS = ("title", "standing", "all", "order", "zone", "nothing", "done", "by", "left")
_HEADS = ("product", "rate", "amount", "depth", "how")


def write_spreader_pdf(
    plan: Plan, path: Path, *, made: datetime, system: UnitSystem = "metric"
) -> None:
    """Write the spreader sheet.

    Parameters
    ----------
    plan : Plan
        A whole plan.
    path : Path
        Where to write.
    made : datetime
        When the plan is made; its date stands on the sheet.
    system : {"metric", "imperial"}
        Units shown.
    """
    data = spreader_data(plan, made=made, system=system)
    print_paper("spreader-sheet", data, path, made=made)


def spreader_data(plan: Plan, *, made: datetime, system: UnitSystem) -> dict[str, Any]:
    """Gather all texts of the sheet, by the names the template uses."""
    soil = plan.work.soil
    stops = sum(finding.level == "stop" for finding in plan.findings)
    lines: dict[int, list[SpreadLine]] = {zone.number: [] for zone in soil.zones}
    for line in soil.spreading:
        lines[line.number].append(line)
    return {
        **properties(plan, made),
        "words": {name: word(f"spreader.{name}") for name in _WORDS},
        "stop": fill("sheet.stops", count=stops) if stops else "",
        "heads": [word(f"spreader.head.{name}") for name in _HEADS],
        "totals": [
            [
                term(amount.name),
                show(float(amount.needed.value), amount.needed.unit, system),
                term(amount.status),
            ]
            for amount in soil.amounts
        ],
        "steps": [
            fill(
                f"spreader.step.{step.name}",
                hours=word("spreader.hours").format(hours=show(step.machine_hours, "h"))
                if step.machine_hours
                else "",
                weeks=show(step.weeks, ""),
            )
            for step in soil.steps
            if step.is_needed
        ],
        "zones": [_zone(zone, lines[zone.number], system) for zone in soil.zones],
        "cautions": [
            sentence(finding, system) for finding in soil.findings if finding.message in CAUTIONS
        ],
    }


def _zone(zone: ZonePreparation, lines: list[SpreadLine], system: UnitSystem) -> Mapping[str, Any]:
    return {
        "name": zone.zone.name,
        "area": show(zone.zone.area_ha, "ha", system),
        "loosening": _loosening(zone, system),
        "lines": [
            [
                term(line.product),
                show(line.rate, line.rate_unit, system),
                show(line.amount, line.unit, system),
                show(line.depth_m, "m", system) if line.depth_m else word("spreader.surface"),
                term(line.how),
            ]
            for line in lines
        ],
        "waits": [
            f"{_capital(term(line.product))}: {term(line.status)}"
            + (f" ({_listed(line.reasons)})." if line.reasons else ".")
            for line in lines
            if line.status != TO_SPREAD
        ],
    }


def _loosening(zone: ZonePreparation, system: UnitSystem) -> str:
    if zone.loosening is None:
        return word("spreader.no_pit")
    if not zone.loosening.depth_m:
        return word("spreader.no_loosening")
    return word("spreader.loosening").format(
        implement=term(zone.implement), depth=show(zone.loosening.depth_m, "m", system)
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _listed(reasons: str) -> str:
    return "; ".join(term(reason) for reason in reasons.split("; "))
