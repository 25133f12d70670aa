"""``aanplant demo``: plan the invented example estate with every file."""

import shutil
from datetime import UTC, datetime
from pathlib import Path

from aanplant.catalogues import FIRST_LANGUAGE
from aanplant.cli.app import Units
from aanplant.cli.plan import plan_block, shown_units
from aanplant.cli.terminal import output, show_findings, show_summary
from aanplant.cli.writing import FILE_GROUPS, spoken_in, write_plan
from aanplant.errors import InputError, cannot_be_made
from aanplant.files import open_block

EXAMPLE = "lowquince"


def example_estate() -> Path:
    """Folder of the example estate: inside the package, or in a checkout beside ``src``."""
    package = Path(__file__).resolve().parents[1]
    places = (package / "examples" / EXAMPLE, package.parents[1] / "examples" / EXAMPLE)
    return next(place for place in places if place.is_dir())


def run_demo(folder: Path, units: Units | None) -> None:
    """Copy the example estate and plan each of its blocks.

    Raises
    ------
    InputError
        If the folder holds something that is not the example, or cannot be made.
    """
    target = folder / EXAMPLE
    if target.exists() and not (target / "estate.toml").is_file():
        raise InputError(
            str(target), "something that is not the example estate", "a folder of its own"
        )
    try:
        target.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise cannot_be_made(target, error) from None
    shutil.copytree(
        example_estate(), target, dirs_exist_ok=True, ignore=shutil.ignore_patterns("plans")
    )
    results = []
    for brief in sorted((target / "blocks").glob("*/brief.toml")):
        block = open_block(brief)
        plan = plan_block(block)
        system = shown_units(units, block)
        write_plan(
            plan,
            block.plan_folder,
            made=datetime.now(UTC),
            groups=FILE_GROUPS,
            system=system,
        )
        with spoken_in(plan.inputs, FIRST_LANGUAGE):
            show_summary(plan, system)
            show_findings(plan.findings, system)
        results.append(block.plan_folder)
    output.print(
        "\nThe estate is invented. Results, each with the sheet, set-out files and orders:"
    )
    for result in results:
        output.print(f"  {result}", markup=False)
