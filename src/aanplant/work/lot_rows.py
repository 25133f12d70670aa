"""Which lot of vines goes to which rows, and which part of it comes with which delivery."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import Brief
from aanplant.work.nursery_order import NurseryOrder, shared_out


@dataclass(frozen=True, slots=True)
class LotRows:
    """The vines of the block that come from one lot, one after the other in the rows.

    Parameters
    ----------
    lot : str
        Name of the lot; of its clone, or "", where the brief names no lots.
    vines : int
        Vines in the lot, spares included.
    first, last : int
        Places of its first vine and behind its last one, in the order of the rows.
    deliveries : tuple of int
        Vines it brings with each delivery.
    """

    lot: str
    vines: int
    first: int
    last: int
    deliveries: tuple[int, ...]

    @property
    def planted(self) -> int:
        """Vines of it that are planted; the rest are spares."""
        return self.last - self.first


@dataclass(frozen=True, slots=True)
class Stretch:
    """Vines that stand one after the other in one piece of row.

    Parameters
    ----------
    row, part : int
        Row, and its part.
    first, last : int
        Numbers of the first and the last vine.
    vines : int
        How many stand there.
    is_whole : bool
        Whether they are all of the piece.
    """

    row: int
    part: int
    first: int
    last: int
    vines: int
    is_whole: bool


def lots_in_rows(brief: Brief, order: NurseryOrder, row: NDArray[np.int32]) -> tuple[LotRows, ...]:
    """Give each lot its rows, in the order of the lots and of the rows.

    Every lot gets its share of the places, so that each keeps its share of the spares.
    Where rows are to hold one lot, the border lies at the row end nearest to that share.

    Parameters
    ----------
    brief : Brief
        Its section ``nursery``.
    order : NurseryOrder
        Kinds and deliveries.
    row : ndarray of int, shape (n_vines,)
        Row of each place, in the order of the rows.
    """
    lots = _lots(brief, order)
    if not lots or not len(row):
        return ()
    counts = [vines for _, vines, _ in lots]
    whole_rows = brief.nursery.lots_in_rows == "rows of one lot"
    borders = lot_borders(counts, row, whole_rows=whole_rows)
    return tuple(
        LotRows(name, vines, first, last, arriving)
        for (name, vines, arriving), first, last in zip(
            lots, borders[:-1], borders[1:], strict=True
        )
    )


def lot_borders(
    counts: Sequence[int], row: NDArray[np.int32], *, whole_rows: bool
) -> tuple[int, ...]:
    """Return the places at which lots begin, and the end of the last.

    Parameters
    ----------
    counts : sequence of int
        Vines in each lot.
    row : ndarray of int, shape (n_vines,)
        Row of each place, in order.
    whole_rows : bool
        Whether borders lie at row ends.
    """
    places = len(row)
    ends = np.append(np.flatnonzero(np.diff(row)) + 1, places)
    allowed = np.concatenate([[0], ends]) if whole_rows else np.arange(places + 1)
    shares = np.cumsum(counts) * (places / sum(counts))
    borders = [0]
    for number, share in enumerate(shares[:-1].tolist()):
        before = borders[-1]
        # A lot can't fill more places than it has vines, nor leave more than the others hold.
        most = before + counts[number]
        least = places - sum(counts[number + 1 :])
        fits = allowed[(allowed >= max(before, least)) & (allowed <= most)]
        if not len(fits):
            fits = allowed[(allowed >= before) & (allowed <= max(most, before))]
        borders.append(int(fits[np.abs(fits - share).argmin()]))
    return (*borders, places)


def _lots(brief: Brief, order: NurseryOrder) -> list[tuple[str, int, tuple[int, ...]]]:
    """Name, vines and deliveries of each lot; of each kind where no lots are named."""
    lots = [lot for lot in brief.nursery.lots if lot.state != "refused" and lot.vines]
    kinds = order.kinds
    if not lots:
        return [
            (
                " ".join(name for name in (kind.clone, kind.rootstock) if name),
                kind.vines,
                kind.deliveries,
            )
            for kind in kinds
            if kind.vines
        ]
    of_kind: dict[int, list[int]] = {}
    for at, lot in enumerate(lots):
        same = [n for n, kind in enumerate(kinds) if lot.scion_clone in {kind.clone, ""}]
        of_kind.setdefault(same[0] if same else -1, []).append(at)
    parts: dict[int, tuple[int, ...]] = {}
    for number, members in of_kind.items():
        brought = order.deliveries if number < 0 else kinds[number].deliveries
        shares = _in_turn([lots[at].vines for at in members], brought)
        parts |= dict(zip(members, shares, strict=True))
    return [(lot.id, lot.vines, parts[at]) for at, lot in enumerate(lots)]


def _in_turn(counts: Sequence[int], deliveries: Sequence[int]) -> list[tuple[int, ...]]:
    """Part lots over deliveries: the first lot comes first, each delivery its share of all."""
    total = sum(counts)
    ends = np.concatenate([[0.0], np.cumsum(deliveries)]) * (total / max(sum(deliveries), 1))
    found, start = [], 0.0
    for count in counts:
        inside = np.minimum(ends[1:], start + count) - np.maximum(ends[:-1], start)
        shares = np.maximum(inside, 0.0)
        found.append(shared_out(count, shares.tolist() if shares.sum() else [1.0] * len(shares)))
        start += count
    return found


def stretches(
    first: int,
    last: int,
    *,
    row: NDArray[np.int32],
    part: NDArray[np.int32],
    number: NDArray[np.int32],
) -> tuple[Stretch, ...]:
    """Name the vines from one place to another by rows and numbers.

    Parameters
    ----------
    first, last : int
        Place of the first vine, and behind the last one.
    row, part, number : ndarray of int, shape (n_vines,)
        Of every place, in the order of the rows.
    """
    if first >= last:
        return ()
    changes = np.flatnonzero((np.diff(row[first:last]) != 0) | (np.diff(part[first:last]) != 0))
    starts = [first, *(first + changes + 1).tolist()]
    ends = [*starts[1:], last]
    found = []
    for one, end in zip(starts, ends, strict=True):
        here = (int(row[one]), int(part[one]))
        begins = one == 0 or (int(row[one - 1]), int(part[one - 1])) != here
        closes = end == len(row) or (int(row[end]), int(part[end])) != here
        found.append(
            Stretch(*here, int(number[one]), int(number[end - 1]), end - one, begins and closes)
        )
    return tuple(found)
