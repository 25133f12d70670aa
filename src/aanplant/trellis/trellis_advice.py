"""What there is to say about a trellis: what does not hold, what to mind, how sure it is."""

from collections.abc import Iterator

import numpy as np

from aanplant.brief import Brief
from aanplant.trellis.breach_advice import misfits, overloads
from aanplant.trellis.ends import TieBack
from aanplant.trellis.holding import Holding
from aanplant.trellis.post_standing import gust_at_10_m
from aanplant.trellis.systems import without_arm
from aanplant.trellis.whole import Trellis
from aanplant.trellis.wire_strength import is_known_grade, tension_limit_n, usual_tension_n
from aanplant.working import Finding

LIFT_TOLD_N = 100.0
"""A lift below the weight of a post or two is not worth a sentence (judgement)."""


def advice(brief: Brief, made: Trellis) -> tuple[Finding, ...]:
    """Return the findings, in the order of the job."""
    return tuple(_all(brief, made))


def _all(brief: Brief, made: Trellis) -> Iterator[Finding]:
    if not made.wires:
        yield Finding(
            "trellis", "note", "trellis.no_wires", {"system": made.system.name},
            source=made.system.source,
        )  # fmt: skip
        return
    yield from misfits(brief, made)
    yield from _wires(made)
    held = made.holding
    if held is not None:
        yield from overloads(brief, made, held)
        yield from _worst(made, held)
        yield from _ground(brief, made, held)
        yield from _dips(made, held)
        yield from _ends(brief, made, held)
        yield Finding("trellis", "note", "trellis.uncertain", {"wind": (brief.posts.wind, "m/s")})
    yield Finding("trellis", "care", "trellis.wire_danger", source="practice")
    yield Finding("trellis", "care", "trellis.post_danger")


def _wires(made: Trellis) -> Iterator[Finding]:
    for wire in without_arm(made.system):
        yield Finding(
            "trellis",
            "care",
            "trellis.wire_without_arm",
            {
                "wire": wire.name,
                "offset": (wire.offset_m, "m"),
                "height": (wire.height_m, "m"),
            },
        )
    unknown = sorted({
        f"{wire.diameter_mm:g} mm {wire.grade}"
        for wire in made.wires
        if not is_known_grade(wire.diameter_mm, wire.grade)
    })  # fmt: skip
    if unknown:
        yield Finding(
            "trellis", "care", "trellis.grade_unknown", {"wires": ", ".join(unknown)},
            source="sa-wire-guide",
        )  # fmt: skip
    for number, wire in enumerate(made.wires, 1):
        limit_n = tension_limit_n(wire.diameter_mm, wire.grade)
        usual_n = usual_tension_n(wire.role)
        if wire.tension_n is None and usual_n > limit_n:
            yield Finding(
                "trellis",
                "note",
                "trellis.tension_lowered",
                {
                    "wire": wire.name,
                    "usual": (round(usual_n), "N"),
                    "limit": (round(limit_n), "N"),
                },
                f"trellis.wire_tension.{number}",
                "memory",
            )


def _worst(made: Trellis, held: Holding) -> Iterator[Finding]:
    """Name the rows in which most is used."""
    rows, use = made.rows.row, held.worst_use
    first = np.argsort(-use, kind="stable")
    named = list(dict.fromkeys(int(row) for row in rows[first]))[:3]
    worst = int(first[0])
    yield Finding(
        "trellis",
        "note",
        "trellis.worst_rows",
        {
            "rows": ", ".join(str(row) for row in named),
            "part": str(held.worst_part[worst]),
            "use": round(float(use[worst]), 2),
            "least": round(float(use.min()), 2),
        },
    )


def _ground(brief: Brief, made: Trellis, held: Holding) -> Iterator[Finding]:
    """Give the wind that the practice depth stands, by the most careful method and by Broms."""
    worst = int(np.argmin(held.ground_gust_m_s))
    gusts = np.max(list(held.standing.ground_gust_m_s.values()), axis=0)
    most = float(gust_at_10_m(brief, held.loads, gusts)[worst])
    yield Finding(
        "trellis",
        "care",
        "trellis.ground_relative",
        {
            "depth": (made.system.post_embedment_m, "m"),
            "soil": held.soil.name,
            "row": int(made.rows.row[worst]),
            "careful": (round(float(held.ground_gust_m_s[worst]), 1), "m/s"),
            "most": (round(most, 1), "m/s"),
            "wind": (brief.posts.wind, "m/s"),
        },
        "trellis.ground_wind.exposed.ibc"
        if held.is_exposed[worst]
        else "trellis.ground_wind.sheltered.ibc",
        "ibc-bearing",
    )


def _dips(made: Trellis, held: Holding) -> Iterator[Finding]:
    if not np.isfinite(held.lift_n).any():
        return
    worst = int(np.nanargmax(held.lift_n))
    lift_n = float(held.lift_n[worst])
    if lift_n > LIFT_TOLD_N:
        yield Finding(
            "trellis",
            "note",
            "trellis.dip",
            {
                "row": int(made.rows.row[worst]),
                "angle": (round(float(made.rows.dip_deg[worst]), 1), "deg"),
                "lift": (round(lift_n), "N"),
                "holds": (round(held.pull_out_n), "N"),
                "count": int((np.nan_to_num(held.lift_n) > LIFT_TOLD_N).sum()),
            },
            "trellis.lift",
            "fencing-handbook",
        )


def _ends(brief: Brief, made: Trellis, held: Holding) -> Iterator[Finding]:
    ends = held.ends
    if isinstance(ends.held, TieBack) and made.counts.anchors:
        yield Finding(
            "trellis",
            "care",
            "trellis.pull_test",
            {"load": (round(float(ends.parts[0].load.max())), "N"),
             "proof": (round(float(ends.parts[0].load.max()) * brief.ends.factor_of_safety), "N")},
            "trellis.end_load.anchor",
        )  # fmt: skip
    if made.counts.inside_ends:
        yield Finding(
            "trellis", "note", "trellis.inside_ends", {"count": made.counts.inside_ends},
            "trellis.struts",
        )  # fmt: skip
    if ends.is_lighter.any():
        yield Finding(
            "trellis", "note", "trellis.lighter_ends", {"count": int(ends.is_lighter.sum())}
        )
    longer = made.rows.length_m > np.nan_to_num(ends.printed_longest_m, nan=np.inf)
    if longer.any():
        worst = int(np.argmax(np.where(longer, made.rows.length_m, 0.0)))
        yield Finding(
            "trellis",
            "care",
            "trellis.rows_long",
            {
                "count": int(longer.sum()),
                "row": int(made.rows.row[worst]),
                "length": (round(float(made.rows.length_m[worst]), 1), "m"),
                "printed": (float(ends.printed_longest_m[worst]), "m"),
            },
            source="trellis-slides",
        )
