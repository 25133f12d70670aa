import json
import threading
import time
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from aanplant.errors import InputError
from aanplant.server.jobs import ENDED, Job, Jobs


def test_a_plan_is_made_followed_and_fetched(client: TestClient, estate: Path):
    ordered = client.post("/api/v1/blocks/onderveld/plans", json={"files": ["csv"]})
    assert ordered.status_code == 202

    with client.stream("GET", ordered.headers["location"] + "/events") as stream:
        said = [json.loads(line[6:]) for line in stream.iter_lines() if line.startswith("data: ")]

    assert said[-1]["state"] == "done"
    assert [one["fraction"] for one in said] == sorted(one["fraction"] for one in said)
    assert "set-out.csv" in said[-1]["result"]["files"]
    names = client.get("/api/v1/blocks/onderveld/files").json()["files"]
    assert set(names) == set(said[-1]["result"]["files"])
    written = estate / "plans" / "onderveld" / "plan.json"
    assert client.get("/api/v1/blocks/onderveld/files/plan.json").content == written.read_bytes()


def test_a_plan_that_cannot_be_made_says_why_and_writes_nothing(client: TestClient, estate: Path):
    (estate / "blocks" / "onderveld" / "corners.csv").write_text("x,y\n1,2\n")

    job = client.post("/api/v1/blocks/onderveld/plans", json={}).json()
    with client.stream("GET", f"/api/v1/jobs/{job['id']}/events") as stream:
        last = [line for line in stream.iter_lines() if line.startswith("data: ")][-1]

    problem = json.loads(last[6:])["problem"]
    assert problem["status"] == 422
    assert "corners.csv" in problem["where"]
    assert not (estate / "plans").exists()


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/api/v1/jobs/none", 404),
        ("/api/v1/jobs/none/events", 404),
        ("/api/v1/blocks/none/files", 404),
        ("/api/v1/blocks/onderveld/files/plan.json", 404),
    ],
)
def test_what_is_not_there_is_not_found(client: TestClient, path: str, status: int):
    answer = client.get(path)

    assert answer.status_code == status
    assert answer.json()["status"] == status


def test_a_written_plan_is_told_and_says_when_it_is_out_of_date(client: TestClient, estate: Path):
    job = client.post("/api/v1/blocks/onderveld/plans", json={"files": []}).json()
    with client.stream("GET", f"/api/v1/jobs/{job['id']}/events") as stream:
        list(stream.iter_lines())

    told = client.get("/api/v1/blocks/onderveld/plan?units=imperial").json()
    brief = estate / "blocks" / "onderveld" / "brief.toml"
    brief.write_text(brief.read_text().replace('"30 ft"', '"40 ft"'))
    later = client.get("/api/v1/blocks/onderveld/plan").json()

    shown = {figure["key"]: figure["shown"] for figure in told["figures"]}
    assert shown["site.area"].endswith("acre")
    assert told["findings"]
    assert (told["is_current"], later["is_current"]) == (True, False)
    assert client.get("/api/v1/blocks/kiepersol/plan").status_code == 404


def test_the_whole_plan_is_read_by_its_id_and_no_other_is_taken_for_it(client: TestClient):
    job = client.post("/api/v1/blocks/onderveld/plans", json={"files": []}).json()
    with client.stream("GET", f"/api/v1/jobs/{job['id']}/events") as stream:
        list(stream.iter_lines())
    plan_id = client.get("/api/v1/blocks/onderveld/plan").json()["id"]
    path = f"/api/v1/blocks/onderveld/plans/{plan_id}"

    whole = client.get(path)
    again = client.get(path, headers={"If-None-Match": whole.headers["etag"]})
    other = client.get("/api/v1/blocks/onderveld/plans/" + "0" * 32)

    assert whole.json()["format"] == "aanplant-plan/1"
    assert {"brief", "inputs", "figures", "findings", "tables"} <= set(whole.json())
    assert whole.content == client.get("/api/v1/blocks/onderveld/files/plan.json").content
    assert (again.status_code, again.content) == (304, b"")
    assert other.status_code == 404


def test_a_group_of_files_nobody_knows_is_refused(client: TestClient):
    answer = client.post("/api/v1/blocks/onderveld/plans", json={"files": ["dwg"]})

    assert answer.status_code == 422
    assert "dxf" in answer.json()["expected"]


def end_of(job: Job) -> str:
    """Wait until a job has ended; say how."""
    latest = time.monotonic() + 30
    while job.progress.state not in ENDED and time.monotonic() < latest:
        time.sleep(0.01)
    return job.progress.state


def test_a_job_stops_when_it_is_cancelled():
    job, begun = Job("kiepersol"), threading.Event()

    def work(check):
        begun.set()
        for _ in range(10_000):
            check("site", 0.5)
            threading.Event().wait(0.005)
        return {}

    worker = threading.Thread(target=job.run, args=(work,))
    worker.start()
    begun.wait(5)
    job.cancel()
    worker.join(5)

    assert job.progress.state == "cancelled"


def test_a_cancelled_plan_frees_the_worker_for_the_next(client: TestClient, estate: Path):
    first = client.post("/api/v1/blocks/kiepersol/plans", json={"files": []}).json()
    second = client.post("/api/v1/blocks/onderveld/plans", json={"files": []}).json()

    client.delete(f"/api/v1/jobs/{first['id']}")

    with client.stream("GET", f"/api/v1/jobs/{second['id']}/events") as stream:
        said = [json.loads(line[6:]) for line in stream.iter_lines() if line.startswith("data: ")]
    assert said[-1]["state"] == "done"
    assert client.get(f"/api/v1/jobs/{first['id']}").json()["state"] == "cancelled"
    assert not (estate / "plans" / "kiepersol").exists()


def test_a_plan_is_stopped_while_its_files_are_written(client: TestClient, estate: Path):
    job = client.post("/api/v1/blocks/onderveld/plans", json={"files": ["all"]}).json()
    told, is_writing = {}, False
    with client.stream("GET", f"/api/v1/jobs/{job['id']}/events") as stream:
        for line in stream.iter_lines():
            if not line.startswith("data: "):
                continue
            told = json.loads(line[6:])
            if told["stage"] == "files" and not is_writing:
                is_writing = True
                client.delete(f"/api/v1/jobs/{job['id']}")

    assert is_writing
    assert told["state"] == "cancelled"
    assert not (estate / "plans" / "onderveld").exists()
    assert list((estate / "plans").glob(".*")) == []


def test_a_plan_is_never_written_through_a_link_out_of_the_estate(
    client: TestClient, estate: Path, tmp_path: Path
):
    outside = tmp_path / "outside"
    outside.mkdir()
    (estate / "plans").mkdir()
    (estate / "plans" / "onderveld").symlink_to(outside)

    job = client.post("/api/v1/blocks/onderveld/plans", json={"files": []}).json()
    with client.stream("GET", f"/api/v1/jobs/{job['id']}/events") as stream:
        last = [line for line in stream.iter_lines() if line.startswith("data: ")][-1]

    assert "outside the estate's folder" in json.loads(last[6:])["problem"]["detail"]
    assert list(outside.iterdir()) == []


def test_a_later_plan_of_a_block_stops_an_earlier_one():
    jobs, free = Jobs(), threading.Event()
    first = jobs.start("kiepersol", lambda _: {"waited": free.wait(5)})
    second = jobs.start("onderveld", lambda _: {})
    third = jobs.start("onderveld", lambda _: {"n": 3})

    free.set()
    end_of(third)
    jobs.close()

    assert [first.progress.state, second.progress.state] == ["done", "cancelled"]
    assert third.progress.result == {"n": 3}


def test_a_fault_and_a_wrong_input_end_a_job_with_a_problem():
    def wrong(_):
        raise InputError("a.csv", "nothing", "a number")

    def fault(_):
        raise ZeroDivisionError

    jobs = [Job("x"), Job("x")]
    jobs[0].run(wrong)
    jobs[1].run(fault)

    problems = [job.progress.problem or {} for job in jobs]
    assert [problem["status"] for problem in problems] == [422, 500]
    assert problems[0]["where"] == "a.csv"
