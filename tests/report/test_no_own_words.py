"""Papers take their words from catalogues and tables: no sentence stands in the code that draws."""

import ast
import re
from importlib.resources import files
from pathlib import Path

import pytest

from aanplant import tables
from aanplant.catalogues import catalogue

SOURCE = Path(str(files("aanplant")))
DRAWING = sorted((SOURCE / "report").rglob("*.py"))
TWO_WORDS = re.compile(r"(?<![\w.#\\-])[a-z]{2,}(?: [a-z]{2,})+")
MARKUP = re.compile(r"[<>{}]|^light dark$")


def known_names() -> set[str]:
    """Cells of the tables and words of the trade, by which the code looks things up."""
    cells = {
        cell
        for path in (SOURCE / "tables").glob("*.csv")
        for row in tables.rows(path.name)
        for cell in row.values()
    }
    return cells | set(catalogue("af")["term"])


def literals(path: Path) -> list[str]:
    """Texts in the code of a module, but for docstrings and what an error says."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    passed = {
        id(part)
        for node in ast.walk(tree)
        if isinstance(node, (ast.Expr, ast.Raise))
        for part in ([node.value] if isinstance(node, ast.Expr) else ast.walk(node))
    }
    return [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in passed
    ]


@pytest.mark.parametrize("path", DRAWING, ids=lambda path: path.stem)
def test_no_english_of_its_own_stands_in_the_code_of_a_paper(path):
    own = [
        text
        for text in literals(path)
        if TWO_WORDS.search(text) and not MARKUP.search(text) and text not in known_names()
    ]

    assert own == []


def test_a_sentence_in_the_code_would_be_found(tmp_path):
    module = tmp_path / "drawn.py"
    module.write_text('"""Drawn here."""\nTITLE = "rows of the block"\n')

    assert [text for text in literals(module) if TWO_WORDS.search(text)] == ["rows of the block"]
