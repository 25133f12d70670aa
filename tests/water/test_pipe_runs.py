"""Pipes as lines: every metre of every size once, from branch to branch."""

import numpy as np
import pytest
import shapely

from aanplant.water.pipe_runs import device_codes, pipe_runs
from aanplant.water.system import NO_SET
from tests.report import watered


@pytest.mark.parametrize("name", ["watered", "little"])
def test_runs_hold_every_metre_of_every_pipe_once(name):
    made = getattr(watered, name)().water.system

    runs = pipe_runs(made)

    for kind, metres in made.metres.items():
        for pipe, length_m in metres.items():
            own = [run for run in runs if run.kind == kind and made.pipes[run.pipe] == pipe]
            assert sum(run.length_m for run in own) == pytest.approx(length_m, rel=1e-9)


@pytest.mark.parametrize("name", ["watered", "little"])
def test_every_run_begins_where_another_passes_and_serves_one_set(name):
    made = getattr(watered, name)().water.system

    runs = pipe_runs(made)

    source = shapely.Point(made.system.xy[0])
    whole = shapely.union_all([source, *(shapely.LineString(run.xy) for run in runs)])
    for number, run in enumerate(runs):
        others = shapely.MultiLineString(
            [other.xy for at, other in enumerate(runs) if at != number]
        )
        start = shapely.Point(run.xy[0])
        assert min(start.distance(others), start.distance(source)) < 1e-6
        assert (run.set_of == NO_SET) == (run.kind == "mainline")
        assert (run.lateral >= 0) == (run.kind == "lateral")
    assert whole.buffer(0.01).geom_type == "Polygon"


def test_no_run_carries_more_than_the_source_gives():
    made = watered.watered().water.system

    flows = np.array([run.flow_m3_s for run in pipe_runs(made)])

    assert (flows > 0.0).all()
    assert flows.max() <= made.runs.flow_m3_s.max() * (1.0 + 1e-9)


@pytest.mark.parametrize("name", ["watered", "little"])
def test_no_code_of_a_device_stands_twice_and_a_valve_carries_its_set(name):
    made = getattr(watered, name)().water.system

    codes = device_codes(made)

    assert len(set(codes)) == len(codes)
    for code, kind, number in zip(
        codes, made.system.devices.kind, made.system.devices.set_of.tolist(), strict=True
    ):
        if kind == "valve":
            assert code.partition(".")[0] == f"V{number + 1}"
