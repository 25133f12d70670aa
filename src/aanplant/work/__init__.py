"""Who does what with what, for how much: quantities to order and what they cost."""

from aanplant.work.planting import Planting, plan_planting
from aanplant.work.programme import Programme, programme
from aanplant.work.quantities import OrderLine

__all__ = ["OrderLine", "Planting", "Programme", "plan_planting", "programme"]
