"""The page and its JSON interface on the loopback address, behind a token in the address."""

from __future__ import annotations

import asyncio
import json
import secrets
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from datetime import date
from importlib.resources import files
from pathlib import Path
from threading import Event, Lock, Thread
from types import ModuleType
from typing import TYPE_CHECKING, Any

from suncover.base.errors import FileFaults, RequestError, SuncoverError
from suncover.keeper.serve import LOOPBACK, is_from_own_page, listening, serving
from suncover.report.pictures.ink import DARK, LIGHT, figure_style, variables
from suncover.web.disk import Changed, SiteFile

if TYPE_CHECKING:
    from starlette.applications import Starlette
    from starlette.requests import Request
    from starlette.responses import Response

MOST_BYTES = 2_000_000
"""Of the body of a request."""

_HEADERS = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; "
    "connect-src 'self'; img-src data:; form-action 'none'; base-uri 'none'; "
    "frame-ancestors 'none'",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
}
_KINDS = {".js": "text/javascript", ".css": "text/css"}


@contextmanager
def serve_site(path: Path, port: int, today: date) -> Iterator[str]:
    """Serves the page of a site file while the context lasts; gives its address.

    `today` is the day that the page shows at first. Port 0 is any that is free.

    Raises
    ------
    RequestError
        When the port cannot be had.
    """
    loading = Thread(target=_answers)
    loading.start()
    token = secrets.token_urlsafe(24)
    app = made_app(path, token, today)
    with listening(LOOPBACK, port, f"--port {port}") as listener, serving(app, listener):
        yield f"http://{LOOPBACK}:{listener.getsockname()[1]}/{token}/"
    loading.join()  # an import that the interpreter's end cuts off may crash


def made_app(path: Path, token: str, today: date) -> Starlette:
    """The application: a page and its files to get, everything else to post."""
    from starlette.applications import Starlette
    from starlette.middleware import Middleware
    from starlette.middleware.trustedhost import TrustedHostMiddleware
    from starlette.routing import Mount, Route

    pages = _Pages(SiteFile(path), today)
    routes = [
        Route("/", pages.front, methods=["GET"]),
        Route("/{name}", pages.part, methods=["GET"]),
        Route("/api/{name}", pages.answer, methods=["POST"]),
    ]
    guard = Middleware(
        TrustedHostMiddleware, allowed_hosts=[LOOPBACK, "localhost"], www_redirect=False
    )
    return Starlette(routes=[Mount(f"/{token}", routes=routes)], middleware=[guard])


def style_sheet() -> str:
    """The page's style sheet: the report's inks, its pictures, and the page's own."""
    page_style = (files("suncover.web") / "files" / "page.css").read_text(encoding="utf-8")
    dark = variables(DARK)
    return (
        f":root{{{variables(LIGHT)}}}@media (prefers-color-scheme:dark){{:root{{{dark}}}}}"
        + figure_style(lambda name: f"var(--{name})")
        + page_style
    )


def _answers() -> ModuleType:
    """What answers the questions: loaded while the browser already shows the page."""
    from suncover.web import answers  # noqa: PLC0415

    return answers


class _Pages:
    """The answers."""

    def __init__(self, site_file: SiteFile, today: date) -> None:
        self._file = site_file
        self._today = today
        self._working = Lock()
        folder = files("suncover.web") / "files"
        self._parts = {
            part.name: part.read_text(encoding="utf-8")
            for part in folder.iterdir()
            if part.name.endswith(".js")
        }
        self._parts["page.css"] = style_sheet()
        self._page = (folder / "page.html").read_text(encoding="utf-8")

    async def front(self, request: Request) -> Response:  # noqa: ARG002  (the server's signature)
        from jinja2 import Environment
        from starlette.responses import HTMLResponse

        text = Environment(autoescape=True).from_string(self._page)
        return HTMLResponse(
            text.render(file=self._file.path.name, today=self._today.isoformat()), headers=_HEADERS
        )

    async def part(self, request: Request) -> Response:
        from starlette.responses import Response

        name = request.path_params["name"]
        if name not in self._parts:
            return _error(404, "there is no such part of the page")
        kind = _KINDS[Path(name).suffix]
        return Response(self._parts[name], media_type=kind, headers=_HEADERS)

    async def answer(self, request: Request) -> Response:
        from starlette.concurrency import run_in_threadpool

        if not is_from_own_page(request):
            return _error(403, "the request is not of this page")
        if request.headers.get("content-type", "").partition(";")[0] != "application/json":
            return _error(415, "a request is JSON")
        body = await _body(request)
        if body is None:
            return _error(413, f"a request holds at most {MOST_BYTES} bytes")
        hung_up = Event()
        waiting = asyncio.create_task(_leaving(request, hung_up))
        try:
            name = request.path_params["name"]
            return await run_in_threadpool(self._answered, name, body, hung_up.is_set)
        finally:
            waiting.cancel()

    def _answered(self, name: str, body: bytes, abandoned: Callable[[], bool]) -> Response:
        """Long ones one at a time, so that quick ones find a core while something is dragged."""
        answers = _answers()
        answer = answers.ANSWERS.get(name)
        if answer is None:
            return _error(404, "there is no such question")
        try:
            query = answers.Query(_fields(body), self._file, self._today, abandoned)
            with self._working if answer in answers.LONG else nullcontext():
                if abandoned():
                    raise answers.Abandoned
                return _json(200, answer(query))
        except answers.Abandoned:
            return _error(503, "nobody waits for the answer any more")
        except Changed as meanwhile:
            now = meanwhile.now
            return _json(409, {"error": str(meanwhile), "text": now.text, "digest": now.digest})
        except FileFaults as wrong:
            faults = answers.judge.faults_json(wrong.faults, {})
            return _json(422, {"error": "the site has faults", "faults": faults})
        except SuncoverError as wrong:
            return _error(400, str(wrong))


async def _leaving(request: Request, hung_up: Event) -> None:
    """Sets the event when whoever asked has hung up."""
    while (await request.receive())["type"] != "http.disconnect":
        pass
    hung_up.set()


def _fields(body: bytes) -> dict[str, Any]:
    """The fields of a request; raises RequestError where it is no JSON object in Unicode."""
    try:
        fields = json.loads(body)
        json.dumps(fields, ensure_ascii=False).encode()  # escapes may name what is no letter
    except (ValueError, RecursionError):
        raise RequestError("the request is no JSON") from None
    if not isinstance(fields, dict):
        raise RequestError("a request is a JSON object")
    return fields


async def _body(request: Request) -> bytes | None:
    """The whole body; None where it is too long."""
    body = b""
    async for part in request.stream():
        body += part
        if len(body) > MOST_BYTES:
            return None
    return body


def _error(status: int, error: str) -> Response:
    return _json(status, {"error": error})


def _json(status: int, content: Any) -> Response:
    from starlette.responses import JSONResponse

    return JSONResponse(content, status_code=status, headers=_HEADERS)
