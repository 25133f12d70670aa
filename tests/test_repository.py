"""What must hold for the repository as a whole."""

import ast
import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
TRACKED = [
    ROOT / name
    for name in subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.split("\0")
    if name and (ROOT / name).is_file()
]

# Put together from halves, so that this file does not hold what it looks for.
HOSTS = "|".join(("py" + "pi", "python" + "hosted", "npm" + "js", "deb" + "ian"))
STOP_WORDS = "|".join(
    (
        "trans" + "cript",
        "seed " + "document",
        rf"https?://[a-z.]*(?:{HOSTS})\.",
        "(?:^|[^a-z.])/(?:wo" + "rk|fa" + "rm)/",
    )
)
ASSERTING = ("raises", "assert", "equal", "expect", "check", "warns", "close", "between", "at_")


def text_of(path: Path) -> str | None:
    """Return a tracked file's text, nothing for a binary file."""
    content = path.read_bytes()
    return None if b"\0" in content else content.decode("utf-8", errors="replace")


@pytest.mark.parametrize(
    "line",
    [
        "url = https:" + "//files.python" + "hosted.org/x",
        "see /wo" + "rk/main",
        "a Trans" + "cript of it",
    ],
)
def test_the_search_for_words_that_must_not_be_here_finds_them(line):
    assert re.search(STOP_WORDS, line, re.IGNORECASE)


def test_no_registry_host_machine_path_or_stray_word_is_tracked():
    found = [
        f"{path.relative_to(ROOT)}:{number} {line.strip()[:80]}"
        for path in TRACKED
        if not path.name.startswith("LICENSE") and (text := text_of(path)) is not None
        for number, line in enumerate(text.splitlines(), start=1)
        if re.search(STOP_WORDS, line, re.IGNORECASE)
    ]

    assert not found


def test_lock_files_name_no_address():
    address = {"requirements.lock": "://", "package-lock.json": '"resolved"'}
    locks = [path for path in TRACKED if path.name in address]

    with_address = [
        str(path.relative_to(ROOT))
        for path in locks
        if address[path.name] in path.read_text(encoding="utf-8")
    ]

    assert ROOT / "requirements.lock" in locks
    assert not with_address


def test_locks_that_record_addresses_are_not_tracked():
    names = {path.name for path in TRACKED}

    assert names.isdisjoint({"uv.lock", "pylock.toml", "poetry.lock", "Pipfile.lock"})


def test_every_requirement_is_pinned_with_a_hash():
    lines = (ROOT / "requirements.lock").read_text(encoding="utf-8").splitlines()
    pins = [number for number, line in enumerate(lines) if re.match(r"[A-Za-z0-9]", line)]

    unpinned = [
        lines[number]
        for number in pins
        if "==" not in lines[number] or "--hash=sha256:" not in lines[number + 1]
    ]

    assert len(pins) > 50
    assert not unpinned


def asserts(function: ast.AST) -> bool:
    """Whether a test holds an assertion or calls something that asserts."""
    return any(
        isinstance(node, ast.Assert)
        or (
            isinstance(node, ast.Call)
            and str(getattr(node.func, "attr", getattr(node.func, "id", ""))).startswith(ASSERTING)
        )
        for node in ast.walk(function)
    )


def test_every_test_asserts_something():
    silent = [
        f"{path.relative_to(ROOT)}:{node.lineno} {node.name}"
        for path in TRACKED
        if path.suffix == ".py" and path.is_relative_to(ROOT / "tests")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and node.name.startswith("test")
        and not asserts(node)
    ]

    assert not silent


@pytest.mark.parametrize("page", ["README.md", "CONTRIBUTING.md"])
def test_every_make_command_a_page_names_is_in_the_makefile(page):
    makefile = (ROOT / "Makefile").read_text(encoding="utf-8")
    targets = set(re.findall(r"^([a-z][a-z-]*):(?!=)", makefile, re.MULTILINE))
    pages = (ROOT / page).read_text(encoding="utf-8")

    named = set(re.findall(r"(?:^|`)(?:\$ )?make ([a-z][a-z-]*)", pages, re.MULTILINE))

    assert {"demo", "test"} <= named
    assert named <= targets


def test_the_licence_is_apache_2():
    licence = (ROOT / "LICENSE").read_text(encoding="utf-8")

    assert "Apache License" in licence
    assert "Version 2.0, January 2004" in licence
    assert "END OF TERMS AND CONDITIONS" in licence
