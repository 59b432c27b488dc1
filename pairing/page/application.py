"""Addresses of the page, and what keeps strangers out of it.

Every answer is made by the same function as the command's. A browser that was led here from
elsewhere gets nothing: the Host header must name this machine (DNS rebinding), and what changes a
file must come from the page itself (cross-site request forgery).
"""

from __future__ import annotations

import base64
import hashlib
import ipaddress
import threading
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, quote, urlsplit

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp, Receive, Scope, Send

from pairing.bar.pantry import Pantry
from pairing.cards import html
from pairing.cards.report import error
from pairing.errors import CONTROL, PairingError, RefusedError, UnknownNameError
from pairing.page import kept, making, tasting
from pairing.page.forms import CSS, NAV, Answer, Asked, Bar, NotThereError, clean
from pairing.page.timer import SCRIPT

__all__ = ["application"]

MOST_BYTES = 200_000  # of a form that is sent
MOST_FIELDS = 3000  # a panel of 200 tasters with a dozen cups each
MOST_LETTERS = 200
AT_ONCE = 2  # answers worked out at a time: each takes a core
NAMES = ("localhost", "127.0.0.1", "[::1]")
HASH = base64.b64encode(hashlib.sha256(SCRIPT.encode()).digest()).decode()
HEADERS = {
    "Content-Security-Policy": (
        f"default-src 'none'; script-src 'sha256-{HASH}'; style-src 'unsafe-inline'; "
        "img-src data:; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",  # with none at all a form's Origin would be "null"
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cache-Control": "no-store",
}


def application(
    bar: Callable[[str], Pantry], folder: Path, *, open_to_network: bool = False
) -> ASGIApp:
    """The page as an ASGI application.

    Parameters
    ----------
    bar : callable
        Gives the pantry that answers under a market (``""``, ``"eu"``, ``"uk"``, ``"us"``).
    folder : Path
        Where plans, sheets and ballots are kept.
    open_to_network : bool
        Whether it listens beyond this machine; then a numeric address may be its name, too.

    Returns
    -------
    ASGI application
    """
    here = Bar(lru_cache(maxsize=4)(bar), folder)
    turn = threading.Semaphore(AT_ONCE)

    def route(path: str, view: Callable[[Bar, Asked], Answer], *, changes: bool = False) -> Route:
        def answered(request: Request, fields: list[tuple[str, str]]) -> Response:
            as_json = ("format", "json") in fields
            try:
                asked = _asked(fields, request.path_params)
                with turn:
                    return _response(view(here, asked), as_json)
            except PairingError as err:
                return _refused(err, as_json)

        async def respond(request: Request) -> Response:
            if not changes:
                fields = parse_qsl(request.url.query, keep_blank_values=True)
            else:
                fields = await _form(request)
            return await run_in_threadpool(answered, request, fields)

        return Route(path, respond, methods=["POST"] if changes else ["GET"])

    routes = [
        route("/", making.front),
        route("/suggest", making.suggest),
        route("/formula", making.formula),
        route("/drink", making.drink),
        route("/card", making.card),
        route("/label", making.label),
        route("/compare", kept.compare),
        route("/ratio", making.ratio),
        route("/pantry", making.pantry),
        route("/keep", kept.keep),
        route("/trials", tasting.front),
        route("/trials/plan", tasting.plan),
        route("/trials/keep", tasting.keep_plan, changes=True),
        route("/trials/of/{name}", tasting.kept_plan),
        route("/trials/sheet", tasting.make_sheet, changes=True),
        route("/trials/sheet/{name}", tasting.kept_sheet),
        route("/trials/cards/{name}", tasting.cards),
        route("/trials/ballot/{name}", tasting.ballot),
        route("/trials/answer/{name}", tasting.answer, changes=True),
        route("/trials/read/{name}", tasting.reading),
        route("/trials/next/{name}", tasting.next_trials),
        route("/trials/keep-next", tasting.keep_next, changes=True),
    ]
    app = Starlette(routes=routes, exception_handlers={HTTPException: _http, Exception: _fault})
    return _Guard(app, open_to_network)


class _Guard:
    """Refuses other hosts and other origins before anything is read, and sets the headers."""

    def __init__(self, app: ASGIApp, open_to_network: bool) -> None:
        self.app, self.open_to_network = app, open_to_network

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def guarded(message: Any) -> None:
            if message["type"] == "http.response.start":
                held = [(k, v) for k, v in message.get("headers", []) if k != b"server"]
                own = [(k.lower().encode(), v.encode()) for k, v in HEADERS.items()]
                message = {**message, "headers": [*held, *own]}
            await send(message)

        refused = self._refusal(Request(scope))
        await (refused or self.app)(scope, receive, guarded)

    def _refusal(self, request: Request) -> Response | None:
        hosts = request.headers.getlist("host")
        if len(hosts) != 1 or not self._ours(hosts[0]):
            return _page("That is not this machine", "open the page by its own address", 421)
        if request.method in ("GET", "HEAD"):
            return None
        origin, site = request.headers.get("origin"), request.headers.get("sec-fetch-site")
        if origin is None:
            fine = site == "same-origin"
        else:
            fine = origin == f"http://{hosts[0]}" and site in (None, "same-origin")
        return None if fine else _page("Not from this page", "send the form from the page", 403)

    def _ours(self, host: str) -> bool:
        try:
            split = urlsplit(f"//{host}")
            name, port = split.hostname or "", split.port
        except ValueError:
            return False
        shown = f"[{name}]" if ":" in name else name
        if host.lower() != (shown if port is None else f"{shown}:{port}"):
            return False
        if shown in NAMES:
            return True
        try:  # a name can be turned to another machine by its owner, an address can't
            ipaddress.ip_address(name)
        except ValueError:
            return False
        return self.open_to_network


async def _form(request: Request) -> list[tuple[str, str]]:
    """Fields of a form that was sent, never more of it than a limit."""
    raw = b""
    try:
        async for part in request.stream():
            raw += part
            if len(raw) > MOST_BYTES:
                raise HTTPException(413, "that is more than a form of this page holds")
    except ClientDisconnect:
        raise HTTPException(400, "the form did not arrive whole") from None
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError:
        raise HTTPException(400, "the form is not UTF-8 text") from None
    return parse_qsl(text, keep_blank_values=True)


def _asked(fields: list[tuple[str, str]], path: dict[str, Any]) -> Asked:
    if len(fields) > MOST_FIELDS:
        raise PairingError(f"more than {MOST_FIELDS:,} fields; a form of this page has fewer")
    for text in (t for pair in fields for t in pair):
        if len(text) > MOST_LETTERS or CONTROL.search(text):
            raise PairingError(f"say it in fewer than {MOST_LETTERS} plain letters")
    return Asked([(k, v.strip()) for k, v in fields if v.strip()], str(path.get("name", "")))


def _response(made: Answer, as_json: bool) -> Response:
    if made.go_to:
        return RedirectResponse(made.go_to, 303)
    if made.file:
        name, text = made.file
        said = f'="{name}"' if name.isascii() else f"*=UTF-8''{quote(name)}"  # RFC 6266, RFC 8187
        told = {"Content-Disposition": f"attachment; filename{said}"}
        return Response(text, media_type="application/toml", headers=told)
    stops = made.report.document.get("stops") if made.report is not None else None
    status = 200 if not stops else 422  # what must not be served is no success
    if as_json and made.report is not None:
        return JSONResponse(made.report.whole, status_code=status)
    return HTMLResponse(made.whole or _shell(made.title, made.body), status_code=status)


def _shell(title: str, body: str) -> str:
    return html.shell(title, NAV + body, paper="a4", script=SCRIPT, style=CSS)


def _refused(err: PairingError, as_json: bool) -> Response:
    status = (
        422 if isinstance(err, RefusedError) else 404 if isinstance(err, NotThereError) else 400
    )
    if as_json:
        code = 3 if isinstance(err, RefusedError) else 2  # as the command line exits
        return Response(error(str(err), code, err), status, media_type="application/json")
    near = err.nearest if isinstance(err, UnknownNameError) else ()
    hint = f" Near it: {', '.join(near)}." if near and "did you mean" not in str(err) else ""
    return _page("That can't be done", f"{err}{hint}", status)


def _page(title: str, line: str, status: int) -> Response:
    line = " ".join(CONTROL.sub(" ", line).split())
    back = '<p><a class="tap" href="/">Start again</a></p>'
    body = f"<h1>{clean(title)}</h1><p>{clean(line)}</p>{back}"
    return HTMLResponse(_shell(title, body), status_code=status)


async def _http(_request: Request, err: Exception) -> Response:
    assert isinstance(err, HTTPException)
    words = {404: "there is no such page", 405: "this page is opened another way"}
    return _page("That can't be done", words.get(err.status_code, err.detail), err.status_code)


async def _fault(_request: Request, _err: Exception) -> Response:
    line = "a fault of the program, not of your input; the window that runs it says where"
    return _page("That went wrong", line, 500)
