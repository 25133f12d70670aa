"""What stands on the erection sheet: posts and wire row by row, and how hard wires are strained."""

from collections import Counter
from typing import Any

import numpy as np

from aanplant.messages import fill, term, word
from aanplant.plan import Plan
from aanplant.report.card_pieces import degrees
from aanplant.report.trellis_parts import unit_of
from aanplant.report.trellis_view import TrellisView, measure
from aanplant.report.wire_list import board_reading_kg, size_text, tension_when_n
from aanplant.trellis.wires import WireLine
from aanplant.units import UnitSystem, show_fixed, show_number, shown_in

WARMER_K = (-10.0, 0.0, 10.0)
"""Columns of the list of pulls: colder than planned, as planned, warmer."""
NEWTONS_PER_POUND = 4.4482216152605
_POUNDS_PER_KG = 1.0 / 0.45359237

Table = dict[str, Any]


def pull_table(plan: Plan, view: TrellisView, system: UnitSystem) -> Table:
    """Pull of each wire and what the board reads, at three warmths of the wire."""
    installed_c = plan.brief.trellis.install_temperature
    heads = [word("erection.head.mark"), word("erection.head.kind")]
    heads += [
        fill("erection.head.at", warmth=degrees(installed_c + warmer, system))
        for warmer in WARMER_K
    ]
    rows = []
    for mark in reversed(view.marks):
        pulls = [tension_when_n(mark, warmer) for warmer in WARMER_K]
        cells = [[pull_text(pull, system), balance_text(pull, system)] for pull in pulls]
        rows.append([mark.letter, f"{term(mark.wire.name)}, {size_text(mark)}", *cells])
    return {"heads": heads, "rows": rows,
            "under": [word("erection.pull"), word("erection.head.reading")]}  # fmt: skip


def pull_text(pull_n: float, system: UnitSystem) -> str:
    """Write a pull, in newtons to ten or in pounds."""
    if system == "imperial":
        return f"{show_number(round(pull_n / NEWTONS_PER_POUND))} lb"
    return f"{show_number(round(pull_n, -1))} N"


def balance_text(pull_n: float, system: UnitSystem) -> str:
    """Write what the board tester's balance reads at a pull."""
    reading = board_reading_kg(pull_n)
    if system == "imperial":
        return f"{show_fixed(reading * _POUNDS_PER_KG, 1)} lb"
    return f"{show_fixed(reading, 1)} kg"


def row_table(plan: Plan, system: UnitSystem) -> Table:
    """Every row: its length, posts, what holds its ends, wire by size; the sum at the end."""
    rows = plan.trellis.rows
    tail_m = plan.brief.materials.wire_tail
    sizes = _wire_sizes(plan.trellis.wires)
    unit = shown_in(1.0, "m", system)[1]
    heads = [
        word("erection.head.row"),
        *(
            fill(f"erection.head.{name}", unit=unit)
            for name in ("length", "line_posts", "size", "end_posts", "held")
        ),
        *(fill("erection.head.wire", size=size, unit=unit) for size in sizes),
    ]
    cut = set(rows.row[rows.part > 1].tolist())
    names = [
        fill("erection.piece", row=row, part=part) if row in cut else str(row)
        for row, part in zip(rows.row.tolist(), rows.part.tolist(), strict=True)
    ]
    run_m = rows.length_m + 2.0 * tail_m
    wire = [np.round(shown_in(1.0, "m", system)[0] * strands * run_m) for strands in sizes.values()]
    length = rows.length_m * shown_in(1.0, "m", system)[0]
    anchors = _anchors(plan)
    posts = _post_sizes(plan)
    held = _held(plan, anchors)
    lines = [
        [
            names[at],
            show_fixed(float(length[at]), 1),
            str(int(rows.line_posts[at])),
            posts[at],
            "2",
            held[at],
            *(show_number(float(column[at])) for column in wire),
        ]
        for at in range(len(rows))
    ]
    total = [
        word("erection.in_all"),
        show_number(round(float(length.sum()))),
        show_number(int(rows.line_posts.sum())),
        "",
        show_number(2 * len(rows)),
        _held_by(plan, anchors.sum(), 2 * len(rows) - anchors.sum()),
        *(show_number(float(column.sum())) for column in wire),
    ]
    return {"heads": heads, "rows": lines, "total": total}


def posts_by_size(plan: Plan, system: UnitSystem) -> list[str]:
    """How many posts of each length and size."""
    trellis, holding = plan.trellis, plan.trellis.holding
    counted: Counter[str] = Counter()
    names = [""] * len(trellis.rows)
    if holding is not None:
        pair = (term(holding.exposed_post.name), term(holding.post.name))
        names = np.where(holding.is_exposed, *pair).tolist()
    for name, count in zip(names, trellis.rows.line_posts.tolist(), strict=True):
        counted[name] += int(count)
    line, end = trellis.system.post_length_m, trellis.system.end_post_length_m
    unit = unit_of(system)
    told = [
        fill("erection.line_posts", count=show_number(count), name=name, unit=unit,
             length=measure(line, system))
        for name, count in counted.items() if count
    ]  # fmt: skip
    ends = show_number(2 * len(trellis.rows))
    thick = measure(plan.brief.ends.post_diameter / 1000.0, system)
    return [
        *told,
        fill("erection.end_posts", count=ends, length=measure(end, system), unit=unit,
             diameter=thick),
    ]  # fmt: skip


def _wire_sizes(wires: tuple[WireLine, ...]) -> dict[str, int]:
    """Strands of each diameter and grade, the thickest first."""
    counted: Counter[tuple[float, str]] = Counter()
    for wire in wires:
        counted[wire.diameter_mm, wire.grade] += wire.strands
    return {
        f"{show_number(diameter_mm)} {term(grade)}": strands
        for (diameter_mm, grade), strands in sorted(counted.items(), reverse=True)
    }


def _post_sizes(plan: Plan) -> list[str]:
    """Timber and size of the line posts of each row."""
    holding = plan.trellis.holding
    if holding is None:
        return [""] * len(plan.trellis.rows)
    names = [post.size or term(post.name) for post in (holding.exposed_post, holding.post)]
    return [str(name) for name in np.where(holding.is_exposed, *names)]


def _anchors(plan: Plan) -> np.ndarray[Any, np.dtype[np.int64]]:
    """Anchors of each row, shape (n_rows,)."""
    rows = plan.trellis.rows
    if plan.brief.ends.assembly != "tie-back":
        return np.zeros(len(rows), np.int64)
    most = int(rows.piece.max(initial=-1)) + 1
    counted = np.bincount(plan.layout.anchors_piece, minlength=most)
    return np.asarray(counted[rows.piece], np.int64)


def _held(plan: Plan, anchors: np.ndarray[Any, np.dtype[np.int64]]) -> list[str]:
    """Name what holds the two ends of each row."""
    holding = plan.trellis.holding
    helix = np.full(len(anchors), np.nan)
    # Told in every row only where rows differ; else the list of parts says it once.
    if holding is not None and len(np.unique(holding.ends.helix_mm)) > 1:
        helix = holding.ends.helix_mm
    return [
        _held_by(plan, count, 2 - count, size)
        for count, size in zip(anchors.tolist(), helix.tolist(), strict=True)
    ]


def _held_by(plan: Plan, anchors: int, others: int, helix_mm: float = np.nan) -> str:
    told = []
    if plan.brief.ends.assembly == "h-brace":
        return fill("erection.brace", count=int(others))
    if anchors:
        told.append(
            fill("erection.anchor", count=int(anchors))
            if np.isnan(helix_mm)
            else fill("erection.anchor_of", count=int(anchors), size=show_number(helix_mm))
        )
    if others:
        told.append(fill("erection.strut", count=int(others)))
    return ", ".join(told)
