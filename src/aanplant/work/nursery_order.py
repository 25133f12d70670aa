"""What the nursery is asked for: how many vines of which kind, in which deliveries, by when."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from aanplant.brief import Brief
from aanplant.site import Site
from aanplant.stock.affinity import affinity
from aanplant.stock.rootstocks import Rootstocks, rootstocks
from aanplant.work.loosening import SANDY_CLAY_PCT
from aanplant.work.nursery_advice import advice
from aanplant.work.nursery_dates import OrderDate, order_dates
from aanplant.work.quantities import OrderLine
from aanplant.work.soil_preparation import SoilPreparation
from aanplant.work.union_height import union_heights
from aanplant.working import Finding, Input, Working


@dataclass(frozen=True, slots=True)
class OrderedKind:
    """Vines of one cultivar and clone on one rootstock.

    Parameters
    ----------
    cultivar, clone, rootstock : str
        Names, "" while open.
    deliveries : tuple of int
        Vines in each delivery, in their order.
    """

    cultivar: str
    clone: str
    rootstock: str
    deliveries: tuple[int, ...]

    @property
    def vines(self) -> int:
        """Vines of this kind in all."""
        return sum(self.deliveries)


@dataclass(frozen=True)
class NurseryOrder:
    """The order of the vines, and how they are planted.

    Parameters
    ----------
    kinds : tuple of OrderedKind
        Each cultivar, clone and rootstock.
    planting_days : tuple of int
        Days of planting in each delivery; empty while the rate is not known. [d]
    dates : tuple of OrderDate
        In time; empty while the month of planting is open.
    union_height_m : float
        Graft union above the soil on the day of planting, where it is loosened deepest. [m]
    union_by_zone : tuple of (str, float)
        The same in each soil zone with a pit. [m]
    is_loosened : bool
        Whether that counts on loosened soil sinking.
    sandy_zones : tuple of str
        Soil zones of dry sand, where more water is given.
    figures, findings
        What there is to say.
    """

    kinds: tuple[OrderedKind, ...]
    planting_days: tuple[int, ...]
    dates: tuple[OrderDate, ...]
    union_height_m: float
    union_by_zone: tuple[tuple[str, float], ...]
    is_loosened: bool
    sandy_zones: tuple[str, ...]
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]

    @property
    def vines(self) -> int:
        """Vines in all."""
        return sum(kind.vines for kind in self.kinds)

    @property
    def deliveries(self) -> tuple[int, ...]:
        """Vines in each delivery."""
        return tuple(sum(parts) for parts in zip(*(k.deliveries for k in self.kinds), strict=True))


def shared_out(total: int, shares: Sequence[float]) -> tuple[int, ...]:
    """Share whole things out by largest remainder; the parts add up to ``total``.

    Parameters
    ----------
    total : int
        Things to share out.
    shares : sequence of float
        Shares, of any sum above 0. [-]

    Raises
    ------
    ValueError
        If the shares are negative or add up to nothing.
    """
    whole = sum(shares)
    if whole <= 0 or min(shares) < 0:
        raise ValueError(f"shares must be positive in all, got {list(shares)}")
    exact = [total * share / whole for share in shares]
    parts = [math.floor(part) for part in exact]
    by_rest = sorted(range(len(parts)), key=lambda index: (parts[index] - exact[index], index))
    for index in by_rest[: total - sum(parts)]:
        parts[index] += 1
    return tuple(parts)


def order_vines(
    brief: Brief,
    site: Site,
    soil: SoilPreparation,
    orders: Sequence[OrderLine],
    figures: Sequence[Working],
    *,
    rootstock: str = "",
    known: Rootstocks | None = None,
) -> NurseryOrder:
    """Split the order of vines into kinds and deliveries, whole bundles each.

    Parameters
    ----------
    brief : Brief
        Its section ``nursery``, and the month of planting.
    site : Site
        Soil zones, for sand.
    soil : SoilPreparation
        Whether the soil was loosened, and will sink.
    orders : sequence of OrderLine
        The order list; its line of vines is split.
    figures : sequence of Working
        Figures behind the order list.
    rootstock : str
        The block's, "" while it is open.
    known : Rootstocks, optional
        With the estate's own rows; the shipped ones when left out.

    Raises
    ------
    InputError
        If a part of the order names a rootstock that no table holds.
    """
    known = known or rootstocks()
    line = next((line for line in orders if line.item == "vine"), None)
    kinds = _kinds(brief, line, rootstock, known)
    ordered = [figure for figure in figures if figure.key == "work.order.vine"]
    made = [
        _kind_figure(brief, number, kind, figure)
        for figure in ordered
        for number, kind in enumerate(kinds, 1)
    ]
    unions = union_heights(brief, soil)
    rules = brief.nursery
    dates = order_dates(brief.work.planting, mound_weeks=rules.mound_weeks if rules.mound else None)
    rate = brief.nursery.planting_rate
    batches = [sum(parts) for parts in zip(*(kind.deliveries for kind in kinds), strict=True)]
    return NurseryOrder(
        kinds=kinds,
        planting_days=tuple(math.ceil(vines / rate) for vines in batches) if rate else (),
        dates=dates,
        union_height_m=float(unions.figure.value),
        union_by_zone=unions.by_zone,
        is_loosened=unions.is_loosened,
        sandy_zones=_sandy_zones(site),
        figures=(*made, unions.figure),
        findings=(
            *_grafts(kinds, rootstock, known),
            *advice(brief, sum(batches), dates),
        ),
    )


def _grafts(kinds: Sequence[OrderedKind], rootstock: str, known: Rootstocks) -> Iterator[Finding]:
    """Say what is known against the grafts ordered; of the block's own, the stock part speaks."""
    for stock in dict.fromkeys(kind.rootstock for kind in kinds):
        if stock != rootstock:
            yield from affinity(stock, kinds[0].cultivar, known)


def deliveries(brief: Brief) -> int:
    """Deliveries in which the order comes: as the nursery's section says, else the batches."""
    rules = brief.nursery
    return rules.deliveries if brief.is_given("nursery.deliveries") else brief.spares.batches


def _kinds(
    brief: Brief, line: OrderLine | None, rootstock: str, known: Rootstocks
) -> tuple[OrderedKind, ...]:
    vines, rules = brief.vines, brief.nursery
    asked = [
        (part.clone or vines.clone,
         known.named(part.rootstock, "brief.toml: nursery.parts.rootstock")
         if part.rootstock else rootstock,
         part.share)
        for part in rules.parts
    ]  # fmt: skip
    asked = asked or [(vines.clone, rootstock, 1.0)]
    packs, size = (line.packs, int(line.pack_size)) if line else (0, 1)
    kinds = []
    for (clone, stock, _), bundles in zip(
        asked, shared_out(packs, [share for _, _, share in asked]), strict=True
    ):
        batches = shared_out(bundles, [1.0] * deliveries(brief))
        counts = tuple(batch * size for batch in batches)
        kinds.append(OrderedKind(vines.cultivar, clone, stock, counts))
    return tuple(kinds)


def _kind_figure(brief: Brief, number: int, kind: OrderedKind, ordered: Working) -> Working:
    share = (
        Input("share", brief.nursery.parts[number - 1].share, "", "brief:nursery.parts")
        if brief.nursery.parts
        else Input("share", 1.0, "", "default:nursery.parts", "practice")
    )
    bundle = next(item for item in ordered.inputs if item.name == "pack_size")
    return Working(
        f"stock.nursery_part.{number}",
        kind.vines,
        "vines",
        (
            ordered.as_input("ordered"),
            share,
            Input("bundle", bundle.value, bundle.unit, bundle.origin, bundle.source),
        ),
        "arithmetic",
        about=", ".join(name for name in (kind.cultivar, kind.clone, kind.rootstock) if name),
        message="stock.nursery_part",
    )


def _sandy_zones(site: Site) -> tuple[str, ...]:
    """Names of zones whose top layer has little clay."""
    if site.soil is None:
        return ()
    tops = [
        (zone.name, zone.profile.layers[0].clay_pct)
        for zone in site.soil.zones
        if zone.profile is not None and zone.profile.layers
    ]
    return tuple(name for name, clay in tops if clay is not None and clay < SANDY_CLAY_PCT)
