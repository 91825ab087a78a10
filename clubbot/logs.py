"""What the log may say: times in UTC, and never the bot's token, whoever writes it."""

from __future__ import annotations

import logging
import re
import sys
import time

ANY_TOKEN = re.compile(r"\d{6,}:[A-Za-z0-9_-]{30,}")
HIDDEN = "<token>"

_QUIETER = {
    "httpx": logging.WARNING,  # writes each address at INFO, and the token is part of it
    "httpcore": logging.WARNING,
    "apscheduler": logging.WARNING,
    "telegram.request": logging.CRITICAL,  # repeats whole answers; clubbot says what went wrong
    "telegram.ext": logging.WARNING,
    "aiohttp": logging.WARNING,
    "alembic": logging.WARNING,
}


class Discreet(logging.Formatter):
    """Writes a record, its traceback included, without tokens."""

    converter = staticmethod(time.gmtime)

    def __init__(self, token: str) -> None:
        super().__init__("%(asctime)sZ %(levelname)s %(name)s: %(message)s", "%Y-%m-%dT%H:%M:%S")
        self._token = token

    def format(self, record: logging.LogRecord) -> str:
        return without_token(super().format(record), self._token)


def without_token(text: str, token: str = "") -> str:
    """Return a text in which this token, and anything of a token's shape, is hidden."""
    if token:
        text = text.replace(token, HIDDEN)
    return ANY_TOKEN.sub(HIDDEN, text)


def set_up(token: str) -> None:
    """Send the log of this process to standard error, warnings of libraries included."""
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(Discreet(token))
    root = logging.getLogger()
    root.handlers[:] = [handler]
    root.setLevel(logging.INFO)
    for name, level in _QUIETER.items():
        logging.getLogger(name).setLevel(level)
    logging.captureWarnings(True)
