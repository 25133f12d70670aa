"""The trellis as it is drawn: every system, true to scale, all its heights and wires told."""

import dataclasses
import math
import re
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.brief.trellis import ArmRule, WireRule
from aanplant.plan import make_plan
from aanplant.report.paper import Box
from aanplant.report.rendering import page_of
from aanplant.report.style import FONTS
from aanplant.report.svg import Drawing
from aanplant.report.trellis_draft import spread
from aanplant.report.trellis_elevation import draw_elevation
from aanplant.report.trellis_parts import parts_of
from aanplant.report.trellis_sheet import draw_trellis, trellis_sheet
from aanplant.report.trellis_view import measure, view_of
from aanplant.trellis.systems import system_names
from tests.report import blocks
from tests.report.test_sheet import HOSTILE

OWN = (
    WireRule(name="cordon", height=0.85, diameter=2.5, grade="high strain"),
    WireRule(name="fruit wires", height=1.1, diameter=2.5, strands=2, offset=0.35, role="fruit"),
    WireRule(name="foliage pair", height=1.5, diameter=2.0, strands=2, movable=True),
)


def planned(system="vertical-5", *, wires=(), arms=(), post_every=None, **ends):
    plan = blocks.kiepersol()
    rules = {"system": system, "wires": wires, "arms": arms}
    if post_every:
        rules["post_every"] = post_every
    brief = plan.brief.model_copy(
        update={
            "trellis": plan.brief.trellis.model_copy(update=rules),
            "ends": plan.brief.ends.model_copy(update=ends),
        }
    )
    return dataclasses.replace(plan, brief=brief)


def own():
    return planned("my own hedge", wires=OWN, arms=(ArmRule(height=1.1, width=0.7, slope=0.0),))


def texts(svg):
    return [text.replace("\u202f", " ") for text in re.findall(r"<text [^>]*>([^<]*)</text>", svg)]


def scales(svg):
    return [int(text.removeprefix("scale 1:")) for text in texts(svg) if "scale 1:" in text]


def paths(svg, name):
    found = re.findall(rf'class="{name}" d="([^"]+)"', svg)
    pairs = [re.findall(r"([-\d.]+) ([-\d.]+)", path) for path in found]
    return [np.array(points, dtype=float) for points in pairs]


@pytest.mark.parametrize("name", [*system_names(), "own"])
def test_every_system_is_drawn_with_all_its_heights_and_wires(name, tmp_path):
    plan = own() if name == "own" else planned(name)
    view = view_of(plan)

    drawing = trellis_sheet(plan, made=blocks.MADE)

    svg = drawing.svg(alone=False)
    page_of(drawing, made=blocks.MADE, title="t", author="a").print_to({"pdf": tmp_path / "t.pdf"})
    written = texts(svg)
    assert len(scales(svg)) == 2
    for mark in view.marks:
        assert written.count(f"{mark.letter} {measure(mark.wire.height_m)}".replace("\u202f", " "))
        assert mark.wire.name in written
        assert len(paths(svg, f"wire-{mark.letter}")) == 1
    dots = len(re.findall(r'<circle [^>]*r="0\.(?:65|75)0"', svg))
    assert dots == view.system.strands
    assert [part.number for part in parts_of(view)] == list(range(1, len(parts_of(view)) + 1))


@pytest.mark.parametrize("name", [*system_names(), "own"])
def test_wires_hang_as_high_on_paper_as_the_scale_says(name):
    plan = own() if name == "own" else planned(name)
    view = view_of(plan)

    svg = trellis_sheet(plan, made=blocks.MADE).svg(alone=False)

    along, across = scales(svg)
    ground = [float(shape[0, 1]) for shape in paths(svg, "ground")]
    for mark in view.marks:
        height_mm = ground[0] - paths(svg, f"wire-{mark.letter}")[0][:, 1]
        assert height_mm == pytest.approx(mark.wire.height_m * 1000 / along, abs=0.003)
    dots = re.findall(r'<circle cx="[\d.]+" cy="([\d.]+)" r="0\.(?:65|75)0"', svg)
    in_section = sorted(ground[1] - float(y) for y in dots)
    asked = sorted(m.wire.height_m * 1000 / across for m in view.marks for _ in m.across_m)
    assert in_section == pytest.approx(asked, abs=0.003)


@pytest.mark.parametrize("name", ["vertical-5", "gable", "lyre"])
def test_posts_are_as_long_as_the_scale_says(name):
    view = view_of(planned(name))

    svg = trellis_sheet(planned(name), made=blocks.MADE).svg(alone=False)

    along, across = scales(svg)
    (end,), line, (section,) = (paths(svg, one) for one in ("end-post", "line-post", "post"))
    above = np.hypot(*(end[0] - end[1]))
    assert above == pytest.approx(view.system.end_post_top_m * 1000 / along, abs=0.003)
    leaning = math.degrees(math.atan2(end[0, 0] - end[1, 0], end[0, 1] - end[1, 1]))
    assert leaning == pytest.approx(view.lean_deg, abs=0.02)
    for post in line:
        assert np.ptp(post[:, 1]) == pytest.approx(view.system.post_top_m * 1000 / along, abs=0.003)
        assert np.ptp(post[:, 0]) == pytest.approx(view.post_m * 1000 / along, abs=0.003)
    assert np.ptp(section[:, 1]) == pytest.approx(view.system.post_top_m * 1000 / across, abs=0.003)


@pytest.mark.parametrize(
    ("ends", "names"),
    [
        ({"assembly": "tie-back", "anchor": "helix"}, {"tie", "helix"}),
        ({"assembly": "tie-back", "anchor": "plate"}, {"tie", "plate"}),
        ({"assembly": "tie-back", "anchor": "deadman"}, {"tie", "deadman"}),
        ({"assembly": "h-brace"}, {"brace_post", "rail", "brace_wire"}),
        ({"assembly": "strut"}, {"strut", "block"}),
    ],
)
def test_what_holds_the_end_is_drawn_and_named(ends, names):
    plan = planned("vertical-7", **ends)

    svg = trellis_sheet(plan, made=blocks.MADE).svg(alone=False)

    assert names <= {part.name for part in parts_of(view_of(plan))}
    drawn = {"tie": "tie", "rail": "rail", "strut": "strut", "brace_wire": "brace-wire"}
    for name in names & set(drawn):
        assert len(paths(svg, drawn[name])) == 1


def test_the_tie_runs_on_in_line_to_the_anchor_at_its_depth():
    plan = planned()
    svg = trellis_sheet(plan, made=blocks.MADE).svg(alone=False)
    along = scales(svg)[0]

    (tie,), (rod,) = paths(svg, "tie"), paths(svg, "rod")

    slopes = [np.arctan2(*(line[1] - line[0])[::-1]) for line in (tie, rod)]
    assert slopes[0] == pytest.approx(slopes[1], abs=2e-3)
    assert rod[1, 1] - rod[0, 1] == pytest.approx(
        plan.brief.ends.anchor_depth * 1000 / along, abs=0.003
    )
    ends = paths(svg, "end-post")[0]
    foot = (ends[0] + ends[3]) / 2.0
    assert foot[0] - tie[1, 0] == pytest.approx(
        plan.brief.rows.anchor_distance * 1000 / along, abs=0.003
    )


def test_line_posts_far_apart_are_still_drawn_or_left_out_whole():
    for every in (1, 30):
        svg = trellis_sheet(planned(post_every=every), made=blocks.MADE).svg(alone=False)

        width = float(re.findall(r'viewBox="0 0 ([\d.]+)', svg)[0])
        assert all(post[:, 0].max() < width - 88.0 for post in paths(svg, "line-post"))


def test_no_figure_stands_on_another():
    for name in system_names():
        svg = trellis_sheet(planned(name), made=blocks.MADE).svg(alone=False)
        found = re.findall(r'<text x="([\d.]+)" y="([\d.]+)"[^>]*font-size="2.5"', svg)
        places = np.array(found, dtype=float)
        near = np.abs(places[:, None] - places[None]).max(axis=2)
        assert (near[~np.eye(len(places), dtype=bool)] > 1.9).all(), name


@given(
    places=st.lists(st.floats(10, 90), min_size=1, max_size=12).map(
        lambda found: sorted(found, reverse=True)
    ),
    step=st.floats(0.5, 4.0),
)
def test_figures_are_spread_no_nearer_than_their_step_and_stay_on_the_paper(places, step):
    moved = spread(places, step, 0.0, 100.0)

    assert all(low - high >= step - 1e-9 for low, high in pairwise(moved))
    assert moved[-1] >= -1e-9
    assert moved[0] <= 100.0 + 1e-9
    if all(low - high >= step for low, high in pairwise(places)):
        assert moved == pytest.approx(places)


def test_inches_are_written_where_asked():
    svg = trellis_sheet(planned(), made=blocks.MADE, system="imperial").svg(alone=False)

    assert "All measures in inches." in " ".join(texts(svg))
    assert "A 29.5" in texts(svg)  # 750 mm at 25.4 mm to the inch
    assert "A 750" not in texts(svg)


def test_a_wire_at_the_top_of_its_post_is_written_once_and_other_heights_all_stand():
    wires = (OWN[0], WireRule(name="top", height=1.8, diameter=2.24), OWN[2].model_copy())
    plan = planned("own", wires=wires)

    drawing = Drawing(330.0, 130.0, "t")
    draw_elevation(drawing, view_of(plan), Box(5.0, 5.0, 320.0, 120.0), 40)

    written = texts(drawing.svg(alone=False))
    assert written.count("C 1 800") == 1
    assert "1 800" not in written
    assert {"A 850", "B 1 500", "−600"} <= set(written)


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_of_wire_or_block_is_only_ever_text(name, tmp_path):
    wires = (OWN[0].model_copy(update={"name": name, "grade": name}), *OWN[1:])
    plan = planned(name, wires=wires)
    path = tmp_path / "trellis.svg"

    draw_trellis(plan, path, made=blocks.MADE)

    svg = path.read_text(encoding="utf-8")
    assert svg.count("<svg") == 1
    assert "<script" not in svg


def test_the_same_plan_gives_the_same_bytes(tmp_path):
    first, second = tmp_path / "a.svg", tmp_path / "b.svg"

    draw_trellis(planned(), first, made=blocks.MADE)
    draw_trellis(planned(), second, made=blocks.MADE)

    assert first.read_bytes() == second.read_bytes()


@pytest.mark.parametrize("name", [*system_names(), "own"])
def test_the_typefaces_have_every_letter_that_is_written(name):
    fonts = pytest.importorskip("fontTools.ttLib")
    known = set.intersection(
        *(set(fonts.TTFont(path).getBestCmap()) for path in FONTS.glob("Atkinson*.ttf"))
    )
    plan = own() if name == "own" else planned(name)

    svg = trellis_sheet(plan, made=blocks.MADE).svg(alone=False)

    written = set("".join(re.findall(r"<text [^>]*>([^<]*)</text>", svg)))
    assert {letter for letter in written if ord(letter) not in known} == set()


def test_posts_of_windy_rows_and_counts_are_told_once_the_trellis_is_designed():
    plan = make_plan(planned().brief, planned().inputs, until="trellis")

    texts_of_parts = {part.name: part.text for part in parts_of(view_of(plan))}

    counts = plan.trellis.counts
    holding = plan.trellis.holding
    assert holding.exposed_post.name in texts_of_parts["line_post"]
    for name, count in (("line_post", counts.line_posts), ("end_post", counts.end_posts)):
        assert f"{count:,} in all".replace(",", "\u202f") in texts_of_parts[name]
    assert f"{counts.anchors} in all" in texts_of_parts["helix"]


def test_wires_for_which_the_sheet_has_no_room_are_counted():
    wires = tuple(
        WireRule(name=f"wire {index}", height=0.5 + 0.05 * index, diameter=2.5, role=role)
        for index, role in enumerate(["cordon", *["foliage"] * 29])
    )

    written = texts(trellis_sheet(planned("own", wires=wires), made=blocks.MADE).svg(alone=False))

    listed = sum(text.startswith("wire ") for text in written)
    assert f"{30 - listed} more wires stand on the erection sheet." in written
