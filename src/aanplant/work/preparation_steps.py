"""The order in which soil is prepared: what is done early can't be done later."""

from collections.abc import Mapping
from dataclasses import dataclass

from aanplant.brief import Brief
from aanplant.working import Figures

ORDER = ("drain", "amend", "loosen", "settle", "ridge", "set out")
"""Water first, then what must be mixed in, then the mixing; rows are pegged on settled soil."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step.

    Parameters
    ----------
    number : int
        From 1.
    name : str
        One of ``ORDER``.
    is_needed : bool
        Whether this block has it.
    machine_hours : float or None
        None where they are not known. [h]
    weeks : float
        Time it takes by itself. [weeks]
    """

    number: int
    name: str
    is_needed: bool
    machine_hours: float | None = None
    weeks: float = 0.0


def steps(brief: Brief, figures: Figures, *, spreads: bool, loosens: bool) -> tuple[Step, ...]:
    """List the steps of a block, all of them in their order.

    Parameters
    ----------
    brief : Brief
        Its section ``preparation``.
    figures : Figures
        Of the earthworks.
    spreads, loosens : bool
        Whether anything is spread, and any zone loosened.
    """
    rules = brief.preparation
    needed: Mapping[str, bool] = {
        "drain": bool(rules.cut_off_drain)
        or rules.subsurface_drains == "yes"
        or rules.drainage == "planned",
        "amend": spreads,
        "loosen": loosens,
        "settle": loosens,
        "ridge": bool(rules.ridge_height),
        "set out": True,
    }
    hours = {
        "drain": "work.amount.digger",
        "loosen": "work.loosening_hours",
        "ridge": "work.ridge_hours",
    }
    return tuple(
        Step(
            number,
            name,
            needed[name],
            figures.value(hours[name]) if hours.get(name) in figures else None,
            rules.settling if name == "settle" and loosens else 0.0,
        )
        for number, name in enumerate(ORDER, start=1)
    )
