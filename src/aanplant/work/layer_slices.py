"""The part of each layer of a pit that is amended.

Needs of a slice follow one rule: what cannot be reckoned has no number and a reason; what
is doubtful keeps its number and says what an adviser must confirm.
"""

from dataclasses import dataclass

from aanplant.site.profile import SoilLayer
from aanplant.work.lime import stone_factor

NOT_NEEDED = ("not acid", "free lime", "not sodic", "sandy", "enough", "too high")
"""Reasons that mean 0; any other reason means that nobody can say."""


@dataclass(frozen=True, slots=True)
class Slice:
    """The part of a layer that is amended.

    Parameters
    ----------
    layer : SoilLayer
        The layer, worked out.
    thickness_m : float
        Of the part that is amended. [m]
    density_t_m3 : float
        Of the fine earth. [t/m3]
    stones_pct : float
        By volume, 0 where the pit names none. [%]
    """

    layer: SoilLayer
    thickness_m: float
    density_t_m3: float
    stones_pct: float

    @property
    def soil_t_ha(self) -> float:
        """Fine earth. [t/ha]."""
        return 1e4 * self.thickness_m * self.density_t_m3 * float(stone_factor(self.stones_pct))

    @property
    def top_m(self) -> float:
        """Depth of its upper face. [m]."""
        return self.layer.measured.top_m

    @property
    def name(self) -> str:
        """Its depths in words, such as "0-300 mm"."""
        top = self.layer.measured.top_m
        return f"{top * 1000:.0f}–{(top + self.thickness_m) * 1000:.0f} mm"


def slices(layers: tuple[SoilLayer, ...], depth_m: float, default_t_m3: float) -> tuple[Slice, ...]:
    """Cut layers to a depth."""
    return tuple(
        Slice(
            layer,
            min(layer.measured.bottom_m, depth_m) - layer.measured.top_m,
            layer.bulk_density_t_m3 or default_t_m3,
            layer.stones_volume_pct or 0.0,
        )
        for layer in layers
        if layer.measured.top_m < depth_m
    )
