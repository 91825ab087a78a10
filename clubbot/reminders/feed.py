"""Fetches the schools' calendars: a stranger's server, which may be slow, huge or lying.

Only public addresses are connected to. A name is looked up once and the connection goes to the
very address that was checked, so that a name that answers differently the second time gains
nothing. The same holds for each redirect.
"""

from __future__ import annotations

import asyncio
import logging
import socket
import ssl
import zlib
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass

import httpx

from clubbot.reminders.feed_apart import read_apart
from clubbot.rules.feeds import FeedCopy, FeedToFetch, Fetched, Trouble, Unchanged
from clubbot.rules.feeds.address import loopback, public, read_address

log = logging.getLogger(__name__)

LOOK_EVERY = 60.0
"""Seconds between two looks at what is due."""
REST = 0.5
REDIRECTS = 3
ADDRESSES = 3
"""How many of a name's addresses are tried, one after the other."""
_HEADERS = {
    "Accept": "text/calendar, text/plain;q=0.5, */*;q=0.1",
    "Accept-Encoding": "identity",
    "User-Agent": "clubbot",
}
_MOVED = (301, 302, 303, 307, 308)


@dataclass(frozen=True, slots=True)
class Limits:
    """Seconds for the whole fetching and for connecting, bytes of a calendar, seconds of reading.

    The 1 MB is a calendar of about five thousand entries, which takes three seconds on a usual
    computer and several times that on a small one.
    """

    seconds: float = 30.0
    connecting: float = 5.0
    size: int = 1_000_000
    reading: float = 60.0


LIMITS = Limits()


@dataclass(frozen=True, slots=True)
class FeedWork:
    """What is to be done beside the fetching; both may wait for the database, in a thread.

    `due` names the calendars to fetch now, `take_in` writes down what came of one and sees to it
    that it isn't due again at once; `after` is called when something was taken in; `outage` is
    what the first two raise while the database can't be used.
    """

    due: Callable[[], Sequence[FeedToFetch]]
    take_in: Callable[[FeedToFetch, Fetched], None]
    after: Callable[[], None]
    outage: type[Exception]


class Feeds:
    """Fetches what is due, one calendar after the other."""

    def __init__(
        self, work: FeedWork, *, allow_loopback: bool = False, limits: Limits = LIMITS
    ) -> None:
        self._work = work
        self._allow_loopback = allow_loopback
        self._limits = limits
        self._woken = asyncio.Event()
        self._passing = asyncio.Lock()

    def nudge(self) -> None:
        """Look at once: somebody may have set an address just now."""
        self._woken.set()

    async def run(self) -> None:
        """Fetch what is due for as long as the bot runs."""
        while True:
            self._woken.clear()
            try:
                await self.settle()
            except self._work.outage as error:
                log.error("Calendars wait: %s", error)
            except Exception:
                log.exception("A calendar could not be taken in; the next look tries again")
            await asyncio.sleep(REST)
            with suppress(TimeoutError):
                async with asyncio.timeout(LOOK_EVERY):
                    await self._woken.wait()

    async def settle(self) -> None:
        """Fetch all that is due now, and return when it is taken in."""
        async with self._passing:
            for wanted in await asyncio.to_thread(self._work.due):
                fetched = await fetch(
                    wanted, allow_loopback=self._allow_loopback, limits=self._limits
                )
                await asyncio.to_thread(self._work.take_in, wanted, fetched)
                self._work.after()


class _No(Exception):
    """The fetching ends here, with this trouble."""

    def __init__(self, trouble: Trouble) -> None:
        super().__init__(trouble)
        self.trouble = trouble


async def fetch(
    wanted: FeedToFetch, *, allow_loopback: bool = False, limits: Limits = LIMITS
) -> Fetched:
    """Fetch a calendar and read it, or say what the trouble is; it never raises for the server's.

    `allow_loopback` is for a demo or test whose school is on this machine.
    """
    try:
        async with asyncio.timeout(limits.seconds):
            answer = await _get(wanted, allow_loopback, limits)
    except _No as no:
        return no.trouble
    except (TimeoutError, httpx.TimeoutException):
        return Trouble.SLOW
    except (httpx.TransportError, httpx.InvalidURL, OSError, ValueError):
        return Trouble.NOT_REACHED
    if answer is None:
        return Unchanged()
    text = answer.body.decode("utf-8-sig", errors="replace")
    read = await read_apart(text, wanted.zone, wanted.today, seconds=limits.reading)
    if isinstance(read, Trouble):
        return read
    return FeedCopy(read, answer.etag, answer.last_modified)


@dataclass(frozen=True, slots=True)
class _Body:
    body: bytes
    etag: str
    last_modified: str


async def _get(wanted: FeedToFetch, allow_loopback: bool, limits: Limits) -> _Body | None:
    """Return what the address leads to, or None where the copy that stands is the newest."""
    headers = dict(_HEADERS)
    conditional = bool(wanted.etag or wanted.last_modified)
    if wanted.etag:
        headers["If-None-Match"] = wanted.etag
    if wanted.last_modified:
        headers["If-Modified-Since"] = wanted.last_modified
    address = wanted.url
    for _ in range(REDIRECTS + 1):
        async with await _client(address, limits) as client:
            response = await _ask(client, address, headers, allow_loopback)
            try:
                if response.status_code not in _MOVED:
                    return await _body(response, limits.size, conditional=conditional)
                address = _next(address, response)
            finally:
                await response.aclose()
    raise _No(Trouble.REDIRECTS)


async def _client(address: str, limits: Limits) -> httpx.AsyncClient:
    """Return a client for one address: what one server sets, another doesn't see."""
    if httpx.URL(address).scheme == "https":
        certificates = await asyncio.to_thread(httpx.create_ssl_context)
    else:
        certificates = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)  # trusts nobody, and is made fast
    timeout = httpx.Timeout(limits.seconds, connect=limits.connecting)
    # Neither a proxy nor a password file of this machine is for a stranger's address.
    return httpx.AsyncClient(verify=certificates, timeout=timeout, trust_env=False)


def _next(address: str, response: httpx.Response) -> str:
    to = response.headers.get("location", "")
    found = read_address(str(httpx.URL(address).join(to))) if to else None
    if found is None:
        raise _No(Trouble.REDIRECTS)
    return found.url


async def _ask(
    client: httpx.AsyncClient, address: str, headers: dict[str, str], allow_loopback: bool
) -> httpx.Response:
    """Send a request to the first of a name's addresses that answers, once all were checked."""
    url = httpx.URL(address)
    name = url.raw_host.decode("ascii")
    found = await _look_up(name, url.port or (443 if url.scheme == "https" else 80))
    if not all(public(each) or (allow_loopback and loopback(each)) for each in found):
        raise _No(Trouble.NOT_PUBLIC)
    failed: Exception | None = None
    for each in found[:ADDRESSES]:
        request = client.build_request(
            "GET",
            url.copy_with(host=each),
            headers={**headers, "Host": url.netloc.decode("ascii")},
            extensions={"sni_hostname": name},
        )
        try:
            return await client.send(request, stream=True, follow_redirects=False)
        except (httpx.ConnectError, httpx.ConnectTimeout) as error:
            failed = error
    raise failed or _No(Trouble.NOT_REACHED)


async def _look_up(name: str, port: int) -> list[str]:
    loop = asyncio.get_running_loop()
    found = await loop.getaddrinfo(name.strip("[]"), port, type=socket.SOCK_STREAM)
    return list(dict.fromkeys(str(each[4][0]) for each in found))


async def _body(response: httpx.Response, most: int, *, conditional: bool) -> _Body | None:
    status = response.status_code
    if status == 304 and conditional:
        return None
    if status != 200:
        if status in (404, 410):
            raise _No(Trouble.MISSING)
        raise _No(Trouble.REFUSED if 400 <= status < 500 else Trouble.SERVER)
    if int(response.headers.get("content-length") or 0) > most:
        raise _No(Trouble.TOO_BIG)
    raw = bytearray()
    async for piece in response.aiter_raw():
        raw += piece
        if len(raw) > most:
            raise _No(Trouble.TOO_BIG)
    return _Body(
        _unpacked(bytes(raw), response.headers.get("content-encoding", "identity"), most),
        _short(response.headers.get("etag", ""), 200),
        _short(response.headers.get("last-modified", ""), 60),
    )


def _unpacked(raw: bytes, encoding: str, most: int) -> bytes:
    """Undo a packing that wasn't asked for, but never further than to the largest size."""
    if encoding.strip().lower() in ("identity", ""):
        return raw
    try:
        body = zlib.decompressobj(wbits=47).decompress(raw, most + 1)
    except zlib.error:
        raise _No(Trouble.NOT_A_CALENDAR) from None
    if len(body) > most:
        raise _No(Trouble.TOO_BIG)
    return body


def _short(value: str, most: int) -> str:
    return value if len(value) <= most and value.isascii() else ""
