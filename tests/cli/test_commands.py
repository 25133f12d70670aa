"""The command line as a user meets it: run in a process of its own."""

import json
import os
import shutil
import subprocess
import sys
from collections import Counter
from pathlib import Path

import jsonschema
import pytest

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "examples" / "lowquince"
COMMAND = Path(sys.executable).with_name("aanplant")


def run(*arguments, cwd=None, expect=0, columns=100):
    done = subprocess.run(
        [COMMAND, *map(str, arguments)],
        cwd=cwd, capture_output=True, text=True, check=False,
        env={**os.environ, "COLUMNS": str(columns)},
    )  # fmt: skip
    assert done.returncode == expect, done.stdout + done.stderr
    return done


@pytest.fixture
def estate(tmp_path):
    folder = tmp_path / "lowquince"
    shutil.copytree(EXAMPLE, folder)
    return folder


def test_a_new_estate_plans_as_it_stands(tmp_path):
    run("new", "farm", cwd=tmp_path)

    done = run("plan", "farm/blocks/first", cwd=tmp_path)

    assert "vines" in done.stdout
    assert (tmp_path / "farm/plans/first/plan.json").is_file()


def test_new_leaves_a_folder_that_holds_something_alone(tmp_path):
    (tmp_path / "farm").mkdir()
    (tmp_path / "farm" / "notes.txt").write_text("mine")

    done = run("new", "farm", cwd=tmp_path, expect=2)

    assert "something there already" in done.stderr
    assert [path.name for path in (tmp_path / "farm").iterdir()] == ["notes.txt"]


def test_results_go_to_stdout_and_advice_to_stderr(estate):
    done = run("plan", estate / "blocks/kiepersol")

    assert "vines to order" in done.stdout
    assert "Wire under tension" in done.stderr
    assert "Wire under tension" not in done.stdout


def test_cares_stand_on_a_line_each_under_their_stage_and_notes_are_counted(estate):
    run("plan", estate / "blocks/kiepersol")
    findings = json.loads((estate / "plans/kiepersol/plan.json").read_text())["findings"]
    levels = Counter(finding["level"] for finding in findings)
    ground = sum(item["level"] == "care" and item["stage"] == "site" for item in findings)

    said = run("plan", estate / "blocks/kiepersol").stderr.splitlines()

    assert f"Ground: {ground} want care" in said
    assert sum(line.startswith("  ") for line in said) == levels["care"]
    assert f"{levels['note']} notes besides" in "\n".join(said)


def test_a_plan_writes_what_every_plan_has_and_nothing_beside(estate):
    run("plan", estate / "blocks/kiepersol")

    names = {path.name for path in (estate / "plans/kiepersol").iterdir()}
    assert names == {"plan.json", "plan.gpkg", "sheet.pdf", "sheet.svg", "sheet.png"}
    assert {path.name for path in (estate / "plans").iterdir()} == {"kiepersol"}


def test_all_files_are_written_when_asked_for(estate):
    run("plan", estate / "blocks/kiepersol", "--files", "all")

    names = {path.name for path in (estate / "plans/kiepersol").iterdir()}
    assert names >= {
        "set-out.csv", "set-out.dxf", "set-out.kml", "set-out.gpx", "set-out.geojson",
        "budget.xlsx", "orders.xlsx", "orders.csv",
        "tape-and-pegs.pdf", "tape-and-pegs.txt", "row-direction.svg",
        "spreader-sheet.csv", "spreader-sheet.pdf", "site-report.pdf",
    }  # fmt: skip


def test_json_is_the_plan_document_and_units_change_only_what_is_shown(estate):
    metric = json.loads(run("plan", estate / "blocks/onderveld", "--json").stdout)
    imperial = run("plan", estate / "blocks/onderveld", "--units", "imperial").stdout

    assert metric["format"] == "aanplant-plan/1"
    assert {figure["key"]: figure["unit"] for figure in metric["figures"]}["site.area"] == "ha"
    assert "acre" in imperial


def test_why_unfolds_a_figure_down_to_the_brief(estate):
    done = run("plan", estate / "blocks/kiepersol", "--why", "layout.vines")

    assert "brief:vines.row_width" in done.stdout
    assert "source:" in done.stdout
    assert not (estate / "plans").exists()


def test_why_suggests_the_nearest_figure(estate):
    done = run("plan", estate / "blocks/kiepersol", "--why", "layout.vine", expect=2)

    assert '"layout.vines"' in done.stderr


def test_a_stop_finding_writes_the_plan_and_exits_1(estate):
    brief = estate / "blocks/kiepersol/brief.toml"
    brief.write_text(
        brief.read_text().replace('width = "1.5 m"\nheight', 'width = "2.6 m"\nheight')
    )

    done = run("plan", estate / "blocks/kiepersol", expect=1)

    assert "stop" in done.stderr
    assert (estate / "plans/kiepersol/plan.json").is_file()


def test_vary_sets_alternatives_side_by_side_and_writes_nothing(estate):
    done = run(
        "vary", estate / "blocks/kiepersol", "row_width=2.4m,2.5m", "rows.bearing=0,30", "--json"
    )

    table = json.loads(done.stdout)
    assert [entry["brief"] for entry in table] == [
        {"vines.row_width": width, "rows.bearing": bearing}
        for width in ("2.4m", "2.5m") for bearing in ("0", "30")
    ]  # fmt: skip
    assert len({entry["figures"]["layout.vines"]["value"] for entry in table}) == 4
    assert not (estate / "plans").exists()


def test_vary_shows_a_table(estate):
    done = run("vary", estate / "blocks/onderveld", "vine_spacing=5 ft,6 ft")

    assert "5 ft" in done.stdout
    assert "vines" in done.stdout


def test_vary_shows_what_a_spacing_costs_in_vines_posts_wire_and_money(estate):
    choices = ("row_width=2.4m,2.75m", "vine_spacing=1.0m,1.5m", "trellis.post_every=4,6")

    done = run("vary", estate / "blocks/kiepersol", *choices, "rows.bearing=20", "--json")

    asked = ("vines.row_width", "vines.vine_spacing", "trellis.post_every")
    keys = ("layout.vines", "stock.order_quantity", "layout.line_posts", "trellis.wire_length",
            "work.budget.materials")  # fmt: skip
    found = {
        tuple(entry["brief"][name] for name in asked): [
            entry["figures"][key]["value"] for key in keys
        ]
        for entry in json.loads(done.stdout)
    }
    assert len(found) == 8
    for closer, wider in ((("2.4m", "1.0m", "4"), ("2.75m", "1.0m", "4")),
                          (("2.4m", "1.0m", "4"), ("2.4m", "1.5m", "4"))):  # fmt: skip
        assert found[closer][0] > found[wider][0]
        assert found[closer][1] > found[wider][1]
        assert found[closer][2] > found[wider][2]
        assert found[closer][4] > found[wider][4]
    assert found["2.4m", "1.0m", "4"][3] > found["2.75m", "1.0m", "4"][3]
    assert found["2.4m", "1.0m", "4"][2] > found["2.4m", "1.0m", "6"][2]
    assert found["2.4m", "1.0m", "4"][4] > found["2.4m", "1.0m", "6"][4]


def test_vary_cuts_no_figure_off_in_a_narrow_terminal(estate):
    asked = ("row_width=9 ft", "rows.bearing=0,10")

    table = run("vary", estate / "blocks/onderveld", *asked, columns=60).stdout

    assert "…" not in table
    assert "14 794" in table.replace("\u202f", " ")


@pytest.mark.parametrize("asked", ["row_width", "row_wdth=2", "row_width=3kg", "spcing=2", "=3"])
def test_vary_refuses_what_it_does_not_understand(estate, asked):
    done = run("vary", estate / "blocks/kiepersol", asked, expect=2)

    assert "expected" in done.stderr


@pytest.mark.parametrize(
    ("asked", "named"),
    [
        ("ripening=early,late", ("canopy.ripening", "rootstock.ripening")),
        ("weight=1,2", ("canopy.height", "machine.height")),
    ],
)
def test_vary_names_each_key_in_full_once(estate, asked, named):
    done = run("vary", estate / "blocks/kiepersol", asked, expect=2)

    for key in named:
        assert done.stderr.split().count(key) == 1


def test_the_schema_is_a_schema():
    jsonschema.Draft202012Validator.check_schema(json.loads(run("schema").stdout))


def test_the_demo_plans_both_blocks_with_all_files(tmp_path):
    done = run("demo", cwd=tmp_path)

    for block in ("kiepersol", "onderveld"):
        folder = tmp_path / "demo/lowquince/plans" / block
        assert (folder / "tape-and-pegs.pdf").is_file()
        assert str(Path("demo/lowquince/plans") / block) in done.stdout


def brief(block="", vines="row_width = 2.5\nvine_spacing = 1", rest="", outline="c.csv"):
    return f"[block]\nboundary = '{outline}'\n{block}\n[vines]\n{vines}\n{rest}".encode()


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (None, "no file"),
        (b"", "empty"),
        (b"\x00\x01\x02PNG", "expected"),
        (b"[block\nboundary", "TOML"),
        (brief(outline="nowhere.gpx"), "nowhere.gpx"),
        (brief(outline="brief.toml"), "brief.toml"),
        (brief(rest="[rows]\nheadland = 50\nside_margin = 50"), "headland"),
        (brief(vines="row_width=2.5\nvine_spacing=9", rest="[rows]\nshortest=190"), "shortest"),
        (brief(block="set_out_grid = 'EPSG:2053'"), "brief.toml: block.set_out_grid"),
        (brief(block="set_out_grid = 'EPSG:4326'"), "projected"),
        (brief(rest="[trellis]\nsystem = 'vertical5'"), "vertical-5"),
        (brief(vines="row_width = '0.1 m'\nvine_spacing = 1"), "between"),
        (brief(vines="row_width = '40 m'\nvine_spacing = 1"), "between"),
        (brief(vines="row_width = '3 kg'\nvine_spacing = 1"), "a quantity in m"),
        (brief(rest="cultivar = 'Chenim blank'"), "'Chenin blanc'"),
        (brief(rest="rootstock = 'R111'"), "such as 110R"),
        (brief(rest="[nursery]\nparts = [{ rootstock = 'R111' }]"), "such as 110R"),
        (brief(rest="loss_fraction = 1"), "vines.loss_fraction: found 1"),
        (brief(rest="loss_fraction = 1.2"), "vines.loss_fraction: found 1.2"),
        (brief(rest="loss_fraction = -0.1"), "vines.loss_fraction: found -0.1"),
        (brief(rest="assurance = 1"), "vines.assurance: found 1"),
        (brief(rest="[planting]\nmethod = 'spades'"), "planting.method: found 'spades'"),
        (brief(rest="[planting]\nrate = 0"), "planting.rate: found 0"),
        (brief(rest="[planting]\nmachines = 0"), "planting.machines: found 0"),
        (brief(rest="[planting]\nlongest_out = 'long'"), "planting.longest_out: found 'long'"),
        (brief(rest="[work]\ncrew = 0"), "work.crew: found 0"),
        (brief(rest="[money]\ngrape_price = 'dear'"), "money.grape_price: found 'dear'"),
        (brief(rest="[money]\ndiscount_rate = -1.2"), "money.discount_rate: found -1.2"),
        (brief(rest="[money]\nloan_share = 1.2"), "money.loan_share: found 1.2"),
        (brief(rest="[money]\nloan_grace = 12"), "fewer years of grace"),
        (brief(rest="[money]\nhorizon = 5"), "within the horizon"),
        (brief(rest=f"[trellis]\nyield_by_year = {[1] * 61}"), "trellis.yield_by_year: found"),
    ],
)
def test_bad_input_gives_one_line_and_writes_nothing(tmp_path, content, expected):
    corners = ["-33.93,18.86", "-33.93,18.861", "-33.931,18.861", "-33.931,18.86"]
    (tmp_path / "c.csv").write_text("\n".join(["lat,lon", *corners]))
    if content is not None:
        (tmp_path / "brief.toml").write_bytes(content)
    before = sorted(path.name for path in tmp_path.iterdir())

    done = run("plan", tmp_path / "brief.toml", expect=2)

    assert expected in done.stderr
    assert done.stderr.count("\n") == 1
    assert done.stdout == ""
    assert sorted(path.name for path in tmp_path.iterdir()) == before


@pytest.mark.parametrize("arguments", [("plan", "blocks/onderveld", "-o"), ("demo",), ("new",)])
def test_a_folder_that_cannot_be_made_is_refused_in_one_line(estate, arguments):
    (estate / "notes").write_text("mine")

    done = run(*arguments, estate / "notes" / "here", cwd=estate, expect=2)

    assert "can't be made" in done.stderr
    assert done.stderr.count("\n") == 1
    assert (estate / "notes").read_text() == "mine"


def test_an_unexpected_fault_exits_3_without_a_traceback():
    code = (
        "import sys, aanplant.cli, aanplant.cli.schema as schema\n"
        "schema.write_schema = lambda: 1 / 0\n"
        "sys.argv = ['aanplant', 'schema']\n"
        "aanplant.cli.main()\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)

    assert done.returncode == 3
    assert "ZeroDivisionError" in done.stderr
    assert "Traceback" not in done.stderr


def test_wrong_use_exits_2():
    assert "No such command" in run("grow", expect=2).stderr
    assert "Missing argument" in run("plan", expect=2).stderr


def test_a_lead_time_that_is_no_number_is_refused_by_its_line_and_nothing_is_written(estate):
    prices = estate / "prices.csv"
    prices.write_text("item,unit,price,lead time\nwire,m,1,soon\n", encoding="utf-8")

    done = run("plan", estate / "blocks" / "kiepersol", expect=2)

    assert "prices.csv: line 2: lead time: found 'soon'" in " ".join(done.stderr.split())
    assert not (estate / "plans").exists()


def test_volumes_that_make_no_sense_are_refused_by_their_line_and_nothing_is_written(estate):
    block = estate / "blocks" / "kiepersol"
    (block / "delivery-test.csv").write_text(
        "set,row,vine,volume,seconds\n1,1,1,230,0\n", encoding="utf-8"
    )
    brief = block / "brief.toml"
    text = brief.read_text(encoding="utf-8")
    brief.write_text(
        text.replace("[water]\n", '[water]\ndelivery_test = "delivery-test.csv"\n', 1),
        encoding="utf-8",
    )

    done = run("plan", block, expect=2)

    assert "delivery-test.csv: line 2: seconds: found 0 s; expected above 0 s" in " ".join(
        done.stderr.split()
    )
    assert not (estate / "plans").exists()
