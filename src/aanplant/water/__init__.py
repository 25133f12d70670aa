"""What keeps the vines alive: the dripper line and the water it must carry."""

from aanplant.water.design import Irrigation, design

__all__ = ["Irrigation", "design"]
