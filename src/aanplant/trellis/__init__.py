"""What holds the vines up: wires, posts and anchors."""

from aanplant.trellis.design import Trellis, design
from aanplant.trellis.wires import WireLine

__all__ = ["Trellis", "WireLine", "design"]
