"""What a delivery test says: figures of every set measured, and advice with the worst places."""

import numpy as np

from aanplant.water.delivery import SetDelivery
from aanplant.water.designed import DesignedSystem
from aanplant.water.emitters import LITRES_PER_HOUR
from aanplant.working import Finding, Input, Value, Working

Shown = dict[str, Value | tuple[Value, str]]

NAMED_PLACES = 3
"""Worst places of a set that are named in words; all stand in the table."""
CAUSES = {
    "pressure": "words:delivery.cause.pressure",
    "clogging": "words:delivery.cause.clogging",
}


def delivery_figures(sets: tuple[SetDelivery, ...]) -> tuple[Working, ...]:
    """Return uniformity, variation and mean flow of every set that was measured."""
    return tuple(figure for one in sets for figure in _figures(one))


def _figures(one: SetDelivery) -> tuple[Working, ...]:
    number, flow = one.number + 1, one.test.flow_m3_s / LITRES_PER_HOUR
    about, mean = f"set {number}", _measured("mean", float(flow.mean()))
    quarter = one.test.low_quarter_pct / 100.0 * float(flow.mean())
    least, greatest = float(flow.min()), float(flow.max())
    designed = float(one.design_m3_s.mean()) / LITRES_PER_HOUR
    return (
        Working(
            f"water.delivery_uniformity.{number}",
            one.test.low_quarter_pct,
            "%",
            (_measured("mean_of_low_quarter", quarter), mean),
            "merriam-keller",
            about,
            message="water.delivery_uniformity",
        ),
        Working(
            f"water.delivery_variation.{number}",
            100.0 * (1.0 - least / greatest),
            "%",
            (_measured("least", least), _measured("greatest", greatest)),
            "arithmetic",
            about,
            message="water.delivery_variation",
        ),
        Working(
            f"water.delivery_mean.{number}",
            100.0 * float(flow.mean()) / designed,
            "%",
            (mean, _measured("designed", designed)),
            "arithmetic",
            about,
            message="water.delivery_mean",
        ),
    )


def _measured(name: str, value: float) -> Input:
    return Input(name, value, "L/h", "measured")


def delivery_advice(made: DesignedSystem, sets: tuple[SetDelivery, ...]) -> tuple[Finding, ...]:
    """Return how each set compares with its design, why, and its worst places."""
    found: list[Finding] = []
    values: Shown
    for one in sets:
        number, figure = one.number + 1, f"water.delivery_uniformity.{one.number + 1}"
        measured: tuple[Value, str] = (one.test.low_quarter_pct, "%")
        if one.short_pct > 0.0:
            values = {
                "set": number,
                "measured": measured,
                "design": (one.design_pct, "%"),
                "short": (one.short_pct, "%"),
                "cause": CAUSES[one.cause],
            }
            found.append(
                Finding("water", "care", "delivery.below", values, figure, "merriam-keller")
            )
        else:
            values = {"set": number, "measured": measured, "design": (one.design_pct, "%")}
            found.append(
                Finding("water", "note", "delivery.holds", values, figure, "merriam-keller")
            )
        if one.cause == "supply":
            share = (100.0 * one.mean_share, "%")
            found.append(
                Finding("water", "care", "delivery.supply", {"set": number, "share": share},
                        f"water.delivery_mean.{number}")
            )  # fmt: skip
        if one.test.is_small:
            values = {"set": number, "count": len(one.node)}
            found.append(Finding("water", "note", "delivery.small", values, figure))
        found += [_worst(made, one, int(at)) for at in one.test.worst[:NAMED_PLACES]]
    return tuple(found)


def _worst(made: DesignedSystem, one: SetDelivery, at: int) -> Finding:
    x, y = made.system.xy[one.node[at]]
    return Finding(
        "water",
        "care",
        "delivery.worst",
        {
            "row": int(one.row[at]),
            "vine": int(one.vine[at]),
            "set": one.number + 1,
            "flow": (float(one.test.flow_m3_s[at]) / LITRES_PER_HOUR, "L/h"),
            "share": (float(np.round(100.0 * one.test.share_of_design[at], 1)), "%"),
        },
        f"water.delivery_mean.{one.number + 1}",
        place=(float(x), float(y)),
    )
