"""What holds the vines up: wires, posts and anchors."""

from aanplant.trellis.design import design
from aanplant.trellis.systems import Arm, System, system_of
from aanplant.trellis.whole import Trellis
from aanplant.trellis.wires import WireLine

__all__ = ["Arm", "System", "Trellis", "WireLine", "design", "system_of"]
