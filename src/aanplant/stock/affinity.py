"""Whether a scion takes on a rootstock, as far as it is known."""

from collections.abc import Iterator

from aanplant import tables
from aanplant.stock.cultivars import folded
from aanplant.stock.rootstocks import Rootstocks
from aanplant.working import Finding


def affinity(rootstock: str, cultivar: str, known: Rootstocks | None = None) -> Iterator[Finding]:
    """Say what is known against a graft; silence means that nothing is known against it.

    Parameters
    ----------
    rootstock, cultivar : str
        As the tables name them.
    known : Rootstocks, optional
        With the estate's own rows, whose grafts are looked at too.
    """
    for row in tables.rows("rootstock_affinity.csv"):
        if (row["rootstock"], folded(row["cultivar"])) != (rootstock, folded(cultivar)):
            continue
        values = {"rootstock": rootstock, "cultivar": row["cultivar"], "text": row["text"]}
        yield _finding(row["affinity"], values, row["source"])
    for affinity_word in ("fails", "weak"):
        for fact in known.of(rootstock, f"graft_{affinity_word}") if known else ():
            if folded(fact.text) == folded(cultivar):
                values = {"rootstock": rootstock, "cultivar": fact.text, "text": fact.source}
                yield _finding(affinity_word, values, "own-tables")


def _finding(affinity_word: str, values: dict[str, str], source: str) -> Finding:
    if affinity_word == "fails":
        return Finding("stock", "stop", "stock.graft_fails", values, source=source)
    return Finding("stock", "care", "stock.graft_weak", values, source=source)
