"""The interface as it is described: whatever is sent, an answer comes as OpenAPI says it."""

import json
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from hypothesis.errors import Unsatisfiable
from jsonschema import Draft202012Validator
from schemathesis import APIOperation, GenerationMode
from schemathesis.checks import (
    content_type_conformance,
    not_a_server_error,
    response_schema_conformance,
    status_code_conformance,
)
from starlette.testclient import TestClient

from aanplant.server.wire import ProblemShape
from tools.page_types import DESCRIPTION, description

DESCRIBED = "/api/v1/openapi.json"
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
]
OWN_HOST = {"Host": "127.0.0.1:8766"}
MOST_SHAPES_DEEP = 6
"""Where a shape that may hold itself ends in the examples."""
EACH = 4
"""Requests of each sort for each operation; all together take less than a minute."""


@schemathesis.serializer("application/toml")
def _as_toml(_: schemathesis.SerializationContext, value: object) -> bytes:
    return str(value).encode("utf-8", "replace")


class Examples:
    """Builds whole documents from the examples of a description, or says what has none."""

    def __init__(self, described: dict[str, Any]) -> None:
        self.shapes: dict[str, Any] = described["components"]["schemas"]

    def of(self, told: dict[str, Any], depth: int = 0) -> object:
        """Return an example of what stands in a parameter, a body, an answer or a shape."""
        said = [told[name] for name in ("example", "default") if name in told]
        said += (told.get("examples") or told.get("enum") or [])[:1]
        if said:
            return said[-1]
        if "properties" in told:
            return {name: self.of(one, depth) for name, one in told["properties"].items()}
        if told.get("type") == "array":
            return [self.of(told["items"], depth)] if depth < MOST_SHAPES_DEEP else []
        if told.get("type") == "object":
            return {"name": self.of(told["additionalProperties"], depth)}
        if "$ref" in told:
            return self.of(self.shapes[told["$ref"].rpartition("/")[2]], depth + 1)
        below = told["schema"] if "schema" in told else (told.get("anyOf") or told["oneOf"])[0]
        return self.of(below, depth)


def test_every_parameter_body_and_answer_has_an_example_that_fits(client: TestClient):
    described = client.get(DESCRIBED).json()
    examples = Examples(described)
    checked = 0

    for path, operations in described["paths"].items():
        for operation in operations.values():
            told = [*operation.get("parameters", [])]
            for part in [operation.get("requestBody", {}), *operation["responses"].values()]:
                told += part.get("content", {}).values()
            for one in told:
                held = {**one.get("schema", {}), "components": described["components"]}
                validator = Draft202012Validator(held)
                assert [error.message for error in validator.iter_errors(examples.of(one))] == [], (
                    path
                )
                checked += 1
    assert checked > 60


def test_every_property_of_a_shape_has_help(client: TestClient):
    shapes = client.get(DESCRIBED).json()["components"]["schemas"]

    unsaid = [
        f"{name}.{key}"
        for name, shape in shapes.items()
        for key, told in shape.get("properties", {}).items()
        if not told.get("description")
    ]

    assert unsaid == []
    assert not [name for name in shapes if "Validation" in name]


def test_the_committed_description_is_what_the_application_says():
    assert DESCRIPTION.read_text(encoding="utf-8") == description(), (
        "python -m tools.page_types writes it anew"
    )


def test_every_path_is_versioned_and_every_operation_told(client: TestClient):
    described = client.get(DESCRIBED).json()

    assert all(path.startswith("/api/v1/") for path in described["paths"])
    operations = [one for path in described["paths"].values() for one in path.values()]
    assert all(one["description"] for one in operations)
    assert all("4XX" in one["responses"] for one in operations)


def ask_many(operation: APIOperation[Any, Any, Any, Any], mode: GenerationMode) -> int:
    """Send requests of one sort to an operation and check the answers; return how many."""
    asked = 0

    @given(data=st.data())
    @settings(
        max_examples=EACH,
        deadline=None,
        derandomize=True,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    def ask(data: st.DataObject) -> None:
        nonlocal asked
        case = data.draw(operation.as_strategy(generation_mode=mode))
        if "block" in case.path_parameters and data.draw(st.booleans()):
            case.path_parameters["block"] = "onderveld"
        case.call_and_validate(headers=OWN_HOST, checks=CHECKS)
        asked += 1

    with suppress(Unsatisfiable):  # an operation without parameters takes nothing wrong
        ask()
    return asked


@pytest.mark.parametrize("mode", list(GenerationMode), ids=lambda mode: mode.value)
def test_no_request_is_answered_otherwise_than_described(
    client: TestClient, estate: Path, mode: GenerationMode
):
    schema = schemathesis.openapi.from_asgi(DESCRIBED, client.app, headers=OWN_HOST)
    before = (estate / "estate.toml").read_bytes()

    asked = [ask_many(described.ok(), mode) for described in schema.get_all_operations()]

    assert sum(asked) >= EACH * len(asked) / 2
    assert (estate / "estate.toml").read_bytes() == before


def test_every_refusal_comes_in_one_shape(client: TestClient):
    refusals = [
        client.get("/api/v1/blocks/none/brief"),
        client.patch("/api/v1/blocks/onderveld/brief", json={"changes": {}}),
        client.post("/api/v1/blocks", json={"block": 3}),
        client.request("TRACE", "/api/v1/estate"),
        client.post("/api/v1/blocks", content=b"{", headers={"Content-Type": "application/json"}),
        client.post(
            "/api/v1/blocks",
            content=b"[" * 100_000,
            headers={"Content-Type": "application/json"},
        ),
        client.get("/api/v1/words?language=%00"),
        client.get("/api/v1/estate", headers={"Host": "other.example"}),
    ]

    for answer in refusals:
        assert answer.headers["content-type"] == "application/problem+json", answer.text
        told = ProblemShape.model_validate(json.loads(answer.text))
        assert (told.status, told.type) == (answer.status_code, "about:blank")
        assert told.detail
    assert [answer.status_code for answer in refusals] == [404, 428, 422, 405, 422, 400, 422, 421]
