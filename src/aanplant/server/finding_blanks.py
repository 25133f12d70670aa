"""Which blanks of the brief a finding speaks of, so that the letter can open them."""

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files


@cache
def blanks() -> Mapping[str, tuple[str, ...]]:
    """Return the blanks by the finding's message, the likeliest to mend it first."""
    data = tomllib.loads(files(__package__).joinpath("finding_blanks.toml").read_text("utf-8"))
    return {
        f"{topic}.{name}": tuple(keys)
        for topic, findings in data.items()
        for name, keys in findings.items()
    }


def blanks_of(message: str) -> tuple[str, ...]:
    """Return the blanks by which one finding can be mended; none where no blank does."""
    return blanks().get(message, ())
