"""Read a brief, and say by key what is wrong with it."""

import difflib
import tomllib
from collections.abc import Mapping
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from aanplant.brief.model import Brief
from aanplant.errors import InputError

M = TypeVar("M", bound=BaseModel)


def parse_toml(text: str, where: str) -> dict[str, Any]:
    """Read TOML.

    Raises
    ------
    InputError
        If it is not TOML; says the line.
    """
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(
            where, f"text that is not TOML ({error})", "key = value lines in [sections]"
        ) from None


def parse_brief(text: str, where: str) -> Brief:
    """Read and check a brief.

    Raises
    ------
    InputError
        For the first thing that is wrong, by key.
    """
    return validated(Brief, parse_toml(text, where), where)


def validated(model: type[M], data: Mapping[str, Any], where: str) -> M:
    """Check data against a model and turn the first trouble into an ``InputError``."""
    try:
        return model.model_validate(data)
    except ValidationError as error:
        errors = error.errors(include_url=False)
        first = min(errors, key=lambda item: item["type"] != "extra_forbidden")
        path = [str(part) for part in first["loc"]]
        raise InputError(
            f"{where}: {_key_text(path)}", *_found_and_expected(model, path, dict(first))
        ) from None


def _key_text(path: list[str]) -> str:
    names = [
        name for name in path if not name.startswith(("function-", "union", "literal", "float"))
    ]
    return ".".join(names) if names else "the brief"


_IN_WORDS = dict.fromkeys(("int_from_float", "int_parsing", "int_type"), "a whole number")
"""What is expected, where the library would say it in a programmer's words."""


def _found_and_expected(
    model: type[BaseModel], path: list[str], error: dict[str, Any]
) -> tuple[str, str]:
    context = error.get("ctx", {})
    match error["type"]:
        case "refused":
            return str(context["found"]), str(context["expected"])
        case "missing":
            return "nothing", "a value, this key is required"
        case "extra_forbidden":
            return "an unknown key", _nearest(path[-1], _keys_beside(model, path))
        case "literal_error":
            return repr(error["input"]), f"one of {context['expected']}"
        case "string_pattern_mismatch" if path[-1] == "planting":
            return repr(error["input"]), 'a year and month, such as "2027-08"'
        case _:
            expected = str(error["msg"]).removeprefix("Input should be ")
            return repr(error["input"]), _IN_WORDS.get(error["type"], expected)


def _keys_beside(model: type[BaseModel], path: list[str]) -> list[str]:
    for name in path[:-1]:
        if name not in model.model_fields:  # a number in a list, or a name in a table of names
            continue
        annotation = model.model_fields[name].annotation
        arguments = [annotation, *getattr(annotation, "__args__", ())]
        model = next(
            item for item in arguments if isinstance(item, type) and issubclass(item, BaseModel)
        )
    return list(model.model_fields)


def _nearest(name: str, known: list[str]) -> str:
    near = difflib.get_close_matches(name, known, n=1)
    return f'"{near[0]}"' if near else f"one of {', '.join(known)}"
