"""What speaks against itself, was not measured or not tested when the rootstock is chosen."""

from collections.abc import Iterator

from aanplant.brief import Brief
from aanplant.rootstock_facts import OWN
from aanplant.site import Site
from aanplant.stock.rootstock_answer import RootstockChoice
from aanplant.stock.rootstock_limits import NEMATODES, nematodes_found
from aanplant.stock.rootstocks import Rootstocks
from aanplant.working import Finding, Value

Values = dict[str, Value | tuple[Value, str]]


def contradictions(brief: Brief, site: Site, found: RootstockChoice) -> Iterator[Finding]:
    """Say where the data of a site speak against one another."""
    for number, zone in enumerate(found.zones, 1):
        if zone.contradiction is None or zone.contradicting_ph is None:
            continue
        values: Values = {
            "zone": zone.name,
            "lime": (zone.contradiction.active_lime_pct, "%"),
            "ph": zone.contradicting_ph,
            "where": zone.contradiction.where,
        }
        yield Finding(
            "stock", "care", "stock.lime_against_ph", values, f"stock.zone.{number}.lime", "memory"
        )
    declared = brief.rootstock.phylloxera_free_source
    if declared and site.history and site.history.states["phylloxera"] == "found":
        yield Finding("stock", "care", "stock.phylloxera_free_yet_found", {"who": declared})


def not_measured(site: Site, found: RootstockChoice) -> Iterator[Finding]:
    """Say which limits nobody could judge; without pits the ranking itself says so."""
    if site.soil is not None:
        gaps = {
            "lime": [z.name for z in found.zones if z.lime is None],
            "iron": [z.name for z in found.zones if z.lacks_iron],
            "ece": [z.name for z in found.zones if z.pit and z.ece_ds_m is None],
            "wetness": [z.name for z in found.zones if z.pit and z.wet_rating is None],
            "ph": [z.name for z in found.zones if z.pit and z.ph_kcl is None],
            "potential": [z.name for z in found.zones if z.pit and z.potential == "unknown"],
        }
        for what, zones in gaps.items():
            if zones:
                values: Values = {
                    "what": f"words:rootstock_gap.{what}",
                    "zones": ", ".join(zones),
                }
                yield Finding("stock", "care", "stock.rootstock_gap", values)
    if site.history is None or site.history.states["nematodes"] == "untested":
        yield Finding("stock", "note", "stock.nematodes_untested")
    unrated = [group for group in nematodes_found(site) if group not in NEMATODES.values()]
    if unrated:
        yield Finding("stock", "care", "stock.nematode_unrated", {"groups": ", ".join(unrated)})


def not_tested(brief: Brief, site: Site, known: Rootstocks, chosen: str) -> Iterator[Finding]:
    """Say where the chosen stock bears Phytophthora badly and nobody tested the soil for it."""
    low = known.ranges("phytophthora")[known.names.index(chosen), 0]
    state = site.history.states["Phytophthora"] if site.history else "untested"
    if state != "untested" or not low < brief.rootstock.phytophthora_rating:
        return
    facts = known.of(chosen, "phytophthora")
    recalled = any(fact.certainty == "memory" for fact in facts)
    source = "memory" if recalled else "brief" if facts[0].certainty == OWN else facts[0].source
    values: Values = {"rootstock": chosen, "rating": float(low)}
    yield Finding("stock", "care", "stock.rootstock_phytophthora", values, source=source)
