"""Write many points into a drawing at once.

A block has tens of thousands of vines. As objects of the drawing library they take
seconds; as text put into its entities section, with handles reserved before, a tenth.
"""

import io
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from ezdxf.document import Drawing

_POINT = (
    "  0\nPOINT\n  5\n{handle:X}\n330\n{owner}\n100\nAcDbEntity\n  8\n{layer}\n"
    "100\nAcDbPoint\n 10\n{x!r}\n 20\n{y!r}\n 30\n{z!r}\n"
)
_ENTITIES, _END = "  2\nENTITIES\n", "  0\nENDSEC\n"


class PointsText:
    """Points of a drawing as text, each with a handle of its own.

    Parameters
    ----------
    drawing : Drawing
        The drawing that will hold them.
    """

    def __init__(self, drawing: "Drawing") -> None:
        self._drawing = drawing
        self._parts: list[str] = []

    def add(self, layer: str, xy: NDArray[np.float64], z: NDArray[np.float64]) -> None:
        """Add points, shape (n, 2), with heights, shape (n,), to a layer; 0 for nan. [m]."""
        handles = self._drawing.entitydb.handles
        first = int(handles.next(), 16)
        handles.reset(f"{first + len(xy):X}")
        owner = self._drawing.modelspace().layout_key
        places = zip(xy.tolist(), np.nan_to_num(z).tolist(), strict=True)
        self._parts.extend(
            _POINT.format(handle=handle, owner=owner, layer=layer, x=x, y=y, z=height)
            for handle, ((x, y), height) in enumerate(places, start=first)
        )

    def write(self, path: Path) -> None:
        """Write the drawing with these points in it."""
        stream = io.StringIO()
        self._drawing.write(stream)
        text = stream.getvalue()
        at = text.index(_END, text.index(_ENTITIES))
        with path.open("w", encoding=self._drawing.output_encoding, newline="\n") as file:
            file.write(text[:at])
            file.writelines(self._parts)
            file.write(text[at:])
