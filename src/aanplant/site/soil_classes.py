"""Classes of soil by a measured number, as the tables of limits have them."""

from dataclasses import dataclass

from aanplant.tables import rows


@dataclass(frozen=True, slots=True)
class Rated:
    """A number and the class it falls in.

    Parameters
    ----------
    measure : str
        What was measured, as the table calls it.
    value : float
        In ``unit``.
    unit : str
        Of the measure.
    name : str
        Class or grade.
    source : str
        Source id of the class's limits.
    """

    measure: str
    value: float
    unit: str
    name: str
    source: str


def rated(measure: str, value: float, *, table: str = "soil_limits.csv") -> Rated:
    """Put a number into its class; a limit itself belongs to the class below it.

    Parameters
    ----------
    measure : str
        ``depth`` [m], ``ECe`` [dS/m], ``resistance`` of the paste [ohm], ``ESP`` [%] or
        ``SAR`` [-]; or an aspect of ``soil_potential.csv``.
    value : float
        In the measure's unit, not negative.
    table : str
        ``soil_limits.csv`` or ``soil_potential.csv``.

    Raises
    ------
    ValueError
        If the measure isn't in the table or the value is outside all its classes.
    """
    for row in rows(table):
        if (row.get("measure") or row.get("aspect")) != measure:
            continue
        if float(row["above"]) < value <= float(row["up_to"]):
            name = row.get("class") or row["grade"]
            return Rated(measure, value, row["unit"], name, row["source"])
    raise ValueError(f"no class of {measure} holds {value}")
