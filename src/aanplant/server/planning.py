"""Make plans and previews of blocks, and keep what can be used again for the next one."""

import threading
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from aanplant.brief import Brief, validated
from aanplant.errors import Cancelled
from aanplant.files import BlockFolder, read_inputs
from aanplant.files.estate_folder import BRIEF_FILE, open_block
from aanplant.inputs import Inputs
from aanplant.plan import Check, Plan, make_plan
from aanplant.server.editing import applied
from aanplant.server.preview import STAGE
from aanplant.server.store import EstateStore

_Stamp = tuple[tuple[str, int, int], ...]


@dataclass(frozen=True)
class _Read:
    names: tuple[str, ...]
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
        self._last: dict[str, Plan] = {}
        self._inputs: dict[str, _Read] = {}
        self._asked: dict[tuple[str, str], int] = {}

    def opened(self, name: str, changes: Mapping[str, Any] | None = None) -> BlockFolder:
        """Read a block, with changes to its brief that are not saved.

        Raises
        ------
        InputError
            If the brief, or a change, cannot be used.
        """
        folder = self._store.block(name)
        block = open_block(folder)
        if not changes:
            return block
        data = applied(self._store.brief(name).text, changes)
        brief = validated(Brief, data, BRIEF_FILE)
        if not brief.block.name:
            named = brief.block.model_copy(update={"name": block.brief.block.name})
            brief = brief.model_copy(update={"block": named})
        return BlockFolder(brief, block.brief_path, block.estate, block.estate_folder)

    def preview(self, name: str, changes: Mapping[str, Any], *, page: str) -> Plan:
        """Plan a block up to its layout.

        Parameters
        ----------
        name : str
            Of the block.
        changes : mapping
            Unsaved changes of the brief by dotted key.
        page : str
            Which page asks; its next question overtakes this one.

        Raises
        ------
        Cancelled
            If it was overtaken.
        InputError
            If something cannot be used.
        """
        asked = (page, name)
        with self._lock:
            turn = self._asked[asked] = self._asked.get(asked, 0) + 1

        def check(_: str, __: float) -> None:
            if self._asked[asked] != turn:
                raise Cancelled

        return self._plan(name, self.opened(name, changes), check, until=STAGE)

    def whole(self, name: str, check: Check) -> Plan:
        """Plan a block as it is saved, to the end."""
        return self._plan(name, self.opened(name), check, until=None)

    def _plan(self, name: str, block: BlockFolder, check: Check, *, until: str | None) -> Plan:
        inputs = self._read(name, block)
        check("site", 0.0)
        plan = make_plan(
            block.brief, inputs, earlier=self._last.get(name), until=until, check=check
        )
        earlier = self._last.get(name)
        # A preview leaves the later stages of the last whole plan to the next whole plan.
        if until is not None and earlier is not None:
            kept = {**earlier.results, **plan.results}
            digests = {**earlier.digests, **plan.digests}
            self._last[name] = Plan(plan.brief, plan.inputs, kept, digests)
        else:
            self._last[name] = plan
        return plan

    def _read(self, name: str, block: BlockFolder) -> Inputs:
        """Read the files again only when one of them, or what the brief names, changed."""
        names = _named_files(block)
        stamp = _stamp(block)
        known = self._inputs.get(name)
        if known is not None and (known.names, known.stamp) == (names, stamp):
            return known.inputs
        inputs = read_inputs(block)
        self._inputs[name] = _Read(names, stamp, inputs)
        return inputs


def _named_files(block: BlockFolder) -> tuple[str, ...]:
    """All that the reading of inputs takes from the brief and the estate, as text."""
    brief = block.brief
    return (
        brief.block.model_dump_json(exclude={"name"}),
        brief.ground.model_dump_json(),
        brief.rows.base_line,
        brief.water.model_dump_json(),
        brief.mains.model_dump_json(),
        brief.spares.past_losses,
        brief.climate.weather,
        block.estate.model_dump_json(),
    )


def _stamp(block: BlockFolder) -> _Stamp:
    """Name, size and time of every file beside the brief and in the estate's folder."""
    folders = {block.brief_path.parent, block.estate_folder or block.brief_path.parent}
    found = [
        (str(path), status.st_size, status.st_mtime_ns)
        for folder in folders
        for path in Path(folder).iterdir()
        if path.is_file()
        for status in [path.stat()]
    ]
    return tuple(sorted(found))
