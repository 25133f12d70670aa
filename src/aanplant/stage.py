"""One stage of the job: what it reads, and the digest that tells whether it must run again."""

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np

from aanplant import __version__
from aanplant.brief import Brief
from aanplant.inputs import Inputs
from aanplant.working import Finding, Working

CONTENT = "content."
"""Before the name of a stage: what it found is read, whatever it was found from."""


class Result(Protocol):
    """What every stage finds, besides all that is its own."""

    @property
    def figures(self) -> Sequence[Working]:
        """Its numbers, each with what it came from."""

    @property
    def findings(self) -> Sequence[Finding]:
        """Its advice."""


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

    def digest(
        self,
        brief: Brief,
        inputs: Inputs,
        upstream: Mapping[str, str],
        results: Mapping[str, object],
    ) -> str:
        """Sum up all that the stage reads.

        It covers the values read, the digests of the stages it stands on and the version of
        the engine, so that a changed blank makes only the stages behind it run again.

        Parameters
        ----------
        brief, inputs
            As ``run`` gets them.
        upstream : mapping of str to str
            Digests of the stages before it.
        results : mapping of str to result
            What they found.
        """
        read = {
            name: upstream[name]
            if name in upstream
            else results[name.removeprefix(CONTENT)]
            if name.startswith(CONTENT)
            else _read(name, brief, inputs)
            for name in self.reads
        }
        text = json.dumps([__version__, self.name, read], sort_keys=True, default=_plain)
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
