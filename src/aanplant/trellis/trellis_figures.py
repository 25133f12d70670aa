"""The figures of a trellis: its wire, what hangs on it, and how hard it is pulled."""

import numpy as np

from aanplant.brief import Brief
from aanplant.layout import Layout
from aanplant.site import Site
from aanplant.trellis.count_figures import count_figures
from aanplant.trellis.end_figures import end_figures
from aanplant.trellis.holding import Holding
from aanplant.trellis.loads import GRAVITY_N_PER_KG, KG_PER_T, M2_PER_HA
from aanplant.trellis.post_figures import post_figures
from aanplant.trellis.whole import Trellis
from aanplant.trellis.wire_strength import SAFE_SHARE, usual_tension_n
from aanplant.working import Input, Working

GRAVITY = Input("gravity", GRAVITY_N_PER_KG, "m/s2", "default:gravity", "arithmetic")


def figures(brief: Brief, site: Site, layout: Layout, made: Trellis) -> tuple[Working, ...]:
    """Return the figures in the order of the job."""
    found = [*_wires(brief, layout, made), *count_figures(brief, made)]
    if made.holding is not None:
        loads = _loads(brief, site, made.holding)
        found += [
            *loads,
            *_pulls(made, made.holding),
            *post_figures(brief, made, made.holding),
            *end_figures(brief, made, made.holding),
        ]
    return tuple(found)


def _wires(brief: Brief, layout: Layout, made: Trellis) -> tuple[Working, ...]:
    row_length = layout.line_length
    row_ends = Input("row_ends", 2 * len(made.rows), "", "figure:layout.row_ends")
    tail = brief.as_input("materials.wire_tail")
    per_line = tuple(
        Working(
            f"trellis.wire_length.{index}",
            length_m,
            "m",
            (
                Input("strands", line.strands, "", line.origin, line.source),
                row_length,
                row_ends,
                tail,
            ),
            "practice",
            about=f"{line.name} at {line.height_m:g} m, {line.diameter_mm:g} mm {line.grade}",
            message="trellis.wire_line",
        )
        for index, (line, length_m) in enumerate(
            zip(made.wires, made.wire_length_m, strict=True), start=1
        )
    )
    total = Working(
        "trellis.wire_length",
        sum(made.wire_length_m),
        "m",
        tuple(figure.as_input(f"line_{index}") for index, figure in enumerate(per_line, start=1)),
        "arithmetic",
    )
    return (*per_line, total)


def _loads(brief: Brief, site: Site, held: Holding) -> tuple[Working, ...]:
    shares = brief.trellis.yield_by_year
    crop = Working(
        "trellis.crop_load",
        held.crop_n_m,
        "N/m",
        (
            brief.as_input("trellis.yield_full"),
            Input("greatest_share", max(shares), "", "brief:trellis.yield_by_year"),
            brief.as_input("vines.row_width"),
            Input("kg_per_t", KG_PER_T, "kg/t", "default:kg_per_t", "arithmetic"),
            Input("m2_per_ha", M2_PER_HA, "m2/ha", "default:m2_per_ha", "arithmetic"),
            GRAVITY,
        ),
        "arithmetic",
    )
    canopy = Working(
        "trellis.canopy_load",
        held.canopy_n_m,
        "N/m",
        (brief.as_input("trellis.canopy_weight"), GRAVITY),
        "arithmetic",
    )
    return crop, canopy, _coldest(brief, site, held)


def _coldest(brief: Brief, site: Site, held: Holding) -> Working:
    coldest_c = held.warmth.coldest_c
    if held.warmth.coldest_origin == "brief" or site.climate is None:
        setting = brief.as_input("trellis.coldest_wire")
        return Working(
            "trellis.coldest_wire", coldest_c, "°C", (setting,), setting.source or "brief",
            message="trellis.coldest_wire_asked",
        )  # fmt: skip
    colder = brief.as_input("climate.colder_than_station")
    lowest = Input("coldest_recorded", coldest_c + float(colder.value), "°C", "file:weather")
    return Working("trellis.coldest_wire", coldest_c, "°C", (lowest, colder), "arithmetic")


def _pulls(made: Trellis, held: Holding) -> list[Working]:
    """Pull of each line: strained, in the worst case of the worst row, and its sag."""
    states, found = held.states, []
    for index, line in enumerate(made.wires):
        number, row = index + 1, int(states.worst_row[index])
        about = f"{line.name} at {line.height_m:g} m"
        usual = usual_tension_n(line.role)
        asked = (
            Input("usual", usual, "N", "table:wire_tensions.csv", "memory")
            if line.tension_n is None
            else Input("asked", line.tension_n, "N", "brief:trellis.wires")
        )
        strained = Working(
            f"trellis.wire_tension.{number}",
            float(states.installed_n[row, index]),
            "N",
            (
                asked,
                Input(
                    "limit", float(states.limit_n[index]), "N", "table:wire_grades.csv", "memory"
                ),
            ),
            "memory",
            about=about,
            message="trellis.wire_tension",
        )
        crop, cold = float(states.crop_n[row, index]), float(states.cold_n[row, index])
        greatest = Working(
            f"trellis.wire_pull.{number}",
            max(strained.value if isinstance(strained.value, float) else 0.0, crop, cold),
            "N",
            (
                strained.as_input("strained"),
                Input("under_crop", crop, "N", "measured"),
                Input("coldest_night", cold, "N", "measured"),
            ),
            "wire-statics",
            about=about,
            message="trellis.wire_pull",
        )
        breaks = Input(
            "break_load", float(states.break_n[index]), "N", "table:wire_grades.csv", line.source
        )
        use = Working(
            f"trellis.wire_use.{number}",
            max(crop, cold) / (SAFE_SHARE * float(states.break_n[index])),
            "",
            (
                Input("loaded_pull", max(crop, cold), "N", "measured"),
                breaks,
                Input("safe_share", SAFE_SHARE, "", "default:safe_share", "practice"),
            ),
            "practice",
            about=about,
            message="trellis.wire_use",
        )
        found += [strained, greatest, use]
        if line.carries_crop:
            sag = states.sag_hot_m[:, index]
            found.append(
                Working(
                    f"trellis.wire_sag.{number}",
                    float(sag.max()),
                    "m",
                    (
                        Input("span", float(states.span_m[sag.argmax()]), "m", "measured"),
                        Input(
                            "hottest_wire",
                            held.warmth.hottest_c,
                            "°C",
                            "brief:trellis.hottest_wire",
                        ),
                        Input(
                            "pull_hot", float(states.hot_n[sag.argmax(), index]), "N", "measured"
                        ),
                    ),
                    "wire-statics",
                    about=about,
                    message="trellis.wire_sag",
                )
            )
    pull = held.ends.pull.pull_n
    found.append(
        Working(
            "trellis.row_pull",
            float(pull.max()),
            "N",
            (
                Input("row", int(made.rows.row[int(np.argmax(pull))]), "", "measured"),
                Input("strands", made.system.strands, "", "measured"),
            ),
            "arithmetic",
        )
    )
    return found
