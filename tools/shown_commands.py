"""Run the commands and snippets that ``docs/`` shows, and keep what they print true.

A block marked ``console`` holds lines ``$ command`` and, below each, what it prints; a
line of just ``…`` stands for lines left out. The commands of a page run in order in a
fresh copy of the example estate. ``<!-- exit 2 -->`` before a block states an exit code
other than 0. Blocks marked ``python`` run in order too, and the comment behind a
``print(...)`` is what it prints. ``python -m tools.shown_commands`` runs them all and
writes what they print into the pages; a test only compares.
"""

import contextlib
import difflib
import io
import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"
EXAMPLE = ROOT / "examples" / "lowquince"
LEFT_OUT = "…"
WIDTH = "100"
_BLOCK = re.compile(
    r"(?:<!-- exit (?P<exit>\d) -->\n\n?)?```console\n(?P<body>.*?)^```$",
    re.DOTALL | re.MULTILINE,
)
_SNIPPET = re.compile(r"^```python\n(.*?)^```$", re.DOTALL | re.MULTILINE)
_PRINT = re.compile(r"^(print\(.*\)  # )(.*)$", re.MULTILINE)
_LIKE = 0.6
"""How alike a printed line is to a shown one before it takes its place."""


@dataclass(frozen=True, slots=True)
class Shown:
    """A command on a page.

    Parameters
    ----------
    command : str
        As typed after the ``$``.
    lines : tuple of str
        What the page says it prints, perhaps with lines left out.
    exit_code : int
        What the page says it ends with.
    """

    command: str
    lines: tuple[str, ...]
    exit_code: int


@dataclass(frozen=True, slots=True)
class Printed:
    """What a command printed, and how it ended."""

    lines: tuple[str, ...]
    exit_code: int


def pages() -> list[Path]:
    """Return the pages that show a command or a snippet."""
    texts = {path: path.read_text(encoding="utf-8") for path in sorted(DOCS.glob("*.md"))}
    return [path for path, text in texts.items() if _BLOCK.search(text) or _SNIPPET.search(text)]


def shown_on(text: str) -> Iterator[Shown]:
    """Yield the commands of a page in order."""
    for block in _BLOCK.finditer(text):
        parts = re.split(r"^\$ ", block["body"], flags=re.MULTILINE)
        commands = [part.rstrip("\n").split("\n") for part in parts[1:]]
        for number, (command, *lines) in enumerate(commands, start=1):
            exit_code = int(block["exit"] or 0) if number == len(commands) else 0
            yield Shown(command, tuple(lines), exit_code)


def run(command: str, folder: Path) -> Printed:
    """Run a command in a folder, with the aanplant of this environment.

    A command before ``>`` writes to a file, as in a shell; nothing else of a shell is known.
    """
    words = shlex.split(command)
    target = None
    if ">" in words:
        words, target = words[: words.index(">")], words[-1]
    if words[0] == "aanplant":
        words[0] = str(Path(sys.executable).with_name("aanplant"))
    plain = {"COLUMNS": WIDTH, "NO_COLOR": "1", "TERM": "dumb", "PYTHONUTF8": "1"}
    done = subprocess.run(
        words,
        cwd=folder,
        env={**os.environ, **plain},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT if target is None else subprocess.PIPE,
        encoding="utf-8",
        check=False,
    )
    if target is not None:
        (folder / target).write_text(done.stdout, encoding="utf-8")
        return Printed(tuple(done.stderr.rstrip().split("\n")), done.returncode)
    text = done.stdout.replace(f"{folder}{os.sep}", "").strip("\n")
    return Printed(tuple(line.rstrip() for line in text.split("\n")), done.returncode)


def snippets_on(text: str) -> list[str]:
    """Return the snippets of a page in order."""
    return _SNIPPET.findall(text)


def said_to_print(snippet: str) -> list[str]:
    """Return what the comments of a snippet say it prints."""
    return [comment for _, comment in _PRINT.findall(snippet)]


def run_snippet(snippet: str, names: dict[str, object], folder: Path) -> list[str]:
    """Run a snippet in a folder, with the names of those before it; return what it prints."""
    output = io.StringIO()
    with contextlib.chdir(folder), contextlib.redirect_stdout(output):
        exec(compile(snippet, "a snippet of the docs", "exec"), names)  # noqa: S102 - our own pages
    return output.getvalue().splitlines()


def example_copy(under: Path) -> Path:
    """Copy the example estate, without plans, to a folder in which a page's commands run."""
    folder = under.resolve() / EXAMPLE.name
    shutil.copytree(EXAMPLE, folder, ignore=shutil.ignore_patterns("plans"))
    return folder


def missing_lines(shown: Shown, printed: Printed) -> list[str]:
    """Return the lines shown that were not printed, in the order in which they stand.

    Without ``…`` all that was printed must be shown.
    """
    if not shown.lines:
        return []
    if LEFT_OUT not in shown.lines:
        pairs = difflib.ndiff(_bare(printed.lines), _bare(shown.lines))
        return [line for line in pairs if line[:1] in "+-"]
    waiting = iter(_bare(printed.lines))
    return [line for line in _bare(shown.lines) if line != LEFT_OUT and line not in waiting]


def refreshed(text: str, folder: Path) -> str:
    """Return a page with what its commands and snippets print now."""

    def renewed(block: re.Match[str]) -> str:
        lines = []
        for shown in shown_on(block[0]):
            printed = run(shown.command, folder)
            lines += [f"$ {shown.command}", *_renewed_lines(shown, printed)]
        return block[0].replace(block["body"], "".join(f"{line}\n" for line in lines))

    names: dict[str, object] = {}

    def renewed_snippet(block: re.Match[str]) -> str:
        printed = iter(run_snippet(block[1], names, folder))
        return _PRINT.sub(lambda line: line[1] + next(printed, ""), block[0])

    return _SNIPPET.sub(renewed_snippet, _BLOCK.sub(renewed, text))


def _renewed_lines(shown: Shown, printed: Printed) -> list[str]:
    if not shown.lines:
        return []
    if LEFT_OUT not in shown.lines:
        return list(printed.lines)
    renewed = []
    for line in shown.lines:
        near = difflib.get_close_matches(line, printed.lines, n=1, cutoff=_LIKE)
        renewed.append(near[0] if near and line != LEFT_OUT else line)
    return renewed


def _bare(lines: Sequence[str]) -> list[str]:
    return [bare for line in lines if (bare := " ".join(line.split()))]


def write() -> list[str]:
    """Run all commands and write the pages that have changed; return their names."""
    changed = []
    for page in pages():
        with tempfile.TemporaryDirectory() as under:
            text = page.read_text(encoding="utf-8")
            renewed = refreshed(text, example_copy(Path(under)))
        if renewed != text:
            page.write_text(renewed, encoding="utf-8", newline="\n")
            changed.append(page.name)
    return changed


if __name__ == "__main__":
    sys.stdout.write(f"written: {', '.join(write()) or 'nothing, all pages are true'}\n")
