"""What keeps water of the system out of drinking water, and chemicals out of the source.

Lists what to ask a registered installer for; it certifies nothing. The local code and the
chemical's label stand above it.
"""

from dataclasses import dataclass
from typing import Literal

from aanplant.brief import Brief
from aanplant.tables import rows

DRINKING, INJECTION = "drinking water", "injection"
MUNICIPAL: Literal["municipal"] = "municipal"


@dataclass(frozen=True, slots=True)
class Guard:
    """One thing that must be there.

    Parameters
    ----------
    rule : str
        Its id in the table.
    when : str
        drinking water or injection.
    what : str
        In words.
    amount : float or None
        A size or distance that goes with it, in ``unit``.
    unit : str
        Of the amount.
    source : str
        Source id.
    """

    rule: str
    when: str
    what: str
    amount: float | None
    unit: str
    source: str


def guards(brief: Brief) -> tuple[Guard, ...]:
    """Return what the system of a brief must have: on drinking water, and where it injects."""
    works = brief.head_works
    asked = {
        DRINKING: works.source_kind == MUNICIPAL,
        INJECTION: works.injects,
    }
    return tuple(
        Guard(
            row["rule"],
            row["when"],
            row["what"],
            float(row["amount"]) if row["amount"] else None,
            row["unit"],
            row["source"],
        )
        for row in rows("backflow.csv")
        if asked[row["when"]]
    )
