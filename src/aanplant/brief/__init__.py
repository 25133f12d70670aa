"""The brief: what the manager asks for, checked and in fixed units.

Each key is one field with its unit, its range, its default and the source of that
default. The JSON Schema, the starter estate and the error messages are made from these.
"""

from aanplant.brief.fields import (
    Default,
    Name,
    Quantity,
    Section,
    meanings,
    quantity_of,
    refusal,
)
from aanplant.brief.model import Brief, field_of
from aanplant.brief.reading import parse_brief, parse_toml, validated
from aanplant.brief.sections import CHOOSE, Corner, HeadlandRule, Pattern

__all__ = [
    "CHOOSE",
    "Brief",
    "Corner",
    "Default",
    "HeadlandRule",
    "Name",
    "Pattern",
    "Quantity",
    "Section",
    "field_of",
    "meanings",
    "parse_brief",
    "parse_toml",
    "quantity_of",
    "refusal",
    "validated",
]
