"""Two pieces of work at once: both are done, and what goes wrong in either is told."""

import os
import signal

import pytest

from aanplant.errors import InputError
from aanplant.files.side_by_side import beside


def test_both_pieces_of_work_are_done(tmp_path):
    with beside((tmp_path / "aside").touch):
        (tmp_path / "here").touch()

    assert {path.name for path in tmp_path.iterdir()} == {"aside", "here"}


def test_an_error_of_the_work_aside_is_raised():
    def work():
        raise InputError("plan.gpkg", "a full disk", "room")

    with pytest.raises(InputError, match="a full disk"), beside(work):
        pass


def test_an_error_here_is_raised_and_ends_the_work_aside():
    with pytest.raises(ZeroDivisionError), beside(signal.pause):
        1 / 0  # noqa: B018 - what is raised is the point


def test_work_that_is_ended_from_outside_does_not_pass_for_done():
    with (
        pytest.raises(ChildProcessError, match="ended"),
        beside(lambda: os.kill(os.getpid(), signal.SIGKILL)),
    ):
        pass
