"""Keep a library from importing others that this program never asks it for."""

import sys
from collections.abc import Sequence
from importlib.abc import MetaPathFinder

TABLE_LIBRARIES = frozenset(("geopandas", "pandas", "pyarrow"))


class WithoutTables(MetaPathFinder):
    """Let pyogrio find no table library while it looks which are there.

    It imports all of them, a quarter of a second, for functions that we don't call. Anyone else,
    such as the solver, finds them as before.
    """

    def find_spec(
        self, name: str, path: Sequence[str] | None = None, target: object = None
    ) -> None:
        """Refuse a table library to pyogrio; leave all else to other finders."""
        del path, target
        looking = sys.modules.get("pyogrio._compat")
        if name in TABLE_LIBRARIES and looking and not hasattr(looking, "HAS_GEOPANDAS"):
            raise ModuleNotFoundError(f"{name} is not wanted here", name=name)
