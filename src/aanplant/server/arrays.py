"""Arrays over the wire: a short header that tells their names and places, then their bytes.

::

    8 bytes   b"AANPLNT1"
    4 bytes   length of the header in bytes, unsigned, little-endian
    header    JSON: {"about": {...}, "arrays": {name: {"type", "shape", "offset"}}}
    zeros     up to a multiple of 8 bytes; here the blocks begin
    blocks    each at its offset from there, little-endian, row by row

Types are ``f8``, ``f4``, ``i4``, ``u2`` and ``u1``, as typed arrays know them, and every
offset is a multiple of 8, so that a reader can lay a typed array over the bytes.
"""

import json
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

MAGIC = b"AANPLNT1"
MEDIA_TYPE = "application/octet-stream"
TYPES = frozenset({"f8", "f4", "i4", "u2", "u1"})
_STEP = 8
_LENGTH_BYTES = 4


def packed(arrays: Mapping[str, NDArray[Any]], about: Mapping[str, Any]) -> bytes:
    """Put arrays into one piece of bytes.

    Parameters
    ----------
    arrays : mapping of str to ndarray
        Of the types above.
    about : mapping
        What else the reader is told, as JSON.

    Raises
    ------
    TypeError
        If an array is of another type.
    """
    entries: dict[str, dict[str, Any]] = {}
    blocks: list[bytes] = []
    offset = 0
    for name, array in arrays.items():
        kind = array.dtype.str[1:]
        if kind not in TYPES:
            raise TypeError(f"{name} is of type {array.dtype}; expected one of {sorted(TYPES)}")
        data = np.ascontiguousarray(array, array.dtype.newbyteorder("<")).tobytes()
        entries[name] = {"type": kind, "shape": array.shape, "offset": offset}
        blocks.append(_filled(data))
        offset += len(blocks[-1])
    header = json.dumps({"about": about, "arrays": entries}, ensure_ascii=False).encode()
    head = MAGIC + len(header).to_bytes(_LENGTH_BYTES, "little") + header
    return b"".join((_filled(head), *blocks))


def _filled(data: bytes) -> bytes:
    return data + bytes(-len(data) % _STEP)
