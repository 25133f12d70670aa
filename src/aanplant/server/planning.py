"""Make plans and previews of blocks, and keep what can be used again for the next one."""

import threading
from collections import OrderedDict, defaultdict, deque
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from typing import Any

from aanplant.brief import Brief, validated
from aanplant.brief.linked import linked
from aanplant.errors import Cancelled, InputError
from aanplant.files import BlockFolder, read_inputs
from aanplant.files.estate_folder import BRIEF_FILE, open_block
from aanplant.files.plan_json import PlanRecord, plain
from aanplant.inputs import Inputs
from aanplant.plan import Check, Plan, make_plan
from aanplant.report.alternatives import Outcome, outcome_of
from aanplant.server.editing import applied
from aanplant.server.store import EstateStore
from aanplant.site import Site
from aanplant.stages import STAGE_NAMES

PLANS_KEPT = 6
"""Plans of a block whose stages serve the next one: what was there before an undo, and a few
alternatives."""
OUTCOMES_KEPT = 60
"""Alternatives whose figures are remembered, over all blocks."""
_Stamp = tuple[tuple[str, int, int], ...]


@dataclass(frozen=True)
class _Read:
    asked: tuple[str, ...]
    stamp: _Stamp
    inputs: Inputs


class Planner:
    """Plans the blocks of one estate.

    Parameters
    ----------
    store : EstateStore
        Where they lie.
    """

    def __init__(self, store: EstateStore) -> None:
        self._store = store
        self._lock = threading.Lock()
        self._kept: dict[str, deque[Plan]] = defaultdict(lambda: deque(maxlen=PLANS_KEPT))
        self._inputs: dict[str, _Read] = {}
        self._asked: dict[tuple[str, str], int] = {}
        self._standing: dict[tuple[str, str], tuple[str, float]] = {}
        self._warming: dict[str, threading.Thread] = {}
        self._is_closing = False
        self._outcomes: OrderedDict[tuple[str, str, _Stamp], Outcome] = OrderedDict()

    def warm(self, name: str) -> None:
        """Lay a block out on a thread of its own; whoever asks for it meanwhile waits for that."""

        def lay_out() -> None:
            with suppress(InputError, Cancelled):
                self._make(name, self.opened(name), lambda _, __: None, until="layout")

        thread = threading.Thread(target=lay_out, name=f"warm {name}")
        self._warming[name] = thread
        thread.start()

    def close(self) -> None:
        """Stop planning, and wait for what runs ahead: no thread may outlive the interpreter."""
        self._is_closing = True
        for thread in self._warming.values():
            thread.join()

    def opened(self, name: str, changes: Mapping[str, Any] | None = None) -> BlockFolder:
        """Read a block, with changes to its brief that are not saved.

        Raises
        ------
        InputError
            If the brief, or a change, cannot be used, or a file that it names lies outside
            the estate.
        """
        folder = self._store.block(name)
        block = open_block(folder)
        if changes:
            data = applied(self._store.brief(name).text, changes)
            brief = validated(Brief, data, BRIEF_FILE)
            if not brief.block.name:
                named = brief.block.model_copy(update={"name": block.brief.block.name})
                brief = brief.model_copy(update={"block": named})
            block = BlockFolder(brief, block.brief_path, block.estate, block.estate_folder)
        self._refuse_files_elsewhere(block)
        return block

    def preview(self, name: str, changes: Mapping[str, Any], *, page: str, until: str) -> Plan:
        """Plan a block up to a stage.

        Parameters
        ----------
        name : str
            Of the block.
        changes : mapping
            Unsaved changes of the brief by dotted key.
        page : str
            Which page asks; its next question overtakes this one.
        until : str
            Last stage wanted.

        Raises
        ------
        Cancelled
            If it was overtaken.
        InputError
            If something cannot be used.
        """
        with self._turn(page, name) as check:
            return self._plan(name, self.opened(name, changes), check, until=until)

    def outcomes(
        self, name: str, alternatives: Sequence[Mapping[str, Any]], *, page: str
    ) -> list[Outcome | InputError]:
        """Plan alternatives of a block to the end; one that cannot be used is told as its error.

        Parameters
        ----------
        name : str
            Of the block.
        alternatives : sequence of mapping
            Unsaved changes of the brief of each, by dotted key.
        page : str
            Which page asks; its next question overtakes this one.

        Raises
        ------
        Cancelled
            If it was overtaken.
        """
        found: list[Outcome | InputError] = []
        with self._turn(page, name) as check:
            for changes in alternatives:
                done, count = len(found), len(alternatives)

                def part(stage: str, fraction: float, done: int = done, count: int = count) -> None:
                    place = (STAGE_NAMES.index(stage) + fraction) / len(STAGE_NAMES)
                    check(stage, (done + place) / count)

                try:
                    found.append(self._outcome(name, self.opened(name, changes), part))
                except InputError as error:
                    found.append(error)
        return found

    def standing(self, name: str, page: str) -> tuple[str, float]:
        """Stage and fraction of what a page asked of a block last, ("", 0) when it is answered."""
        return self._standing.get((page, name), ("", 0.0))

    @contextmanager
    def _turn(self, page: str, name: str) -> Iterator[Check]:
        """Check for a later question of the same page, and remember how far this one is."""
        asked = (page, name)
        with self._lock:
            turn = self._asked[asked] = self._asked.get(asked, 0) + 1

        def check(stage: str, fraction: float) -> None:
            if self._asked[asked] != turn:
                raise Cancelled
            self._standing[asked] = (stage, fraction)

        try:
            yield check
        finally:
            if self._asked[asked] == turn:
                self._standing.pop(asked, None)

    def _outcome(self, name: str, block: BlockFolder, check: Check) -> Outcome:
        """Plan to the end, or take what came of the same brief and files before."""
        key = (name, block.brief.model_dump_json(exclude_unset=True), _stamp(block))
        known = self._outcomes.get(key)
        if known is None:
            known = outcome_of(self._plan(name, block, check, until=None))
            self._outcomes[key] = known
            while len(self._outcomes) > OUTCOMES_KEPT:
                self._outcomes.popitem(last=False)
        return known

    def whole(self, name: str, check: Check) -> Plan:
        """Plan a block as it is saved, to the end."""
        return self._plan(name, self.opened(name), check, until=None)

    def laid_out(self, name: str, changes: Mapping[str, Any]) -> Plan:
        """Plan a block up to its layout under unsaved changes; nothing overtakes it."""
        return self._plan(name, self.opened(name, changes), lambda _, __: None, until="layout")

    def site(self, name: str) -> Site:
        """Survey the ground of a block as it is saved."""
        return self._plan(name, self.opened(name), lambda _, __: None, until="site").site

    def surveyed(self, name: str) -> tuple[Site, Inputs] | None:
        """Ground and inputs of a block as it is saved; None where they cannot be used."""
        try:
            return self.site(name), self._read(name, self.opened(name))
        except InputError:
            return None

    def is_current(self, name: str, record: PlanRecord) -> bool:
        """Whether a written plan is of the brief and the files as they lie there now."""
        try:
            block = self.opened(name)
            inputs = self._read(name, block)
        except InputError:
            return False
        asked = plain(linked(block.brief).canonical())
        return (asked, dict(inputs.files)) == (record.brief, record.inputs)

    def _plan(self, name: str, block: BlockFolder, check: Check, *, until: str | None) -> Plan:
        if (warming := self._warming.get(name)) is not None:
            warming.join()
        return self._make(name, block, check, until=until)

    def _make(self, name: str, block: BlockFolder, check: Check, *, until: str | None) -> Plan:
        def wanted(stage: str, fraction: float) -> None:
            if self._is_closing:
                raise Cancelled
            check(stage, fraction)

        inputs = self._read(name, block)
        wanted("site", 0.0)
        with self._lock:
            earlier = tuple(self._kept[name])
        plan = make_plan(block.brief, inputs, earlier=earlier, until=until, check=wanted)
        with self._lock:
            self._kept[name].appendleft(plan)
        return plan

    def _read(self, name: str, block: BlockFolder) -> Inputs:
        """Read the files again only when one of them, or what asks for them, changed."""
        asked, stamp = _what_is_read(block), _stamp(block)
        known = self._inputs.get(name)
        if known is not None and (known.asked, known.stamp) == (asked, stamp):
            return known.inputs
        inputs = read_inputs(block)
        self._inputs[name] = _Read(asked, stamp, inputs)
        return inputs

    def _refuse_files_elsewhere(self, block: BlockFolder) -> None:
        """Keep a brief that came over the wire from naming any file on the machine."""
        for key, file in block.brief.named_files().items():
            if not self._store.holds(block.brief_path.parent / file):
                raise InputError(
                    f"{BRIEF_FILE}: {key}",
                    f"{file!r}, which lies outside the estate's folder",
                    "a file of the estate",
                )


def _what_is_read(block: BlockFolder) -> tuple[str, ...]:
    """All that the reading of inputs takes from the brief and the estate, as text."""
    brief = block.brief
    return (
        repr(brief.named_files()),
        brief.block.model_dump_json(exclude={"name"}),
        brief.ground.model_dump_json(),
        block.estate.model_dump_json(),
    )


def _stamp(block: BlockFolder) -> _Stamp:
    """Size and time of every file that the brief names, and of those in the estate's folder."""
    here = block.brief_path.parent
    named = [here / file for file in block.brief.named_files().values()]
    shared = [path for path in (block.estate_folder or here).iterdir() if path.is_file()]
    return tuple(
        (str(path), status.st_size, status.st_mtime_ns)
        for path in sorted({*named, *shared})
        if path.is_file()
        for status in [path.stat()]
    )
