"""How a story is printed: time, who and where in the margin, what was said beside it."""

from __future__ import annotations

import shutil
import textwrap
from collections.abc import Callable, Iterable
from datetime import datetime

MARGIN, NAME, NARROWEST, WIDEST = 7, 15, 60, 96


class Teller:
    """Prints a conversation, line by line, as wide as the terminal allows."""

    def __init__(self, show: Callable[[str], None] = print) -> None:
        self._show = show
        columns = shutil.get_terminal_size((80, 24)).columns
        self._width = max(NARROWEST, min(WIDEST, columns - 1))
        self._day = ""

    def heading(self, text: str) -> None:
        """Print a heading."""
        self._show(f"\n{text}\n{'=' * len(text)}")
        self._day = ""

    def line(self, text: str = "") -> None:
        """Print a line as it is."""
        self._show(text)

    def said(
        self, at: datetime, who: str, where: str, text: str, buttons: Iterable[list[str]] = ()
    ) -> None:
        """Print what somebody said; `at` is local time, `where` stands under the name."""
        if (day := f"{at:%A} {at.day} {at:%B}") != self._day:
            self._day = day
            self._show(f"\n{day}")
        body = [piece for line in text.splitlines() for piece in self._wrapped(line)]
        body += ["  ".join(f"[{each}]" for each in row) for row in buttons]
        margin = [(f"{at:%H:%M}", who), *[("", piece) for piece in textwrap.wrap(where, NAME - 2)]]
        rows = max(len(margin), len(body))
        margin += [("", "")] * (rows - len(margin))
        body += [""] * (rows - len(body))
        for (time, name), words in zip(margin, body, strict=True):
            self._show(f"{time:<{MARGIN}}{name:<{NAME}}{words}".rstrip())

    def _wrapped(self, line: str) -> list[str]:
        return textwrap.wrap(
            line, self._width - MARGIN - NAME, subsequent_indent="  " if line[:1] in "•" else ""
        ) or [""]
