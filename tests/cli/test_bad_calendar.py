"""Settings of the work that cannot be, as a user meets them: refused by name, nothing written."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.small_estate import small_estate

COMMAND = Path(sys.executable).with_name("aanplant")


@pytest.mark.parametrize(
    ("estate", "where", "found"),
    [
        (
            'tasks = [{id = "a", hours = 4, after = ["b"]}, {id = "b", hours = 4, after = ["a"]}]',
            "estate.toml: tasks.0", "in a ring: a after b after a",
        ),
        (
            '[[tasks]]\nid = "a"\nhours = 4\nafter = ["plant"]\nbefore = ["gate"]',
            "estate.toml: tasks.0", "in a ring",
        ),
        ('[[crews]]\nname = "a"\npeople = 0', "estate.toml: crews.0.people", "0"),
        ("[labour]\nwage = -3", "estate.toml: labour.wage", "-3"),
        ("[labour.norms]\nplant = 0", "estate.toml: labour.norms.plant", "0"),
        ('[calendar]\nholidays = "QQ"', "estate.toml: calendar.holidays", "'QQ'"),
        (
            '[calendar]\nshutdown = [["01-01", "12-31"]]',
            "estate.toml: calendar.shutdown", "no day to work on",
        ),
        (
            '[[tasks]]\nid = "a"\nhours = 1\nearliest = 2027-02-02\nlatest = 2027-02-01',
            "estate.toml: tasks.0", "a window of no days",
        ),
        ('[[tasks]]\nid = "a"', "estate.toml: tasks.0", "the task 'a' without a norm"),
        ("[labour.norms]\nplnat = 0.05", "estate.toml: labour.norms.plnat", "'plnat'"),
        (
            '[[crews]]\nname = "a"\npeople = 4\ntasks = ["plnat"]',
            "estate.toml: crews.0.tasks", "'plnat'",
        ),
        (
            '[[crews]]\nname = "a"\npeople = 4\ntasks = ["planting"]',
            "estate.toml: crews", "no crew that does",
        ),
        (
            '[[tasks]]\nid = "a"\nhours = 1\nafter = ["b"]',
            "estate.toml: tasks.0.after", "'b'",
        ),
        (
            '[machines.disc]\nprice_per_hour = "cheap"',
            "estate.toml: machines.disc.price_per_hour", "'cheap'",
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_and_nothing_is_written(tmp_path, estate, where, found):
    block = small_estate(tmp_path, sections='[work]\nplanting = "2027-08"')
    (tmp_path / "estate.toml").write_text(f'name = "Small"\ncurrency = "ZAR"\n{estate}\n')

    done = subprocess.run(
        [COMMAND, "plan", str(block)],
        capture_output=True, text=True, check=False, env={**os.environ, "COLUMNS": "300"},
    )  # fmt: skip

    said = " ".join(done.stderr.split())
    assert done.returncode == 2, said
    assert where in said
    assert found in said
    assert "expected" in said
    assert not (tmp_path / "plans").exists()


def test_a_price_that_is_text_is_refused_by_its_line(tmp_path):
    block = small_estate(tmp_path, sections='[work]\nplanting = "2027-08"')
    (tmp_path / "prices.csv").write_text("item,unit,price\ngrafted vine,vine,dear\n")

    done = subprocess.run(
        [COMMAND, "plan", str(block)],
        capture_output=True, text=True, check=False, env={**os.environ, "COLUMNS": "300"},
    )  # fmt: skip

    said = " ".join(done.stderr.split())
    assert done.returncode == 2, said
    assert "prices.csv" in said
    assert "'dear'" in said
    assert "expected" in said
    assert not (tmp_path / "plans").exists()
