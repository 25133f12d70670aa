import pytest
from starlette.testclient import TestClient

from aanplant.server import guard
from aanplant.server.store import EstateStore

PATH = "/api/v1/estate"


@pytest.mark.parametrize("host", ["127.0.0.1:8766", "localhost:8766", "[::1]:8766", "localhost"])
def test_a_loopback_name_is_answered(client: TestClient, host: str):
    assert client.get(PATH, headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "host", ["evil.example:8766", "127.0.0.1.evil.example", "10.0.0.5:8766", "[::2]:8766", ""]
)
def test_a_name_that_was_made_to_point_here_is_refused(client: TestClient, host: str):
    answer = client.get(PATH, headers={"Host": host})

    assert answer.status_code == 421
    assert answer.headers["content-type"] == "application/problem+json"
    assert "accounts" in answer.json()["detail"]


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "https://evil.example"},
        {"Origin": "http://127.0.0.1:9999"},
        {"Origin": "null"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
)
def test_a_page_of_another_site_is_refused(client: TestClient, headers: dict[str, str]):
    for method in ("GET", "POST", "PUT", "DELETE"):
        assert client.request(method, PATH, headers=headers).status_code == 403


def test_a_link_on_another_page_may_lead_to_our_page_but_not_to_the_data(client: TestClient):
    followed = {
        "Sec-Fetch-Site": "cross-site",
        "Sec-Fetch-Mode": "navigate",
        "Sec-Fetch-Dest": "document",
    }

    assert client.get("/", headers=followed).status_code != 403
    assert client.get("/", headers=followed | {"Sec-Fetch-Dest": "iframe"}).status_code == 403
    assert client.get(PATH, headers=followed).status_code == 403


def test_a_fault_in_the_program_is_told_in_the_same_shape_with_the_same_headers(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(EstateStore, "estate", lambda _: 1 / 0)

    answer = client.get(PATH)

    assert answer.status_code == 500
    assert answer.json()["detail"].startswith("A fault in the program (ZeroDivisionError)")
    assert "default-src 'self'" in answer.headers["content-security-policy"]


def test_our_own_page_is_answered(client: TestClient):
    headers = {"Origin": "http://127.0.0.1:8766", "Sec-Fetch-Site": "same-origin"}

    assert client.get(PATH, headers=headers).status_code == 200


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", ""])
def test_a_body_that_a_plain_form_can_send_is_refused(client: TestClient, kind: str):
    answer = client.post(
        "/api/v1/blocks/kiepersol/plans", content=b'{"files": []}', headers={"Content-Type": kind}
    )

    assert answer.status_code == 415


def test_a_body_past_the_limit_is_refused_with_and_without_its_length(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(guard, "LARGEST_BODY_BYTES", {"application/octet-stream": 1000})
    path = "/api/v1/blocks/kiepersol/sources/heights.csv?used_as=block.heights"
    headers = {"Content-Type": "application/octet-stream"}

    told = client.put(path, content=b"x" * 2000, headers=headers)
    untold = client.put(path, content=(b"x" * 100 for _ in range(20)), headers=headers)

    assert [told.status_code, untold.status_code] == [413, 413]


def test_every_answer_forbids_foreign_and_inline_script(client: TestClient):
    for path in (PATH, "/api/v1/nothing", "/api/v1/openapi.json"):
        headers = client.get(path).headers
        assert "default-src 'self'" in headers["content-security-policy"]
        assert "unsafe-inline" not in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
        assert "access-control-allow-origin" not in headers
