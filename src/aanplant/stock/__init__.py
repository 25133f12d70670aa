"""What is planted: cultivar, rootstock, spacing, and how many to order."""

from aanplant.stock.choice import Stock, choose

__all__ = ["Stock", "choose"]
