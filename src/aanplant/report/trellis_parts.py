"""The parts of a trellis by number: what stands on the drawing and what each is."""

from dataclasses import dataclass

from aanplant.messages import fill, term, word
from aanplant.report.trellis_view import TrellisView, measure
from aanplant.units import UnitSystem, show_number


@dataclass(frozen=True, slots=True)
class Part:
    """A numbered part.

    Parameters
    ----------
    number : int
        Stands in a ring on the drawings.
    name : str
        Which it is, such as ``end_post``.
    text : str
        What it is, with its measures.
    """

    number: int
    name: str
    text: str


def parts_of(view: TrellisView, system: UnitSystem = "metric") -> tuple[Part, ...]:
    """Return the parts of a trellis, numbered in the order in which they are set."""
    trellis = view.system
    named: dict[str, dict[str, str]] = {}
    if trellis.wires:
        named["end_post"] = {
            "length": measure(trellis.end_post_length_m, system),
            "embedment": measure(trellis.end_post_embedment_m, system),
            "diameter": measure(view.end_post_m, system),
        }
        if view.lean_deg:
            named["end_post"]["lean"] = f"{show_number(round(view.lean_deg, 1))}°"
        named |= _held(view, system)
        named["line_post"] = {
            "length": measure(trellis.post_length_m, system),
            "embedment": measure(trellis.post_embedment_m, system),
            "post": view.post_name,
        }
        if view.exposed_post_name:
            named["line_post"]["exposed"] = view.exposed_post_name
        if trellis.arms:
            widths = sorted({round(2.0 * arm.half_width_m, 4) for arm in trellis.arms})
            named["arm"] = {"widths": ", ".join(measure(width, system) for width in widths)}
    if trellis.stake_length_m:
        named["stake"] = {
            "length": measure(trellis.stake_length_m, system),
            "embedment": measure(view.stake_in_ground_m, system),
        }
    named["peg"] = {
        "length": measure(view.peg_m, system),
        "diameter": show_number(round(view.peg_mm, 2)),
    }
    return tuple(
        Part(number, name, _told(view, name, values))
        for number, (name, values) in enumerate(named.items(), 1)
    )


def _told(view: TrellisView, name: str, values: dict[str, str]) -> str:
    text = fill(f"trellis_drawing.part.{_kind(name, values)}", **values)
    if not view.counts.get(name):
        return text
    return fill("trellis_drawing.counted", text=text, count=show_number(view.counts[name]))


def _kind(name: str, values: dict[str, str]) -> str:
    """Return the words that fit the values: leaning or upright, one size of post or two."""
    if name == "end_post" and "lean" in values:
        return "end_post_leaning"
    if name == "line_post" and "exposed" in values:
        return "line_posts"
    return name


def unit_of(system: UnitSystem) -> str:
    """Return the unit of the measures on the drawings."""
    return "in" if system == "imperial" else "mm"


def unit_words(system: UnitSystem) -> str:
    """Return the unit of the measures, written out."""
    return word("trellis_drawing.inches" if system == "imperial" else "trellis_drawing.millimetres")


def _held(view: TrellisView, system: UnitSystem) -> dict[str, dict[str, str]]:
    """Return what holds the end post."""
    ends = view.ends
    size = measure(ends.strut_diameter / 1000.0, system)
    if ends.assembly == "h-brace":
        height = measure(ends.rail_height, system)
        return {
            "brace_post": {"distance": measure(ends.post_distance, system)},
            "rail": {"height": height, "diameter": size},
            "brace_wire": {"height": height, "wire": _brace_wire(view)},
        }
    if ends.assembly == "strut":
        return {
            "strut": {"height": measure(ends.strut_height, system), "diameter": size},
            "block": {
                "width": measure(ends.block_width, system),
                "depth": measure(ends.block_depth, system),
            },
        }
    if not view.has_anchors:
        return {}
    depth = measure(ends.anchor_depth, system)
    held = {"tie": {"height": measure(ends.tie_height, system), "wire": _brace_wire(view)}}
    if ends.anchor == "helix":
        size = measure(ends.helix_diameter / 1000.0, system)
        return {**held, "helix": {"depth": depth, "diameter": size}}
    if ends.anchor == "plate":
        sides = (ends.plate_width, ends.plate_length)
        shown = " × ".join(measure(side, system) for side in sides)
        return {**held, "plate": {"depth": depth, "size": shown}}
    return {**held, "deadman": {"depth": depth, "length": measure(ends.deadman_length, system)}}


def _brace_wire(view: TrellisView) -> str:
    """Write the wire of a tie or brace; the diameter of wire is in millimetres everywhere."""
    ends = view.ends
    size = f"{show_number(ends.brace_wire_diameter)} mm {term(ends.brace_wire_grade)}"
    return f"{ends.brace_wire_strands} × {size}"
