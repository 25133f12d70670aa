"""The section of the brief on the ends of rows: what holds the pull of the wires."""

from typing import Annotated, Literal

from pydantic import Field

from aanplant.brief.fields import MEMORY, PRACTICE, Default, Name, Quantity, Section

Assembly = Literal["tie-back", "h-brace", "strut"]
Anchor = Literal["helix", "deadman", "plate"]
_Height = Annotated[float, Quantity("m", 0.3, 3.5)]
_Distance = Annotated[float, Quantity("m", 0.3, 6.0)]


class EndRules(Section):
    """What stands at the ends of rows, and the ground that holds it."""

    assembly: Annotated[Assembly, PRACTICE] = "tie-back"
    """tie-back: a post tied to an anchor behind it; h-brace: two posts with a rail between them;
    strut: a post held by a strut from the row's side."""
    post_diameter: Annotated[float, Quantity("mm", 50.0, 400.0), PRACTICE] = 125.0
    """Diameter of the end post at the ground; its timber is that of the line posts."""
    lean: Annotated[float, Quantity("deg", 0.0, 45.0), PRACTICE] = 20.0
    """Lean of a tied end post from upright, away from the row."""
    tie_height: Annotated[_Height, MEMORY] = 1.7
    """Height of the tie on the end post, measured upright; lower on a low post."""
    rail_height: Annotated[_Height, MEMORY] = 1.5
    """Height of the rail of an H-brace; lower on a low post."""
    post_distance: Annotated[_Distance, MEMORY] = 3.0
    """Between the two posts of an H-brace; at least twice the rail's height is advised."""
    strut_height: Annotated[_Height, MEMORY] = 1.3
    """Where a strut meets the end post; lower on a low post."""
    strut_distance: Annotated[_Distance, MEMORY] = 2.2
    """From the end post to the block a strut stands on."""
    strut_diameter: Annotated[float, Quantity("mm", 30.0, 300.0), PRACTICE] = 100.0
    """Of a strut, or of the rail of an H-brace."""
    stiffness: Annotated[float, Quantity("MPa", 1000.0, 250000.0), Default("sans-457-abstract")] = (
        9000.0
    )
    """Modulus of elasticity of the strut or rail."""
    strut_factor: Annotated[float, Quantity("", 1.0, 10.0), MEMORY] = 2.5
    """Factor of safety against a strut or rail that bows out."""
    block_width: Annotated[float, Quantity("m", 0.1, 2.0), PRACTICE] = 0.8
    """Of the block a strut stands against, across the row."""
    block_depth: Annotated[float, Quantity("m", 0.1, 2.0), PRACTICE] = 0.9
    """Depth of its lower edge below the ground."""
    post_pull_out: Annotated[float, Quantity("kN", 0.1, 100.0), Default("fencing-handbook")] = 8.8
    """Pull that draws the post of an H-brace or strut out of the ground, driven into a pilot hole;
    0.88 kN where posts.set_by says dug in and rammed."""
    brace_wire_diameter: Annotated[float, Quantity("mm", 1.0, 6.0), PRACTICE] = 3.15
    """Of the wire of ties and braces."""
    brace_wire_grade: Annotated[Name, PRACTICE] = "high strain"
    """Its strength class, as for the wires of the trellis."""
    brace_wire_strands: Annotated[int, Field(ge=1, le=8), PRACTICE] = 2
    """Strands of it side by side in one tie or brace; 3 for lyre, 4 for gable."""
    anchor: Annotated[Anchor, PRACTICE] = "helix"
    """helix: screwed in line with the tie; deadman: a buried log; plate: driven or buried square
    to the tie."""
    helix_diameter: Annotated[float, Quantity("mm", 50.0, 600.0), PRACTICE] = 200.0
    """Of the plate of a helix. Slides on trellises print 150 mm for rows up to 183 m; under a crop
    it just fails to hold a common trellis twice over. Larger for lyre and gable."""
    anchor_depth: Annotated[float, Quantity("m", 0.2, 4.0), PRACTICE] = 1.3
    """Depth of the helix or plate below the ground, or of a deadman's lower edge. Deeper
    for lyre and gable; 0.8 m for a deadman, so that it clears the soil the post leans on."""
    plate_width: Annotated[float, Quantity("m", 0.05, 2.0), PRACTICE] = 0.2
    """Shorter side of a plate."""
    plate_length: Annotated[float, Quantity("m", 0.05, 2.0), PRACTICE] = 0.3
    """Longer side of a plate."""
    deadman_length: Annotated[float, Quantity("m", 0.3, 4.0), PRACTICE] = 1.2
    """Length of a deadman across the row."""
    trench_width: Annotated[float, Quantity("m", 0.1, 2.0), PRACTICE] = 0.4
    """Width of a deadman's trench."""
    ground: Annotated[Literal["clay", "sand"], PRACTICE] = "clay"
    """Soil that holds the anchor: clay by its undrained strength, sand by its friction. Sand where
    posts.soil says so."""
    cohesion: Annotated[float, Quantity("kPa", 5.0, 300.0), MEMORY] = 50.0
    """Undrained strength of clay, moist as in winter; a stiff clay has more, a wet one far less.
    That under [posts] where only it is given, as for the two keys below."""
    friction_angle: Annotated[float, Quantity("deg", 20.0, 45.0), MEMORY] = 30.0
    """Friction angle of sand; in clay it counts for a deadman, whose load stays for years."""
    unit_weight: Annotated[float, Quantity("kN/m3", 8.0, 24.0), MEMORY] = 17.0
    """Weight of the soil."""
    waterlogged: Annotated[bool, PRACTICE] = False
    """Whether water may stand in the ground at the row ends; it can halve what an anchor holds."""
    factor_of_safety: Annotated[float, Quantity("", 1.0, 6.0), Default("helix-notes")] = 2.0
    """By which an anchor must hold more than its load."""
    lighter_short_rows: Annotated[bool, PRACTICE] = False
    """Whether short rows may have lighter anchors."""
    short_row: Annotated[float, Quantity("m", 5.0, 500.0), Default("trellis-slides")] = 76.0
    """Rows up to this length are short."""
    lighter_helix: Annotated[float, Quantity("mm", 50.0, 600.0), Default("trellis-slides")] = 100.0
    """Of the plate of a short row's helix."""
