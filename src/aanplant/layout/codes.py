"""Codes that stand on pegs, tapes and lists: which vine, post or anchor is meant.

``12-034`` is vine 34 of row 12. ``12E1`` is the end post where the numbers of row 12
begin and ``12E2`` the one at its far end; a row cut by an alley goes on with ``12E3``
and ``12E4``. ``12A1`` is the anchor of ``12E1``. ``12P07`` is the seventh line post of
the row, counted as vines are. ``C05`` is the fifth corner of the boundary. A code depends
on nothing but what it names, and none stands twice in a block.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

ROW_DIGITS = 2
NUMBER_DIGITS = 3
POST_DIGITS = 2
"""Least digits; a longer number keeps all of its own."""

Codes = NDArray[np.str_]


def vine_codes(row: ArrayLike, number: ArrayLike) -> Codes:
    """Codes of vines, such as ``12-034``.

    Parameters
    ----------
    row, number : array_like of int, shape (n,)
        Row, and number along the row.

    Returns
    -------
    ndarray of str, shape (n,)
    """
    return _joined(row, "-", number, NUMBER_DIGITS)


def line_post_codes(row: ArrayLike, number: ArrayLike) -> Codes:
    """Codes of line posts, such as ``12P07``.

    Parameters
    ----------
    row, number : array_like of int, shape (n,)
        Row, and number of the post along the row.

    Returns
    -------
    ndarray of str, shape (n,)
    """
    return _joined(row, "P", number, POST_DIGITS)


def end_post_codes(row: ArrayLike, end: ArrayLike) -> Codes:
    """Codes of end posts, such as ``12E1``.

    Parameters
    ----------
    row, end : array_like of int, shape (n,)
        Row, and number of the row end as ``end_numbers`` gives it.

    Returns
    -------
    ndarray of str, shape (n,)
    """
    return _joined(row, "E", end, 1)


def anchor_codes(row: ArrayLike, end: ArrayLike) -> Codes:
    """Codes of anchors, such as ``12A1``, by the row end they hold.

    Parameters
    ----------
    row, end : array_like of int, shape (n,)
        Row, and number of the row end as ``end_numbers`` gives it.

    Returns
    -------
    ndarray of str, shape (n,)
    """
    return _joined(row, "A", end, 1)


def corner_codes(count: int) -> Codes:
    """Codes of the corners of the boundary in their order, such as ``C05``."""
    return np.strings.add("C", _labels(np.arange(1, count + 1), POST_DIGITS))


def end_numbers(part: ArrayLike, is_start: ArrayLike) -> NDArray[np.int64]:
    """Numbers of row ends along a row: 1 and 2 for its first part, 3 and 4 for the second.

    Parameters
    ----------
    part : array_like of int, shape (n,)
        Part of the row, from 1.
    is_start : array_like of bool, shape (n,)
        Whether numbers begin at that end.

    Returns
    -------
    ndarray of int, shape (n,)
    """
    ends: NDArray[np.int64] = 2 * np.asarray(part, dtype=np.int64) - np.asarray(
        is_start, dtype=bool
    )
    return ends


def _joined(row: ArrayLike, letter: str, number: ArrayLike, digits: int) -> Codes:
    row_label = np.strings.add(_labels(row, ROW_DIGITS), letter)
    return np.strings.add(row_label, _labels(number, digits))


def _labels(numbers: ArrayLike, digits: int) -> Codes:
    """Write numbers with leading zeros; each one that occurs is written once."""
    distinct, place = np.unique(np.asarray(numbers, dtype=np.int64), return_inverse=True)
    written = np.array([f"{number:0{digits}d}" for number in distinct.tolist()], dtype=np.str_)
    return written[place]
