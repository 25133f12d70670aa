"""Write a plan's folder: which files belong to which group, and who draws them."""

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from aanplant.plan import Plan
from aanplant.units import UnitSystem


def write_plan(
    plan: Plan, folder: Path, *, made: datetime, groups: Sequence[str], system: UnitSystem
) -> tuple[str, ...]:
    """Write the folder whole or not at all; return the names of the files in it."""
    raise AssertionError((plan, folder, made, groups, system))
