"""The pages of the documentation are true: commands, snippets and all that is made from code."""

import re
from pathlib import Path

import pytest

from aanplant.files.geopackage import LAYERS
from tools import reference_pages, shown_commands

DOCS = Path(__file__).parents[2] / "docs"


@pytest.mark.parametrize("name", list(reference_pages.pages()))
def test_a_page_made_from_the_code_is_as_the_code_now_stands(name):
    page = reference_pages.pages()[name]()

    assert (DOCS / name).read_text(encoding="utf-8") == page, (
        f"docs/{name} is out of date: run `python -m tools.reference_pages`"
    )


@pytest.mark.parametrize("page", shown_commands.pages(), ids=lambda page: page.stem)
def test_the_commands_and_snippets_of_a_page_print_what_the_page_shows(page, tmp_path):
    folder = shown_commands.example_copy(tmp_path)
    text = page.read_text(encoding="utf-8")
    names: dict[str, object] = {}
    checked = 0
    for shown in shown_commands.shown_on(text):
        printed = shown_commands.run(shown.command, folder)

        everything = "\n".join(printed.lines)
        assert printed.exit_code == shown.exit_code, f"{shown.command}\n{everything}"
        assert not shown_commands.missing_lines(shown, printed), (
            f"{page.name}: `{shown.command}` prints something else; "
            f"run `python -m tools.shown_commands`\n{everything}"
        )
        checked += 1
    for snippet in shown_commands.snippets_on(text):
        lines = shown_commands.run_snippet(snippet, names, folder)

        assert lines == shown_commands.said_to_print(snippet), (
            f"{page.name}: a snippet prints something else; run `python -m tools.shown_commands`"
        )
        checked += 1
    assert checked > 0


def test_a_changed_output_is_noticed():
    shown = shown_commands.Shown("aanplant schema", ("rows 96", "…", "vines 19 183"), 0)

    same = shown_commands.Printed(("rows 96", "ends 394", "vines 19 183"), 0)
    other = shown_commands.Printed(("rows 96", "ends 394", "vines 19 184"), 0)

    assert shown_commands.missing_lines(shown, same) == []
    assert shown_commands.missing_lines(shown, other) == ["vines 19 183"]


def test_a_page_is_brought_up_to_date_by_what_it_prints_now(tmp_path):
    text = (
        "Before.\n\n```console\n$ aanplant plan nowhere\nold\n```\n\n"
        "```python\nrows = 3\n```\n\n```python\nprint(2 * rows)  # 7\n```\n\nAfter.\n"
    )

    renewed = shown_commands.refreshed(text, tmp_path)

    assert renewed.startswith("Before.\n\n```console\n$ aanplant plan nowhere\naanplant: ")
    assert renewed.endswith("```python\nprint(2 * rows)  # 6\n```\n\nAfter.\n")
    assert "old" not in renewed


def test_every_key_of_the_brief_and_every_command_has_its_line():
    brief = (DOCS / "brief-reference.md").read_text(encoding="utf-8")
    commands = (DOCS / "commands.md").read_text(encoding="utf-8")

    assert "| `row_width` | Distance between rows. | m |" in brief
    assert "| `flow_available` |" in brief
    assert "m3/h" in brief
    assert {"new", "plan", "vary", "schema", "demo"} <= set(
        re.findall(r"^## aanplant (\w+)$", commands, re.MULTILINE)
    )


def test_the_page_of_the_plan_folder_names_every_file_and_layer_of_a_plan():
    page = (DOCS / "plan-folder.md").read_text(encoding="utf-8")
    table, _, shown = page.partition("writes everything")
    written = re.search(r"^Written to [^:]*: (.*)$", shown, re.MULTILINE)

    assert written is not None
    assert [name for name in written[1].split(", ") if f"`{name}`" not in table] == []
    assert [layer for layer in LAYERS if f"| `{layer}` |" not in page] == []


def test_no_page_fetches_anything_from_elsewhere():
    text = {path.name: path.read_text(encoding="utf-8") for path in DOCS.rglob("*.md")}
    fetching = re.compile(r"!\[[^\]]*\]\(https?:|<(?:script|img|link|iframe)\b")

    found = [name for name, page in text.items() if fetching.search(page)]

    assert len(text) > 10
    assert found == []
