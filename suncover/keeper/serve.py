"""What a keeper shows: the plan as a calendar to subscribe to, its state, and a page for people.

On the loopback address for whoever uses the machine; beyond it only behind a word in the address.
Nothing on the page comes from elsewhere, and there is no script on it.
"""

from __future__ import annotations

import hashlib
import ipaddress
import re
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import parse_qsl, urlsplit

from suncover.base.errors import RequestError
from suncover.export.files.now_json import now_json
from suncover.keeper.agenda import Agenda, steps_around
from suncover.keeper.log import Log
from suncover.keeper.news import Hand, Hold
from suncover.keeper.page import page_html
from suncover.plan.staircase import UP, Standing, next_move

if TYPE_CHECKING:
    from starlette.applications import Starlette
    from starlette.requests import Request
    from starlette.responses import Response

    from suncover.keeper.loop import Keeper

LOOPBACK = "127.0.0.1"
SHORTEST_TOKEN = 16
HOUR_S = 3600.0

_HEADERS = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
}


def address_of(text: str) -> tuple[str, int]:
    """Host and port of `HOST:PORT`, `:PORT` or `PORT`.

    Raises
    ------
    RequestError
        When it is none of them.
    """
    host, _, port = text.rpartition(":")
    host = host.strip("[]") or LOOPBACK
    if not port.isdecimal() or int(port) > 65535:
        raise RequestError(f"--serve {text!r} is no address such as 127.0.0.1:8080")
    return host, int(port)


def is_loopback(host: str) -> bool:
    """Whether only this machine can reach a host."""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def read_token(path: Path) -> str:
    """The word of a token file.

    Raises
    ------
    RequestError
        When there is none, or one that is easily guessed or does not fit into an address.
    """
    try:
        token = path.read_text(encoding="utf-8").strip()
    except (OSError, UnicodeDecodeError) as error:
        reason = getattr(error, "strerror", None) or "it is no text in UTF-8"
        raise RequestError(f"{path}: the token cannot be read ({reason})") from error
    if not re.fullmatch(r"[A-Za-z0-9_-]+", token) or len(token) < SHORTEST_TOKEN:
        raise RequestError(
            f"{path}: the token should be one word of {SHORTEST_TOKEN} or more letters, digits, - "
            "and _, such as `openssl rand -hex 16` writes"
        )
    return token


@contextmanager
def serve_page(keeper: Keeper, address: str, token_file: Path | None, log: Log) -> Iterator[None]:
    """Serves a keeper's page while the context lasts.

    Raises
    ------
    RequestError
        When the address cannot be had, or reaches beyond this machine without a token.
    """
    host, port = address_of(address)
    token = None if token_file is None else read_token(token_file)
    if token is None and not is_loopback(host):
        raise RequestError(
            f"--serve {address}: others could reach this address; add --token-file FILE, with a "
            "word that every address must begin with"
        )
    with listening(host, port, f"--serve {address}") as listener:
        shown = f"[{host}]" if ":" in host else host
        port = listener.getsockname()[1]
        with serving(made_app(keeper, token, host), listener):
            log.tell("page", f"serves http://{shown}:{port}/{'…/' if token else ''}")
            yield


@contextmanager
def listening(host: str, port: int, option: str) -> Iterator[socket.socket]:
    """A socket that listens there while the context lasts; port 0 is any that is free.

    Raises
    ------
    RequestError
        When the address cannot be had; `option` is by what it was asked for.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        listener = socket.create_server((host, port), family=family)
    except OSError as error:
        reason = error.strerror or str(error)
        raise RequestError(
            f"{option}: the address cannot be had ({reason}); name another"
        ) from error
    with listener:
        # What is accepted takes it over. Else the end of an answer waits for the browser to confirm
        # its beginning, which it does 40 ms later (Nagle's algorithm, RFC 896, and delayed
        # acknowledgments, RFC 1122, 4.2.3.2).
        listener.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        yield listener


@contextmanager
def serving(app: Starlette, listener: socket.socket) -> Iterator[None]:
    """Serves an application in a thread of its own while the context lasts."""
    import uvicorn

    config = uvicorn.Config(app, log_config=None, access_log=False, lifespan="off")
    server = uvicorn.Server(config)
    thread = threading.Thread(
        target=server.run, kwargs={"sockets": [listener]}, name="page", daemon=True
    )
    thread.start()
    try:
        yield
    finally:
        server.should_exit = True
        thread.join(3.0)


def made_app(keeper: Keeper, token: str | None, host: str) -> Starlette:
    """The application: three pages to get, two forms to post."""
    from starlette.applications import Starlette
    from starlette.middleware import Middleware
    from starlette.middleware.trustedhost import TrustedHostMiddleware
    from starlette.routing import Mount, Route

    site = _Pages(keeper)
    routes = [
        Route("/", site.front, methods=["GET"]),
        Route("/plan.ics", site.plan, methods=["GET"]),
        Route("/now.json", site.now, methods=["GET"]),
        Route("/hold", site.hold, methods=["POST"]),
        Route("/hand", site.hand, methods=["POST"]),
    ]
    if token is None:
        hosts = [LOOPBACK, "localhost", "[::1]", host]
        guard = [Middleware(TrustedHostMiddleware, allowed_hosts=hosts, www_redirect=False)]
        return Starlette(routes=routes, middleware=guard)
    return Starlette(routes=[Mount(f"/{token}", routes=routes)])


def standings_of(agenda: Agenda, now: float) -> list[Standing]:
    """Where the plan has every shade, by an agenda."""
    standings = []
    for motor in agenda.motors:
        step, after = steps_around(motor, now)
        position = step.position if step else 0
        standings.append(
            Standing(
                motor.name,
                position,
                step.at if step else None,
                after.at if after else None,
                step.reason if step and position else UP,
                next_move(after, position, motor.runs) if after else None,
            )
        )
    return standings


class _Pages:
    """Answers to what is asked of each address."""

    def __init__(self, keeper: Keeper) -> None:
        self._keeper = keeper

    def front(self, request: Request) -> Response:
        from starlette.responses import HTMLResponse

        base = request.scope.get("root_path", "") + "/"
        text = page_html(self._keeper.snapshot(), self._keeper.now(), base)
        return HTMLResponse(text, headers=_HEADERS)

    def plan(self, request: Request) -> Response:
        from starlette.responses import Response

        body = self._keeper.snapshot().agenda.calendar.encode()
        tag = f'"{hashlib.sha256(body).hexdigest()[:32]}"'
        headers = {"ETag": tag, "Cache-Control": "no-cache"}
        if request.headers.get("if-none-match") == tag:
            return Response(status_code=304, headers=headers)
        return Response(body, media_type="text/calendar; charset=utf-8", headers=headers)

    def now(self, request: Request) -> Response:  # noqa: ARG002  (the server's signature)
        from starlette.responses import Response

        agenda, now = self._keeper.snapshot().agenda, int(self._keeper.now())
        body = now_json(standings_of(agenda, now), now, agenda.zone)
        return Response(body, media_type="application/json", headers={"Cache-Control": "no-store"})

    async def hold(self, request: Request) -> Response:
        form = await _form_of(request)
        hours = form.get("hours", "")
        if form.get("off"):
            news = Hold(off=True)
        elif hours == "":
            news = Hold()
        elif hours in ("1", "3", "12"):
            news = Hold(float(int(self._keeper.now() + float(hours) * HOUR_S)))
        else:
            return _refused("hours are 1, 3, 12 or left out")
        if not is_from_own_page(request):
            return _refused("the form is not of this page")
        self._keeper.hold(news)
        return _back(request)

    async def hand(self, request: Request) -> Response:
        form = await _form_of(request)
        slug, position = form.get("shade", ""), form.get("position", "")
        if slug not in self._keeper.snapshot().agenda.by_slug:
            return _refused("there is no such shade")
        if position not in ("", "0", "100"):
            return _refused("the position is 0, 100 or left out")
        if not is_from_own_page(request):
            return _refused("the form is not of this page")
        self._keeper.tell(Hand(slug, float(position) if position else None))
        return _back(request)


async def _form_of(request: Request) -> dict[str, str]:
    """The fields of a short form, as browsers send them."""

    body = b""
    async for part in request.stream():
        body += part
        if len(body) > 4096:
            return {}
    return dict(parse_qsl(body.decode("utf-8", "replace"), keep_blank_values=True))


def is_from_own_page(request: Request) -> bool:
    """Whether a form comes from this very page: a browser says so, and cannot be made to lie."""
    origin, site = request.headers.get("origin"), request.headers.get("sec-fetch-site")
    if site is not None and site not in ("same-origin", "none"):
        return False
    return origin is None or urlsplit(origin).netloc == request.headers.get("host")


def _refused(reason: str) -> Response:
    from starlette.responses import PlainTextResponse

    return PlainTextResponse(f"{reason}\n", status_code=403)


def _back(request: Request) -> Response:
    from starlette.responses import RedirectResponse

    return RedirectResponse(request.scope.get("root_path", "") + "/", status_code=303)
