"""What stands in the way of a system that no choice of pipes can make work, and what would do."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from aanplant.errors import InputError
from aanplant.water.reaches import SOURCE, Reaches

Values = NDArray[np.float64]
Gradient = Callable[[Values, Values], Values]
"""Head lost in a metre [-] by flow [m3/s] and bore [m], broadcast."""
Kind = Literal["head", "velocity", "pressure", "velocity and pressure", "taper"]

ROUNDING_M = 1e-9
"""Head that sums of the same numbers in another order may differ by."""
LARGEST_BORE_M = 2.0
HALVINGS = 60
MM_PER_M, KPA_PER_PA = 1000.0, 1e-3


@dataclass(frozen=True, slots=True)
class Shortfall:
    """The worst place of a system that cannot be sized.

    Parameters
    ----------
    kind : str
        ``head`` too low where a reach ends, ``velocity`` too high or ``pressure`` too high for
        every pipe of the reach, or no sizes that ``taper``.
    reach : int
        Place among the reaches.
    name : str
        What a person calls it.
    set : int
        Set of rows that meets it; -1 where it is not one set's.
    value, limit : float
        Head there and head needed [m]; velocity in the largest pipe and its limit [m/s];
        pressure in the reach and most that a pipe of it may bear [Pa].
    more_head_m : float
        Head at the source that would do, 0 where head is not short. [m]
    least_bore_m : float
        Bore that would do: for ``head`` in every reach that is now smaller; nan where none
        would. [m]
    """

    kind: Kind
    reach: int
    name: str
    set: int
    value: float
    limit: float
    more_head_m: float = 0.0
    least_bore_m: float = math.nan


class CannotBeSized(InputError):  # noqa: N818 - says what is the case
    """No choice among the pipes allowed makes the system work.

    Parameters
    ----------
    shortfall : Shortfall
        Where, by how much, and what would do.
    """

    def __init__(self, shortfall: Shortfall) -> None:
        where = f"water: {shortfall.name}"
        if shortfall.set != SOURCE:
            where += f" while set {shortfall.set + 1} runs"
        super().__init__(where, *_words(shortfall))
        self.shortfall = shortfall


def best_heads(
    reaches: Reaches, gradient: Values, allowed: NDArray[np.bool_], source_head_m: Values
) -> Values:
    """Head where each use ends in the pipes that lose least, shape (n_uses,). [m].

    Parameters
    ----------
    reaches : Reaches
    gradient : ndarray, shape (n_uses, n_options)
        Head lost in a metre. [-]
    allowed : ndarray, shape (n_reaches, n_options)
        Sizes a reach may have; at least one each.
    source_head_m : ndarray, shape (n_sets,)
        [m]
    """
    least = np.where(allowed[reaches.reach], gradient, np.inf).min(axis=1)
    return heads_along(reaches, least * reaches.length_m[reaches.reach], source_head_m)


def heads_along(reaches: Reaches, loss_m: Values, source_head_m: Values) -> Values:
    """Head where each use ends, shape (n_uses,). [m].

    Parameters
    ----------
    reaches : Reaches
    loss_m : ndarray, shape (n_uses,)
        Friction in each use. [m]
    source_head_m : ndarray, shape (n_sets,)
        [m]
    """
    total = loss_m + reaches.fixed_loss_m
    head = np.empty(len(total))
    for use, above in enumerate(reaches.up):
        before = source_head_m[reaches.set[use]] if above == SOURCE else head[above]
        head[use] = before - total[use]
    return head


def missing_head(
    reaches: Reaches,
    gradient: Values,
    allowed: NDArray[np.bool_],
    source_head_m: Values,
    gradient_of: Gradient | None = None,
) -> Shortfall | None:
    """Find the place where even the pipes that lose least leave too little head.

    Parameters
    ----------
    reaches, gradient, allowed, source_head_m
        As for ``best_heads``.
    gradient_of : callable, optional
        Friction by flow and bore, to find the bore that would do.
    """
    head = best_heads(reaches, gradient, allowed, source_head_m)
    missing = reaches.least_head_m - head
    worst = int(np.argmax(missing))
    if missing[worst] <= ROUNDING_M:
        return None
    reach = int(reaches.reach[worst])
    bore = math.nan
    if gradient_of is not None:
        best = np.where(allowed[reaches.reach], gradient, np.inf).min(axis=1)
        bore = _bore_that_would_do(reaches, best, source_head_m, gradient_of)
    return Shortfall(
        "head",
        reach,
        reaches.says(reach),
        int(reaches.set[worst]) if reaches.n_sets > 1 else SOURCE,
        float(head[worst]),
        float(reaches.least_head_m[worst]),
        float(missing[worst]),
        bore,
    )


def _bore_that_would_do(
    reaches: Reaches, best: Values, source_head_m: Values, gradient_of: Gradient
) -> float:
    """Halve between bores until the smallest is found that, in every reach, leaves enough head."""
    length = reaches.length_m[reaches.reach]

    def is_enough(bore_m: float) -> bool:
        wide = gradient_of(reaches.flow_m3_s, np.full(len(best), bore_m))
        head = heads_along(reaches, np.minimum(best, wide) * length, source_head_m)
        return bool(np.all(head >= reaches.least_head_m))

    low, high = 1e-3, LARGEST_BORE_M
    if not is_enough(high):
        return math.nan
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        low, high = (low, middle) if is_enough(middle) else (middle, high)
    return high


def _words(short: Shortfall) -> tuple[str, str]:
    bore_mm = math.ceil(short.least_bore_m * MM_PER_M) if short.least_bore_m > 0 else None
    if short.kind == "head":
        found = (
            f"{short.value:.2f} m of head in the pipes that lose least, {short.more_head_m:.2f} m "
            f"less than the {short.limit:.2f} m needed"
        )
        more = f"at least {_up(short.more_head_m)} m more head at the source"
        return found, f"{more}, or no bore under {bore_mm} mm" if bore_mm else more
    if short.kind == "velocity":
        found = f"{short.value:.2f} m/s in the largest pipe, above {short.limit:.2f} m/s"
        return found, f"a bore of at least {bore_mm} mm, or sets with less flow"
    if short.kind == "taper":
        return "no sizes that grow smaller downstream", "a wider choice of pipes, or no taper rule"
    found = (
        f"{short.value * KPA_PER_PA:.0f} kPa at rest, above the {short.limit * KPA_PER_PA:.0f} kPa "
        "its pipes may bear"
    )
    if short.kind == "pressure":
        return found, "a stronger class of pipe, or a pressure regulator upstream"
    return (
        f"{found} where they are wide enough",
        f"a stronger class with a bore of at least {bore_mm} mm",
    )


def _up(head_m: float) -> str:
    return f"{math.ceil(head_m * 10.0 - 1e-6) / 10.0:.1f}"
