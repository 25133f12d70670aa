"""The one place where the stages meet: a brief and its inputs become a plan.

Each stage names what it reads. Its digest covers those values, the digests of the
stages it stands on and the version of the engine, so that a changed blank makes only
the stages behind it run again.
"""

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np

from aanplant import __version__
from aanplant.brief import Brief
from aanplant.brief.linked import linked
from aanplant.inputs import Inputs
from aanplant.layout import Layout, lay_out
from aanplant.site import Site, survey
from aanplant.stock import Stock, choose
from aanplant.trellis import Trellis
from aanplant.trellis import design as design_trellis
from aanplant.water import Irrigation
from aanplant.water import design as design_water
from aanplant.work import Planting, Programme, plan_planting, programme
from aanplant.work.calendar import make_calendar
from aanplant.work.money import Money, reckon
from aanplant.work.task_list import TaskList, list_tasks
from aanplant.work.tasks import Calendar
from aanplant.working import LEVELS, Figures, Finding, Working

Check = Callable[[str, float], None]
Result = (
    Site
    | Stock
    | Layout
    | Trellis
    | Irrigation
    | Programme
    | TaskList
    | Calendar
    | Planting
    | Money
)
CONTENT = "content."
"""Before the name of a stage: what it found is read, whatever it was found from."""


@dataclass(frozen=True)
class Stage:
    """One stage of the job.

    Parameters
    ----------
    name : str
        As ``until`` and ``check`` know it.
    reads : tuple of str
        Keys of the brief (a section, or section.key), ``inputs.`` fields and names
        of stages it stands on; ``content.`` before such a name where only what that stage
        found counts, not what it was found from.
    run : callable
        Takes the brief, the inputs and the results so far.
    """

    name: str
    reads: tuple[str, ...]
    run: Callable[[Brief, Inputs, Mapping[str, Any], Callable[[float], None]], Result]


STAGES: tuple[Stage, ...] = (
    Stage(
        "site",
        (
            "block",
            "ground",
            "history",
            "permissions",
            "soil",
            "climate",
            "protection",
            "work.planting",
            "inputs.outline",
            "inputs.exclusions",
            "inputs.pits",
            "inputs.zones",
            "inputs.heights",
            "inputs.weather",
            "inputs.set_out_grid",
            "inputs.base_line",
        ),
        lambda brief, inputs, _, __: survey(brief, inputs),
    ),
    Stage(
        "stock",
        (
            "vines",
            "cultivar",
            "spacing",
            "rootstock",
            "canopy.height",
            "climate.bud_break",
            "climate.colder_than_station",
            "machine.width",
            "inputs.cultivars",
            "inputs.rootstocks",
            "site",
        ),
        lambda brief, inputs, done, __: choose(brief, done["site"], inputs),
    ),
    Stage(
        "layout",
        (
            "vines.pattern",
            "rows",
            "trellis.post_every",
            "ends.assembly",
            "machine",
            "ground",
            "weights",
            "canopy",
            "site",
            "stock",
        ),
        lambda brief, _, done, check: lay_out(brief, done["site"], done["stock"], check=check),
    ),
    Stage(
        "trellis",
        (
            "trellis",
            "posts",
            "ends",
            "canopy.height",
            "climate.colder_than_station",
            "rows.anchor_distance",
            "vines.row_width",
            "materials.wire_tail",
            "materials.line_post_length",
            "materials.end_post_length",
            "materials.pair_clips",
            "site",
            "stock",
            "layout",
        ),
        lambda brief, _, done, __: design_trellis(
            brief, done["site"], done["layout"], done["stock"]
        ),
    ),
    Stage(
        "water",
        (
            "water",
            "demand",
            "watering",
            "first_season",
            "wetting",
            "dripper_line",
            "water_analysis",
            "vines.row_width",
            "vines.vine_spacing",
            "work.planting",
            "climate.bud_break",
            "climate.wind_height",
            "sets",
            "mains",
            "pipes",
            "pump",
            "head_works",
            "uniformity",
            "rows",
            "inputs.water_source",
            "inputs.water_route",
            "inputs.delivery_test",
            "inputs.pipe_prices",
            "site",
            "stock",
            "layout",
        ),
        lambda brief, inputs, done, __: design_water(
            brief, done["site"], done["stock"], done["layout"], inputs
        ),
    ),
    Stage(
        "work",
        (
            "vines",
            "spares",
            "sampling",
            "materials",
            "water.at_planting",
            "preparation",
            "nursery",
            "posts",
            "ends",
            "canopy.height",
            "trellis.post_every",
            "water.emitter",
            "work",
            "inputs.prices",
            "inputs.currency",
            "inputs.past_losses",
            "inputs.rootstocks",
            "site",
            "stock",
            "layout",
            "trellis",
            "water",
        ),
        lambda brief, inputs, done, __: programme(
            brief,
            inputs,
            done["site"],
            done["stock"],
            done["layout"],
            done["trellis"],
            done["water"],
        ),
    ),
    Stage(
        "tasks",
        (
            "schedule",
            "nursery",
            "planting",
            "preparation",
            "history",
            "first_season",
            "climate.plant_form",
            "inputs.labour",
            "inputs.crews",
            "inputs.machines",
            "inputs.prices",
            "inputs.own_tasks",
            "site",
            "layout",
            "trellis",
            "water",
            "work",
        ),
        lambda brief, inputs, done, __: list_tasks(
            brief,
            inputs,
            done["site"],
            done["layout"],
            done["trellis"],
            done["water"],
            done["work"],
        ),
    ),
    Stage(
        "calendar",
        # Searched for again only when the tasks themselves change: prices and wages are none
        # of its business.
        (
            "schedule",
            "work.planting",
            "nursery.as_of",
            "planting.keep",
            "planting.longest_out",
            "climate.soil_drainage",
            "inputs.work_calendar",
            "site",
            "content.tasks",
        ),
        lambda brief, inputs, done, check: make_calendar(
            brief, inputs, done["site"], done["tasks"], check=check
        ),
    ),
    Stage(
        "planting",
        (
            "nursery",
            "planting",
            "work",
            "climate",
            "spares.first_year_share",
            "vines.loss_fraction",
            "materials.guards",
            "first_season",
            "water.at_planting",
            "water.flow_available",
            "inputs.prices",
            "inputs.labour",
            "inputs.work_calendar",
            "site",
            "layout",
            "trellis",
            "water",
            "work",
            "calendar",
        ),
        lambda brief, inputs, done, __: plan_planting(
            brief,
            inputs,
            done["site"],
            done["layout"],
            done["trellis"],
            done["water"],
            done["work"],
            done["calendar"],
        ),
    ),
    Stage(
        "money",
        (
            "money",
            "work.planting",
            "trellis.yield_full",
            "trellis.yield_by_year",
            "vines.loss_fraction",
            "spares",
            "inputs.labour",
            "inputs.machines",
            "inputs.currency",
            "layout",
            "work",
            "calendar",
            "planting",
        ),
        lambda brief, inputs, done, __: reckon(
            brief,
            inputs,
            done["layout"],
            done["work"],
            done["calendar"],
            done["planting"].rounds,
            {one.item: one.needed for one in done["planting"].orders if one.needed},
        ),
    ),
)
STAGE_NAMES = tuple(stage.name for stage in STAGES)


@dataclass(frozen=True)
class Plan:
    """A block as planned: the results of the stages that ran, and how they came about.

    Parameters
    ----------
    brief : Brief
        What was asked.
    inputs : Inputs
        What was read.
    results : mapping of str to result
        By stage name; the stages after ``until`` are missing.
    digests : mapping of str to str
        Digest of each stage.
    """

    brief: Brief
    inputs: Inputs
    results: Mapping[str, Any]
    digests: Mapping[str, str] = field(default_factory=dict)

    @property
    def site(self) -> Site:
        """The ground."""
        return self.results["site"]  # type: ignore[no-any-return]

    @property
    def stock(self) -> Stock:
        """The vines."""
        return self.results["stock"]  # type: ignore[no-any-return]

    @property
    def layout(self) -> Layout:
        """Where everything stands."""
        return self.results["layout"]  # type: ignore[no-any-return]

    @property
    def trellis(self) -> Trellis:
        """What holds the vines up."""
        return self.results["trellis"]  # type: ignore[no-any-return]

    @property
    def water(self) -> Irrigation:
        """What keeps them alive."""
        return self.results["water"]  # type: ignore[no-any-return]

    @property
    def work(self) -> Programme:
        """What to order, and what it costs."""
        return self.results["work"]  # type: ignore[no-any-return]

    @property
    def calendar(self) -> Calendar:
        """When each task is done, and by whom."""
        return self.results["calendar"]  # type: ignore[no-any-return]

    @property
    def planting(self) -> Planting:
        """Planting day by day, the care of young vines, and the dates of orders."""
        return self.results["planting"]  # type: ignore[no-any-return]

    @property
    def money(self) -> Money:
        """What it costs and brings in over the years."""
        return self.results["money"]  # type: ignore[no-any-return]

    @cached_property
    def figures(self) -> Figures:
        """All figures of the stages that ran."""
        workings: list[Working] = []
        for result in self.results.values():
            workings.extend(result.figures)
        return Figures(workings)

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """All advice, the gravest first, in the order of the job within a level."""
        found = [finding for result in self.results.values() for finding in result.findings]
        return tuple(sorted(found, key=lambda finding: LEVELS.index(finding.level)))

    @property
    def must_stop(self) -> bool:
        """Whether any finding says stop."""
        return any(finding.level == "stop" for finding in self.findings)


def make_plan(
    brief: Brief,
    inputs: Inputs,
    *,
    earlier: Plan | Sequence[Plan] | None = None,
    until: str | None = None,
    check: Check | None = None,
) -> Plan:
    """Run the stages in order.

    Parameters
    ----------
    brief, inputs
        What is asked and what was read.
    earlier : Plan or sequence of Plan, optional
        Stages whose digest one of them shares are taken from it.
    until : str, optional
        Last stage to run; all when left out.
    check : callable, optional
        Called with a stage's name and the fraction of it done; may raise
        ``Cancelled`` to stop.

    Raises
    ------
    InputError
        If the brief or an input cannot be used.
    ValueError
        If ``until`` names no stage.
    """
    if until is not None and until not in STAGE_NAMES:
        raise ValueError(f"until must be one of {STAGE_NAMES}, got {until!r}")
    brief = linked(brief)
    known = (earlier,) if isinstance(earlier, Plan) else tuple(earlier or ())
    results: dict[str, Any] = {}
    digests: dict[str, str] = {}
    for stage in STAGES:
        digest = _digest(stage, brief, inputs, digests, results)
        same = next((plan for plan in known if plan.digests.get(stage.name) == digest), None)
        if same is not None:
            results[stage.name] = same.results[stage.name]
        else:
            report = _progress(stage.name, check)
            report(0.0)
            results[stage.name] = stage.run(brief, inputs, results, report)
            report(1.0)
        digests[stage.name] = digest
        if stage.name == until:
            break
    return Plan(brief, inputs, results, digests)


def _progress(stage: str, check: Check | None) -> Callable[[float], None]:
    def report(fraction: float) -> None:
        if check is not None:
            check(stage, fraction)

    return report


def _digest(
    stage: Stage,
    brief: Brief,
    inputs: Inputs,
    upstream: Mapping[str, str],
    results: Mapping[str, object],
) -> str:
    read = {
        name: upstream[name]
        if name in upstream
        else results[name.removeprefix(CONTENT)]
        if name.startswith(CONTENT)
        else _read(name, brief, inputs)
        for name in stage.reads
    }
    text = json.dumps([__version__, stage.name, read], sort_keys=True, default=_plain)
    return hashlib.sha256(text.encode()).hexdigest()


def _read(name: str, brief: Brief, inputs: Inputs) -> object:
    if name.startswith("inputs."):
        return getattr(inputs, name.removeprefix("inputs."))
    value: Any = brief.canonical()
    for part in name.split("."):
        value = value[part]
    given = sorted(key for key in _keys_under(name, value) if brief.is_given(key))
    return {"value": value, "given": given}


def _keys_under(prefix: str, value: object) -> list[str]:
    if isinstance(value, dict):
        return [
            key for name, below in value.items() for key in _keys_under(f"{prefix}.{name}", below)
        ]
    return [prefix]


def _plain(value: object) -> object:
    """Turn an input into something JSON can hold, without losing a digit."""
    if isinstance(value, np.ndarray):
        return hashlib.sha256(np.ascontiguousarray(value).tobytes()).hexdigest()
    if hasattr(value, "wkb_hex"):
        return value.wkb_hex
    if hasattr(value, "__dataclass_fields__"):
        return {name: getattr(value, name) for name in value.__dataclass_fields__}
    return str(value)
