"""Where everything stands: rows, vines, posts and anchors."""

from aanplant.layout.block import Layout
from aanplant.layout.laying_out import lay_out

__all__ = ["Layout", "lay_out"]
