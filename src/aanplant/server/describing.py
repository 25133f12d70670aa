"""The description of the interface: what FastAPI can't see of it by itself."""

from typing import Any

from fastapi import FastAPI
from pydantic.json_schema import models_json_schema

from aanplant.server.told_shapes import PreviewAboutShape
from aanplant.server.wire import ProblemShape

_PLACE = "#/components/schemas/{model}"
PROBLEM_ANSWERS: dict[int | str, dict[str, Any]] = {
    "4XX": {
        "description": "What is wrong with the request.",
        "content": {
            "application/problem+json": {"schema": {"$ref": _PLACE.format(model="ProblemShape")}}
        },
    }
}
"""Every problem comes in one shape."""


def describe_all(app: FastAPI) -> None:
    """Let the description also hold the shapes that stand in no JSON answer.

    Those are the problem details, which come as their own type, and the header of a preview,
    which stands before its arrays.
    """
    plain = app.openapi

    def described() -> dict[str, Any]:
        document = plain()
        _, more = models_json_schema(
            [(ProblemShape, "serialization"), (PreviewAboutShape, "serialization")],
            ref_template=_PLACE,
        )
        shapes = document["components"]["schemas"]
        document["components"]["schemas"] = dict(sorted((more["$defs"] | shapes).items()))
        return document

    app.openapi = described  # type: ignore[method-assign]
