"""The set-out sheet for those who work with tape and pegs, as PDF and as plain text."""

from datetime import datetime
from pathlib import Path

from aanplant.layout.base_line import base_line
from aanplant.layout.setting_out import SettingOut, set_out
from aanplant.plan import Plan
from aanplant.report.bound import print_paper
from aanplant.report.setting_out_sketch import setting_out_sketch
from aanplant.report.tape_tables import sheet_data
from aanplant.report.tape_text import as_text
from aanplant.units import UnitSystem


def write_tape_and_pegs_pdf(
    plan: Plan, path: Path, *, made: datetime, system: UnitSystem = "metric"
) -> None:
    """Write the set-out sheet for tape and pegs, with its sketch.

    Parameters
    ----------
    plan : Plan
        At least up to its layout.
    path : Path
        Where to write.
    made : datetime
        When the plan is made; its date stands on the sheet.
    system : {"metric", "imperial"}
        Tape in metres or in decimal feet.
    """
    out = _set_out(plan)
    sketch = setting_out_sketch(plan.site, plan.layout, out)
    data = sheet_data(plan, out, made=made, system=system)
    print_paper("tape-and-pegs", data, path, made=made, drawings={"sketch.svg": sketch})


def write_tape_and_pegs_text(
    plan: Plan, path: Path, *, made: datetime, system: UnitSystem = "metric"
) -> None:
    """Write the same numbers as plain text; parameters as ``write_tape_and_pegs_pdf``."""
    data = sheet_data(plan, _set_out(plan), made=made, system=system)
    path.write_text(as_text(data), encoding="utf-8")


def _set_out(plan: Plan) -> SettingOut:
    layout = plan.layout
    ends = layout.positions.end_posts_xy
    base = base_line(plan.site.boundary, layout.field, layout.bearing_deg, ends)
    return set_out(base, layout.rows, layout.positions)
