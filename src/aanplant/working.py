"""How a figure shows its working, and how advice is given.

Neither holds a sentence: both carry a message id and named values, and the
catalogue (``aanplant.messages``) turns them into words in the reader's language.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

Value = int | float | str
Level = Literal["note", "care", "stop"]
LEVELS: tuple[Level, ...] = ("stop", "care", "note")


@dataclass(frozen=True, slots=True)
class Input:
    """One named number that went into a figure.

    Parameters
    ----------
    name : str
        The name the formula uses.
    value : int, float or str
        Its value in ``unit``.
    unit : str
        Unit as the catalogue of units writes it, "" for none.
    origin : str
        Where it comes from: ``brief:rows.row_width``, ``figure:site.area``,
        ``table:wire.csv``, ``file:prices.csv`` or ``measured`` (taken off the geometry).
    source : str
        Source id for a number that comes from a table; "" for the rest.
    """

    name: str
    value: Value
    unit: str
    origin: str
    source: str = ""


@dataclass(frozen=True, slots=True)
class Working:
    """A figure someone may act on, with all that is needed to check it.

    Parameters
    ----------
    key : str
        Dotted name, such as ``layout.vines``; also the message id of its label
        and, with ``.formula`` appended, of its formula.
    value : int, float or str
        The figure in ``unit``.
    unit : str
        Fixed for the key.
    inputs : tuple of Input
        Every number the formula names.
    source : str
        Id in ``tables/sources.csv``.
    about : str
        What the figure is about where several share a key's formula, such as
        the name of a wire line; "" otherwise.
    message : str
        Message id where it differs from ``key`` (figures made one per item).
    """

    key: str
    value: Value
    unit: str
    inputs: tuple[Input, ...]
    source: str
    about: str = ""
    message: str = ""

    @property
    def message_id(self) -> str:
        """Id of the label in the catalogue."""
        return self.message or self.key

    def as_input(self, name: str) -> Input:
        """Return this figure as an input of another figure."""
        return Input(name, self.value, self.unit, f"figure:{self.key}")


DANGERS = frozenset((
    "calendar.fumigation", "layout.buried_service", "prepare.dust", "prepare.services",
    "system.crossing", "system.danger", "system.injection", "trellis.post_danger",
    "trellis.wire_danger", "work.planting_danger",
))  # fmt: skip
"""Message ids of findings that warn those who do the work of harm."""


@dataclass(frozen=True, slots=True)
class Finding:
    """Advice about the plan.

    Parameters
    ----------
    stage : str
        Stage that found it.
    level : {"note", "care", "stop"}
        ``stop``: a person could be hurt, a law broken or the block fail.
    message : str
        Message id of the sentence.
    values : mapping
        Named values the sentence holds; a pair (value, unit) is written with its unit.
    figure : str
        Key of the figure it speaks of, "" for none.
    source : str
        Id in ``tables/sources.csv``.
    place : tuple of float, optional
        (x, y) in the block's frame, in metres, where it can be seen. [m]
    """

    stage: str
    level: Level
    message: str
    values: Mapping[str, Value | tuple[Value, str]] = field(default_factory=dict)
    figure: str = ""
    source: str = "practice"
    place: tuple[float, float] | None = None

    @property
    def is_danger(self) -> bool:
        """Whether it warns those who do the work of harm, so that it is never cut short."""
        return self.message in DANGERS


class Figures:
    """Figures by key, in the order they were made; unfolds any of them."""

    def __init__(self, workings: Iterable[Working] = ()) -> None:
        self._by_key: dict[str, Working] = {}
        for working in workings:
            if working.key in self._by_key:
                msg = f"figure {working.key} is made twice"
                raise ValueError(msg)
            self._by_key[working.key] = working

    def __getitem__(self, key: str) -> Working:
        return self._by_key[key]

    def __contains__(self, key: object) -> bool:
        return key in self._by_key

    def __iter__(self) -> Iterator[Working]:
        return iter(self._by_key.values())

    def __len__(self) -> int:
        return len(self._by_key)

    def keys(self) -> tuple[str, ...]:
        """Return all keys in order."""
        return tuple(self._by_key)

    def value(self, key: str) -> float:
        """Return the number behind a key.

        Raises
        ------
        TypeError
            If the figure is a text.
        """
        value = self._by_key[key].value
        if isinstance(value, str):
            msg = f"figure {key} is the text {value!r}, not a number"
            raise TypeError(msg)
        return value

    def unfold(self, key: str) -> Iterator[tuple[int, Working]]:
        """Yield a figure and all figures under it, each once, with its depth.

        Raises
        ------
        KeyError
            If there is no such figure.
        """
        seen: set[str] = set()
        waiting = [(0, key)]
        while waiting:
            depth, current = waiting.pop()
            if current in seen:
                continue
            seen.add(current)
            working = self._by_key[current]
            yield depth, working
            below = [
                item.origin.removeprefix("figure:")
                for item in working.inputs
                if item.origin.startswith("figure:")
            ]
            waiting.extend((depth + 1, name) for name in reversed(below))
