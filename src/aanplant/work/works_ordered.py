"""Machine hours and drain pipe as quantities to order, so that they reach the budget."""

from collections.abc import Mapping, Sequence

from aanplant.work.spread_lines import Amount
from aanplant.work.zone_preparation import ZonePreparation
from aanplant.working import Figures, Working

BY_DESIGNER = "to confirm by a drainage designer"


def works_ordered(figures: Figures, zones: Sequence[ZonePreparation]) -> tuple[Amount, ...]:
    """Collect what is hired or laid for a block, in the order of the work.

    Parameters
    ----------
    figures : Figures
        Of the earthworks.
    zones : sequence of ZonePreparation
        Worked out; each names the implement that loosens it.
    """
    hours: dict[str, list[Working]] = {}
    for key in ("work.cut_off_hours", "work.drain_hours"):
        if key in figures:
            hours.setdefault("digger", []).append(figures[key])
    for zone in zones:
        key = f"work.loosening_hours.{zone.number}"
        if key in figures:
            hours.setdefault(zone.implement.replace(" ", "-"), []).append(figures[key])
    if "work.ridge_hours" in figures:
        hours["ridger"] = [figures["work.ridge_hours"]]
    pipe = (
        (Amount("drain-pipe", "drain pipe", figures["work.drain_pipe"], BY_DESIGNER),)
        if "work.drain_pipe" in figures
        else ()
    )
    return tuple(amount for amount in (*pipe, *_hired(hours)) if amount.needed.value)


def _hired(hours: Mapping[str, Sequence[Working]]) -> tuple[Amount, ...]:
    made = []
    for item, parts in hours.items():
        name = f"{item.replace('-', ' ')}, hours of work"
        needed = Working(
            f"work.amount.{item}",
            sum(float(part.value) for part in parts),
            "h",
            tuple(part.as_input(f"part_{n}") for n, part in enumerate(parts, start=1)),
            "arithmetic",
            about=name,
            message="work.machine_hours",
        )
        made.append(Amount(item, name, needed, ""))
    return tuple(made)
