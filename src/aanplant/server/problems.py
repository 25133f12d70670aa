"""Errors in one shape: problem details by RFC 9457."""

from collections.abc import Mapping
from http import HTTPStatus
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse

from aanplant.errors import InputError

MEDIA_TYPE = "application/problem+json"


class Problem(Exception):  # noqa: N818 - the name that the standard gives it
    """What stops a request, told to whoever asked.

    Parameters
    ----------
    status : int
        Of HTTP.
    detail : str
        One sentence for a person.
    about : mapping, optional
        Further members, such as ``where``, ``found`` and ``expected``.
    """

    def __init__(self, status: int, detail: str, about: Mapping[str, Any] | None = None) -> None:
        super().__init__(detail)
        self.status = status
        self.detail = detail
        self.about = dict(about or {})


def problem_document(
    status: int, detail: str, about: Mapping[str, Any] | None = None
) -> dict[str, Any]:
    """Write the members of a problem; a type of its own is not needed, the status tells it."""
    return {
        **(about or {}),
        "type": "about:blank",
        "title": HTTPStatus(status).phrase,
        "status": status,
        "detail": detail,
    }


def told(status: int, detail: str, about: Mapping[str, Any] | None = None) -> JSONResponse:
    """Answer with a problem."""
    return JSONResponse(
        problem_document(status, detail, about), status_code=status, media_type=MEDIA_TYPE
    )


def answer_in_one_shape(app: FastAPI) -> None:
    """Let every error of an app come out as a problem."""

    @app.exception_handler(Problem)
    async def _own(_: Request, problem: Problem) -> JSONResponse:
        return told(problem.status, problem.detail, problem.about)

    @app.exception_handler(InputError)
    async def _input(_: Request, error: InputError) -> JSONResponse:
        about = {"where": error.where, "found": error.found, "expected": error.expected}
        return told(HTTPStatus.UNPROCESSABLE_ENTITY, str(error), about)

    @app.exception_handler(RequestValidationError)
    async def _request(_: Request, error: RequestValidationError) -> JSONResponse:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        return told(HTTPStatus.UNPROCESSABLE_ENTITY, f"{where}: {first['msg']}", {"where": where})

    @app.exception_handler(HTTPException)
    async def _http(_: Request, error: HTTPException) -> JSONResponse:
        answer = told(error.status_code, str(error.detail))
        answer.headers.update(error.headers or {})
        return answer

    @app.exception_handler(UnicodeError)
    async def _half(_: Request, __: Exception) -> JSONResponse:
        return told(HTTPStatus.UNPROCESSABLE_ENTITY, "A text with halves of characters in it.")

    @app.exception_handler(RecursionError)
    async def _deep(_: Request, __: Exception) -> JSONResponse:
        return told(HTTPStatus.UNPROCESSABLE_ENTITY, "Lists or tables that stand too deep.")
