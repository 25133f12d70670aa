"""The figures of one layer of a pit: from sand and clay to the water it has for the vines."""

from collections.abc import Iterator

from aanplant.brief import Brief
from aanplant.site.profile import SoilLayer
from aanplant.working import Input, Working


def of_layer(brief: Brief, key: str, pit: str, layer: SoilLayer) -> tuple[Working, ...]:
    """Make the figures of a layer, the available water last; none when it isn't known.

    Parameters
    ----------
    brief : Brief
        What was asked.
    key : str
        Key of the layer, to which the figures add their names.
    pit : str
        Name of the pit.
    layer : SoilLayer
        The layer worked out.
    """
    value, water, stones_pct = layer.available_mm_m, layer.water, layer.stones_volume_pct
    if value is None or water is None or stones_pct is None:
        return ()
    measured = layer.measured
    about = f"{pit}, {measured.top_m * 100:.0f}–{measured.bottom_m * 100:.0f} cm"
    file = origin(measured.where)
    texture = tuple(_texture(brief, layer))
    density = (
        ()
        if measured.bulk_density_t_m3 is None
        else (Input("bulk_density", measured.bulk_density_t_m3, "t/m3", file),)
    )
    wilting = Working(
        f"{key}.wilting_point",
        float(water.wilting_point),
        "m3/m3",
        texture,
        "saxton-rawls",
        about=about,
        message="site.layer_wilting_point",
    )
    capacity = Working(
        f"{key}.field_capacity",
        float(water.field_capacity),
        "m3/m3",
        (*texture, *density),
        "saxton-rawls",
        about=about,
        message="site.layer_field_capacity",
    )
    made = [wilting, capacity]
    if measured.stones_volume_pct is None:
        by_weight = Input("stones_by_weight", measured.stones_weight_pct or 0.0, "%", file)
        figure = Working(
            f"{key}.stones",
            stones_pct,
            "%",
            (*texture, *density, by_weight),
            "saxton-rawls",
            about=about,
            message="site.layer_stones",
        )
        made.append(figure)
        stones = figure.as_input("stones")
    else:
        stones = Input("stones", stones_pct, "%", file)
    available = Working(
        f"{key}.water",
        value,
        "mm/m",
        (capacity.as_input("field_capacity"), wilting.as_input("wilting_point"), stones),
        "saxton-rawls",
        about=about,
        message="site.layer_water",
    )
    return (*made, available)


def origin(where: str) -> str:
    """Return the origin of a number read at a place such as ``pits.csv: line 3``."""
    return f"file:{where.partition(':')[0]}"


def _texture(brief: Brief, layer: SoilLayer) -> Iterator[Input]:
    measured = layer.measured
    file = origin(measured.where)
    from_table = ("table:texture_classes.csv", "usda-texture")
    for name, value in zip(("sand", "clay"), layer.sand_clay_pct or (), strict=False):
        yield Input(name, value, "%", *(from_table if layer.is_by_name else (file,)))
    if measured.organic_matter_pct is not None:
        yield Input("organic_matter", measured.organic_matter_pct, "%", file)
    elif measured.carbon_pct is not None:
        yield Input("carbon", measured.carbon_pct, "%", file)
        yield brief.as_input("soil.matter_per_carbon")
