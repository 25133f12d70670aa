"""What stands on the tape-and-pegs sheet: its sentences, and its tables as rows of text."""

from collections.abc import Callable
from datetime import datetime
from itertools import pairwise
from typing import Any

import numpy as np

from aanplant.layout.codes import corner_codes, end_numbers, end_post_codes
from aanplant.layout.pegged_lines import BaseLine, Tie, corner_checks
from aanplant.layout.setting_out import Runs, SettingOut, right_angle_error_deg
from aanplant.messages import fill, word
from aanplant.plan import Plan
from aanplant.report.bound import properties
from aanplant.report.frame_marks import axis_words
from aanplant.units import UnitSystem, show_fixed, show_number, shown_in

TRIANGLES: dict[UnitSystem, tuple[tuple[float, float, float], ...]] = {
    "metric": ((3.0, 4.0, 5.0), (6.0, 8.0, 10.0), (30.0, 40.0, 50.0)),
    "imperial": ((9.0, 12.0, 15.0), (30.0, 40.0, 50.0), (90.0, 120.0, 150.0)),
}
"""Right-angled triangles in whole marks of the tape in hand: metres, or feet."""
MISREADING_M = 0.01
"""Error of a taped side that the sheet reckons with: 10 mm."""
_HEADS: dict[str, tuple[str, ...]] = {
    "peg": ("peg", "corner", "first", "second"),
    "bay": ("bay", "side", "diagonal"),
    "triangle": ("triangle", "angle_off", "off_at_depth"),
    "row": ("row", "on_ab", "on_dc", "to_start", "to_end", "length", "vines", "posts"),
    "offset": ("end_post", "foot", "offset"),
}
_WORDS = ("title", "standing", "sketch", "lines", "how", "checks", "rows", "offsets")
_STEPS = 9

Taped = Callable[[float], str]


def sheet_data(
    plan: Plan, out: SettingOut, *, made: datetime, system: UnitSystem
) -> dict[str, Any]:
    """Gather all texts of the sheet, by the names the template uses."""
    unit = shown_in(1.0, "m", system)[1]

    def taped(distance_m: float) -> str:
        return show_fixed(shown_in(distance_m, "m", system)[0], 2)

    stops = sum(finding.level == "stop" for finding in plan.findings)
    heads = {name: [word(f"tape.head.{key}").format(unit=unit) for key in keys]
             for name, keys in _HEADS.items()}  # fmt: skip
    heads["peg"][2:] = [f"{axis}, m" for axis in axis_words(plan.site.grid)]
    values = _values(plan, out, taped, system)
    return {
        **properties(plan, made),
        "words": {name: word(f"tape.{name}") for name in _WORDS},
        "stop": fill("sheet.stops", count=stops) if stops else "",
        "facts": _facts(plan, out, taped, unit),
        **{f"{name}_heads": texts for name, texts in heads.items()},
        "pegs": _pegs(plan, out),
        "steps": _steps(out.base, values),
        "bays": _bays(out, taped),
        "triangles": _triangles(out, taped, system),
        "triangle_note": word("tape.triangle_note").format(**values),
        "cautions": [word(f"tape.caution.{key}") for key in ("compass", "tape", "danger")],
        "rows_note": word("tape.rows_note").format(**values),
        "rows": _rows(plan, out, taped),
        "offsets_note": word("tape.offsets_note").format(**values),
        "offsets": _offsets(out, taped),
    }


def _values(plan: Plan, out: SettingOut, taped: Taped, system: UnitSystem) -> dict[str, str]:
    """Named values of the sentences."""
    unit = shown_in(1.0, "m", system)[1]
    misreading, small_unit = shown_in(1000.0 * MISREADING_M, "mm", system)
    base = out.base
    ring = np.asarray(plan.site.boundary.exterior.coords)[:-1]
    codes = [str(code) for code in corner_codes(len(ring))]

    def tie(found: Tie) -> str:
        return word("tape.tie").format(
            corner=codes[found.corner], towards=codes[found.towards], unit=unit,
            distance=taped(found.distance_m), side=taped(found.side_m),
        )  # fmt: skip

    first, last = ("A", "B") if base.is_side else ("P", "Q")
    checks = "; ".join(
        word("tape.corner_check").format(
            corner=codes[corner],
            near=taped(near),
            far=taped(far),
            unit=unit,
            first=first,
            last=last,
        )
        for corner, near, far in corner_checks(base, ring)
    )
    ends = 2 * len(out)
    without = ends - len(plan.layout.anchors_xy)
    anchors = "tape.anchors" if not without else "tape.anchors_but"
    anchor = taped(plan.brief.rows.anchor_distance)
    return {
        "a_corner": codes[base.p_tie.corner],
        "b_corner": codes[base.q_tie.corner],
        "p_tie": tie(base.p_tie),
        "q_tie": tie(base.q_tie),
        "pq": taped(base.pq_m),
        "a": taped(base.a_m),
        "b": taped(base.b_m),
        "length": taped(base.length_m),
        "depth": taped(base.depth_m),
        "diagonal": taped(base.diagonal_m(base.length_m)),
        "angle": f"{show_fixed(base.crossing_deg, 2)}°",
        "between": taped(plan.stock.row_width_m / np.sin(np.radians(base.crossing_deg))),
        "row_width": taped(plan.stock.row_width_m),
        "checks": checks or word("tape.no_check"),
        "spacing": taped(plan.stock.vine_spacing_m),
        "post_spacing": taped(out.line_posts.step_m),
        "anchors": fill(anchors, anchor=anchor, unit=unit, without=without, ends=ends),
        "triangle": triangle_text(largest_triangle(base, system), unit),
        "misreading": f"{show_number(float(f'{misreading:.2g}'))} {small_unit}",
        "unit": unit,
    }


def _steps(base: BaseLine, values: dict[str, str]) -> list[str]:
    ends = "side" if base.is_side else "chord"
    keys = [f"{ends}.1", f"{ends}.2", *map(str, range(3, _STEPS + 1))]
    return [word(f"tape.step.{key}").format(**values) for key in keys]


def largest_triangle(base: BaseLine, system: UnitSystem) -> tuple[float, float, float]:
    """Choose the largest triangle that fits between the four pegs. [m or ft]."""
    short, long = sorted(shown_in(side, "m", system)[0] for side in (base.length_m, base.depth_m))
    fits = [sides for sides in TRIANGLES[system] if sides[0] <= short and sides[1] <= long]
    return fits[-1] if fits else TRIANGLES[system][0]


def triangle_text(sides: tuple[float, float, float], unit: str) -> str:
    """Write a triangle for people, such as "30 – 40 – 50 m"."""
    return " – ".join(show_number(side) for side in sides) + f" {unit}"


def _facts(plan: Plan, out: SettingOut, taped: Taped, unit: str) -> list[list[str]]:
    figures = plan.figures
    return [
        [word("sheet.rows"), show_number(figures.value("layout.rows"))],
        [word("sheet.vines"), show_number(figures.value("layout.vines"))],
        [word("sheet.bearing"), f"{show_fixed(plan.layout.bearing_deg, 1)}°"],
        [word("tape.rows_apart"), f"{taped(plan.stock.row_width_m)} {unit}"],
        [word("tape.vines_apart"), f"{taped(plan.stock.vine_spacing_m)} {unit}"],
        [word("tape.rows_cross"), f"{show_fixed(out.base.crossing_deg, 2)}°"],
    ]


def _pegs(plan: Plan, out: SettingOut) -> list[list[str]]:
    base = out.base
    codes = [str(code) for code in corner_codes(len(plan.site.boundary.exterior.coords) - 1)]
    letters, places = "ABCD", base.pegs_xy
    square = [word("tape.square_at").format(peg=peg) for peg in "BA"]
    where = [codes[base.p_tie.corner], codes[base.q_tie.corner], *square]
    if not base.is_side:
        letters, places = "PQABCD", np.vstack([base.p_xy, base.q_xy, places])
        on_line = [word("tape.on_pq")] * 2
        sides = [word("tape.on_side").format(corner=codes[tie.corner], towards=codes[tie.towards])
                 for tie in (base.p_tie, base.q_tie)]  # fmt: skip
        where = [*sides, *on_line, *where[2:]]
    return [
        [letter, place, *(show_fixed(value, 2) for value in point)]
        for letter, place, point in zip(
            letters, where, plan.site.grid.from_frame(places).tolist(), strict=True
        )
    ]


def _bays(out: SettingOut, taped: Taped) -> list[list[str]]:
    """Rectangles between AB and DC: each bay, and the whole."""
    base, stations = out.base, out.base.bays_m.tolist()
    pairs = list(pairwise(stations))
    if len(pairs) > 1:
        pairs.append((stations[0], stations[-1]))
    return [
        [f"{taped(start)} – {taped(end)}", taped(end - start), taped(base.diagonal_m(end - start))]
        for start, end in pairs
    ]


def _triangles(out: SettingOut, taped: Taped, system: UnitSystem) -> list[list[str]]:
    per_metre, unit = shown_in(1.0, "m", system)
    rows = []
    for sides in TRIANGLES[system]:
        off = right_angle_error_deg(*sides, MISREADING_M * per_metre)
        at_depth = taped(float(np.radians(off)) * out.base.depth_m)
        rows.append([triangle_text(sides, unit), f"{show_fixed(off, 3)}°", at_depth])
    return rows


def _rows(plan: Plan, out: SettingOut, taped: Taped) -> list[list[str]]:
    names = row_names(out)
    vines = run_texts(out.vines, out, taped)
    posts = run_texts(out.line_posts, out, taped)
    length = plan.layout.positions.row_length_m[out.piece]
    columns = (out.on_ab_m, out.on_dc_m, out.start_m, out.end_m, length)
    return [
        [name, *(taped(float(column[index])) for column in columns), vines[index], posts[index]]
        for index, name in enumerate(names)
    ]


def _offsets(out: SettingOut, taped: Taped) -> list[list[str]]:
    starts = end_post_codes(out.row, end_numbers(out.part, np.ones(len(out), bool)))
    ends = end_post_codes(out.row, end_numbers(out.part, np.zeros(len(out), bool)))
    rows: list[list[str]] = []
    for index in range(len(out)):
        first = (starts[index], out.start_foot_m[index], out.start_offset_m[index])
        last = (ends[index], out.end_foot_m[index], out.end_offset_m[index])
        rows.extend(
            [str(code), taped(float(foot)), taped(float(off))] for code, foot, off in (first, last)
        )
    return rows


def row_names(out: SettingOut) -> list[str]:
    """Row, with the number of its piece where it has several."""
    cut = set(out.row[out.part > 1].tolist())
    return [
        word("tape.row_piece").format(row=row, part=part) if row in cut else str(row)
        for row, part in zip(out.row.tolist(), out.part.tolist(), strict=True)
    ]


def run_texts(runs: Runs, out: SettingOut, taped: Taped) -> list[str]:
    """For every piece its runs as text, such as "49: 0.60 – 58.20"; "–" for none."""
    texts: list[list[str]] = [[] for _ in range(len(out))]
    index = np.searchsorted(out.piece, runs.piece)
    for at, first, last, count in zip(
        index.tolist(),
        runs.first_m.tolist(),
        runs.last_m.tolist(),
        runs.count.tolist(),
        strict=True,
    ):
        span = taped(first) if count == 1 else f"{taped(first)} – {taped(last)}"
        texts[at].append(f"{count}: {span}")
    return ["; ".join(text) or "–" for text in texts]
