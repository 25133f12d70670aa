"""A plan's folder is written whole or not at all."""

import errno
import os
from contextlib import contextmanager
from pathlib import Path

import pytest

from aanplant.errors import InputError
from aanplant.files.plan_folder import DRAWN_NAMES, KINDS, recover, write_plan_folder
from tests.files.plans import MADE, planned

ALL_FILES = {
    "plan.json", "plan.gpkg", "set-out.csv", "set-out.dxf", "set-out.kml", "set-out.gpx",
    "set-out.geojson", "orders.csv", "orders.xlsx", "budget.xlsx",
}  # fmt: skip


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "plans" / "kiepersol"


def write(folder, *, kinds=(), drawn=None, within=None):
    return write_plan_folder(planned(), folder, made=MADE, kinds=kinds, drawn=drawn, within=within)


def draw_text(text):
    return lambda _, path: path.write_text(text, encoding="utf-8")


def contents(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def beside(folder):
    return sorted(path.name for path in folder.parent.iterdir())


def test_all_kinds_give_all_files_and_nothing_is_left_beside_them(folder):
    names = write(folder, kinds=KINDS)

    assert set(names) == ALL_FILES
    assert set(contents(folder)) == ALL_FILES
    assert all(contents(folder).values())
    assert beside(folder) == ["kiepersol"]


def test_plan_and_positions_are_always_written_and_others_draw_what_they_are_asked_for(folder):
    names = write(folder, kinds=["csv"], drawn={"sheet.pdf": draw_text("a sheet")})

    assert names == ("plan.json", "plan.gpkg", "set-out.csv", "sheet.pdf")
    assert contents(folder)["sheet.pdf"] == b"a sheet"


def test_a_drawer_may_finish_its_file_until_all_else_is_written(folder):
    asked: list[Path] = []

    @contextmanager
    def drawing_later():
        yield
        asked[0].write_text("a sheet", encoding="utf-8")

    write(
        folder,
        drawn={"sheet.pdf": lambda _, path: asked.append(path)},
        within=drawing_later(),
    )

    assert contents(folder)["sheet.pdf"] == b"a sheet"


def test_a_new_plan_takes_the_place_of_the_old_one_with_all_its_files(folder):
    write(folder, kinds=["kml"], drawn={"sheet.pdf": draw_text("old")})

    write(folder, drawn={"sheet.svg": draw_text("new")})

    assert set(contents(folder)) == {"plan.json", "plan.gpkg", "sheet.svg"}
    assert beside(folder) == ["kiepersol"]


def test_whatever_was_drawn_before_does_not_stand_in_the_way_of_a_new_plan(folder):
    write(folder, kinds=KINDS, drawn={name: draw_text(name) for name in DRAWN_NAMES})

    write(folder)

    assert set(contents(folder)) == {"plan.json", "plan.gpkg"}


@pytest.mark.parametrize("asked", [{"kinds": ["pdf"]}, {"drawn": {"pdf": draw_text("a")}}])
def test_an_unknown_kind_or_drawing_is_refused(folder, asked):
    with pytest.raises(ValueError, match="pdf"):
        write(folder, **asked)


def full_disk(_, path):
    path.write_text("half a", encoding="utf-8")
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(path))


def no_permission(_, path):
    raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))


def stopped_by_hand(_, path):
    raise KeyboardInterrupt(str(path))


def draws_nothing(_, path):
    assert not path.exists()


@pytest.mark.parametrize(
    ("trouble", "error"),
    [
        (full_disk, OSError),
        (no_permission, PermissionError),
        (stopped_by_hand, KeyboardInterrupt),
        (draws_nothing, ValueError),
    ],
)
def test_trouble_while_writing_leaves_the_old_folder_unharmed(folder, trouble, error):
    write(folder, drawn={"sheet.pdf": draw_text("old")})
    before = contents(folder)

    with pytest.raises(error):
        write(folder, drawn={"sheet.pdf": trouble})

    assert contents(folder) == before
    assert beside(folder) == ["kiepersol"]


def test_trouble_with_the_first_plan_leaves_nothing(folder):
    with pytest.raises(OSError, match="space"):
        write(folder, drawn={"sheet.pdf": full_disk})

    assert beside(folder) == []


def test_a_truly_full_file_system_leaves_the_old_folder_unharmed(folder):
    if not Path("/dev/full").exists():
        pytest.skip("needs a device that is always full")
    write(folder)
    before = contents(folder)

    def on_the_full_device(_, path):
        path.symlink_to("/dev/full")
        path.write_text("no room", encoding="utf-8")

    with pytest.raises(OSError, match="space"):
        write(folder, drawn={"sheet.pdf": on_the_full_device})

    assert contents(folder) == before


# What a kill can leave behind: which of the three folders there are, and what each holds.
OLD, NEW, HALF = "the old plan", "the new plan", "half of the new plan"


@pytest.mark.parametrize(
    ("name", "new", "old", "expected"),
    [
        (OLD, HALF, None, OLD),  # while writing: undone
        (OLD, NEW, None, OLD),  # written, nothing moved yet: undone
        (None, NEW, OLD, NEW),  # old one moved away: finished
        (NEW, None, OLD, NEW),  # new one in place: the old one is deleted
        (None, HALF, None, None),  # the very first plan: undone
        (None, None, OLD, OLD),  # only the old one is left: put back
        (NEW, HALF, OLD, NEW),  # and the next run killed while it wrote
        (OLD, None, None, OLD),
        (None, None, None, None),
    ],
)
def test_the_next_start_finishes_or_undoes_what_a_kill_left(folder, name, new, old, expected):
    folder.parent.mkdir()
    for place, text in ((folder.name, name), (".kiepersol.new", new), (".kiepersol.old", old)):
        if text is not None:
            (folder.parent / place).mkdir()
            (folder.parent / place / "plan.json").write_text(text, encoding="utf-8")

    recover(folder)

    assert beside(folder) == ([] if expected is None else ["kiepersol"])
    if expected is not None:
        assert (folder / "plan.json").read_text(encoding="utf-8") == expected


@pytest.mark.parametrize("steps", range(3))
def test_a_rename_that_fails_leaves_one_whole_plan(folder, monkeypatch, steps):
    write(folder, drawn={"sheet.pdf": draw_text("old")})
    rename = Path.rename
    done: list[Path] = []

    def rename_a_few_times(path, target):
        if len(done) == steps:
            raise PermissionError(errno.EACCES, "held open by another program", str(path))
        done.append(target)
        return rename(path, target)

    with monkeypatch.context() as patched:
        patched.setattr(Path, "rename", rename_a_few_times)
        if steps < 2:
            with pytest.raises(PermissionError):
                write(folder, drawn={"sheet.pdf": draw_text("new")})
        else:
            write(folder, drawn={"sheet.pdf": draw_text("new")})
    recover(folder)

    assert contents(folder)["sheet.pdf"] == (b"new" if steps == 2 else b"old")
    assert beside(folder) == ["kiepersol"]


def test_writing_clears_up_after_a_killed_run_first(folder):
    write(folder)
    folder.rename(folder.with_name(".kiepersol.old"))

    with pytest.raises(OSError, match="space"):
        write(folder, drawn={"sheet.pdf": full_disk})

    assert set(contents(folder)) == {"plan.json", "plan.gpkg"}


def test_a_folder_with_other_things_in_it_is_never_replaced(folder):
    folder.mkdir(parents=True)
    (folder / "accounts.ods").write_bytes(b"years of work")

    with pytest.raises(InputError, match=r"accounts\.ods"):
        write(folder)

    assert contents(folder) == {"accounts.ods": b"years of work"}
    assert beside(folder) == ["kiepersol"]


def test_an_empty_folder_may_be_taken(folder):
    folder.mkdir(parents=True)

    write(folder)

    assert set(contents(folder)) == {"plan.json", "plan.gpkg"}


def test_a_file_in_the_place_of_the_folder_is_refused(folder):
    folder.parent.mkdir()
    folder.write_text("a file", encoding="utf-8")

    with pytest.raises(InputError, match="a file"):
        write(folder)

    assert folder.read_text(encoding="utf-8") == "a file"


def test_a_link_to_a_folder_stays_a_link(folder, tmp_path):
    target = tmp_path / "elsewhere"
    target.mkdir()
    folder.parent.mkdir()
    folder.symlink_to(target)

    write(folder)

    assert folder.is_symlink()
    assert set(contents(target)) == {"plan.json", "plan.gpkg"}
