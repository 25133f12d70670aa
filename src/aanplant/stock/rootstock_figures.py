"""The figures of the rootstock: what the ground asks, and how the first two score."""

from collections.abc import Iterator

import numpy as np

from aanplant.brief import CHOOSE, Brief
from aanplant.rootstock_facts import OWN
from aanplant.site import Site
from aanplant.site.profile import Profile
from aanplant.site.salinity import GRAPE_SLOPE_PCT
from aanplant.stock.rootstock_answer import CRITERIA, RootstockChoice
from aanplant.stock.rootstock_limits import salt_threshold_ds_m
from aanplant.stock.rootstock_ranking import RIPENING, middle, vigour_wanted
from aanplant.stock.rootstocks import Rootstocks
from aanplant.stock.site_demands import TABLE, ZoneDemands, table_value
from aanplant.working import Input, Working

STOCKS, OWN_STOCKS = "table:rootstocks.csv", "file:rootstocks.csv"


def figures(
    brief: Brief, site: Site, found: RootstockChoice, known: Rootstocks
) -> tuple[Working, ...]:
    """Make the figures of the rootstock.

    Parameters
    ----------
    brief, site
        What was asked, and the ground.
    found : RootstockChoice
        With its pick.
    known : Rootstocks
        The stocks.
    """
    profiles = [zone.profile for zone in site.soil.zones] if site.soil else []
    of_zones = [
        {made.message_id: made for made in _of_zone(brief, number, zone, profile)}
        for number, (zone, profile) in enumerate(zip(found.zones, profiles, strict=False), 1)
    ]
    made = [figure for one in of_zones for figure in one.values()]
    if not found.is_ranked:
        return tuple(made)
    made.append(
        Working(
            "stock.rootstocks_allowed",
            int(found.allowed.sum()),
            "",
            (
                Input("known", len(found.stocks), "", STOCKS, "arithmetic"),
                Input("excluded", int((~found.allowed).sum()), "", "measured"),
            ),
            "arithmetic",
        )
    )
    chosen = found.named or found.picked
    spoken = [found.stocks[index] for index in found.order[:2]]
    if chosen and chosen not in spoken:
        spoken = [chosen, *spoken[:1]]
    spoken.sort(key=lambda name: name != chosen)
    for place, name in zip(("chosen", "second"), spoken, strict=False):
        made.extend(_scores(brief, found, known, name, place, of_zones))
    if chosen:
        made.append(_share(brief, found, chosen))
        made.append(_salt_limit(brief, known, chosen))
    return tuple(made)


def _of_zone(
    brief: Brief, number: int, zone: ZoneDemands, profile: Profile | None
) -> Iterator[Working]:
    file = _file(zone.where)
    if zone.lime is not None:
        lime = Working(
            f"stock.zone.{number}.lime",
            zone.lime.active_lime_pct,
            "%",
            (
                Input(
                    "lime",
                    zone.lime.active_lime_pct,
                    "%",
                    _file(zone.lime.where),
                    "memory" if zone.is_lime_by_ph else "",
                ),
            ),
            "memory" if zone.is_lime_by_ph else "measured",
            about=zone.name,
            message="stock.lime_that_counts",
        )
        yield lime
        if zone.lime.active_lime_pct > 0:
            yield Working(
                f"stock.zone.{number}.lime_limit",
                zone.lime.active_lime_pct + brief.rootstock.lime_margin,
                "%",
                (lime.as_input("lime"), brief.as_input("rootstock.lime_margin")),
                "rootstock-rhone",
                about=zone.name,
                message="stock.lime_limit_wanted",
            )
    if zone.index is not None and zone.chlorosis_index is not None:
        yield Working(
            f"stock.zone.{number}.chlorosis",
            zone.chlorosis_index,
            "",
            (
                Input("lime", zone.index.active_lime_pct, "%", _file(zone.index.where)),
                Input("iron", zone.index.iron_mg_kg or 0.0, "mg/kg", _file(zone.index.where)),
            ),
            "chlorosis-index",
            about=zone.name,
            message="stock.chlorosis_index",
        )
    if zone.ece_ds_m is not None and profile is not None:
        yield Working(
            f"stock.zone.{number}.ece",
            zone.ece_ds_m,
            "dS/m",
            tuple(_ece_inputs(profile, file)),
            "arithmetic",
            about=zone.name,
            message="stock.root_zone_ece",
        )
    if (wanted := vigour_wanted(brief, zone)) is not None:
        asked = brief.rootstock.vigour != CHOOSE
        inputs = (
            (brief.as_input("rootstock.vigour", "vigour"),)
            if asked
            else (
                Input("potential", zone.potential, "", file, "practice"),
                Input("vigour", wanted, "", f"table:{TABLE}", "practice"),
            )
        )
        yield Working(
            f"stock.zone.{number}.vigour",
            wanted,
            "",
            inputs,
            "brief" if asked else "practice",
            about=zone.name,
            message="stock.vigour_wanted",
        )
    if zone.ph_kcl is not None:
        none, full = table_value("acid", "no need"), table_value("acid", "full need")
        yield Working(
            f"stock.zone.{number}.acid_need",
            min(1.0, max(0.0, (none - zone.ph_kcl) / (none - full))),
            "",
            (
                Input("ph", zone.ph_kcl, "", file),
                Input("no_need", none, "", f"table:{TABLE}", "practice"),
                Input("full_need", full, "", f"table:{TABLE}", "practice"),
            ),
            "practice",
            about=zone.name,
            message="stock.acid_need",
        )


def _file(where: str) -> str:
    return f"file:{where.partition(':')[0]}"


def _ece_inputs(profile: Profile, file: str) -> Iterator[Input]:
    parts = profile.counted or tuple((one, one.measured.thickness_m) for one in profile.layers)
    for place, (layer, thickness_m) in enumerate(parts, 1):
        yield Input(f"ece_{place}", layer.measured.conductivity_ds_m or 0.0, "dS/m", file)
        yield Input(f"thickness_{place}", thickness_m, "m", file)


def _scores(  # noqa: PLR0917 - one stock among what was found of all
    brief: Brief,
    found: RootstockChoice,
    known: Rootstocks,
    name: str,
    place: str,
    of_zones: list[dict[str, Working]],
) -> Iterator[Working]:
    stock = found.stocks.index(name)
    ratings = dict(zip(CRITERIA, middle(known)[stock].tolist(), strict=True))
    ripening = brief.as_input("rootstock.ripening")
    parts: list[Input] = []
    for number, zone in enumerate(found.zones, 1):
        score = float(found.scores_in[stock, number - 1])
        if np.isnan(score):
            continue
        in_zone = of_zones[number - 1]
        acid = in_zone.get("stock.acid_need")
        vigour = in_zone.get("stock.vigour_wanted")
        made = Working(
            f"stock.rootstock.{place}.zone.{number}",
            score,
            "",
            (
                *_weights(brief, found, number - 1),
                *(_rating(known, name, one, rating) for one, rating in ratings.items()),
                vigour.as_input("vigour_wanted")
                if vigour
                else Input("vigour_wanted", 3.0, "", "measured", "practice"),
                acid.as_input("acid_need")
                if acid
                else Input("acid_need", 0.0, "", "measured", "practice"),
                Input(
                    "ripening_wanted",
                    RIPENING.get(str(ripening.value), 2.0),
                    "",
                    ripening.origin,
                    ripening.source,
                ),
            ),
            "practice",
            about=f"{name}, {zone.name}",
            message="stock.rootstock_zone_score",
        )
        yield made
        parts += [
            made.as_input(f"score_{number}"),
            Input(f"area_{number}", zone.area_ha, "ha", f"figure:site.zone.{number}.area"),
        ]
    yield Working(
        f"stock.rootstock.{place}.score",
        float(found.scores[stock]),
        "",
        tuple(parts),
        "practice",
        about=name,
        message="stock.rootstock_score",
    )


def _weights(brief: Brief, found: RootstockChoice, zone: int) -> Iterator[Input]:
    """Weights as they count in a zone: 0 for what is not asked or not known there."""
    for column, name in enumerate(CRITERIA):
        asked = brief.as_input(f"rootstock.weights.{name}", f"weight_{name}")
        counts = name == "acid" or found.needs[zone, column] > 0
        if found.weights[column] > 0 and counts:
            yield asked
        else:
            yield Input(asked.name, 0.0, "", "measured", "practice")


def _rating(known: Rootstocks, name: str, attribute: str, value: float) -> Input:
    facts = known.of(name, attribute)
    recalled = any(fact.certainty == "memory" for fact in facts) or not facts
    if facts and facts[0].certainty == OWN:
        return Input(attribute, value, "", OWN_STOCKS)
    return Input(attribute, value, "", STOCKS, "memory" if recalled else facts[0].source)


def _share(brief: Brief, found: RootstockChoice, chosen: str) -> Working:
    share = float(found.share_first[found.stocks.index(chosen)])
    return Working(
        "stock.rootstock_share_first",
        share,
        "",
        (
            Input("first", round(share * brief.rootstock.draws), "", "measured"),
            brief.as_input("rootstock.draws"),
            brief.as_input("rootstock.seed"),
            brief.as_input("rootstock.memory_spread"),
        ),
        "practice",
        about=chosen,
    )


def _salt_limit(brief: Brief, known: Rootstocks, chosen: str) -> Working:
    rating = float(np.nan_to_num(known.ranges("salt")[known.names.index(chosen), 0]))
    threshold = salt_threshold_ds_m(rating)
    return Working(
        "stock.salt_limit",
        threshold + 100.0 * (1.0 - brief.rootstock.least_yield) / GRAPE_SLOPE_PCT,
        "dS/m",
        (
            _rating(known, chosen, "salt", rating),
            Input("threshold", threshold, "dS/m", f"table:{TABLE}", "memory"),
            Input("slope", GRAPE_SLOPE_PCT, "", "measured", "maas-hoffman"),
            brief.as_input("rootstock.least_yield"),
        ),
        "maas-hoffman",
        about=chosen,
    )
