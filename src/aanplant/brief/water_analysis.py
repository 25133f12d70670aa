"""The keys of the brief on the analysis of the irrigation water."""

from typing import Annotated

from aanplant.brief.fields import Name, Quantity, Section

_Ion = Annotated[float, Quantity("mg/L", 0.0, 50000.0)]


class WaterAnalysis(Section):
    """What a laboratory found in the water; what isn't known is left out."""

    laboratory: Name = ""
    """Who measured."""
    date: Name = ""
    """Of the sample; take one in late summer, when water is at its saltiest."""
    conductivity: Annotated[float, Quantity("dS/m", 0.0, 80.0)] | None = None
    """Electrical conductivity at 25 degrees; 100 mS/m is 1 dS/m."""
    dissolved_salts: _Ion | None = None
    """Total dissolved salts."""
    ph: Annotated[float, Quantity("", 0.0, 14.0)] | None = None
    """Acidity."""
    sodium: _Ion | None = None
    """Sodium."""
    calcium: _Ion | None = None
    """Calcium."""
    magnesium: _Ion | None = None
    """Magnesium."""
    chloride: _Ion | None = None
    """Chloride."""
    bicarbonate: _Ion | None = None
    """Bicarbonate."""
    nitrate_nitrogen: _Ion | None = None
    """Nitrogen in nitrate."""
    boron: _Ion | None = None
    """Boron."""
    iron: _Ion | None = None
    """Iron."""
    manganese: _Ion | None = None
    """Manganese."""
    copper: _Ion | None = None
    """Copper."""
    zinc: _Ion | None = None
    """Zinc."""
    fluoride: _Ion | None = None
    """Fluoride."""
    aluminium: _Ion | None = None
    """Aluminium."""
    cadmium: _Ion | None = None
    """Cadmium."""
    lead: _Ion | None = None
    """Lead."""
    sulphide: _Ion | None = None
    """Hydrogen sulphide."""
    suspended_solids: _Ion | None = None
    """Suspended solids."""
    hardness: _Ion | None = None
    """Hardness as calcium carbonate; worked out from calcium and magnesium when left out."""
    bacteria: Annotated[float, Quantity("1/mL", 0.0, 1e9)] | None = None
    """Bacteria in a millilitre."""
