"""All rates at which flows of money are worth nothing today, found one by one.

With ``x = 1 / (1 + rate)`` the net present value is a polynomial in x, and every rate
above -100 % is one of its positive roots. They are counted in whole numbers, exactly, so
that no root is missed and none is invented; then each is narrowed down to the last digit.
"""

import math
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

_DIGITS = 52
"""Halvings of a root's last power of two: as fine as a float is."""
_Polynomial = tuple[int, ...]
"""Whole coefficients, of the lowest power first; the last one is not nought."""


def internal_rates_of_return(flows: ArrayLike) -> tuple[float, ...]:
    """All internal rates of return above -100 %, the lowest first.

    Parameters
    ----------
    flows : array_like, shape (years,)
        Income less cost of each year, the first flow today. [currency]

    Returns
    -------
    tuple of float
        Each rate once; empty when there is none, as where no flow is a cost or none an
        income. [-]

    Raises
    ------
    ValueError
        If a flow is no finite number.

    References
    ----------
    .. [1] Descartes (1637), rule of signs; Sturm (1829), count of the roots between two
       points.
    """
    values = np.asarray(flows, np.float64)
    if not np.isfinite(values).all():
        raise ValueError("every flow must be a finite number")
    polynomial = _whole(values.tolist())
    if _changes(polynomial) == 0:
        return ()
    high = _beyond(polynomial)
    chain = (polynomial,) if _changes(polynomial) == 1 else _sturm_chain(polynomial)
    spans = _isolated(chain, Fraction(0), high)
    return tuple(sorted(_rate(chain[0], low, up) for low, up in spans))


def _whole(values: Sequence[float]) -> _Polynomial:
    """Write the flows as whole numbers; years without money at either end change no root."""
    used = [at for at, value in enumerate(values) if value]
    if not used:
        return ()
    parts = [Fraction(value) for value in values[used[0] : used[-1] + 1]]
    common = math.lcm(*(part.denominator for part in parts))
    return _plain([int(part * common) for part in parts])


def _plain(coefficients: Sequence[int]) -> _Polynomial:
    """Take out the common divisor and the noughts at the top."""
    last = max((at for at, value in enumerate(coefficients) if value), default=-1)
    shared = math.gcd(*coefficients[: last + 1]) or 1
    return tuple(value // shared for value in coefficients[: last + 1])


def _changes(values: Sequence[int]) -> int:
    signs = [value > 0 for value in values if value]
    return sum(one != next_one for one, next_one in pairwise(signs))


def _beyond(polynomial: _Polynomial) -> Fraction:
    """Return a power of two that is larger than every root (Cauchy)."""
    largest = max(abs(value) for value in polynomial[:-1])
    bound = 1 + largest // abs(polynomial[-1]) + 1
    return Fraction(1 << bound.bit_length())


def _sturm_chain(polynomial: _Polynomial) -> tuple[_Polynomial, ...]:
    """Sturm's chain: the polynomial, its slope, and remainders with their signs turned.

    What the polynomial and its slope share is taken out of all, so that every root is single.
    """
    slope = _plain([power * value for power, value in enumerate(polynomial)][1:])
    chain = [polynomial, slope]
    while len(chain[-1]) > 1:
        rest = _remainder(chain[-2], chain[-1])
        if not rest:
            break
        chain.append(tuple(-value for value in rest))
    shared = chain[-1]
    return tuple(_quotient(one, shared) if len(shared) > 1 else one for one in chain)


def _quotient(dividend: _Polynomial, divisor: _Polynomial) -> _Polynomial:
    """Divide where nothing is left over; times a positive number that keeps it whole."""
    rest = [Fraction(value) for value in dividend]
    parts: list[Fraction] = []
    for shift in range(len(dividend) - len(divisor), -1, -1):
        part = rest[shift + len(divisor) - 1] / divisor[-1]
        for at, value in enumerate(divisor):
            rest[shift + at] -= part * value
        parts.insert(0, part)
    common = math.lcm(*(part.denominator for part in parts))
    return _plain([int(part * common) for part in parts])


def _remainder(dividend: _Polynomial, divisor: _Polynomial) -> _Polynomial:
    """Remainder of a division, times a positive number that keeps it whole."""
    rest, lead = list(dividend), divisor[-1]
    scale, sign = abs(lead), 1 if lead > 0 else -1
    for shift in range(len(dividend) - len(divisor), -1, -1):
        top = rest[-1]
        rest = [value * scale for value in rest[:-1]]
        for at, value in enumerate(divisor[:-1]):
            rest[shift + at] -= sign * top * value
    return _plain(rest)


def _value(polynomial: _Polynomial, x: Fraction) -> int:
    """Return a whole number with the sign of the polynomial at x."""
    total, power = 0, 1
    for value in reversed(polynomial):
        total = total * x.numerator + value * power
        power *= x.denominator
    return total


def _count(chain: Sequence[_Polynomial], low: Fraction, high: Fraction) -> int:
    """Count the different roots above ``low`` up to ``high``.

    A chain of one polynomial has one change of sign among its coefficients: one root in all.
    """
    if len(chain) == 1:
        below, above = (_value(chain[0], x) for x in (low, high))
        return int(above == 0 or (below > 0) != (above > 0))
    below, above = (_changes([_value(one, x) for one in chain]) for x in (low, high))
    return below - above


def _isolated(
    chain: Sequence[_Polynomial], low: Fraction, high: Fraction
) -> list[tuple[Fraction, Fraction]]:
    """Halve the span until every part holds one root."""
    waiting, found = [(low, high, _count(chain, low, high))], []
    while waiting:
        low, high, count = waiting.pop()
        if count == 1:
            found.append((low, high))
        elif count > 1:
            middle = (low + high) / 2
            left = _count(chain, low, middle)
            waiting += [(low, middle, left), (middle, high, count - left)]
    return found


def _rate(polynomial: _Polynomial, low: Fraction, high: Fraction) -> float:
    """Narrow down the single root above ``low`` and up to ``high``."""
    top = _value(polynomial, high)
    if top == 0:
        return float(1 / high - 1)
    while low == 0 or (high - low) * (1 << _DIGITS) > high:
        middle = (low + high) / 2
        at = _value(polynomial, middle)
        if at == 0:
            return float(1 / middle - 1)
        low, high = (low, middle) if (at > 0) == (top > 0) else (middle, high)
    return float(2 / (low + high) - 1)
