"""The one place where the stages meet: a brief and its inputs become a plan."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from aanplant.brief import Brief
from aanplant.brief.linked import linked
from aanplant.inputs import Inputs
from aanplant.layout import Layout
from aanplant.site import Site
from aanplant.stages import STAGE_NAMES, STAGES
from aanplant.stock import Stock
from aanplant.trellis import Trellis
from aanplant.water import Irrigation
from aanplant.work import Planting, Programme
from aanplant.work.money import Money
from aanplant.work.tasks import Calendar
from aanplant.working import LEVELS, Figures, Finding, Working

Check = Callable[[str, float], None]


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
        digest = stage.digest(brief, inputs, digests, results)
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
