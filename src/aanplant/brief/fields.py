"""How a key of the brief knows its unit, its range and the source of its default."""

import ast
import inspect
import textwrap
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from itertools import pairwise
from typing import Annotated, Any, get_args

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    StringConstraints,
)
from pydantic.fields import FieldInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from aanplant.errors import InputError
from aanplant.units import parse_quantity


@dataclass(frozen=True, slots=True)
class NamesFile:
    """Marks a key that names a file beside the brief."""


Name = Annotated[str, StringConstraints(max_length=80, pattern=r"^[^\x00-\x1f\x7f]*$")]
FileName = Annotated[
    str, StringConstraints(max_length=200, pattern=r"^[^\x00-\x1f\x7f]*$"), NamesFile()
]


@dataclass(frozen=True, slots=True)
class Quantity:
    """Unit and range of a key; no real vineyard lies outside the range."""

    unit: str
    low: float
    high: float

    def read(self, value: object) -> float:
        """Turn what stands in the brief into a number in the key's unit.

        Raises
        ------
        PydanticCustomError
            If it is no such quantity or out of range; says what was found and expected.
        """
        try:
            number = parse_quantity(value, self.unit, "")
        except InputError as error:
            raise refusal(error.found, error.expected) from None
        if not self.low <= number <= self.high:
            raise refusal(repr(value), self._range(as_percents=not self.unit and "%" in str(value)))
        return number

    def _range(self, *, as_percents: bool) -> str:
        """Tell the range as the value was written: in the key's unit, or a share in per cent."""
        if as_percents:
            return f"between {100 * self.low:g} and {100 * self.high:g} %"
        return f"between {self.low:g} and {self.high:g} {self.unit}".rstrip()

    def __get_pydantic_core_schema__(
        self, source: type, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """Read quantities by ``read``."""
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Describe the quantity to an editor: a bare number, or a text with its unit."""
        return {
            "anyOf": [
                {"type": "number", "minimum": self.low, "maximum": self.high},
                {
                    "type": "string",
                    "description": f"with its unit; bare numbers are {self.unit or 'fractions'}",
                },
            ],
            "unit": self.unit,
        }


@dataclass(frozen=True, slots=True)
class Default:
    """Source id of a key's default value."""

    source: str

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Show the source of the default to an editor."""
        return {**handler(schema), "default_source": self.source}


@dataclass(frozen=True, slots=True)
class NumberRange:
    """Unit and range of a number beside which a word may stand; the key's own validator holds it.

    ``high`` itself may be outside the range.
    """

    unit: str
    low: float
    high: float

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Show unit and range to an editor."""
        return {**handler(schema), "unit": self.unit, "low": self.low, "high": self.high}


def refusal(found: str, expected: str) -> PydanticCustomError:
    """Make the error by which a validator refuses a value, in our own words."""
    return PydanticCustomError(
        "refused", "{found}; expected {expected}", {"found": found, "expected": expected}
    )


def _real_day(day: str) -> str:
    """Refuse days that no month has."""
    try:
        date.fromisoformat(day or "2000-01-01")
    except ValueError:
        raise refusal(repr(day), 'a day there is, such as "2027-08-02"') from None
    return day


DayText = Annotated[
    str,
    StringConstraints(pattern=r"^$|^(19|20|21)\d\d-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$"),
    AfterValidator(_real_day),
]
"""A day, year-month-day; empty while it is open."""

PRACTICE, MEMORY = Default("practice"), Default("memory")


class Section(BaseModel):
    """A table of the brief."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    @classmethod
    def __get_pydantic_json_schema__(
        cls, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Describe every key to an editor, in the words below it in the code."""
        made = handler(schema)
        keys = handler.resolve_ref_schema(made)["properties"]
        for name, text in meanings(cls).items():
            keys[cls.model_fields[name].alias or name].setdefault("description", text)
        return made


@cache
def meanings(section: type[BaseModel]) -> Mapping[str, str]:
    """Return what the keys of a section mean, by name: the text below each in the code, on a line.

    Pydantic would read them whenever the program starts, which costs a seventh of a second;
    only schema, starter estate and documentation ask for them.
    """
    found: dict[str, str] = {}
    for base in reversed(section.__mro__):
        if not (issubclass(base, Section) and base is not Section):
            continue
        body = ast.parse(textwrap.dedent(inspect.getsource(base))).body[0]
        assert isinstance(body, ast.ClassDef)  # noqa: S101 - the source of a class
        for field, text in pairwise(body.body):
            if (
                isinstance(field, ast.AnnAssign)
                and isinstance(field.target, ast.Name)
                and isinstance(text, ast.Expr)
                and isinstance(text.value, ast.Constant)
                and isinstance(text.value.value, str)
            ):
                found[field.target.id] = " ".join(text.value.value.split())
    return {name: text for name, text in found.items() if name in section.model_fields}


def quantity_of(info: FieldInfo) -> Quantity | None:
    """Return unit and range of a key, also of one that may be left empty; None for texts."""
    parts = [info, *get_args(info.annotation)]
    metadata = [item for part in parts for item in getattr(part, "__metadata__", ())]
    return next((item for item in (*info.metadata, *metadata) if isinstance(item, Quantity)), None)
