"""A limit that a trellis does not keep, as the design's parts report it to be put in words."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Breach:
    """One part that breaks one limit.

    Parameters
    ----------
    kind : str
        Which limit, such as ``wire_above_post`` or ``installed_above_limit``.
    part : str
        Which part, such as the name of a wire line.
    value, limit : float
        What it comes to and what is allowed, in ``unit``.
    unit : str
        Of both.
    row : int, optional
        Place of the worst row among the rows given, None where all are alike.
    """

    kind: str
    part: str
    value: float
    limit: float
    unit: str
    row: int | None = None
