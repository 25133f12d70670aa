"""Whether a scion takes on a rootstock, as far as it is known."""

from collections.abc import Iterator
from dataclasses import dataclass

from aanplant import tables
from aanplant.stock.cultivars import cultivars, folded
from aanplant.stock.rootstocks import Rootstocks
from aanplant.working import Finding

OWN_SOURCE = "own-tables"


@dataclass(frozen=True, slots=True)
class Graft:
    """What is known against a graft.

    Parameters
    ----------
    rootstock, cultivar : str
        As the tables name them.
    affinity : {"fails", "weak"}
        How ill it takes.
    text : str
        What is said of it.
    source : str
        Id of the source.
    """

    rootstock: str
    cultivar: str
    affinity: str
    text: str
    source: str


def grafts(cultivar: str, known: Rootstocks | None = None) -> tuple[Graft, ...]:
    """Return all that is known against a cultivar's grafts, by any of its names.

    Parameters
    ----------
    cultivar : str
        As the brief calls it.
    known : Rootstocks, optional
        With the estate's own rows, whose grafts are looked at too.
    """
    shipped = [
        Graft(row["rootstock"], row["cultivar"], row["affinity"], row["text"], row["source"])
        for row in tables.rows("rootstock_affinity.csv")
    ]
    own = [
        Graft(fact.rootstock, fact.text, word, fact.source, OWN_SOURCE)
        for word in ("fails", "weak")
        for fact in (known.facts if known else ())
        if fact.attribute == f"graft_{word}"
    ]
    names = {
        folded(called): folded(one.name)
        for one in cultivars()
        for called in (one.name, *one.texts("synonym"))
    }
    wanted = names.get(folded(cultivar), folded(cultivar))
    return tuple(
        graft
        for graft in (*shipped, *own)
        if names.get(folded(graft.cultivar), folded(graft.cultivar)) == wanted
    )


def affinity(rootstock: str, cultivar: str, known: Rootstocks | None = None) -> Iterator[Finding]:
    """Say what is known against a graft; silence means that nothing is known against it.

    Parameters
    ----------
    rootstock : str
        As the table names it.
    cultivar, known
        As in ``grafts``.
    """
    for graft in grafts(cultivar, known):
        if graft.rootstock != rootstock:
            continue
        values = {"rootstock": rootstock, "cultivar": graft.cultivar, "text": graft.text}
        if graft.affinity == "fails":
            yield Finding("stock", "stop", "stock.graft_fails", values, source=graft.source)
        else:
            yield Finding("stock", "care", "stock.graft_weak", values, source=graft.source)
