"""The first half page of the stock report: what is proposed, and what is not known."""

from collections.abc import Iterator

from aanplant.messages import fill, sentence, word
from aanplant.plan import Plan
from aanplant.report.rootstock_chapter import lacking, listed, named_beside, percent
from aanplant.report.rootstock_view import view_of
from aanplant.report.site_words import short
from aanplant.report.stock_chapters import stock_findings
from aanplant.stock.rootstock_limits import NEMATODES
from aanplant.stock.site_demands import ZoneDemands
from aanplant.units import UnitSystem, show_number

_SURE = 0.9
"""A rootstock that comes first in fewer draws than this is not sure to be the best (judgement)."""


def proposed(plan: Plan, system: UnitSystem) -> list[list[str]]:
    """Sentences on the vine, its spacing, the order and what is held back, by paragraph."""
    return [[*_vine(plan), *_places(plan, system)], [*_order(plan)]]


def not_known(plan: Plan) -> list[str]:
    """Sentences on what is not known, the weightiest first."""
    return [*_of_rootstock(plan), *_of_cultivar(plan), *_of_spares(plan)]


def stock_stops(plan: Plan, system: UnitSystem) -> list[str]:
    """Sentences that stop the work, of those in the report."""
    return [sentence(item, system) for item in stock_findings(plan) if item.level == "stop"]


def rootstock_of(plan: Plan) -> str:
    """Return the rootstock named, else the one picked, "" while open."""
    choice = plan.stock.rootstock_choice
    return plan.stock.rootstock or (choice.picked if choice else "")


def _vine(plan: Plan) -> Iterator[str]:
    named, rootstock = plan.stock.cultivar, rootstock_of(plan)
    cultivar = named or word("stock_report.say.no_cultivar")
    choice = plan.stock.rootstock_choice
    if not rootstock:
        yield fill("stock_report.say.vine_open", cultivar=cultivar)
        return
    was_named = bool(choice.named if choice else plan.stock.rootstock)
    way = "vine_named" if was_named else "vine_picked"
    yield fill(f"stock_report.say.{way}", cultivar=cultivar, rootstock=rootstock)
    view = view_of(plan)
    if was_named and view is not None and view.choice.is_ranked:
        first = [view.choice.stocks[stock] for stock in view.choice.order[:1]]
        if rootstock not in first:
            yield named_beside(view)
        for stock in first:
            if stock != rootstock:
                yield fill("stock_report.say.named_and_first", first=stock)


def _places(plan: Plan, system: UnitSystem) -> Iterator[str]:
    vines = plan.brief.vines
    yield fill("stock_report.say.places", row=short(vines.row_width, "m", system),
               vine=short(vines.vine_spacing, "m", system),
               vines=show_number(plan.figures.value("layout.vines")),
               density=short(plan.figures.value("stock.density_nominal"), "vines/ha",
                             system))  # fmt: skip


def _order(plan: Plan) -> Iterator[str]:
    spares, vines, rules = plan.work.spares, plan.brief.vines, plan.brief.spares
    places = plan.figures.value("layout.vines")
    yield fill("stock_report.say.order", order=show_number(spares.order.value),  # type: ignore[arg-type]
               spares=show_number(spares.spares),
               share=percent(spares.spares / places if places else 0.0),
               loss=percent(vines.loss_fraction), assurance=percent(vines.assurance))  # fmt: skip
    if spares.cheapest is not None and spares.cheapest < spares.spares:
        yield fill("stock_report.say.cheapest", cheapest=show_number(spares.cheapest))
    if "stock.hold_first" in plan.figures and spares.spares:
        yield fill("stock_report.say.hold",
                   first=show_number(plan.figures.value("stock.hold_first")),
                   second=show_number(plan.figures.value("stock.hold_second")),
                   keep=word(f"spares.{rules.keep}"))  # fmt: skip


def _of_rootstock(plan: Plan) -> Iterator[str]:
    view = view_of(plan)
    if plan.site.soil is None:
        yield word("stock_report.open.soil")
    if view is None:
        return
    choice = view.choice
    if choice.missing and plan.site.soil is not None:
        yield fill("stock_report.open.missing", missing=lacking(choice.missing))  # fmt: skip
    if plan.site.soil is not None:
        gaps = _unmeasured(choice.zones)
        if gaps:
            yield fill("stock_report.open.demands", listed="; ".join(gaps))
    yield from _uncounted(plan)
    if not choice.order:
        return
    best = choice.order[0]
    if choice.share_first[best] < _SURE:
        yield fill("stock_report.open.close", first=choice.stocks[best],
                   share=percent(float(choice.share_first[best])))  # fmt: skip
    cells = [view.is_doubtful(stock, name) for stock in view.shown
             for name in view.asked_criteria()]  # fmt: skip
    if any(cells):
        yield fill("stock_report.open.memory", memory=sum(cells), cells=len(cells))


def _uncounted(plan: Plan) -> Iterator[str]:
    """Say by which nematodes and rot, for which rootstocks are rated, none was judged."""
    readings = plan.site.history.nematodes if plan.site.history else ()
    counted = {reading.group for reading in readings}
    left_out = [word(f"stock_report.limit.{attribute}")
                for attribute, group in NEMATODES.items() if group not in counted]  # fmt: skip
    if left_out:
        yield fill("stock_report.open.nematodes", listed=listed(left_out))
    for finding in stock_findings(plan):
        if finding.message == "stock.rootstock_phytophthora":
            yield fill("stock_report.open.phytophthora", rootstock=finding.values["rootstock"],
                       rating=show_number(finding.values["rating"]))  # type: ignore[arg-type]  # fmt: skip


def _unmeasured(zones: tuple[ZoneDemands, ...]) -> list[str]:
    """Say what nobody measured, and where."""
    lacks = {
        "lime": [zone.name for zone in zones if zone.lime is None],
        "index": [zone.name for zone in zones if zone.lacks_iron],
        "ece": [zone.name for zone in zones if zone.ece_ds_m is None],
        "wet": [zone.name for zone in zones if zone.wet_rating is None],
        "ph": [zone.name for zone in zones if zone.ph_kcl is None],
        "potential": [zone.name for zone in zones if zone.potential == "unknown"],
    }
    return [
        fill("stock_report.open.zone", what=word(f"stock_report.demand.{name}"),
             zones=word("stock_report.block") if len(where) == len(zones) else listed(where))
        for name, where in lacks.items() if where
    ]  # fmt: skip


def _of_cultivar(plan: Plan) -> Iterator[str]:
    fit = plan.stock.cultivar_fit
    if plan.site.climate is None:
        yield word("stock_report.open.weather")
    elif fit is not None and fit.heat is not None:
        maturity = fit.cultivar.span("maturity")
        if maturity is not None and maturity.is_recalled:
            yield fill("stock_report.open.region", cultivar=fit.cultivar.name)


def _of_spares(plan: Plan) -> Iterator[str]:
    spares = plan.work.spares
    if spares.variation is None:
        yield fill("stock_report.open.loss", loss=percent(plan.brief.vines.loss_fraction))
    else:
        yield fill("stock_report.open.loss_fitted", batches=spares.variation.batches)
    if spares.curve is not None and spares.cheapest is None:
        yield word("stock_report.open.price")
