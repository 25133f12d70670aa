"""The rounds of work on the young vines, from planting to the winter of the third year."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from aanplant import tables
from aanplant.brief import Brief
from aanplant.inputs import Inputs
from aanplant.site import Site
from aanplant.site.planting_time import bud_break_of
from aanplant.trellis import Trellis
from aanplant.water import Irrigation
from aanplant.working import Finding, Input, Working

TABLE = "aftercare.csv"
ROUND_WORD = "round."
"""Before a round's id: the word of the catalogue by which people know it."""
PER = 1000.0
"""Norms are for a thousand vines, or a thousand gaps."""
TANKER = "tanker"
_WEEK = 7
_WEEKS_IN_FIRST_SEASON = 30
"""Later weeks of the plan of the first season belong to the next one."""
_LATE_PLANTING_DAYS = 150
"""Dormant vines planted so soon after bud-break still grow in that season (judgement)."""
_STORED_BREAK_DAYS = 28
"""Vines out of the store break bud so long after planting, once others have (judgement)."""
_GUARDED = 3
"""Seasons in which trunks are green or have green bark."""


@dataclass(frozen=True, slots=True)
class Round:
    """One round of work on the young vines.

    Parameters
    ----------
    id : str
        As ``aftercare.csv`` has it; the catalogue's word is ``round.<id>``.
    year : int
        Season it belongs to: 0 begins with planting, each next one with its winter.
    first, last : date
        Between which it is done.
    person_hours : float
        Work of one person. [h]
    machine : str
        Machine it needs, "" for none.
    machine_hours : float
        Hours of that machine. [h]
    quantity : float
        Vines, or gaps, it goes over.
    unit : str
        ``vines`` or ``gaps``.
    figure : str
        Key of the figure of its hours.
    note : str
        Id of the word that says how it is done, "" for none.
    """

    id: str
    year: int
    first: date
    last: date
    person_hours: float
    machine: str
    machine_hours: float
    quantity: float
    unit: str
    figure: str
    note: str


@dataclass(frozen=True)
class Aftercare:
    """All rounds, and what there is to say.

    Parameters
    ----------
    rounds : tuple of Round
        By their first day; empty while the month of planting is open.
    figures, findings
        What the topic has to say.
    """

    rounds: tuple[Round, ...]
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]

    def person_hours(self, year: int) -> float:
        """Work of all rounds of a season. [h]."""
        return sum(one.person_hours for one in self.rounds if one.year == year)


def aftercare(  # noqa: PLR0917 - what the rounds follow from, in the order of the job
    brief: Brief,
    inputs: Inputs,
    site: Site,
    trellis: Trellis,
    water: Irrigation,
    vines: Working,
    planted: tuple[date, date] | None,
) -> Aftercare:
    """Date the rounds of the first three years, and reckon their work.

    Parameters
    ----------
    brief : Brief
        What is asked.
    inputs : Inputs
        Norms of the estate's own, which go before the table's.
    site : Site
        For the hemisphere.
    trellis, water
        Whether there are wires, and the plan of water in the first season.
    vines : Working
        In the block. [vines]
    planted : tuple of date, or None
        First and last day of planting; None while it is open.
    """
    if planted is None:
        return Aftercare((), (), ())
    first_season = water.use.needs.first if water.use and water.use.needs else None
    by_tanker = brief.first_season.by == "tanker"
    breaks = bud_breaks(brief, planted[0], is_south=site.frame.latitude_deg < 0.0)
    wanted = {
        "": True,
        "mound": brief.nursery.mound,
        "pegs": True,
        "wires": bool(trellis.wires),
        "guards": brief.materials.guards,
        "dripper": not by_tanker,
    }
    made: dict[str, Working] = {}
    rounds: list[Round] = []
    for row in tables.rows(TABLE):
        if not wanted[row["only"]]:
            continue
        figure = _hours(brief, inputs, row, vines, made)
        rounds += _rounds(brief, row, figure, planted, breaks)
    if by_tanker and first_season is not None:
        weekly_h = first_season.tanker_hours[:_WEEKS_IN_FIRST_SEASON]
        hours = float(weekly_h.sum())
        figure = Working(
            "work.round.tanker",
            hours,
            "h",
            tuple(
                Input(f"week_{number}", float(each), "h", "measured")
                for number, each in enumerate(weekly_h.tolist(), 1)
                if each
            ),
            "arithmetic",
        )
        made[figure.key] = figure
        weeks = timedelta(weeks=len(weekly_h))
        rounds.append(
            Round("watering", 0, planted[0], planted[0] + weeks, hours, TANKER, hours,
                  float(vines.value), "vines", figure.key, "round_note.watering")
        )  # fmt: skip
    rounds.sort(key=lambda one: (one.first, one.last, one.id))
    years = tuple(
        _of_year(year, [one for one in rounds if one.year == year], made)
        for year in sorted({one.year for one in rounds})
    )
    return Aftercare(
        tuple(rounds), (*made.values(), *years), tuple(_findings(rounds, years, breaks))
    )


def bud_breaks(brief: Brief, planted: date, *, is_south: bool) -> tuple[date, ...]:
    """Bud-break of the season of planting and of the three after it.

    Dormant vines break bud after planting: on the site's day, or, out of the store when
    others have broken, some weeks after they are planted. Vines in leaf are planted into a
    season that has begun.

    Parameters
    ----------
    brief : Brief
        Day of bud-break, and the form of the vines.
    planted : date
        First day of planting.
    is_south : bool
        South of the equator.
    """
    month, day = (int(part) for part in bud_break_of(brief, is_south=is_south).split("-"))
    this_year = date(planted.year, month, day)
    before = this_year if this_year <= planted else date(planted.year - 1, month, day)
    is_late = (planted - before).days < _LATE_PLANTING_DAYS
    if brief.climate.plant_form != "dormant":
        first = before
    elif is_late:
        first = max(before, planted + timedelta(days=_STORED_BREAK_DAYS))
    else:
        first = date(before.year + 1, month, day)
    year = before.year if brief.climate.plant_form != "dormant" or is_late else first.year
    return (first, *(date(year + season, month, day) for season in range(1, 4)))


def _hours(
    brief: Brief, inputs: Inputs, row: Mapping[str, str], vines: Working, made: dict[str, Working]
) -> Working:
    """Work of one such round; rounds alike share it."""
    low, high = float(row["low"]), float(row["high"])
    own = inputs.labour.norms.get(row["round"])
    if own is not None:
        norm = Input("norm", own, f"h/{row['per']}", "file:estate.toml")
    else:
        norm = Input("norm", (low + high) / 2.0, f"h/{row['per']}", f"table:{TABLE}", row["source"])
    if row["per"] == "1000 gaps":
        gaps = _gaps(brief, int(row["season"]), vines)
        made.setdefault(gaps.key, gaps)
        basis = gaps.as_input("gaps")
    else:
        basis = vines.as_input("vines")
    key = f"work.round.{row['round']}.{row['season']}"
    hours = float(basis.value) / PER * float(norm.value)
    known = made.get(key)
    if known is not None and known.value == hours:
        return known
    if known is not None:
        key = f"{key}.{sum(other.startswith(key) for other in made) + 1}"
    source = norm.source or "arithmetic"
    about = f"{row['round'].replace('-', ' ')}, season {int(row['season']) + 1}"
    made[key] = Working(key, hours, "h", (basis, norm), source, about=about, message="work.round")
    return made[key]


def _gaps(brief: Brief, season: int, vines: Working) -> Working:
    """Vines to replace before a season, by the losses the brief reckons with."""
    first = brief.spares.first_year_share
    share = first if season == 1 else 1.0 - first
    inputs = (
        vines.as_input("vines"),
        brief.as_input("vines.loss_fraction", "loss_fraction"),
        brief.as_input("spares.first_year_share", "first_year_share"),
    )
    value = round(float(vines.value) * brief.vines.loss_fraction * share)
    if season == 1:
        return Working("work.gaps.1", value, "vines", inputs, "practice", message="work.gaps_first")
    return Working("work.gaps.2", value, "vines", inputs, "practice", message="work.gaps_second")


def _rounds(
    brief: Brief,
    row: Mapping[str, str],
    figure: Working,
    planted: tuple[date, date],
    breaks: tuple[date, ...],
) -> Iterator[Round]:
    season, times = int(row["season"]), int(row["times"])
    start, end = planted if row["anchor"] == "planted" else (breaks[season], breaks[season])
    first = start + timedelta(days=int(row["from_days"]))
    last = end + timedelta(days=int(row["to_days"]))
    if row["round"] == "mounds":
        wait = timedelta(days=round(brief.nursery.mound_weeks * _WEEK))
        first, last = planted[0] + wait, planted[1] + wait
    # Vines planted into a season that has begun miss what lies before their planting.
    first, last = max(first, planted[0]), max(last, planted[0])
    span = (last - first).days
    basis = figure.inputs[0]
    for turn in range(times):
        yield Round(
            row["round"],
            season,
            first + timedelta(days=span * turn // times),
            first + timedelta(days=span * (turn + 1) // times),
            float(figure.value),
            "",
            0.0,
            float(basis.value),
            "gaps" if row["per"] == "1000 gaps" else "vines",
            figure.key,
            f"round_note.{row['round']}",
        )


def _of_year(year: int, rounds: list[Round], made: Mapping[str, Working]) -> Working:
    keys = dict.fromkeys(one.figure for one in rounds)
    inputs = []
    for key in keys:
        times = sum(one.figure == key for one in rounds)
        inputs += [
            made[key].as_input(key.removeprefix("work.round.")),
            Input(f"times_{key.removeprefix('work.round.')}", times, "", f"table:{TABLE}"),
        ]
    return Working(
        f"work.aftercare.{year}",
        sum(one.person_hours for one in rounds),
        "h",
        tuple(inputs),
        "arithmetic",
        about=f"season {year + 1}",
        message="work.aftercare",
    )


def _findings(
    rounds: list[Round], years: tuple[Working, ...], breaks: tuple[date, ...]
) -> Iterator[Finding]:
    green_until = breaks[_GUARDED - 1] + timedelta(days=210)
    yield Finding("work", "care", "aftercare.green_trunks", {"until": green_until.isoformat()})
    mounds = [one for one in rounds if one.id == "mounds"]
    if mounds and mounds[0].first > breaks[0] + timedelta(weeks=8):
        yield Finding(
            "work", "care", "aftercare.mounds_late",
            {"opened": mounds[0].first.isoformat(), "bud_break": breaks[0].isoformat()},
        )  # fmt: skip
    values = {f"season_{at}": round(float(year.value)) for at, year in enumerate(years[:3], 1)}
    yield Finding("work", "note", "aftercare.effort", values, years[0].key, source="memory")
