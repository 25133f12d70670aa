"""Figures of how many parts stand along the rows, one for every kind that does."""

from aanplant.brief import Brief
from aanplant.trellis.counts import STAPLED_AT_END, WRAP_M, brace_wire_m, tie_wire_m
from aanplant.trellis.end_fit import ends_as_built
from aanplant.trellis.whole import Trellis
from aanplant.working import Input, Working


def count_figures(brief: Brief, made: Trellis) -> tuple[Working, ...]:
    """Return the counts, those of none left out but for posts and anchors."""
    counts, system = made.counts, made.system
    pieces = Input("pieces", len(made.rows), "", "measured")
    line_posts = Input("line_posts", counts.line_posts, "", "figure:trellis.line_posts")
    end_posts = Input("end_posts", counts.end_posts, "", "figure:trellis.end_posts")
    assembly = brief.as_input("ends.assembly")
    fixed = sum(wire.strands for wire in made.wires if not wire.movable)
    movable = sum(wire.strands for wire in made.wires if wire.movable)
    pairs = sum(-(-wire.strands // 2) for wire in made.wires if wire.movable)
    own = made.system.source
    fixed_strands = Input("fixed_strands", fixed, "", "measured", own)
    movable_strands = Input("movable_strands", movable, "", "measured", own)
    always = (
        Working(
            "trellis.line_posts",
            counts.line_posts,
            "",
            (pieces, brief.as_input("trellis.post_every")),
            "measured",
        ),
        Working("trellis.end_posts", counts.end_posts, "", (pieces,), "arithmetic"),
        Working(
            "trellis.anchors",
            counts.anchors,
            "",
            (end_posts, Input("inside_braced_ends", counts.inside_ends, "", "measured"), assembly),
            "arithmetic",
        ),
    )
    made_from = (
        Working(
            "trellis.exposed_posts",
            counts.exposed_posts,
            "",
            (line_posts, brief.as_input("posts.exposed_rows")),
            "measured",
        ),
        Working(
            "trellis.brace_posts", counts.brace_posts, "", (end_posts, assembly), "arithmetic"
        ),
        Working("trellis.rails", counts.rails, "", (end_posts, assembly), "arithmetic"),
        Working(
            "trellis.struts",
            counts.struts,
            "",
            (
                end_posts,
                assembly,
                Input("inside_braced_ends", counts.inside_ends, "", "measured"),
            ),
            "arithmetic",
        ),
        _brace_wire(brief, made),
        Working(
            "trellis.strainers",
            counts.strainers,
            "",
            (pieces, Input("strands", system.strands, "", "measured", own)),
            "practice",
        ),
        Working(
            "trellis.fixed_places",
            counts.fixed_places,
            "",
            (
                fixed_strands,
                line_posts,
                end_posts,
                Input("at_an_end", STAPLED_AT_END, "", "default:at_an_end", "practice"),
            ),
            "practice",
        ),
        Working("trellis.hooks", counts.hooks, "", (movable_strands, line_posts), "practice"),
        Working(
            "trellis.pair_clips",
            counts.pair_clips,
            "",
            (
                Input("pairs", pairs, "", "measured", own),
                line_posts,
                pieces,
                brief.as_input("materials.pair_clips", "clips"),
            ),
            "practice",
        ),
        Working(
            "trellis.arms",
            counts.arms,
            "",
            (Input("arms", len(system.arms), "", "measured", own), line_posts, end_posts),
            "arithmetic",
        ),
        Working(
            "trellis.stakes",
            counts.stakes,
            "",
            (Input("vines", counts.stakes, "", "figure:layout.vines"),),
            "practice",
        ),
    )  # fmt: skip
    return (*always, *(figure for figure in made_from if figure.value))


def _brace_wire(brief: Brief, made: Trellis) -> Working:
    counts, strands = made.counts, brief.ends.brace_wire_strands
    tied = counts.anchors > 0
    rules = ends_as_built(brief, made.system)
    one_m = tie_wire_m(rules, brief.rows.anchor_distance) if tied else brace_wire_m(rules)
    of = "figure:trellis.anchors" if tied else "figure:trellis.brace_posts"
    return Working(
        "trellis.brace_wire",
        counts.brace_wire_m,
        "m",
        (
            Input("ends", counts.anchors or counts.brace_posts, "", of),
            brief.as_input("ends.brace_wire_strands", "strands"),
            Input("across", (one_m - WRAP_M) / strands, "m", "measured"),
            Input("wrap", WRAP_M, "m", "default:wrap", "practice"),
        ),
        "practice",
    )
