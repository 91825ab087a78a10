"""A Bot API server for benchmarks: as little work per call as possible, so that it limits nobody.

It keeps a queue of updates for each token, answers getUpdates with the platform's offset and
long-poll behaviour, and notes when each sendMessage arrived and what it said.
"""

from __future__ import annotations

import asyncio
import json
import re
import time
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import unquote_plus

_LENGTH = re.compile(rb"\r\ncontent-length: *(\d+)", re.IGNORECASE)
_OFFSET = re.compile(rb"(?:^|&)offset=(-?\d+)")
_TIMEOUT = re.compile(rb"(?:^|&)timeout=(\d+)")
_LIMIT = re.compile(rb"(?:^|&)limit=(\d+)")
_CHAT = re.compile(rb"(?:^|&)chat_id=(-?\d+)")
_TEXT = re.compile(rb"(?:^|&)text=([^&]*)")
MOST = 100


@dataclass
class Line:
    """What one bot is owed, and what it has sent."""

    token: str
    waiting: deque[tuple[int, bytes]] = field(default_factory=deque)
    sent: list[tuple[float, bytes]] = field(default_factory=list)
    polls: int = 0
    parked: tuple[_Connection, int, asyncio.TimerHandle] | None = None
    wanted: int = 0
    arrived: asyncio.Event = field(default_factory=asyncio.Event)

    def push(self, updates: Sequence[tuple[int, bytes]]) -> None:
        """Queue updates, by their ids, and wake the poll that waits for them."""
        self.waiting.extend(updates)
        if self.parked is not None and updates:
            connection, limit, timer = self.parked
            timer.cancel()
            self.parked = None
            connection.answer(self.batch(limit))

    def batch(self, limit: int) -> bytes:
        bodies = [body for _, body in list(self.waiting)[:limit]]
        return b"[" + b",".join(bodies) + b"]"

    def said(self) -> list[str]:
        """Return the texts sent so far."""
        return [
            unquote_plus(found[1].decode()) if (found := _TEXT.search(body)) else ""
            for _, body in self.sent
        ]

    async def sent_by(self, number: int, seconds: float) -> float:
        """Return when so many messages had been sent; raises TimeoutError."""
        self.wanted = number
        async with asyncio.timeout(seconds):
            while len(self.sent) < number:
                self.arrived.clear()
                await self.arrived.wait()
        return self.sent[number - 1][0]


class Server:
    """Serves any number of bots, each by its token."""

    def __init__(self) -> None:
        self.lines: dict[str, Line] = {}
        self._server: asyncio.Server | None = None
        self.url = ""

    async def start(self) -> None:
        loop = asyncio.get_running_loop()
        self._server = await loop.create_server(lambda: _Connection(self), "127.0.0.1", 0)
        self.url = f"http://127.0.0.1:{self._server.sockets[0].getsockname()[1]}"

    async def stop(self) -> None:
        if self._server is not None:
            self._server.close()

    def line(self, token: str) -> Line:
        return self.lines.setdefault(token, Line(token))


class _Connection(asyncio.Protocol):
    def __init__(self, server: Server) -> None:
        self._server = server
        self._got = b""
        self._transport: asyncio.Transport | None = None
        self._line: Line | None = None

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        assert isinstance(transport, asyncio.Transport)
        self._transport = transport

    def connection_lost(self, _: Exception | None) -> None:
        self._transport = None
        line = self._line
        if line is not None and line.parked is not None and line.parked[0] is self:
            line.parked[2].cancel()
            line.parked = None

    def data_received(self, data: bytes) -> None:
        self._got += data
        end = self._got.find(b"\r\n\r\n")
        if end < 0:
            return
        head = self._got[:end]
        length = int(found[1]) if (found := _LENGTH.search(head)) else 0
        if len(self._got) < end + 4 + length:
            return
        body = self._got[end + 4 : end + 4 + length]
        self._got = self._got[end + 4 + length :]
        _, token, method = head.split(b" ", 2)[1].rsplit(b"/", 2)
        self._serve(self._server.line(token.removeprefix(b"bot").decode()), method, body)

    def _serve(self, line: Line, method: bytes, body: bytes) -> None:
        if method == b"getUpdates":
            self._poll(line, body)
        elif method == b"sendMessage":
            chat = found[1].decode() if (found := _CHAT.search(body)) else "1"
            line.sent.append((time.perf_counter(), body))
            if len(line.sent) >= line.wanted:
                line.arrived.set()
            self.answer(
                b'{"message_id":%d,"date":1791363600,"chat":{"id":%s,"type":"private"},"text":"x"}'
                % (len(line.sent), chat.encode())
            )
        elif method == b"getMe":
            number = line.token.partition(":")[0]
            me: dict[str, Any] = {"id": int(number), "is_bot": True, "first_name": "Bench"}
            self.answer(json.dumps(me | {"username": f"bench{number}_bot"}).encode())
        else:
            self.answer(b"true")

    def _poll(self, line: Line, body: bytes) -> None:
        line.polls += 1
        self._line = line
        offset = int(found[1]) if (found := _OFFSET.search(body)) else 0
        limit = int(found[1]) if (found := _LIMIT.search(body)) else MOST
        while line.waiting and line.waiting[0][0] < offset:
            line.waiting.popleft()
        seconds = int(found[1]) if (found := _TIMEOUT.search(body)) else 0
        if line.waiting or not seconds:
            self.answer(line.batch(limit))
            return
        timer = asyncio.get_running_loop().call_later(seconds, self._nothing, line)
        line.parked = (self, limit, timer)

    def _nothing(self, line: Line) -> None:
        line.parked = None
        self.answer(b"[]")

    def answer(self, result: bytes) -> None:
        if self._transport is None:
            return
        body = b'{"ok":true,"result":' + result + b"}"
        self._transport.write(
            b"HTTP/1.1 200 OK\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n"
            % len(body)
            + body
        )
