"""What the page asks of the server, beside the stand-in's own interface under /control/."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from aiohttp import web

from demo.clock import ClockError, ClubClock, target
from demo.standin import MisuseError, StandIn

from .view import looked_at, view

FOLDER = Path(__file__).parent
KINDS = {".css": "text/css", ".js": "text/javascript"}
HEADERS = {
    # Whatever gets into a text can't run: scripts and styles come from this folder only.
    "Content-Security-Policy": (
        "default-src 'self'; img-src 'self' data:; base-uri 'none'; frame-ancestors 'none'"
    ),
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "Cache-Control": "no-store",
}


class ChatPage:
    """The page of one stand-in: `extend` is what its `start` takes."""

    def __init__(self, standin: StandIn, clock: ClubClock, roles: Mapping[int, str]) -> None:
        """`roles`: what each person is, in words, by id; others are shown by name only."""
        self._standin = standin
        self._clock = clock
        self._roles = roles

    def extend(self, app: web.Application) -> None:
        """Add the page's addresses, and the clock's stamp, to the stand-in's server."""
        app.middlewares.append(self._clock.stamp)
        app.add_routes(
            [
                web.get("/", self.index),
                web.get("/page/view", self.view),
                web.post("/page/clock", self.move),
                web.get("/page/{name}", self.file),
            ]
        )

    async def index(self, request: web.Request) -> web.Response:
        """The page."""
        text = (FOLDER / "index.html").read_text(encoding="utf-8")
        return web.Response(text=text, content_type="text/html", headers=HEADERS)

    async def file(self, request: web.Request) -> web.Response:
        """Its style or script."""
        path = FOLDER / request.match_info["name"]
        if path.suffix not in KINDS or path.parent != FOLDER or not path.is_file():
            raise web.HTTPNotFound
        text = path.read_text(encoding="utf-8")
        return web.Response(text=text, content_type=KINDS[path.suffix], headers=HEADERS)

    async def view(self, request: web.Request) -> web.Response:
        """All that is shown to one person in one chat."""
        try:
            who, where = looked_at(
                self._standin, request.query.get("person", ""), request.query.get("chat", "")
            )
        except MisuseError as error:
            return web.json_response({"error": str(error)}, status=404)
        shown = view(self._standin, self._clock, self._roles, who, where)
        return web.json_response(shown, headers=HEADERS)

    async def move(self, request: web.Request) -> web.Response:
        """Move the club's clock: {"move": "hour"} or {"move": "at", "at": "2026-10-23T15:30"}."""
        if request.content_type != "application/json":
            raise web.HTTPUnsupportedMediaType(text="JSON, please")
        asked = await request.json()
        try:
            move, at = str(asked["move"]), str(asked.get("at", ""))
            await self._clock.advance(target(move, self._clock.now(), self._clock.zone, at))
        except (KeyError, AttributeError, TypeError):
            return web.json_response({"error": "Say how far to move."}, status=400)
        except ClockError as error:
            return web.json_response({"error": str(error)}, status=400)
        return web.json_response({"now": self._clock.now().isoformat()})
