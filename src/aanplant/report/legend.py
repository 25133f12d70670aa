"""The legend of a sheet: a sample of every mark on the map, drawn as on the map."""

from aanplant.messages import word
from aanplant.plan import Plan
from aanplant.report.block_marks import BOUNDARY_DASH, Detail
from aanplant.report.exclusion_marks import draw_sample
from aanplant.report.panel import Entry, Sample
from aanplant.report.paper import Box
from aanplant.report.style import HEADLAND, INK, SOFT
from aanplant.report.svg import Drawing


def legend(plan: Plan, detail: Detail) -> list[Entry]:
    """Entries for what is on the map, and nothing else."""
    layout = plan.layout
    entries = [
        Entry(_line_sample(0.4, BOUNDARY_DASH), word("sheet.boundary")),
        Entry(_fill_sample, word("sheet.headland")),
        Entry(_line_sample(0.16, ""), word("sheet.row")),
    ]
    if detail.shows_vines:
        entries.append(Entry(_dots_sample(detail), word("sheet.vine")))
    if detail.shows_line_posts and len(layout.positions.line_posts_xy):
        entries.append(Entry(_tick_sample, word("sheet.line_post")))
    if detail.shows_ends:
        has_anchors = len(layout.anchors_xy) > 0
        name = "sheet.end_post_anchor" if has_anchors else "sheet.end_post"
        entries.append(Entry(_end_sample(detail, with_anchor=has_anchors), word(name)))
    near = plan.site.boundary.buffer(5.0)
    seen = dict.fromkeys(
        (item.kind, item.treatment)
        for item in plan.site.exclusions
        if item.geometry.buffer(item.reach_m).intersects(near)
    )
    entries.extend(
        Entry(
            _zone_sample(kind, treatment),
            f"{word(f'kind.{kind}')}, {word(f'sheet.{treatment}')}",
        )
        for kind, treatment in seen
    )
    return entries


def _middle(area: Box) -> float:
    return area.y + area.height / 2.0


def _line_sample(width: float, dash: str) -> Sample:
    def draw(drawing: Drawing, area: Box) -> None:
        y = _middle(area)
        drawing.line(area.x, y, area.right, y, width=width, dash=dash)

    return draw


def _fill_sample(drawing: Drawing, area: Box) -> None:
    drawing.box(area.x, area.y, area.width, area.height, fill=HEADLAND, stroke=SOFT, line=0.1)


def _dots_sample(detail: Detail) -> Sample:
    def draw(drawing: Drawing, area: Box) -> None:
        y = _middle(area)
        drawing.line(area.x, y, area.right, y, stroke=SOFT, width=0.14)
        shape = f"M{area.x + 0.6:.3f} {y:.3f}H{area.right:.3f}"
        drawing.path(
            shape, stroke=INK, width=round(detail.vine_size_mm, 3), cap="round",
            dash=f"0 {detail.vine_mm:.4f}",
        )  # fmt: skip

    return draw


def _tick_sample(drawing: Drawing, area: Box) -> None:
    y = _middle(area)
    drawing.line(area.x, y, area.right, y, stroke=SOFT, width=0.14)
    for x in (area.x + 2.0, area.x + 6.0):
        drawing.line(x, y - 0.7, x, y + 0.7, width=0.16)


def _end_sample(detail: Detail, *, with_anchor: bool) -> Sample:
    def draw(drawing: Drawing, area: Box) -> None:
        y, side = _middle(area), detail.end_post_mm
        post = area.x + 3.2
        drawing.line(post, y, area.right, y, stroke=SOFT, width=0.14)
        if with_anchor:
            arm = 0.42 * side
            x = area.x + 1.0
            drawing.line(x, y, post, y, width=0.14)
            drawing.line(x - arm, y - arm, x + arm, y + arm, width=0.16)
            drawing.line(x - arm, y + arm, x + arm, y - arm, width=0.16)
        drawing.box(post - side / 2, y - side / 2, side, side, fill=INK)

    return draw


def _zone_sample(kind: str, treatment: str) -> Sample:
    def draw(drawing: Drawing, area: Box) -> None:
        draw_sample(drawing, area, kind, treatment)

    return draw
