"""The argument on the rootstock: what the ground asks, who fell out, who is left and why."""

from collections.abc import Iterator, Sequence

import numpy as np

from aanplant.messages import fill, word
from aanplant.plan import Plan
from aanplant.report.rootstock_chart import rootstock_chart
from aanplant.report.rootstock_view import RootstockView, view_of
from aanplant.report.site_words import MARKS, Chapter, Table, short
from aanplant.stock.rootstock_answer import CRITERIA, FAILS, LIMITS, NEAR, UNITS, UNKNOWN
from aanplant.stock.site_demands import ZoneDemands
from aanplant.units import UnitSystem, show, show_number
from aanplant.working import LEVELS, Finding

DASH = "–"
_OTHERS = ("stock.cultivar_", "stock.row_width", "stock.machine_", "stock.canopy_",
           "stock.spacing_", "stock.vine_spacing")  # fmt: skip
"""Findings of the stage that belong to other chapters."""
_RATED = ("phylloxera", "root_knot", "dagger", "ring", "phytophthora", "waterlogging")
"""Limits that ask for a rating of 1 to 5."""


def rootstock_chapter(plan: Plan, system: UnitSystem) -> Chapter:
    """Argue the rootstock; without pits say what is missing."""
    found = rootstock_findings(plan)
    view = view_of(plan)
    if view is None:
        return Chapter(
            "rootstock", findings=found, missing=(word("stock_report.missing.rootstock"),)
        )
    missing = tuple(_missing(plan, view))
    demands = () if plan.site.soil is None else (_demands(view, system),)
    if not view.choice.is_ranked:
        return Chapter("rootstock", tables=(*demands, *_fallen(view)), findings=found,
                       missing=missing)  # fmt: skip
    caption = word("stock_report.caption.rootstocks")
    pictures = ((caption, lambda: rootstock_chart(view)),) if view.shown else ()
    return Chapter(
        "rootstock",
        pictures,
        (*demands, *_left(view), *_fallen(view)),
        found,
        missing,
        tuple(_argued(plan, view)),
    )


def rootstock_findings(plan: Plan) -> tuple[Finding, ...]:
    """Return findings of the stage that are not on cultivar or spacing, the gravest first."""
    own = [item for item in plan.findings
           if item.stage == "stock" and not item.message.startswith(_OTHERS)]  # fmt: skip
    return tuple(sorted(own, key=lambda item: LEVELS.index(item.level)))


def percent(share: float) -> str:
    """Write a share of one in percent, without decimals where it is large."""
    number = 100.0 * share
    return show(round(number) if number >= 10.0 else float(f"{number:.2g}"), "%")  # noqa: PLR2004


def listed(items: Sequence[str]) -> str:
    """Write texts as a list: one, one and two, one, two and three."""
    *first, last = items
    return f"{', '.join(first)} {word('list.and')} {last}" if first else last


def lacking(missing: Sequence[str]) -> str:
    """Write what must be measured before anything is ranked."""
    return listed([word(f"rootstock_missing.{name}") for name in missing])


def _missing(plan: Plan, view: RootstockView) -> Iterator[str]:
    choice = view.choice
    if plan.site.soil is None:
        yield word("stock_report.missing.pits")
    elif choice.missing:
        yield fill("stock_report.missing.measure", missing=lacking(choice.missing))
    if choice.missing and choice.named:
        yield fill("stock_report.missing.named", named=choice.named)


def _argued(plan: Plan, view: RootstockView) -> Iterator[str]:
    choice = view.choice
    allowed = int(choice.allowed.sum())
    counts = fill("stock_report.argue.counts", known=len(choice.stocks), allowed=allowed,
                  fallen=len(choice.stocks) - allowed)  # fmt: skip
    if not choice.order:
        yield f"{counts} {word('stock_report.argue.none')}"
        return
    yield counts
    yield " ".join(_first(plan, view))


def _first(plan: Plan, view: RootstockView) -> Iterator[str]:
    choice = view.choice
    best, *rest = choice.order
    draws = plan.brief.setting("rootstock.draws")
    yield fill("stock_report.argue.first", first=choice.stocks[best],
               share=percent(choice.share_first[best]),
               draws=f"{show_number(draws)} " if isinstance(draws, int) else "")  # fmt: skip
    often = sorted(rest, key=lambda stock: -choice.share_first[stock])
    if often and choice.share_first[often[0]] > 0.0:
        yield fill("stock_report.argue.second", second=choice.stocks[often[0]],
                   share=percent(choice.share_first[often[0]]))  # fmt: skip
    low, high = choice.rank_range[best].tolist()
    if low != high:
        yield fill("stock_report.argue.ranks", first=choice.stocks[best], low=low, high=high)
    weights = [
        fill("stock_report.argue.weight", criterion=word(f"stock_report.need.{name}"),
             weight=show_number(float(f"{weight:.2g}")))
        for name, weight in zip(CRITERIA, view.weights, strict=True) if weight > 0.0
    ]  # fmt: skip
    if weights:
        yield fill("stock_report.argue.weights", listed=listed(weights))
    given = plan.brief.rootstock.weights.acid
    acid = float(view.weights[CRITERIA.index("acid")])
    if 0.0 < acid < given:
        yield fill("stock_report.argue.acid_need", given=show_number(given),
                   counted=show_number(float(f"{acid:.2g}")))  # fmt: skip
    if choice.named and choice.named != choice.stocks[best]:
        yield named_beside(view)
    if not choice.turns:
        yield word("stock_report.argue.stable")
    for stock in rest[:1]:
        warned = [text for name, text in choice.cautions if name == choice.stocks[stock]]
        if warned:
            yield fill("stock_report.argue.caution", stock=choice.stocks[stock],
                       text="; ".join(warned))  # fmt: skip


def named_beside(view: RootstockView) -> str:
    """Say where the rootstock that the brief names stands among the others."""
    choice = view.choice
    stock = choice.stocks.index(choice.named)
    if choice.ranks[stock]:
        return fill("stock_report.argue.named", named=choice.named, rank=int(choice.ranks[stock]))
    limits = [word(f"stock_report.limit.{held.limit}") for held in choice.held(stock)]
    return fill("stock_report.argue.named_out", named=choice.named, limits=listed(limits or [DASH]))


def _demands(view: RootstockView, system: UnitSystem) -> Table:
    choice = view.choice
    rows = []
    for zone, ranks in zip(choice.zones, choice.ranks_in.T, strict=True):
        best = np.flatnonzero(ranks == 1)
        rows.append(
            [
                zone.name,
                short(zone.area_ha, "ha", system),
                _lime(zone),
                _index(zone),
                _unknown() if zone.ece_ds_m is None else short(zone.ece_ds_m, "dS/m", system),
                _wet(zone),
                _unknown() if zone.ph_kcl is None else show_number(round(zone.ph_kcl, 1)),
                word(f"site_report.potential.{zone.potential}").split(" ")[0]
                if zone.potential != "unknown" else _unknown(),
                choice.stocks[int(best[0])] if len(best) else DASH,
            ]
        )  # fmt: skip
    heads = ("zone", "area", "lime", "index", "salt", "wet", "ph", "potential", "first")
    return Table(_heads(*heads), rows, left=(0, 5, 7, 8), title=word("stock_report.table.demands"))


def _unknown() -> str:
    return word("stock_report.unknown")


def _lime(zone: ZoneDemands) -> str:
    if zone.lime is None:
        return _unknown()
    if zone.is_lime_by_ph:
        return word("stock_report.by_ph") + MARKS["memory"]
    return show(round(zone.lime.active_lime_pct, 1), "%")


def _index(zone: ZoneDemands) -> str:
    index = zone.chlorosis_index
    if index is not None:
        # Layers without iron may ask for more.
        told = show_number(round(index))
        most = fill("site_report.at_least", value=told) if zone.lacks_iron else told
        return most + MARKS["memory"]
    is_open = zone.lacks_iron or zone.lime is None
    return _unknown() if is_open else word("stock_report.not_asked")


def _wet(zone: ZoneDemands) -> str:
    if zone.wet_rating is None:
        return _unknown()
    if not zone.wet_cause:
        return word("stock_report.drains")
    return word(f"stock_report.wet.{zone.wet_cause.replace(' ', '_')}") + MARKS["practice"]


def _left(view: RootstockView) -> Iterator[Table]:
    choice = view.choice
    rows = []
    for stock in view.shown:
        wins, losses = view.won(stock)
        near = [word(f"stock_report.limit.{held.limit}") for held in choice.held(stock, NEAR)]
        doubt = [f"{word(f'stock_report.need.{name}')}{_mark(view, stock, name)}"
                 for name in view.asked_criteria() if view.is_doubtful(stock, name)]  # fmt: skip
        low, high = choice.rank_range[stock].tolist()
        rows.append(
            [
                choice.stocks[stock],
                str(low) if low == high else f"{low}–{high}",
                percent(float(choice.share_first[stock])),
                _needs(wins),
                _needs(losses),
                ", ".join(near) or DASH,
                ", ".join(doubt) or DASH,
            ]
        )
    more = len(choice.order) - len(view.shown)
    if more > 0:
        rows.append([fill("stock_report.and_more", count=more), *[""] * 6])
    if rows:
        heads = _heads("stock", "place", "often", "wins", "loses", "short", "unknown")
        yield Table(heads, rows, left=(0, 3, 4, 5, 6), title=word("stock_report.table.left"))


def _mark(view: RootstockView, stock: int, name: str) -> str:
    return MARKS["memory"] if view.certainty(stock, name) == "memory" else " ?"


def _needs(names: Sequence[str]) -> str:
    return ", ".join(word(f"stock_report.need.{name}") for name in names) or DASH


def _fallen(view: RootstockView) -> Iterator[Table]:
    choice = view.choice
    by_limit: dict[str, tuple[list[str], list[str], str]] = {}
    for stock, name in enumerate(choice.stocks):
        if choice.allowed[stock]:
            continue
        for held in choice.held(stock, FAILS):
            out, _, _ = by_limit.setdefault(held.limit, ([], [], _asked(held.asked, held.limit)))
            bears = (
                ""
                if np.isnan(held.tolerance)
                else f" ({show_number(float(f'{held.tolerance:.3g}'))})"
            )
            out.append(name + bears)
        for held in choice.held(stock, UNKNOWN):
            _, doubt, _ = by_limit.setdefault(held.limit, ([], [], _asked(held.asked, held.limit)))
            doubt.append(name)
    names = ["limit", "asks", "out", "doubt"]
    if not any(doubt for _, doubt, _ in by_limit.values()):
        names.remove("doubt")
    rows = [
        [word(f"stock_report.limit.{limit}"), by_limit[limit][2],
         ", ".join(by_limit[limit][0]) or DASH, ", ".join(by_limit[limit][1]) or DASH][: len(names)]
        for limit in LIMITS if limit in by_limit
    ]  # fmt: skip
    if rows:
        yield Table(_heads(*names), rows, left=(0, 1, 2, 3),
                    title=word("stock_report.table.fallen"))  # fmt: skip


def _asked(asked: float, limit: str) -> str:
    if np.isnan(asked):
        return DASH
    unit, number = UNITS.get(limit, ""), float(f"{asked:.3g}")
    if limit in _RATED:
        return fill("stock_report.rating", rating=show_number(number))
    return show(number, unit) if unit else show_number(number)


def _heads(*names: str) -> list[str]:
    return [word(f"stock_report.head.{name}") for name in names]
