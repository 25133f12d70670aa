"""How many hours a task takes: of people by labour norms, of machines by their work rates."""

from collections.abc import Mapping
from dataclasses import dataclass

from aanplant.inputs import Inputs
from aanplant.tables import rows
from aanplant.work.task_quantities import Quantity
from aanplant.working import Input, Working

LABOUR, MACHINES = "labour_norms.csv", "machine_rates.csv"
ESTATE = "file:estate.toml"
M2_PER_HA, M_PER_KM = 10_000.0, 1000.0


@dataclass(frozen=True, slots=True)
class Hours:
    """Hours of one task.

    Parameters
    ----------
    person, machine : float
        [h]
    figures : tuple of Working
        Behind them, that of the person-hours first.
    """

    person: float = 0.0
    machine: float = 0.0
    figures: tuple[Working, ...] = ()


def field_capacity(width_m: float, speed_km_h: float, field_efficiency: float) -> float:
    """Area that a machine works in an hour. [ha/h].

    Parameters
    ----------
    width_m : float
        Width it works at once. [m]
    speed_km_h : float
        Speed at work. [km/h]
    field_efficiency : float
        Share of its time it really works. [-]

    References
    ----------
    .. [1] ASABE EP496, Agricultural machinery management: field capacity.
    """
    return width_m * speed_km_h * M_PER_KM * field_efficiency / M2_PER_HA


def hours_of(
    task: str, quantity: Quantity, machine: str, inputs: Inputs, *, base: str = "", unit: str = ""
) -> Hours:
    """Work out the hours of a task of the catalogue.

    Parameters
    ----------
    task : str
        Its id.
    quantity : Quantity
        How much there is to do.
    machine : str
        Machine it needs, "" for none.
    inputs : Inputs
        Norms and machines of the estate, which go before those of the tables.
    base : str
        Id under which tables and estate know it, where it bears a delivery's number.
    unit : str
        Unit of the quantity; a quantity in hours is already the work of the machine.
    """
    known, about = base or task, task.replace("-", " ")
    made: list[Working] = []
    norm = _labour_norm(known, inputs)
    person = quantity.value * float(norm.value) if norm else 0.0
    if norm and person:
        made.append(
            Working(f"work.task.{task}.hours", person, "h", (*quantity.inputs, norm),
                    "arithmetic", about=about, message="work.task_hours")
        )  # fmt: skip
    if not machine:
        return Hours(person, 0.0, tuple(made))
    key = f"work.task.{task}.machine_hours"
    rates = _machine_rate(known, machine, inputs, unit)
    if len(rates) == 1:
        working = quantity.value / float(rates[0].value)
        made.append(
            Working(key, working, "h", (*quantity.inputs, *rates), "arithmetic",
                    about=about, message="work.task_machine_hours")
        )  # fmt: skip
    else:
        working = quantity.value / field_capacity(*(float(rate.value) for rate in rates))
        made.append(
            Working(key, working, "h", (*quantity.inputs, *rates), "arithmetic",
                    about=about, message="work.task_machine_hours_by_width")
        )  # fmt: skip
    return Hours(person, working, tuple(made))


def _labour_norm(task: str, inputs: Inputs) -> Input | None:
    own = inputs.labour.norms.get(task)
    if own is not None:
        return Input("hours_per_unit", own, "h", ESTATE)
    row = _row(LABOUR, "task", task)
    if row is None:
        return None
    return Input(
        "hours_per_unit", float(row["hours_per_unit"]), "h", f"table:{LABOUR}", row["source"]
    )


def _machine_rate(task: str, machine: str, inputs: Inputs, unit: str) -> tuple[Input, ...]:
    """Units an hour: what the norm says, or width, speed and efficiency of the machine."""
    row = _row(LABOUR, "task", task)
    if row is not None and row["machine_units_per_hour"]:
        rate = float(row["machine_units_per_hour"])
        return (Input("units_per_hour", rate, "", f"table:{LABOUR}", row["source"]),)
    if unit == "h":
        return (Input("units_per_hour", 1.0, "", "measured"),)
    own, shipped = inputs.machines.get(machine), _row(MACHINES, "machine", machine)
    found = []
    for name, column, unit_of in (
        ("width", "width_m", "m"),
        ("speed", "speed_km_h", "km/h"),
        ("field_efficiency", "field_efficiency", ""),
    ):
        given = getattr(own, name) if own and name in own.model_fields_set else None
        if given is not None:
            found.append(Input(name, given, unit_of, ESTATE))
        elif shipped is not None:
            found.append(
                Input(name, float(shipped[column]), unit_of, f"table:{MACHINES}", shipped["source"])
            )
    return tuple(found)


def _row(table: str, column: str, name: str) -> Mapping[str, str] | None:
    return next((row for row in rows(table) if row[column] == name), None)


def hours_figures(made: tuple[Working, ...]) -> tuple[Working, ...]:
    """Return the person-hours of all tasks together; none where nobody works."""
    parts = [figure for figure in made if figure.key.endswith(".hours")]
    if not parts:
        return ()
    return (
        Working(
            "work.calendar.hours",
            sum(float(part.value) for part in parts),
            "h",
            tuple(part.as_input(_name(part.key)) for part in parts),
            "arithmetic",
        ),
    )


def _name(key: str) -> str:
    return key.removeprefix("work.task.").removesuffix(".hours").replace("-", "_")
