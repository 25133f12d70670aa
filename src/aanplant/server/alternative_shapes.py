"""Alternatives of a brief, and what came of them, as they go over the wire."""

from pydantic import Field

from aanplant.server.shapes import ChangesShape, ShortText
from aanplant.server.wire import Shape


class AlternativeShape(ChangesShape):
    """A named list of changes to the brief."""

    name: str = Field(min_length=1, max_length=80, examples=["wide rows"])
    """What it is called."""


class AlternativesQuestionShape(Shape):
    """Alternatives to be planned and set side by side."""

    page: str = Field(default="", max_length=64, examples=["a3f0"])
    """Which page asks; its next question overtakes this one."""
    alternatives: list[AlternativeShape] = Field(
        min_length=1,
        max_length=12,
        examples=[[
            {"name": "as it stands", "changes": {}},
            {"name": "wide rows", "changes": {"vines.row_width": "2.75 m"}},
        ]],
    )  # fmt: skip
    """The first is the one beside which the others are told."""


class ComparedShape(Shape):
    """A figure by which alternatives are set side by side."""

    key: str = Field(examples=["layout.vines"])
    """Its key."""
    label: str = Field(examples=["vines"])
    """What it is called."""
    unit: str = Field(examples=["vines"])
    """Unit of the values told; those shown are in the reader's."""


class ResultShape(Shape):
    """What came of one figure in one alternative."""

    value: float | str | None = Field(examples=[16793])
    """In its fixed unit; null where it is not known."""
    shown: str = Field(examples=["16 793 vines"])
    """As the reader sees it."""


class ComparedAlternativeShape(Shape):
    """One alternative with what came of it."""

    name: ShortText = Field(examples=["wide rows"])
    """What it is called."""
    results: list[ResultShape]
    """One a figure; empty where it cannot be planned."""
    unpriced: int = Field(examples=[4])
    """Items of the order without a price."""
    stops: int = Field(examples=[1])
    """Findings that say stop."""
    told: list[str] = Field(
        examples=[["wide rows costs 151 383 ZAR less to establish than as it stands."]]
    )
    """How it differs from the first, in sentences; why, where it cannot be planned."""


class AlternativesShape(Shape):
    """Alternatives side by side."""

    figures: list[ComparedShape]
    """By which they are compared."""
    alternatives: list[ComparedAlternativeShape]
    """In the order asked."""
    words: dict[str, str] = Field(examples=[{"stops": "stop"}])
    """Headings of the counts."""


class ProgressShape(Shape):
    """How far a question of a page is."""

    stage: str = Field(examples=["calendar"])
    """Stage that is worked on, "" where nothing is."""
    fraction: float = Field(examples=[0.4])
    """Done of the whole, 0 to 1."""
