"""The club's clock, as the demo moves it: the bot steps through time, the stand-in follows."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import aiohttp
from aiohttp import web

from demo.standin import StandIn

MORNING = time(8)
FRIDAY = time(15, 15)
FARTHEST = timedelta(days=100)
STEP_SECONDS = 60.0
"""Real seconds for one move of the clock: far above what a week of the club needs."""
FETCH_SECONDS = 20.0

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


class ClockError(Exception):
    """The clock can't be moved like this; the text says why in one line."""


class ClubClock:
    """The moment that the stand-in stamps on messages, and the way to move the bot's clock.

    While the bot steps through time, what it sends is stamped with the moment that it is at.
    """

    def __init__(self, start: datetime, zone: ZoneInfo) -> None:
        self.zone = zone
        self.url = ""
        """Where the bot's clock listens, once that is known."""
        self._moment = start.astimezone(UTC)
        self._moving = 0
        self._client: aiohttp.ClientSession | None = None
        self._standin: StandIn | None = None

    def now(self) -> datetime:
        """The moment, in UTC."""
        return self._moment

    @property
    def local(self) -> datetime:
        """The moment on the club's own clocks."""
        return self._moment.astimezone(self.zone)

    def follow(self, standin: StandIn) -> None:
        """Tell those who look at this stand-in whenever the clock moves."""
        self._standin = standin

    async def close(self) -> None:
        """Close the connection to the bot's clock."""
        if self._client:
            await self._client.close()

    async def advance(self, to: datetime) -> None:
        """Move to a moment; all that was due by then is done on return. ClockError: it can't."""
        if to < self._moment:
            raise ClockError("The club's clock never goes back. Pick a later time.")
        if to > self._moment + FARTHEST:
            raise ClockError(f"That is more than {FARTHEST.days} days ahead. Pick an earlier time.")
        await self._heard()
        self._moving += 1
        try:
            answer = await self._ask("POST", "/advance", {"to": to.isoformat()})
        finally:
            self._moving -= 1
        self._set(answer)

    async def settle(self) -> None:
        """Return when the bot has handled everything that was said and sent all it owes now."""
        await self.advance(self._moment)

    @web.middleware
    async def stamp(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        """While the clock moves, learn where it is before a request of the bot takes effect."""
        polls = request.path.lower().endswith("/getupdates")
        if self._moving and request.path.startswith("/bot") and not polls:
            self._set(await self._ask("GET", "/now"))
        return await handler(request)

    async def _heard(self) -> None:
        """Return once the bot has fetched what people did, so that it was done before the move."""
        if self._standin is None:
            return
        updates = self._standin.updates
        try:
            await self._standin.wait_for(lambda: not updates.waiting, FETCH_SECONDS)
        except TimeoutError:
            raise ClockError("The bot doesn't fetch what people say.") from None

    async def _ask(self, method: str, path: str, body: object = None) -> datetime:
        self._client = self._client or aiohttp.ClientSession(
            timeout=aiohttp.ClientTimeout(total=STEP_SECONDS)
        )
        try:
            async with self._client.request(method, self.url + path, json=body) as response:
                answer = await response.json()
        except (aiohttp.ClientError, TimeoutError) as error:
            raise ClockError(f"The bot's clock doesn't answer: {error}") from error
        if "now" not in answer:
            raise ClockError(str(answer.get("error", "The bot's clock gave no time.")))
        return datetime.fromisoformat(answer["now"])

    def _set(self, moment: datetime) -> None:
        if moment > self._moment:
            self._moment = moment.astimezone(UTC)
            if self._standin:
                self._standin.set_clock(self.now)


def target(move: str, now: datetime, zone: ZoneInfo, at: str = "") -> datetime:
    """Return where a move of the clock leads, in UTC; ClockError for what isn't one.

    "quarter" and "hour" are spans; "morning" is the next 08:00, "friday" the next Friday 15:15 on
    the club's clocks, "at" the local time `at`.
    """
    local = now.astimezone(zone)
    match move:
        case "quarter":
            return now + timedelta(minutes=15)
        case "hour":
            return now + timedelta(hours=1)
        case "morning":
            return _next(local, {0, 1, 2, 3, 4, 5, 6}, MORNING)
        case "friday":
            return _next(local, {4}, FRIDAY)
        case "at":
            return _read(at, now, zone)
    raise ClockError("Say how far: quarter, hour, morning, friday, or at with a time.")


def _next(local: datetime, weekdays: set[int], at: time) -> datetime:
    days = (local.date() + timedelta(days=ahead) for ahead in range(8))
    moments = (datetime.combine(day, at, local.tzinfo) for day in days if day.weekday() in weekdays)
    return next(each.astimezone(UTC) for each in moments if each > local)


def _read(at: str, now: datetime, zone: ZoneInfo) -> datetime:
    try:
        wall = datetime.fromisoformat(at)
    except ValueError:
        raise ClockError("Give the time as a date and a time of day.") from None
    if wall.tzinfo is not None:
        return wall.astimezone(UTC)
    # An hour that the clocks run through twice: the second one, once the first is over.
    both = (wall.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1))
    first, second = both
    return second if first < now <= second else first
