"""How much of the water at the drippers counts: evenness of the system, and salt to be leached."""

from aanplant.brief import Brief
from aanplant.site.texture import WHOLE_PCT
from aanplant.water.application import counting_share
from aanplant.water.designed import DesignedSystem
from aanplant.water.quality import WaterQuality
from aanplant.working import Input, Working

LEAST_EVEN_PCT = 30.0
"""A system less even than this is none: the brief's efficiency stands until it is mended."""


def reaching(brief: Brief, system: DesignedSystem | None, quality: WaterQuality | None) -> Working:
    """Return the share of the water at the drippers that the worst watered vines can use. [-].

    The smaller of the brief's efficiency and the emission uniformity of the most uneven set,
    once there is a system. Uniformity is that of new drippers and does not last: systems in the
    field are found at 65 to 80 %. Of it so much less as must drain to carry the salt away,
    where that is more than a tenth.

    Parameters
    ----------
    brief : Brief
        Gives ``watering.efficiency``.
    system : DesignedSystem or None
        With its sets run.
    quality : WaterQuality or None
        Of the water.
    """
    leaching = (quality.leaching if quality is not None else None) or 0.0
    salt = (
        (Input("leaching", WHOLE_PCT * leaching, "%", "figure:water.leaching"),)
        if leaching > 0.0
        else ()
    )
    even_pct = float(system.runs.emission_pct.min()) if system is not None else 0.0
    if even_pct < LEAST_EVEN_PCT:
        return Working(
            "water.reaching",
            counting_share(brief.watering.efficiency, leaching),
            "",
            (brief.as_input("watering.efficiency"), *salt),
            "drip-yearbook",
            message="water.reaching_assumed",
        )
    given = brief.watering.efficiency
    uniformity = Input("uniformity", even_pct, "%", "figure:water.emission_uniformity")
    return Working(
        "water.reaching",
        counting_share(min(even_pct / WHOLE_PCT, given), leaching),
        "",
        (uniformity, brief.as_input("watering.efficiency"), *salt),
        "keller-karmeli",
    )
