"""What the law may ask before this land is planted: asked, answered or still open.

A reminder with the names of those who decide, never legal advice.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from aanplant import tables
from aanplant.brief import Brief
from aanplant.errors import InputError
from aanplant.working import Finding, Input, Working

ANY_COUNTRY = "*"
SLOPE = "slope"
STEEP_SHARE = 0.02
"""Share of the block over a slope limit from which it counts; less may be a bank (judgement)."""
Applies = Literal["yes", "no", "unknown"]
_SETTLED = ("granted", "not needed")


@dataclass(frozen=True, slots=True)
class Permission:
    """One permission, whether it applies here, and where it stands.

    Parameters
    ----------
    id, name : str
        As the table has them.
    trigger, authority : str
        What makes it needed, and who decides.
    lead_time_weeks : float
        Time to allow, an estimate. [weeks]
    applies : {"yes", "no", "unknown"}
        Whether what triggers it is there.
    status : str
        granted, applied, refused, not needed or unanswered.
    reference : str
        Number or date of the letter.
    source : str
        Of the row.
    """

    id: str
    name: str
    trigger: str
    authority: str
    lead_time_weeks: float
    applies: Applies
    status: str
    reference: str
    source: str

    @property
    def stops(self) -> bool:
        """Whether it is known to be needed and not granted."""
        return self.status == "refused" or (self.applies == "yes" and self.status not in _SETTLED)

    @property
    def is_open(self) -> bool:
        """Whether nobody has said if it is needed."""
        return self.applies == "unknown" and self.status not in (*_SETTLED, "refused")


@dataclass(frozen=True)
class Permissions:
    """All permissions of a block.

    Parameters
    ----------
    permissions : tuple of Permission
        In the order of the table.
    figures, findings
        What there is to say.
    """

    permissions: tuple[Permission, ...]
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]


def survey_permissions(brief: Brief, slopes_pct: NDArray[np.float64] | None = None) -> Permissions:
    """Set what is known of the land beside the table of permissions.

    Parameters
    ----------
    brief : Brief
        Its section ``permissions``.
    slopes_pct : ndarray, shape (n,), optional
        Steepness at evenly spread points of the block; None without heights. [%]

    Raises
    ------
    InputError
        If an answer is to a permission the table does not have for this country, or one
        is answered twice.
    """
    rows = _rows(brief.permissions.country)
    answers = {answer.id: answer for answer in brief.permissions.answers}
    _check_answers(brief, [row["id"] for row in rows])
    found = tuple(
        Permission(
            id=row["id"],
            name=row["name"],
            trigger=row["trigger"],
            authority=row["authority"],
            lead_time_weeks=float(row["lead_time_weeks"]),
            applies=_applies(brief, row, slopes_pct),
            status=answers[row["id"]].status if row["id"] in answers else "unanswered",
            reference=answers[row["id"]].reference if row["id"] in answers else "",
            source=row["source"],
        )
        for row in rows
    )
    return Permissions(found, _figures(found), tuple(_findings(found, brief.permissions.country)))


def _rows(country: str) -> list[Mapping[str, str]]:
    rows = tables.rows("permissions.csv")
    own = [row for row in rows if row["country"] == country]
    return own or [row for row in rows if row["country"] == ANY_COUNTRY]


def _check_answers(brief: Brief, known: list[str]) -> None:
    seen: set[str] = set()
    for answer in brief.permissions.answers:
        where = f"brief.toml: permissions.answers: {answer.id}"
        if answer.id not in known:
            raise InputError(where, "no such permission", f"one of {', '.join(known)}")
        if answer.id in seen:
            raise InputError(where, "a second answer", "one answer to each permission")
        seen.add(answer.id)


def _applies(
    brief: Brief, row: Mapping[str, str], slopes_pct: NDArray[np.float64] | None
) -> Applies:
    """Whether fact and slope limit of a row are met; a row may have both."""
    steep: Applies = "yes"
    if row["limit_pct"]:
        steep = _is_steeper(float(row["limit_pct"]), slopes_pct)
    fact: Applies = "yes" if row["fact"] == SLOPE else brief.setting(f"permissions.{row['fact']}")
    if "no" in {fact, steep}:
        return "no"
    return "unknown" if "unknown" in {fact, steep} else "yes"


def _is_steeper(limit_pct: float, slopes_pct: NDArray[np.float64] | None) -> Applies:
    """Whether enough of the block is over a limit; a few steep spots leave it open."""
    if slopes_pct is None:
        return "unknown"
    share = float((slopes_pct > limit_pct).mean())
    return "yes" if share >= STEEP_SHARE else "unknown" if share > 0.0 else "no"


def _figures(found: tuple[Permission, ...]) -> tuple[Working, ...]:
    counted = (
        Input("in_table", len(found), "", "table:permissions.csv", "practice"),
        Input("settled", sum(item.status in _SETTLED for item in found), "", "measured"),
        Input("not_applying", sum(_is_idle(item) for item in found), "", "measured"),
    )
    return (
        Working(
            "site.permissions_open",
            sum(item.stops or item.is_open for item in found),
            "",
            counted,
            "practice",
        ),
    )


def _is_idle(item: Permission) -> bool:
    return item.applies == "no" and item.status not in (*_SETTLED, "refused")


def _findings(found: tuple[Permission, ...], country: str) -> list[Finding]:
    made = [_stop(item) for item in found if item.stops]
    waiting = [item.name for item in found if item.is_open]
    if waiting:
        made.append(
            Finding(
                "site",
                "care",
                "permissions.unanswered",
                {"names": "; ".join(waiting), "count": len(waiting)},
                "site.permissions_open",
            )
        )
    made.extend(
        Finding(
            "site",
            "care",
            "permissions.said_not_needed",
            {"name": item.name, "trigger": item.trigger, "authority": item.authority},
            source=item.source,
        )
        for item in found
        if item.applies == "yes" and item.status == "not needed"
    )
    granted = [item for item in found if item.status == "granted"]
    if granted:
        made.append(
            Finding(
                "site",
                "note",
                "permissions.granted",
                {"names": "; ".join(_with_reference(item) for item in granted)},
                source="brief",
            )
        )
    if not any(row["country"] == country for row in tables.rows("permissions.csv")):
        made.append(
            Finding(
                "site", "note", "permissions.general", {"country": country or "no country given"}
            )
        )
    return made


def _stop(item: Permission) -> Finding:
    return Finding(
        "site",
        "stop",
        "permissions.not_granted",
        {
            "name": _capital(item.name),
            "trigger": item.trigger,
            "status": item.status,
            "authority": item.authority,
            "weeks": round(item.lead_time_weeks),
        },
        "site.permissions_open",
        item.source,
    )


def _with_reference(item: Permission) -> str:
    return f"{item.name} ({item.reference})" if item.reference else item.name


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
