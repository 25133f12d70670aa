"""Who may speak to the server: this machine's own page, in requests of a bearable size.

A page of another site can send requests to a server on loopback, and a name that points
to loopback makes that page look like ours. So the host must be a loopback name, the
origin must be ours, and a body must be of a type no plain form can send.
"""

from collections.abc import Iterable
from http import HTTPStatus

from fastapi import HTTPException
from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from aanplant.server.problems import told

LOOPBACK_NAMES = frozenset({"127.0.0.1", "localhost", "[::1]"})
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})
BODY_TYPES = frozenset({"application/json", "application/toml", "application/octet-stream"})
LARGEST_BODY_BYTES = 50_000_000
POLICY = (
    "default-src 'self'; img-src 'self' data: blob:; worker-src 'self' blob:; object-src 'none'; "
    "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


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
        headers = Headers(scope=scope)
        refused = self._refusal(str(scope["method"]), headers)
        if refused is not None:
            await told(*refused)(scope, receive, _with_headers(send))
            return
        await self._app(scope, _limited(receive), _with_headers(send))

    def _refusal(self, method: str, headers: Headers) -> tuple[int, str] | None:
        host = headers.get("host", "")
        if _name_of(host) not in self._hosts:
            return (
                HTTPStatus.MISDIRECTED_REQUEST,
                _ELSEWHERE,
            )
        if headers.get("sec-fetch-site", "none") not in {"none", "same-origin"}:
            return HTTPStatus.FORBIDDEN, "A page of another site asked; only our own may."
        origin = headers.get("origin")
        if origin is not None and origin.partition("://")[2] != host:
            return HTTPStatus.FORBIDDEN, "A page of another site asked; only our own may."
        length = headers.get("content-length", "0")
        if not length.isdigit() or int(length) > LARGEST_BODY_BYTES:
            return _TOO_LARGE
        has_body = length != "0" or "transfer-encoding" in headers
        kind = headers.get("content-type", "").partition(";")[0].strip().lower()
        if method not in SAFE_METHODS and has_body and kind not in BODY_TYPES:
            return (
                HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
                f"A body of type {kind or 'unsaid'}; expected {', '.join(sorted(BODY_TYPES))}.",
            )
        return None


_ELSEWHERE = (
    "This server answers on this machine alone, by 127.0.0.1 or localhost; "
    "other addresses need accounts, which come later."
)
_TOO_LARGE = (
    HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
    f"A body of more than {LARGEST_BODY_BYTES / 1e6:.0f} MB.",
)


def _name_of(host: str) -> str:
    """Take the port off; an IPv6 address keeps its brackets."""
    return host.rpartition("]")[0] + "]" if host.startswith("[") else host.partition(":")[0]


def _limited(receive: Receive) -> Receive:
    seen = 0

    async def limited() -> Message:
        nonlocal seen
        message = await receive()
        seen += len(message.get("body", b""))
        if seen > LARGEST_BODY_BYTES:
            raise HTTPException(*_TOO_LARGE)
        return message

    return limited


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
            headers.setdefault("Cache-Control", "no-store")
        await send(message)

    return sending
