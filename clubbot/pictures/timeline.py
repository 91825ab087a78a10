"""What is free, as a picture: a row a kit, a day or a week across, hatched where it is promised.

Nothing is said by colour alone: promised spans are hatched, kits that can't be used are crossed
out and say so. Whose a booking is isn't shown.
"""

from __future__ import annotations

import io
from datetime import datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from clubbot.rules.model import Window
from clubbot.rules.results import Timeline

if TYPE_CHECKING:
    from PIL.ImageDraw import ImageDraw

WIDTH = 1080
"""Pixels: sharp on a phone held upright."""
LEFT, RIGHT, TOP, ROW, BOTTOM = 120, 50, 130, 56, 60
INK, PAPER, LINE, BUSY = "#1a1a1a", "#ffffff", "#b8b8b8", "#3d5a80"
HATCH = 12
WEEK_HOURS = (7, 21)
"""The hours of each day that a week's picture shows."""


def timeline(what: Timeline, zone: ZoneInfo) -> bytes:
    """Return the PNG of a day or a week in the club's own time."""
    from PIL import Image, ImageDraw

    height = TOP + ROW * max(len(what.kits), 1) + BOTTOM
    image = Image.new("RGB", (WIDTH, height), PAPER)
    sheet = _Sheet(ImageDraw.Draw(image), what, zone)
    sheet.title()
    sheet.grid(height)
    for place, kit in enumerate(what.kits):
        sheet.row(place, kit.label, what.unusable.get(kit.id, ""))
        for window in what.busy.get(kit.id, ()):
            sheet.bar(place, window)
    sheet.legend(height)
    made = io.BytesIO()
    image.convert("P", palette=Image.Palette.ADAPTIVE, colors=64).save(made, "PNG", optimize=True)
    return made.getvalue()


class _Sheet:
    """The drawing: instants to pixels, rows from the top."""

    def __init__(self, draw: ImageDraw, what: Timeline, zone: ZoneInfo) -> None:
        self._draw = draw
        self._zone = zone
        self._start = what.window.start.astimezone(zone)
        self._last = (what.window.end - timedelta(minutes=1)).astimezone(zone)
        self._days = (self._last.date() - self._start.date()).days + 1
        self._hours = (self._start.hour, self._last.hour + 1) if self._days == 1 else WEEK_HOURS

    def _x(self, instant: datetime) -> float:
        """Return where an instant is: of each day only the hours shown have a width."""
        local = instant.astimezone(self._zone)
        day = (local.date() - self._start.date()).days
        first, last = self._hours
        part = (local.hour + local.minute / 60 - first) / (last - first)
        across = (min(max(part, 0.0), 1.0) + day) / self._days
        return LEFT + (WIDTH - LEFT - RIGHT) * min(max(across, 0.0), 1.0)

    def _text(self, at: tuple[float, float], text: str, size: int, anchor: str = "la") -> None:
        from PIL import ImageFont

        self._draw.text(at, text, INK, ImageFont.load_default(size), anchor)

    def title(self) -> None:
        first, last = self._start, self._last
        day = f"{first:%A} {first.day} {first:%B}"
        if self._days > 1:
            day = f"{first.day} {first:%B} to {last.day} {last:%B}"
        self._text((LEFT, 24), f"What is free: {day}", 38)

    def grid(self, height: int) -> None:
        """Draw a line and a time every two hours, or a column with its name for every day."""
        width = WIDTH - LEFT - RIGHT
        first, last = self._hours
        steps = self._days if self._days > 1 else (last - first) // 2
        for step in range(steps + 1):
            x = LEFT + width * step / steps
            self._draw.line((x, TOP - 8, x, height - BOTTOM), LINE, 2)
            if self._days == 1:
                self._text((x, TOP - 14), f"{first + 2 * step:02}:00", 26, "ms")
            elif step < steps:
                day = self._start + timedelta(days=step)
                self._text((x + width / steps / 2, TOP - 14), f"{day:%a} {day.day}", 26, "ms")

    def row(self, place: int, label: str, unusable: str) -> None:
        """Draw a kit's row; one that can't be used is struck through and says so."""
        y = TOP + place * ROW
        self._draw.line((LEFT, y + ROW, WIDTH - RIGHT, y + ROW), LINE, 1)
        self._text((LEFT - 20, y + ROW / 2), label[:7], 34, "rm")
        if unusable:
            middle = y + ROW / 2
            self._draw.line((LEFT, middle, WIDTH - RIGHT, middle), INK, 3)
            self._draw.rectangle((LEFT + 12, middle - 18, LEFT + 150, middle + 18), PAPER)
            self._text((LEFT + 20, middle), unusable, 26, "lm")

    def bar(self, place: int, window: Window) -> None:
        """Draw a promised span, hatched from corner to corner."""
        left = self._x(window.start)
        right = max(self._x(window.end), left + 8)
        top, bottom = TOP + place * ROW + 8, TOP + (place + 1) * ROW - 8
        for start in range(int(left) - (bottom - top), int(right), HATCH):
            first, last = max(start, left), min(start + bottom - top, right)
            if last - first > 2:
                ends = (first, bottom - (first - start), last, bottom - (last - start))
                self._draw.line(ends, BUSY, 3)
        self._draw.rectangle((left, top, right, bottom), outline=INK, width=3)

    def legend(self, height: int) -> None:
        self._text((LEFT, height - 40), "Hatched: promised. Blank: free. Struck: not in use.", 26)
