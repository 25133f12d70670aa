"""The plan: stages run alone, reuse what has not changed, stop when told to, and repeat."""

import dataclasses
from decimal import Decimal
from pathlib import Path

import pytest

from aanplant import tables
from aanplant.brief import Brief, parse_brief
from aanplant.errors import Cancelled
from aanplant.files import open_block, read_inputs
from aanplant.inputs import PriceLine
from aanplant.plan import make_plan
from aanplant.stages import STAGE_NAMES, STAGES

EXAMPLE = Path(__file__).parents[1] / "examples" / "lowquince" / "blocks"
FROM_WORK = ("work", "tasks", "calendar", "planting", "money")
BINDING = (
    "site.area", "layout.area_planted", "layout.rows", "layout.row_ends", "layout.row_length",
    "layout.vines", "layout.density", "layout.bearing", "layout.line_posts", "layout.end_posts",
    "trellis.anchors", "trellis.wire_length", "stock.pegs", "stock.ties", "stock.guards",
    "water.dripper_line", "work.water_at_planting", "work.budget.materials",
)  # fmt: skip


@pytest.fixture(scope="module")
def block():
    return open_block(EXAMPLE / "kiepersol")


@pytest.fixture(scope="module")
def inputs(block):
    return read_inputs(block)


@pytest.fixture(scope="module")
def made(block, inputs):
    return make_plan(block.brief, inputs)


def changed(brief, key, value):
    data = brief.model_dump(exclude_unset=True)
    section, name = key.split(".")
    data.setdefault(section, {})[name] = value
    return Brief.model_validate(data)


def stages_run(brief, inputs, earlier):
    ran = []
    make_plan(
        brief,
        inputs,
        earlier=earlier,
        check=lambda stage, done: ran.append(stage) if not done else None,
    )
    return ran


def test_every_binding_figure_is_there(made):
    assert set(BINDING) <= set(made.figures.keys())


def test_every_figure_unfolds_to_inputs_that_are_no_figures(made):
    for figure in made.figures:
        below = list(made.figures.unfold(figure.key))
        origins = {item.origin.partition(":")[0] for _, one in below for item in one.inputs}

        assert below[0][1] is figure
        assert origins <= {"brief", "default", "figure", "table", "file", "measured"}


def test_every_source_of_a_figure_or_finding_is_known(made):
    known = tables.sources()
    named = {figure.source for figure in made.figures} | {found.source for found in made.findings}
    named |= {item.source for figure in made.figures for item in figure.inputs if item.source}

    assert named <= set(known)


def test_figures_that_are_inputs_carry_the_value_they_were_made_with(made):
    for figure in made.figures:
        for item in figure.inputs:
            if item.origin.startswith("figure:"):
                source = made.figures[item.origin.removeprefix("figure:")]
                halved = item.name == "turns" and item.value == source.value / 2
                same = item.value == source.value or halved or item.name == "quantity"
                assert same, f"{figure.key}: {item}"


@pytest.mark.parametrize(
    ("key", "value", "expected"),
    [
        ("materials.ties_per_vine", 4, ["work", "tasks", "planting", "money"]),
        ("trellis.system", "vertical-7", ["trellis", *FROM_WORK]),
        ("rows.headland", 9.0, ["layout", "trellis", "water", *FROM_WORK]),
        ("schedule.planting_weeks", 9, ["tasks", "calendar", "planting", "money"]),
        ("vines.row_width", 2.6, ["stock", "layout", "trellis", "water", *FROM_WORK]),
        ("money.grape_price", 9000.0, ["money"]),
        ("block.name", "Other", list(STAGE_NAMES)),
    ],
)
def test_a_changed_blank_runs_only_the_stages_behind_it(  # noqa: PLR0917
    block, inputs, made, key, value, expected
):
    assert stages_run(changed(block.brief, key, value), inputs, made) == expected


def test_nothing_runs_when_nothing_changed(block, inputs, made):
    assert stages_run(block.brief, inputs, made) == []


def test_a_changed_price_books_no_task_anew(block, inputs, made):
    dearer = (PriceLine("vine", "each", Decimal(40), None), *inputs.prices[1:])

    assert stages_run(block.brief, dataclasses.replace(inputs, prices=dearer), made) == [
        "work",
        "tasks",
        "planting",
        "money",
    ]


def test_a_changed_wage_books_no_task_anew(block, inputs, made):
    labour = inputs.labour.model_copy(update={"wage": 60.0})

    assert stages_run(block.brief, dataclasses.replace(inputs, labour=labour), made) == [
        "tasks",
        "planting",
        "money",
    ]


class Watched:
    """Stands for a brief or inputs and notes which keys a stage looks at."""

    def __init__(self, real, seen, prefix=""):
        self._real, self._seen, self._prefix = real, seen, prefix

    def __getattr__(self, name):
        value = getattr(self._real, name)
        path = f"{self._prefix}{name}"
        if hasattr(value, "model_fields_set"):
            return Watched(value, self._seen, f"{path}.")
        if callable(value):
            return self._asked(value)
        self._seen.add(path)
        return value

    def _asked(self, method):
        def call(key, *rest):
            self._seen.add(key)
            return method(key, *rest)

        return call


@pytest.mark.parametrize("stage", STAGES, ids=STAGE_NAMES)
def test_a_stage_looks_only_at_what_it_says_it_reads(block, inputs, made, stage):
    seen: set[str] = set()
    watched_inputs = Watched(inputs, seen, "inputs.")

    stage.run(Watched(block.brief, seen), watched_inputs, made.results, lambda _: None)

    unsaid = {
        key
        for key in seen
        if not any(key == read or key.startswith(f"{read}.") for read in stage.reads)
    }
    assert unsaid == set()


def test_a_preview_stops_after_the_stage_asked_for(block, inputs):
    preview = make_plan(block.brief, inputs, until="layout")

    assert list(preview.results) == ["site", "stock", "layout"]
    assert "layout.vines" in preview.figures


def test_a_plan_no_longer_wanted_stops_at_once(block, inputs):
    def check(stage, _):
        if stage == "layout":
            raise Cancelled

    with pytest.raises(Cancelled):
        make_plan(block.brief, inputs, check=check)


def test_the_same_brief_and_inputs_give_the_same_figures(block, inputs, made):
    again = make_plan(block.brief, inputs)

    assert [dataclasses.astuple(figure) for figure in again.figures] == [
        dataclasses.astuple(figure) for figure in made.figures
    ]
    assert again.digests == made.digests


def test_an_unknown_stage_is_a_programming_error(block, inputs):
    with pytest.raises(ValueError, match="until"):
        make_plan(block.brief, inputs, until="harvest")


def test_both_hemispheres_and_both_kinds_of_units_plan(made):
    northern = open_block(EXAMPLE / "onderveld")
    plan = make_plan(northern.brief, read_inputs(northern))

    assert plan.site.frame.latitude_deg > 0 > made.site.frame.latitude_deg
    assert plan.stock.row_width_m == pytest.approx(9 * 0.3048)


def test_very_wide_rows_plan_without_complaint(block, inputs):
    for spacing in (2.75, 3.0):
        brief = changed(changed(block.brief, "vines.row_width", 6.0), "vines.vine_spacing", spacing)
        plan = make_plan(brief, inputs)

        assert plan.figures.value("layout.vines") > 2500
        # Line posts 15 m apart are too few for a crop, and that is all there is to complain of.
        assert {f.stage for f in plan.findings if f.level == "stop"} == {"trellis"}
        assert not any(f.message.startswith("layout.clear") for f in plan.findings)


def test_a_minimal_brief_outside_an_estate_plans_in_its_utm_zone(tmp_path):
    (tmp_path / "corners.csv").write_text(
        "lat,lon\n-33.930,18.8600\n-33.930,18.8627\n-33.932,18.8627\n-33.932,18.8600\n"
    )
    (tmp_path / "brief.toml").write_text(
        '[block]\nboundary = "corners.csv"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'
    )
    block = open_block(tmp_path / "brief.toml")
    plan = make_plan(block.brief, read_inputs(block))

    assert plan.site.grid.code == "EPSG:32734"
    assert plan.work.unpriced
    assert plan.figures["work.budget.materials"].value == "unknown"
    assert parse_brief((tmp_path / "brief.toml").read_text(), "brief.toml").block.name == ""


def test_stage_names_are_what_plans_know():
    assert STAGE_NAMES == (
        "site",
        "stock",
        "layout",
        "trellis",
        "water",
        "work",
        "tasks",
        "calendar",
        "planting",
        "money",
    )
