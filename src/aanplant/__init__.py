"""Plan new vineyard blocks: where every vine stands, what to order, and why."""

__version__ = "0.1.0"
