"""Whether rows and vines stand as far apart as the soil, the vines and the machine ask."""

from collections.abc import Iterator
from dataclasses import dataclass

from aanplant import tables
from aanplant.brief import Brief
from aanplant.site import Site
from aanplant.working import Finding, Input, Value, Working

TABLE = "spacing_rules.csv"
POTENTIALS = ("low", "medium", "high")
STRONG, WEAK = 3.5, 2.5
"""Mean vigour of rootstock and scion, 1 to 5, from which the range's far or near half is meant
(judgement)."""

Values = dict[str, Value | tuple[Value, str]]


@dataclass(frozen=True, slots=True)
class Range:
    """What the sources allow, all of them taken together.

    Parameters
    ----------
    low, high : float
        Ends.
    source : str
        Id of the source of the widest part, ``memory`` where any of it is recalled.
    """

    low: float
    high: float
    source: str

    def as_inputs(self) -> tuple[Input, Input]:
        """Return both ends as inputs of a figure."""
        origin = f"table:{TABLE}"
        return (
            Input("low", self.low, "m", origin, self.source),
            Input("high", self.high, "m", origin, self.source),
        )


@dataclass(frozen=True)
class Spacing:
    """How the spacing asked for stands beside the rules.

    Parameters
    ----------
    vigour : float or None
        Mean of rootstock and scion where both are known, 1 to 5; else of the one known.
    in_row : dict of str to Range
        Range between vines by soil potential, for the potentials of the block.
    figures, findings
        What there is to say.
    """

    vigour: float | None
    in_row: dict[str, Range]
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]


def rule(name: str, when: str = "") -> Range:
    """Return the range of a rule over all its sources.

    Raises
    ------
    KeyError
        If there is no such rule.
    """
    rows = [row for row in tables.rows(TABLE) if (row["rule"], row["when"]) == (name, when)]
    if not rows:
        raise KeyError((name, when))
    recalled = any(row["certainty"] == "memory" for row in rows)
    return Range(
        min(float(row["low"]) for row in rows),
        max(float(row["high"]) for row in rows),
        "memory" if recalled else rows[0]["source"],
    )


def in_row_range(potential: str, vigour: float | None = None) -> Range:
    """Range between vines in the row, for a vertical canopy on rows of 2.2 to 2.75 m.

    Parameters
    ----------
    potential : {"low", "medium", "high"}
        What the soil can carry.
    vigour : float, optional
        Mean vigour of rootstock and scion, 1 to 5. Strong vines take the far half of the
        range, weak ones the near half. [-]

    Returns
    -------
    Range
        [m]
    """
    whole = rule("vine spacing", potential)
    middle = (whole.low + whole.high) / 2.0
    if vigour is not None and vigour >= STRONG:
        return Range(middle, whole.high, whole.source)
    if vigour is not None and vigour <= WEAK:
        return Range(whole.low, middle, whole.source)
    return whole


def survey_spacing(
    brief: Brief,
    site: Site,
    *,
    scion_vigour: float | None = None,
    rootstock_vigour: float | None = None,
) -> Spacing:
    """Set the spacing asked for beside the rules.

    Parameters
    ----------
    brief : Brief
        What is asked.
    site : Site
        With its soil zones, where pits were dug.
    scion_vigour, rootstock_vigour : float, optional
        1 very low to 5 very high, where known. [-]
    """
    known = [one for one in (scion_vigour, rootstock_vigour) if one is not None]
    vigour = sum(known) / len(known) if known else None
    row_m, machine = brief.vines.row_width, brief.machine.width
    room = Working(
        "stock.machine_room",
        row_m - machine,
        "m",
        (brief.as_input("vines.row_width", "row_width"), brief.as_input("machine.width", "width")),
        "arithmetic",
    )
    ratio = Working(
        "stock.canopy_to_row",
        brief.canopy.height / row_m,
        "",
        (brief.as_input("canopy.height"), brief.as_input("vines.row_width", "row_width")),
        "arithmetic",
    )
    potentials = _potentials(site)
    in_row = {name: in_row_range(name, vigour) for name in POTENTIALS if name in potentials}
    return Spacing(
        vigour,
        in_row,
        (room, ratio),
        (
            *_row_width(brief),
            *_machine(brief, room),
            *_canopy(ratio),
            *_in_row(brief, potentials, in_row, known),
        ),
    )


def _potentials(site: Site) -> dict[str, list[str]]:
    """Names of the zones by what their soil can carry."""
    found: dict[str, list[str]] = {}
    for zone in site.soil.zones if site.soil else ():
        found.setdefault(zone.potential.name, []).append(zone.name)
    return found


def _row_width(brief: Brief) -> Iterator[Finding]:
    form = brief.spacing.canopy
    if form == "free":
        return
    usual, asked = rule("row width", form), brief.vines.row_width
    if usual.low <= asked <= usual.high:
        return
    values: Values = {
        "asked": (asked, "m"),
        "low": (usual.low, "m"),
        "high": (usual.high, "m"),
        "form": f"words:canopy_form.{form}",
    }
    yield Finding(
        "stock", "note", "stock.row_width_unusual", values, "stock.row_width", usual.source
    )


def _machine(brief: Brief, room: Working) -> Iterator[Finding]:
    beside = rule("beside the machine")
    left = brief.vines.row_width - brief.machine.width
    values: Values = {
        "room": (left, "m"),
        "width": (brief.machine.width, "m"),
        "low": (beside.low, "m"),
        "high": (beside.high, "m"),
    }
    if round(left, 6) < beside.low:
        yield Finding("stock", "care", "stock.machine_room", values, room.key, beside.source)


def _canopy(ratio: Working) -> Iterator[Finding]:
    most = rule("canopy to row")
    if isinstance(ratio.value, float) and ratio.value > most.high:
        values: Values = {"ratio": round(ratio.value, 2), "most": most.high}
        yield Finding("stock", "care", "stock.canopy_shades", values, ratio.key, most.source)


def _in_row(
    brief: Brief, potentials: dict[str, list[str]], in_row: dict[str, Range], known: list[float]
) -> Iterator[Finding]:
    rows = rule("rows of the spacing rule")
    if brief.spacing.canopy != "vertical":
        return
    if not rows.low <= brief.vines.row_width <= rows.high:
        # The rule was made for these rows; it says nothing of wider or narrower ones.
        return
    if not in_row:
        yield Finding("stock", "note", "stock.spacing_soil_unknown")
        return
    asked = brief.vines.vine_spacing
    for potential, meant in in_row.items():
        if meant.low <= asked <= meant.high:
            continue
        values: Values = {
            "asked": (asked, "m"),
            "low": (meant.low, "m"),
            "high": (meant.high, "m"),
            "potential": f"words:potential.{potential}",
            "zones": ", ".join(potentials[potential]),
            "vigour": f"words:vigour_known.{len(known)}",
        }
        yield Finding(
            "stock", "note", "stock.vine_spacing_unusual", values, "stock.vine_spacing",
            meant.source,
        )  # fmt: skip
