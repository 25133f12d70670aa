"""Whether a scion takes on a rootstock, as far as it is known."""

from collections.abc import Iterator

from aanplant import tables
from aanplant.working import Finding


def affinity(rootstock: str, cultivar: str) -> Iterator[Finding]:
    """Say what is known against a graft; silence means that nothing is known against it."""
    for row in tables.rows("rootstock_affinity.csv"):
        if (row["rootstock"], row["cultivar"].casefold()) != (rootstock, cultivar.casefold()):
            continue
        values = {"rootstock": rootstock, "cultivar": row["cultivar"], "text": row["text"]}
        if row["affinity"] == "fails":
            yield Finding("stock", "stop", "stock.graft_fails", values, source=row["source"])
        else:
            yield Finding("stock", "care", "stock.graft_weak", values, source=row["source"])
