"""Who may speak to the server: this machine's own page, in requests of a bearable size.

A page of another site can send requests to a server on loopback, and a name that points
to loopback makes that page look like ours. So the host must be a loopback name, the
origin must be ours, and a body must be of a type no plain form can send.
"""

import logging
from collections.abc import Iterable, Mapping
from http import HTTPStatus

from fastapi import HTTPException
from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from aanplant.server.problems import told

LOOPBACK_NAMES = frozenset({"127.0.0.1", "localhost", "[::1]"})
API_PATH = "/api/"
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})
LARGEST_BODY_BYTES: Mapping[str, int] = {
    "application/json": 5_000_000,
    "application/toml": 1_000_000,
    "application/octet-stream": 50_000_000,
}
"""Types of bodies that are taken, and their largest sizes."""
POLICY = "Content-Security-Policy"


def policy(pictures_from: str = "") -> str:
    """Say what a page may load: all from here, pictures also from one origin that is named."""
    pictures = f"'self' data: blob: {pictures_from}".strip()
    return (
        f"default-src 'self'; img-src {pictures}; worker-src 'self' blob:; object-src 'none'; "
        "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
    )


HEADERS = {
    POLICY: policy(),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
_ELSEWHERE = (
    "This server answers on this machine alone, by 127.0.0.1 or localhost; "
    "other addresses need accounts, which come later."
)
_FOREIGN = "A page of another site asked; only our own may."
_Refusal = tuple[int, str]


class Guard:
    """Refuse requests that are not from our own page, and put our headers on every answer.

    Parameters
    ----------
    app : ASGI application
        What is guarded.
    hosts : iterable of str
        Host names it answers to, without a port.
    """

    def __init__(self, app: ASGIApp, hosts: Iterable[str] = LOOPBACK_NAMES) -> None:
        self._app = app
        self._hosts = frozenset(hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        speaking = _Answer(send)
        headers = Headers(scope=scope)
        refused = self._refusal(scope, headers)
        if refused is not None:
            await told(*refused)(scope, receive, speaking.send)
            return
        try:
            await self._app(scope, _limited(receive, _kind(headers)), speaking.send)
        except Exception as error:
            logging.getLogger(__name__).exception("%s %s", scope["method"], scope["path"])
            if speaking.has_begun:
                raise
            fault = f"A fault in the program ({type(error).__name__}); nothing was left half done."
            await told(HTTPStatus.INTERNAL_SERVER_ERROR, fault)(scope, receive, speaking.send)

    def _refusal(self, scope: Scope, headers: Headers) -> _Refusal | None:
        host = headers.get("host", "")
        if _name_of(host) not in self._hosts:
            return HTTPStatus.MISDIRECTED_REQUEST, _ELSEWHERE
        origin = headers.get("origin")
        if origin is not None and origin.partition("://")[2] != host:
            return HTTPStatus.FORBIDDEN, _FOREIGN
        site = headers.get("sec-fetch-site", "none")
        if site not in {"none", "same-origin"} and not _is_followed_link(scope, headers):
            return HTTPStatus.FORBIDDEN, _FOREIGN
        return None if scope["method"] in SAFE_METHODS else _refused_body(headers)


def _is_followed_link(scope: Scope, headers: Headers) -> bool:
    """Whether a person came to one of our pages by a link; no other page sees the answer."""
    return (
        scope["method"] == "GET"
        and not scope["path"].startswith(API_PATH)
        and headers.get("sec-fetch-mode") == "navigate"
        and headers.get("sec-fetch-dest") == "document"
    )


def _refused_body(headers: Headers) -> _Refusal | None:
    length = headers.get("content-length", "0")
    if not length.isascii() or not length.isdigit():
        return HTTPStatus.BAD_REQUEST, "A length of the body that is no number."
    if length == "0" and "transfer-encoding" not in headers:
        return None
    kind = _kind(headers)
    if kind not in LARGEST_BODY_BYTES:
        known = ", ".join(sorted(LARGEST_BODY_BYTES))
        return (
            HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
            f"A body of type {kind or 'unsaid'}; expected {known}.",
        )
    return _too_large(kind) if int(length) > LARGEST_BODY_BYTES[kind] else None


def _kind(headers: Headers) -> str:
    return headers.get("content-type", "").partition(";")[0].strip().lower()


def _too_large(kind: str) -> _Refusal:
    most = LARGEST_BODY_BYTES.get(kind, 0) / 1e6
    return HTTPStatus.REQUEST_ENTITY_TOO_LARGE, f"A body of more than {most:g} MB."


def _name_of(host: str) -> str:
    """Take the port off; an IPv6 address keeps its brackets."""
    return host.rpartition("]")[0] + "]" if host.startswith("[") else host.partition(":")[0]


def _limited(receive: Receive, kind: str) -> Receive:
    """Count what comes in; a sender may say no length, or a wrong one."""
    seen = 0

    async def limited() -> Message:
        nonlocal seen
        message = await receive()
        seen += len(message.get("body", b""))
        if seen > LARGEST_BODY_BYTES.get(kind, 0):
            raise HTTPException(*_too_large(kind))
        return message

    return limited


class _Answer:
    """An answer on its way out, with our headers on it."""

    def __init__(self, send: Send) -> None:
        self._send = send
        self.has_begun = False

    async def send(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.has_begun = True
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
            headers.setdefault("Cache-Control", "no-store")
        await self._send(message)
