"""The built pages: files of one folder, by their own names and types, and nothing else."""

import hashlib
import html
from collections.abc import Callable
from http import HTTPStatus
from pathlib import Path
from typing import Annotated

from fastapi import FastAPI, Header
from starlette.responses import HTMLResponse, Response

from aanplant.messages import word
from aanplant.server.guard import API_PATH, POLICY, policy
from aanplant.server.problems import Problem

FOLDER = Path(__file__).with_name("pages")
INDEX = "index.html"
ASSETS = "assets/"
"""Files below carry a digest of their content in their name, so that they never change."""
TYPES = {
    ".css": "text/css; charset=utf-8",
    ".html": "text/html; charset=utf-8",
    ".ico": "image/x-icon",
    ".jpg": "image/jpeg",
    ".js": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".map": "application/json",
    ".png": "image/png",
    ".svg": "image/svg+xml",
    ".txt": "text/plain; charset=utf-8",
    ".wasm": "application/wasm",
    ".webmanifest": "application/manifest+json",
    ".webp": "image/webp",
    ".woff2": "font/woff2",
}
_BUILD = ("npm --prefix web ci", "npm --prefix web run build")


def serve_pages(
    app: FastAPI, folder: Path = FOLDER, *, pictures_from: Callable[[], str] = str
) -> None:
    """Answer all paths that are no part of the interface from a folder.

    A path without an ending is a place inside the page, so the page itself answers.

    Parameters
    ----------
    app : FastAPI
        Whose other paths are already there.
    folder : Path
        Of the built pages; without it a page says how to build them.
    pictures_from : callable
        Tells the origin besides ours from which the page may load pictures, "" for none.
    """

    @app.api_route("/{path:path}", methods=["GET", "HEAD"], include_in_schema=False)
    def page(path: str, if_none_match: Annotated[str, Header()] = "") -> Response:
        if f"/{path}".startswith(API_PATH):
            raise Problem(HTTPStatus.NOT_FOUND, f"The interface has nothing at /{path}.")
        files = _files(folder)
        if "." not in path.rpartition("/")[2]:
            index = files.get(INDEX)
            answer = _how_to_build() if index is None else _answer(INDEX, index, if_none_match)
            answer.headers[POLICY] = policy(pictures_from())
            return answer
        if path in files:
            return _answer(path, files[path], if_none_match)
        raise Problem(HTTPStatus.NOT_FOUND, f"There is no page at /{path}.")


def _files(folder: Path) -> dict[str, Path]:
    """Files by their path from the folder; a name that is asked for is only looked up here."""
    found = (path for path in folder.rglob("*") if path.is_file() and not path.is_symlink())
    return {path.relative_to(folder).as_posix(): path for path in found}


def _answer(name: str, path: Path, known: str) -> Response:
    data = path.read_bytes()
    etag = f'"{hashlib.sha256(data).hexdigest()[:32]}"'
    is_fixed = name.startswith(ASSETS)
    headers = {
        "ETag": etag,
        "Cache-Control": "public, max-age=31536000, immutable" if is_fixed else "no-cache",
    }
    if etag in known:
        return Response(status_code=HTTPStatus.NOT_MODIFIED, headers=headers)
    kind = TYPES.get(path.suffix.lower(), "application/octet-stream")
    return Response(data, media_type=kind, headers=headers)


def _how_to_build() -> Response:
    title, text = html.escape(word("serve.not_built_title")), html.escape(word("serve.not_built"))
    commands = "".join(f"<li><code>{command}</code></li>" for command in _BUILD)
    page = (
        f'<!doctype html><html lang="en"><meta charset="utf-8"><title>{title}</title>'
        f"<h1>{title}</h1><p>{text}</p><ol>{commands}</ol>"
        '<p><a href="/api/v1/openapi.json">/api/v1/openapi.json</a></p></html>'
    )
    return HTMLResponse(page, HTTPStatus.SERVICE_UNAVAILABLE)
