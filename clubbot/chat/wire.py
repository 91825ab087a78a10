"""One call to the platform and its answer, over connections that are kept open.

The library's own way takes about twice as long for a call; aiohttp's client is quick enough that
what the bot adds to a bare one doesn't cost more than a call.
"""

from __future__ import annotations

import ssl
from typing import Any

import aiohttp
from telegram._utils.defaultvalue import DefaultValue
from telegram.error import NetworkError, TimedOut
from telegram.request import BaseRequest, RequestData

KEPT_OPEN = 5.0
"""Seconds without use, after which a connection is closed: before a server would do so."""

_DEFAULT = BaseRequest.DEFAULT_NONE
_FORM = {"Content-Type": "application/x-www-form-urlencoded"}


class NeverLeft(Exception):
    """There was no connection, so that the platform can't have done anything."""


class Wire(BaseRequest):
    """At most `connections` calls at once; all times are in seconds, per step and not in all."""

    def __init__(
        self,
        connections: int,
        *,
        certificates: ssl.SSLContext,
        proxy: str | None,
        connect: float,
        read: float,
    ) -> None:
        self._connections = connections
        self._certificates = certificates
        self._proxy = proxy
        self._connect = connect
        self._read = read
        self._client: aiohttp.ClientSession | None = None

    @property
    def read_timeout(self) -> float:
        """How long an answer may take, unless a call says otherwise."""
        return self._read

    async def initialize(self) -> None:
        """Be ready for calls."""
        if self._client is None:
            self._client = aiohttp.ClientSession(
                connector=aiohttp.TCPConnector(
                    limit=self._connections,
                    ssl=self._certificates,
                    keepalive_timeout=KEPT_OPEN,
                ),
                cookie_jar=aiohttp.DummyCookieJar(),
                headers={"User-Agent": self.USER_AGENT},
                proxy=self._proxy,
            )

    async def shutdown(self) -> None:
        """Close every connection."""
        if self._client is not None:
            await self._client.close()
            self._client = None

    async def do_request(
        self,
        url: str,
        method: str,
        request_data: RequestData | None = None,
        read_timeout: Any = _DEFAULT,
        write_timeout: Any = _DEFAULT,
        connect_timeout: Any = _DEFAULT,
        pool_timeout: Any = _DEFAULT,
    ) -> tuple[int, bytes]:
        """Return the status and the body of one answer.

        Raises TimedOut or NetworkError, caused by NeverLeft where the call surely wasn't made.
        """
        if self._client is None:
            raise RuntimeError("calls need initialize() first")
        connect = _or(connect_timeout, self._connect)
        times = aiohttp.ClientTimeout(
            connect=connect, sock_connect=connect, sock_read=_or(read_timeout, self._read)
        )
        try:
            async with self._client.request(
                method, url, **_body(request_data), timeout=times, allow_redirects=False
            ) as answer:
                return answer.status, await answer.read()
        except aiohttp.ConnectionTimeoutError:
            raise TimedOut("No connection in time") from NeverLeft()
        except (aiohttp.ClientConnectorError, aiohttp.ClientHttpProxyError) as error:
            raise NetworkError(_said(error)) from NeverLeft()
        except TimeoutError as error:
            raise TimedOut from error
        except (aiohttp.ClientError, OSError) as error:
            raise NetworkError(_said(error)) from error


def _or(asked: Any, usual: float) -> float | None:
    return usual if isinstance(asked, DefaultValue) else asked


def _body(request_data: RequestData | None) -> dict[str, Any]:
    if request_data is None:
        return {}
    if not request_data.contains_files:
        return {"data": request_data.url_encoded_parameters().encode(), "headers": _FORM}
    form = aiohttp.FormData()
    for name, value in request_data.json_parameters.items():
        form.add_field(name, value)
    for name, (filename, content, kind) in request_data.multipart_data.items():
        form.add_field(name, content, filename=filename, content_type=kind)
    return {"data": form}


def _said(error: Exception) -> str:
    """Return an error's kind and what the system says: some texts hold the address, and a token."""
    reason = getattr(error, "strerror", None)
    return f"{type(error).__name__}: {reason}" if reason else type(error).__name__
