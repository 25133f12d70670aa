"""What grew here before, and whether it left anything that harms young vines.

What nobody tested is unknown, never clean.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from aanplant import tables
from aanplant.brief import Brief
from aanplant.brief.history import NeighbourVines, NematodeCount
from aanplant.working import Finding, Input, Value, Working

OLD_CROPS = ("vines", "orchard")
"""Crops that leave roots, poles and wire."""
PESTS: Mapping[str, str] = {
    "leafroll": "leafroll virus",
    "mealybug": "vine mealybug",
    "ground_pearls": "ground pearls",
    "phylloxera": "phylloxera",
    "crown_gall": "crown gall",
    "phytophthora": "Phytophthora",
    "herbicide_residue": "herbicide residue",
}
"""What is asked for, by its key in the brief."""
NEMATODES = "nematodes"
_Values = dict[str, Value | tuple[Value, str]]
_UPWIND_FACTOR = 2.0
"""Wind carries young mealybugs: upwind ones are spoken of to twice as far (judgement)."""


@dataclass(frozen=True, slots=True)
class NematodeReading:
    """One count, and what its kind does to vines.

    Parameters
    ----------
    count : NematodeCount
        As the laboratory counted.
    group : str
        Such as "dagger"; "" when the table does not know it.
    harm : str
        What it does.
    level : str
        note, care or stop; "" when not known.
    source : str
        Of the row.
    """

    count: NematodeCount
    group: str
    harm: str
    level: str
    source: str


@dataclass(frozen=True)
class History:
    """What the land carried and left.

    Parameters
    ----------
    states : mapping of str to str
        By what is asked for: found, not found or untested.
    nematodes : tuple of NematodeReading
        In the order of the brief.
    months_bare : int or None
        From pulling to planting; None when either month is not given. [months]
    figures, findings
        What there is to say.
    """

    states: Mapping[str, str]
    nematodes: tuple[NematodeReading, ...]
    months_bare: int | None
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]


def survey_history(brief: Brief) -> History:
    """Read the section ``history`` as a plant pathologist would ask it.

    Parameters
    ----------
    brief : Brief
        Its section ``history``, and the month of planting.
    """
    land = brief.history
    states = {name: str(getattr(land, key)) for key, name in PESTS.items()}
    counted = any(item.count for item in land.nematodes)
    states[NEMATODES] = "untested" if not land.nematodes else "found" if counted else "not found"
    readings = tuple(read_nematode(item) for item in land.nematodes)
    bare = months_between(land.pulled, brief.work.planting)
    findings = (
        *_virus(brief, bare),
        *_pests(states),
        *(finding for reading in readings for finding in _nematode(reading, land.dagger_settled)),
        *_bare_reports(land.nematodes),
        *_neighbours(brief),
        *_left_behind(brief),
        *_old_vines(brief),
        *_tests(states),
    )
    return History(states, readings, bare, tuple(_figures(brief, states, bare)), findings)


def months_between(earlier: str, later: str) -> int | None:
    """Months from one "YYYY-MM" to another, None when one is empty. [months]."""
    if not earlier or not later:
        return None
    years = int(later[:4]) - int(earlier[:4])
    return 12 * years + int(later[5:7]) - int(earlier[5:7])


def read_nematode(count: NematodeCount) -> NematodeReading:
    """Find what is known of a species by the words of its name."""
    name = count.species.casefold()
    for row in tables.rows("nematodes.csv"):
        if any(word in name for word in row["words"].split(";")):
            return NematodeReading(count, row["group"], row["harm"], row["level"], row["source"])
    return NematodeReading(count, "", "", "", "practice")


def _virus(brief: Brief, bare: int | None) -> Iterator[Finding]:
    land = brief.history
    if land.leafroll != "found":
        return
    wanted = round(land.fallow)
    if bare is None or (land.host_free == "unknown" and bare >= land.fallow):
        values: _Values = {"wanted": wanted}
        yield Finding("site", "care", "history.virus_fallow_unsure", values, "", "memory")
    elif land.host_free == "yes" and bare >= land.fallow:
        values = {"months": bare, "wanted": wanted}
        yield Finding(
            "site", "note", "history.virus_fallow_held", values, "site.months_bare", "memory"
        )
    else:
        values = {"months": bare, "wanted": wanted}
        yield Finding(
            "site", "care", "history.virus_without_fallow", values, "site.months_bare", "memory"
        )


def _pests(states: Mapping[str, str]) -> Iterator[Finding]:
    def is_found(key: str) -> bool:
        return states[PESTS[key]] == "found"

    if is_found("ground_pearls"):
        yield Finding("site", "stop", "history.ground_pearls", source="memory")
    if is_found("mealybug"):
        yield Finding("site", "care", "history.mealybug_here", source="memory")
    if is_found("phylloxera"):
        yield Finding("site", "care", "history.phylloxera", source="memory")
    if is_found("crown_gall"):
        yield Finding("site", "care", "history.crown_gall", source="memory")
    if is_found("phytophthora"):
        yield Finding("site", "care", "history.phytophthora", source="memory")
    if is_found("herbicide_residue"):
        yield Finding("site", "care", "history.herbicide", source="practice")


def _nematode(reading: NematodeReading, settled_with: str) -> Iterator[Finding]:
    count = reading.count
    if not count.count:
        return
    values: _Values = {
        "species": count.species,
        "count": count.count,
        "per": count.per,
        "harm": reading.harm,
        "adviser": settled_with,
    }
    if reading.group == "dagger" and not settled_with:
        yield Finding("site", "stop", "history.dagger", values, "", reading.source)
    elif reading.group == "dagger":
        yield Finding("site", "care", "history.dagger_settled", values, "", reading.source)
    elif reading.level == "care":
        yield Finding("site", "care", "history.nematode", values, "", reading.source)
    elif reading.level:
        yield Finding("site", "note", "history.nematode_harmless", values, "", reading.source)
    else:
        yield Finding("site", "care", "history.nematode_unknown", values)


def _bare_reports(counts: tuple[NematodeCount, ...]) -> Iterator[Finding]:
    bare = [item.species for item in counts if not (item.laboratory and item.method and item.date)]
    if bare:
        yield Finding("site", "note", "history.nematode_report_bare", {"species": ", ".join(bare)})


def _neighbours(brief: Brief) -> Iterator[Finding]:
    near = [item for item in brief.history.neighbours if _is_near(item, brief)]
    for item in near:
        found = [
            name
            for name, state in (("leafroll virus", item.leafroll), ("mealybug", item.mealybug))
            if state == "found"
        ]
        if found:
            wind = {"yes": ", and lies upwind", "unknown": "; whether it lies upwind is unknown"}
            yield Finding(
                "site",
                "care",
                "history.neighbour",
                {
                    "name": item.name or "A neighbouring vineyard",
                    "distance": (item.distance, "m"),
                    "found": " and ".join(found),
                    "wind": wind.get(item.upwind, ""),
                },
                source="memory",
            )
    untested = [item for item in near if "untested" in {item.leafroll, item.mealybug}]
    if untested:
        yield Finding(
            "site",
            "care",
            "history.neighbours_untested",
            {"names": ", ".join(item.name or f"at {item.distance:g} m" for item in untested)},
        )


def _is_near(item: NeighbourVines, brief: Brief) -> bool:
    reach_m = brief.history.neighbour_reach * (1.0 if item.upwind == "no" else _UPWIND_FACTOR)
    return item.distance <= reach_m


def _left_behind(brief: Brief) -> Iterator[Finding]:
    land = brief.history
    if land.last_crop not in OLD_CROPS:
        return
    answers = {"roots": land.roots_out, "poles": land.poles_out, "wire": land.wire_out}
    left = [name for name, answer in answers.items() if answer == "no"]
    unsure = [name for name, answer in answers.items() if answer == "unknown"]
    if left:
        yield Finding("site", "care", "history.left_in_ground", {"names": ", ".join(left)})
    if unsure:
        yield Finding("site", "care", "history.unsure_in_ground", {"names": ", ".join(unsure)})


def _old_vines(brief: Brief) -> Iterator[Finding]:
    land = brief.history
    if land.vine_age is not None and land.vine_age > land.old_vines:
        yield Finding(
            "site",
            "note",
            "history.old_vines",
            {"age": land.vine_age, "limit": land.old_vines},
        )


def _tests(states: Mapping[str, str]) -> Iterator[Finding]:
    untested = [name for name, state in states.items() if state == "untested"]
    clear = [name for name, state in states.items() if state == "not found"]
    if untested:
        yield Finding(
            "site", "care", "history.untested", {"names": ", ".join(untested)}, "site.untested"
        )
    if clear:
        yield Finding(
            "site", "note", "history.not_found", {"names": ", ".join(clear)}, "site.untested"
        )


def _figures(brief: Brief, states: Mapping[str, str], bare: int | None) -> Iterator[Working]:
    untested = sum(state == "untested" for state in states.values())
    yield Working(
        "site.untested",
        untested,
        "",
        (
            Input("asked", len(states), "", "measured"),
            Input("tested", len(states) - untested, "", "measured"),
        ),
        "arithmetic",
    )
    if bare is not None:
        yield Working(
            "site.months_bare",
            bare,
            "",
            (brief.as_input("history.pulled"), brief.as_input("work.planting", "planting")),
            "arithmetic",
        )
