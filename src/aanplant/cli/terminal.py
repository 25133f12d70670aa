"""How results, progress and advice look in a terminal: results on stdout, the rest on stderr."""

import textwrap
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from rich.console import Console, OverflowMethod
from rich.markup import escape
from rich.progress import BarColumn, Progress, TextColumn
from rich.table import Table

from aanplant import messages
from aanplant.brief import Brief
from aanplant.plan import Check, Plan
from aanplant.stages import STAGE_NAMES
from aanplant.stock.rootstock_answer import RootstockChoice
from aanplant.units import UnitSystem, show
from aanplant.water.designed import DesignedSystem
from aanplant.water.emitters import KPA_PER_M
from aanplant.water.needs import WaterNeeds
from aanplant.water.system_figures import M3_H
from aanplant.working import Finding

PATIENCE_S = 0.5
"""Work longer than this shows its progress."""
BEST = 3
"""Rootstocks that are named in the summary."""
_LEVEL_STYLE = {"stop": "bold red", "care": "yellow", "note": "dim"}
_SUMMARY = (
    "site.area",
    "layout.bearing",
    "layout.rows",
    "layout.row_ends",
    "layout.row_length",
    "layout.vines",
    "stock.order_quantity",
    "layout.density",
    "layout.line_posts",
    "layout.end_posts",
    "trellis.anchors",
    "trellis.wire_length",
    "water.dripper_line",
    "work.water_at_planting",
    "work.planting_pumped",
    "work.budget.materials",
    "work.budget.establishment",
    "work.budget.cost_per_area",
    "work.budget.npv",
    "work.budget.irr",
)

output = Console(highlight=False, soft_wrap=True)
advice = Console(stderr=True, highlight=False)


@contextmanager
def progress(title: str) -> Iterator[Check]:
    """Show how far the stages are, once they take longer than half a second."""
    bar = Progress(
        TextColumn("{task.description}"), BarColumn(bar_width=24), console=advice, transient=True
    )
    task = bar.add_task(title, total=len(STAGE_NAMES))
    started = time.monotonic()
    shown = False

    def check(stage: str, fraction: float) -> None:
        nonlocal shown
        if not shown and advice.is_terminal and time.monotonic() - started > PATIENCE_S:
            bar.start()
            shown = True
        done = STAGE_NAMES.index(stage) + fraction if stage in STAGE_NAMES else len(STAGE_NAMES)
        bar.update(task, completed=done, description=f"{title}: {stage}")

    try:
        yield check
    finally:
        if shown:
            bar.stop()


def show_summary(plan: Plan, system: UnitSystem) -> None:
    """Write the figures a manager looks at first."""
    layout, stock = plan.layout, plan.stock
    heading = f"{plan.inputs.estate} · {plan.site.name}" if plan.inputs.estate else plan.site.name
    output.print(f"\n[bold]{escape(heading)}[/bold]")
    vines = " ".join(
        part
        for part in (
            stock.cultivar,
            stock.clone,
            "on",
            stock.rootstock or "a rootstock not yet chosen",
        )
        if part
    )
    output.print(
        f"{escape(vines)}; rows {show(stock.row_width_m, 'm', system)} apart, "
        f"a vine every {show(stock.vine_spacing_m, 'm', system)}, "
        f"bearing {show(layout.bearing_deg, 'deg')}\n"
    )
    if stock.rootstock_choice is not None and stock.rootstock_choice.picked:
        output.print(f"{escape(_rootstocks(stock.rootstock_choice))}\n")
    table = Table.grid(padding=(0, 2))
    table.add_column()
    table.add_column(justify="right")
    for key in _SUMMARY:
        if key in plan.figures:
            figure = plan.figures[key]
            table.add_row(
                messages.label(figure), messages.show_value(figure.value, figure.unit, system)
            )
    output.print(table)
    if "trellis" in plan.results and plan.trellis.holding is not None:
        output.print(f"\n{escape(_trellis(plan, system))}")
    if "water" in plan.results and plan.water.use is not None and plan.water.use.needs is not None:
        output.print(f"\n{escape(_water(plan.brief, plan.water.use.needs, system))}")
    if "water" in plan.results and plan.water.system is not None:
        output.print(f"\n{escape(_drip_system(plan.water.system, system))}")


def _trellis(plan: Plan, system: UnitSystem) -> str:
    """Write what holds the vines up on a few lines: system, pull, posts and the most used part."""
    trellis, held = plan.trellis, plan.trellis.holding
    assert held is not None  # noqa: S101 - the caller asked
    worst = int(held.worst_use.argmax())
    posts = held.post.name
    if trellis.counts.exposed_posts:
        posts += f", {held.exposed_post.name} in full wind"
    wind = show(float(held.bending_gust_m_s.min()), "m/s", system)
    return (
        f"trellis {trellis.system.name}: a row pulls "
        f"{show(float(held.ends.pull.pull_n.max()), 'N', system)} on its {held.rules.assembly}\n"
        f"line posts {posts}; they bear a gust of {wind}\n"
        f"most used: {held.worst_part[worst]}, {held.worst_use[worst]:.2f} "
        f"in row {trellis.rows.row[worst]}"
    )


def _water(brief: Brief, needs: WaterNeeds, system: UnitSystem) -> str:
    """Write what the vines need on two lines: the peak and the season, and the planting."""
    at = brief.demand.peak_assurance
    first = needs.first.total_m3(at)
    full = float(needs.season.drawn_at(at)[-1])
    return "\n".join(
        (
            messages.fill(
                "water.summary.use",
                first=show(float(needs.peak_litres[0]), "L", system),
                full=show(float(needs.peak_litres[-1]), "L", system),
                first_season=show(round(first / (1.0 - brief.watering.losses)), "m3", system),
                full_season=show(round(full), "m3", system),
            ),
            messages.fill(
                "water.summary.first",
                planting=show(round(needs.first.planting_m3), "m3", system),
                total=show(round(first), "m3", system),
            ),
        )
    )


def _drip_system(made: DesignedSystem, system: UnitSystem) -> str:
    """Write the drip system on a few lines: sets, evenness, pressures and the pump's duty."""
    runs, duties = made.runs, made.duties
    count = f"{len(runs)} sets" if len(runs) > 1 else "1 set"
    least, most = (show(float(m) * KPA_PER_M, "kPa", system) for m in
                   (runs.least_m.min(), runs.most_m.max()))  # fmt: skip
    largest = show(float(runs.flow_m3_s.max()) * M3_H, "m3/h", system)
    giver = "pump" if made.is_pumped else "public main"
    flow = show(float(duties.flow_m3_s[duties.worst]) * M3_H, "m3/h", system)
    head = show(float(duties.head_m[duties.worst]), "m", system)
    return (
        f"drip system: {count}, the largest {largest}; "
        f"emission uniformity {show(float(runs.emission_pct.min()), '%')} or more\n"
        f"drippers at {least} to {most}; water runs at "
        f"{show(float(runs.velocity_m_s.max()), 'm/s', system)} at most\n"
        f"the {giver} must give {flow} at {head} in set {duties.worst + 1}, "
        "which asks most of it"
    )


def _rootstocks(found: RootstockChoice) -> str:
    """Write the best rootstocks on one line, and how many are excluded."""
    best = ", ".join(
        f"{found.stocks[one]} {found.scores[one]:.2f} "
        f"(first in {found.share_first[one] * 100:.0f} % of draws)"
        for one in found.order[:BEST]
    )
    left = int((~found.allowed).sum())
    return f"rootstocks by score: {best}; {left} of {len(found.stocks)} excluded by limits"


def show_findings(findings: Sequence[Finding], system: UnitSystem) -> None:
    """Write what stops the work in full, cares by stage on a line each, and how many notes.

    A care is cut to the width of the terminal, but for those that warn of harm; a file or
    another program gets all of them whole.
    """
    for finding in findings:
        if finding.level == "stop":
            _show_in_full(messages.sentence(finding, system), "stop")
    cares = _by_stage(findings, "care")
    for stage, found in cares.items():
        heading = messages.fill("advice.cares", stage=stage, count=len(found))
        advice.print(f"[{_LEVEL_STYLE['care']}]{escape(heading)}[/]")
        for finding in found:
            text = messages.sentence(finding, system)
            if finding.is_danger and advice.is_terminal:
                _show_in_full(text)
            else:
                is_cut = advice.is_terminal
                overflow: OverflowMethod = "ellipsis" if is_cut else "ignore"
                advice.print(
                    f"  {text}", markup=False, no_wrap=True, overflow=overflow, crop=is_cut
                )
    notes = _by_stage(findings, "note")
    if notes:
        stages = ", ".join(
            messages.fill("advice.of_stage", stage=stage, count=len(found))
            for stage, found in notes.items()
        )
        count = sum(map(len, notes.values()))
        advice.print(
            escape(messages.fill("advice.notes", count=count, stages=stages)),
            style=_LEVEL_STYLE["note"],
        )
    if cares or notes:
        advice.print(escape(messages.word("advice.where")), style=_LEVEL_STYLE["note"])


def _show_in_full(text: str, mark: str = "") -> None:
    """Write a whole sentence, wrapped; what stops the work has its mark before it."""
    margin = 7 if mark else 2
    first, *rest = textwrap.wrap(text, max(40, min(advice.width, 100) - margin))
    style = _LEVEL_STYLE["stop"]
    advice.print(f"[{style}]{mark:>5}[/{style}]  {escape(first)}" if mark else f"  {escape(first)}")
    for line in rest:
        advice.print(" " * margin + line, markup=False)


def _by_stage(findings: Sequence[Finding], level: str) -> dict[str, list[Finding]]:
    """Sort findings of a level under the names of their stages, in the order of the job."""
    found: dict[str, list[Finding]] = {}
    for stage in STAGE_NAMES:
        own = [item for item in findings if item.level == level and item.stage == stage]
        if own:
            found[messages.word(f"advice_stage.{stage}")] = own
    return found
