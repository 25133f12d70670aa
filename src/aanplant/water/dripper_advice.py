"""What there is to say about the drippers: starved, uneven, hard pressed, and their lines."""

from aanplant.brief import Brief
from aanplant.water.designed import DesignedSystem
from aanplant.water.emitters import KPA_PER_M
from aanplant.water.velocity import FLUSHING_M_S
from aanplant.working import Finding, Value

_SLACK = 1e-6
_SHOWN_KPA = 0.05
"""Pressures that differ by less read alike."""
FIELD_LOW_PCT, FIELD_HIGH_PCT = 65.0, 80.0
"""Uniformity of distribution that field evaluations of drip systems usually found. [%]"""
Shown = dict[str, Value | tuple[Value, str]]


def dripper_advice(brief: Brief, made: DesignedSystem) -> list[Finding]:
    """Say where drippers starve, are uneven or meet too much pressure, and what to hold a gauge at.

    Parameters
    ----------
    brief : Brief
        Gives the uniformity and the margin wanted.
    made : DesignedSystem
        As designed.
    """
    runs, law, found = made.runs, made.law, []
    target = brief.uniformity.emission
    for number in range(len(runs)):
        node = int(runs.least_node[number])
        values: Shown = {
            "set": number + 1,
            "row": made.row_of(node)[0],
            "pressure": (float(runs.least_m[number]) * KPA_PER_M, "kPa"),
        }
        place = made.place_of(node)
        if runs.starved[number]:
            values["count"] = int(runs.starved[number])
            found.append(
                Finding(
                    "water", "stop", "system.starved", values, "water.pressure_least", place=place
                )
            )
        elif runs.emission_pct[number] < target - _SLACK:
            values["uniformity"] = (float(runs.emission_pct[number]), "%")
            values["target"] = (target, "%")
            found.append(
                Finding(
                    "water",
                    "care",
                    "system.uneven",
                    values,
                    "water.emission_uniformity",
                    "keller-karmeli",
                    place,
                )
            )
    worst = int(runs.most_m.argmax())
    if law.is_compensating and runs.most_m[worst] > law.highest_head_m * (1.0 + _SLACK):
        node = int(runs.most_node[worst])
        values = {
            "set": worst + 1,
            "row": made.row_of(node)[0],
            "pressure": (float(runs.most_m[worst]) * KPA_PER_M, "kPa"),
            "limit": (law.highest_head_m * KPA_PER_M, "kPa"),
        }
        found.append(
            Finding(
                "water",
                "care",
                "system.pressure_high",
                values,
                "water.pressure_most",
                place=made.place_of(node),
            )
        )
    found += _near_start(brief, made)
    if made.lacks_head:
        return found  # neither a gauge nor an open end shows anything then
    return [
        *found,
        _worst_places(made),
        _in_the_field(made),
        *_flushing(made),
    ]


def _near_start(brief: Brief, made: DesignedSystem) -> list[Finding]:
    """Say where a regulating dripper runs too near to where its regulation starts."""
    law, runs = made.law, made.runs
    if not law.keeps_flow:
        return []
    worst = int(runs.least_m.argmin())
    pressure, start = (one * KPA_PER_M for one in (float(runs.least_m[worst]), law.lowest_head_m))
    margin = brief.uniformity.start_margin
    if not start <= pressure < start + margin - _SHOWN_KPA:  # below it they are told as uneven
        return []
    node = int(runs.least_node[worst])
    values: Shown = {
        "row": made.row_of(node)[0],
        "set": worst + 1,
        "pressure": (pressure, "kPa"),
        "start": (start, "kPa"),
        "margin": (margin, "kPa"),
        "short": (start + margin - pressure, "kPa"),
    }
    return [
        Finding(
            "water", "care", "system.near_start", values, "water.start_margin",
            made.law.source, made.place_of(node),
        )
    ]  # fmt: skip


def _in_the_field(made: DesignedSystem) -> Finding:
    """Say that a design's uniformity is not what stands in the field."""
    return Finding(
        "water",
        "note",
        "system.field_uniformity",
        {
            "design": (float(made.runs.emission_pct.min()), "%"),
            "low": (FIELD_LOW_PCT, "%"),
            "high": (FIELD_HIGH_PCT, "%"),
        },
        "water.emission_uniformity",
        "field-uniformity",
    )


def _worst_places(made: DesignedSystem) -> Finding:
    runs = made.runs
    low, high = int(runs.least_m.argmin()), int(runs.most_m.argmax())
    node = int(runs.least_node[low])
    return Finding(
        "water",
        "note",
        "system.worst_places",
        {
            "row": made.row_of(node)[0],
            "set": low + 1,
            "least": (float(runs.least_m[low]) * KPA_PER_M, "kPa"),
            "high_row": made.row_of(int(runs.most_node[high]))[0],
            "high_set": high + 1,
            "most": (float(runs.most_m[high]) * KPA_PER_M, "kPa"),
        },
        "water.pressure_least",
        "darcy-weisbach",
        made.place_of(node),
    )


def _flushing(made: DesignedSystem) -> list[Finding]:
    runs = made.runs
    worst = int(runs.flushing_m_s.argmin())
    if runs.flushing_m_s[worst] >= FLUSHING_M_S:
        return []
    lateral = int(runs.flushing_lateral[worst])
    return [
        Finding(
            "water",
            "care",
            "system.flushing_slow",
            {
                "row": int(made.system.laterals.row[lateral]),
                "velocity": (float(runs.flushing_m_s[worst]), "m/s"),
                "least": (FLUSHING_M_S, "m/s"),
            },
            "water.flushing_velocity",
            "drip-filtration",
        )
    ]
