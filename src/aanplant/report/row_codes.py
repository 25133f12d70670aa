"""The code on a row's strip that opens the row in the field page."""

from collections.abc import Sequence
from urllib.parse import quote

import numpy as np
from numpy.typing import NDArray

QUIET = 4
"""Modules of white around a code, as ISO/IEC 18004 asks."""
LEAST_MODULE_MM = 0.38
"""Smaller modules are hard to read for a telephone in the sun (common practice, no source)."""

_LONGEST = 800
"""Longer addresses make codes too fine for any square on paper. [letters]"""

Modules = NDArray[np.int64]


def row_address(field_address: str, block: str, row: int) -> str:
    """Return the web address of a row in the field page."""
    return f"{field_address}/{quote(block, safe='')}/row/{row}"


def codes(addresses: Sequence[str], side_mm: float) -> list[Modules]:
    """Return a code for each address, its dark modules as 1.

    The mask is chosen by the rules of the standard for the longest and kept for the others,
    which differ by a number: choosing is what takes the time.

    Parameters
    ----------
    addresses : sequence of str
        What the codes hold.
    side_mm : float
        Side of the square they are drawn in, the quiet margin included. [mm]

    Returns
    -------
    list of ndarray, shape (n, n)
        Empty when the addresses are so long that a code of this size could not be read.
    """
    import segno

    longest = max(addresses, key=len, default="")
    if not 0 < len(longest) <= _LONGEST:
        return []
    best = segno.make(longest, error="m", micro=False)
    if side_mm / (len(best.matrix) + 2 * QUIET) < LEAST_MODULE_MM:
        return []
    return [
        np.array([list(line) for line in segno.make(
            address, error="m", micro=False, version=best.version, mask=best.mask).matrix])
        for address in addresses
    ]  # fmt: skip


def code_path(code: Modules, x: float, y: float, side_mm: float) -> str:
    """Return path data of a code in a square, dark modules that lie side by side in one piece."""
    module_mm = side_mm / (len(code) + 2 * QUIET)
    pieces = []
    for at, line in enumerate(code):
        edges = np.flatnonzero(np.diff(line, prepend=0, append=0)).reshape(-1, 2)
        top = y + (at + QUIET) * module_mm
        pieces += [
            f"M{x + (start + QUIET) * module_mm:.3f} {top:.3f}h{(end - start) * module_mm:.3f}"
            f"v{module_mm:.3f}h{(start - end) * module_mm:.3f}z"
            for start, end in edges.tolist()
        ]
    return "".join(pieces)
