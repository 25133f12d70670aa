"""The half page before the chapters: what a manager must know of the site, in sentences."""

from collections.abc import Iterator

import numpy as np

from aanplant.messages import fill, sentence, word
from aanplant.plan import Plan
from aanplant.report.climate_charts import HEAT
from aanplant.report.site_words import date_words, short
from aanplant.site.frost import FEWEST_YEARS
from aanplant.site.heat import class_of
from aanplant.site.slope import slope_classes
from aanplant.units import UnitSystem, show, show_fixed, show_number

_WAYS = ("north", "north_east", "east", "south_east", "south", "south_west", "west", "north_west")
_POTENTIALS = ("high", "medium", "low", "unknown")


def summary(plan: Plan, system: UnitSystem) -> list[list[str]]:
    """Sentences of the summary, by paragraph, in the order of the chapters."""
    paragraphs = ((_place, _ground), (_soil, _preparation), (_land,), (_weather,), (_sun,))
    told = [[text for make in makers for text in make(plan, system)] for makers in paragraphs]
    return [sentences for sentences in told if sentences]


def stops(plan: Plan, system: UnitSystem) -> list[str]:
    """Return the sentences that stop the work."""
    return [sentence(finding, system) for finding in plan.findings if finding.level == "stop"]


def _say(said: str, /, **values: object) -> str:
    return fill(f"site_report.say.{said}", **values)


def _place(plan: Plan, system: UnitSystem) -> Iterator[str]:
    frame = plan.site.frame
    yield _say(
        "place",
        block=plan.site.name or word("sheet.nameless"),
        area=short(plan.figures.value("site.area"), "ha", system),
        latitude=_degrees(frame.latitude_deg, "NS"),
        longitude=_degrees(frame.longitude_deg, "EW"),
    )


def _ground(plan: Plan, system: UnitSystem) -> Iterator[str]:
    ground = plan.site.ground
    if ground is None:
        yield _say("no_heights")
        return
    low, high = (short(float(edge), "m", system)
                 for edge in (ground.height_m.min(), ground.height_m.max()))  # fmt: skip
    values = {"low": low, "high": high, "slope": _percent(ground.percent.mean())}
    if ground.aspect_deg is None:
        yield _say("level", **values)
    else:
        yield _say("ground", way=_way(ground.aspect_deg), **values)
    most = int(np.argmax(ground.class_shares))
    limits = slope_classes()[most].label.partition(", ")
    yield _say("slope_class", share=_percent(100.0 * ground.class_shares[most]),
               limits=limits[0], name=limits[2])  # fmt: skip


def _soil(plan: Plan, system: UnitSystem) -> Iterator[str]:
    soil = plan.site.soil
    if soil is None:
        yield _say("no_pits")
        return
    if "site.soil_depth" in plan.figures and "site.soil_water" in plan.figures:
        yield _say(
            "soil",
            pits=len(soil.profiles),
            zones=len(soil.zones),
            depth=short(plan.figures.value("site.soil_depth"), "m", system),
            water=short(plan.figures.value("site.soil_water"), "mm", system),
        )
    areas = {
        name: sum(zone.area_ha for zone in soil.zones if zone.potential.name == name)
        for name in _POTENTIALS
    }
    listed = [
        _say("potential_on", potential=name, area=short(area, "ha", system))
        for name, area in areas.items()
        if area > 0.0
    ]
    if listed:
        yield _say("potential", listed=", ".join(listed))


def _preparation(plan: Plan, system: UnitSystem) -> Iterator[str]:
    work = plan.results.get("work")
    if work is None or plan.site.soil is None:
        return
    depths = [zone.loosening.depth_m for zone in work.soil.zones if zone.loosening]
    if depths and max(depths) > 0.0:
        low, high = (short(depth, "m", system) for depth in (min(depths), max(depths)))
        yield (
            _say("loosened_alike", depth=high)
            if low == high
            else _say("loosened", low=low, high=high)
        )
    if work.soil.amounts:
        listed = "; ".join(
            _say("amount", name=amount.name,
                 amount=short(float(amount.needed.value), amount.needed.unit, system))
            for amount in work.soil.amounts
        )  # fmt: skip
        yield _say("amounts", listed=listed)
        waiting = sum(bool(amount.status) for amount in work.soil.amounts)
        if waiting:
            yield _say("waiting", count=waiting)


def _land(plan: Plan, _: UnitSystem) -> Iterator[str]:
    history, asked = plan.site.history, plan.site.permissions
    if history is not None:
        found = [name for name, state in history.states.items() if state == "found"]
        untested = [name for name, state in history.states.items() if state == "untested"]
        if found:
            yield _say("found", names=", ".join(found))
        if untested:
            yield _say("untested", names=", ".join(untested))
    if asked is not None:
        stopping = [item.name for item in asked.permissions if item.stops]
        still_open = [item.name for item in asked.permissions if item.is_open]
        if stopping:
            yield _say("not_granted", names="; ".join(stopping))
        if still_open:
            yield _say("open", names="; ".join(still_open))


def _weather(plan: Plan, system: UnitSystem) -> Iterator[str]:
    climate = plan.site.climate
    if climate is None:
        yield _say("no_weather")
        return
    record = climate.record
    table, frost, window = record.table, record.frost, record.planting.window
    if table.known(HEAT):
        heat = table.mean(HEAT)
        yield _say("heat", seasons=table.known(HEAT), heat=show_number(round(heat)),
                   name=class_of(HEAT, heat))  # fmt: skip
    if table.known("rain_mm") and table.known("et0_mm"):
        yield _say("rain", rain=short(table.mean("rain_mm"), "mm", system),
                   et0=short(table.mean("et0_mm"), "mm", system))  # fmt: skip
    chance = record.frost_after_bud_break
    if chance is not None and frost.years >= FEWEST_YEARS:
        yield _say("frost", count=round(chance * frost.years), springs=frost.years,
                   bud_break=date_words(record.planting.bud_break))  # fmt: skip
    if window.days > 0:
        yield _say("window", opens=date_words(window.opens), closes=date_words(window.closes))


def _sun(plan: Plan, _: UnitSystem) -> Iterator[str]:
    layout = plan.results.get("layout")
    if layout is None or layout.sunlight is None:
        return
    light = layout.sunlight
    yield _say(
        "sun",
        bearing=show(round(layout.bearing_deg, 1), "deg"),
        season=_percent(100.0 * light.season_share[0]),
        load=show_number(round(float(light.afternoon_load_mj_m2[0]))),
        side=_way(float(light.afternoon_side_deg[0])),
    )


def _percent(number: float) -> str:
    return show(round(float(number)) if number >= 20.0 else round(float(number), 1), "%")  # noqa: PLR2004


def _way(bearing_deg: float) -> str:
    return word(f"way.{_WAYS[round(bearing_deg / 45.0) % len(_WAYS)]}")


def _degrees(angle: float, sides: str) -> str:
    return f"{show_fixed(abs(angle), 3)}° {sides[0] if angle >= 0.0 else sides[1]}"
