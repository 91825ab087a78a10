"""The charge plan as a picture: a row a bay, lots over time, only the hours that are used.

Nothing is said by colour alone: each bar carries its kit's label; one that is to be resumed has an
open right end, what is on already is hatched.
"""

from __future__ import annotations

import io
from datetime import datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from clubbot.rules.model import Window
from clubbot.rules.results import ChargeStep, ChargeSteps

if TYPE_CHECKING:
    from PIL.ImageDraw import ImageDraw

WIDTH = 1080
"""Pixels: sharp on a phone held upright."""
LEFT, RIGHT, TOP, ROW, FOOT, GAP = 130, 30, 150, 64, 70, 26
INK, PAPER, LINE, FILL = "#1a1a1a", "#ffffff", "#b8b8b8", "#d8e3ee"
MOST_SPANS = 4
"""More stretches of time than this are not shown: their words say the rest."""
_APART = timedelta(minutes=30)


def charge_picture(plan: ChargeSteps, zone: ZoneInfo) -> bytes:
    """Return the PNG of a plan that has something to put on."""
    from PIL import Image, ImageDraw

    spans = _spans([each.window for each in plan.steps])[:MOST_SPANS]
    steps = [each for each in plan.steps if each.window.start < spans[-1].end]
    lanes = sorted({each.bay for each in steps if not each.own} | {o.bay for o in plan.on if o.bay})
    rows = [f"bay {bay}" for bay in lanes]
    own = [each.kit.label for each in steps if each.own]
    rows += [f"tablet {label}" for label in dict.fromkeys(own)]
    height = TOP + ROW * max(1, len(rows)) + FOOT
    image = Image.new("RGB", (WIDTH, height), PAPER)
    sheet = _Sheet(ImageDraw.Draw(image), spans, zone, height)
    sheet.frame(rows, len(spans) < len(_spans([each.window for each in plan.steps])))
    for each in steps:
        row = rows.index(f"tablet {each.kit.label}" if each.own else f"bay {each.bay}")
        sheet.bar(row, each)
    for on in plan.on:
        if not on.own and on.until > spans[0].start:
            sheet.taken(rows.index(f"bay {on.bay}"), on.kit.label, on.until)
    made = io.BytesIO()
    image.convert("P", palette=Image.Palette.ADAPTIVE, colors=32).save(made, "PNG", optimize=True)
    return made.getvalue()


def _spans(windows: list[Window]) -> list[Window]:
    """Return the stretches of time in which anything is on, those close together as one."""
    found: list[Window] = []
    for window in sorted(windows):
        if found and window.start - found[-1].end < _APART:
            found[-1] = Window(found[-1].start, max(found[-1].end, window.end))
        else:
            found.append(window)
    return found


class _Sheet:
    """The drawing: each stretch of time has a width by its length, with a gap between two."""

    def __init__(self, draw: ImageDraw, spans: list[Window], zone: ZoneInfo, height: int) -> None:
        self._draw, self._spans, self._zone, self._height = draw, spans, zone, height
        room = WIDTH - LEFT - RIGHT - GAP * (len(spans) - 1)
        lengths = [max(40.0, span.length / timedelta(minutes=1)) for span in spans]
        self._scale = [room * length / sum(lengths) for length in lengths]

    def _left(self, number: int) -> float:
        return LEFT + sum(self._scale[:number]) + GAP * number

    def _x(self, at: datetime) -> float:
        for number, span in enumerate(self._spans):
            if at <= span.end:
                part = max(0.0, (at - span.start) / span.length)
                return self._left(number) + part * self._scale[number]
        return WIDTH - RIGHT

    def _text(self, at: tuple[float, float], text: str, size: int, anchor: str = "la") -> None:
        from PIL import ImageFont

        self._draw.text(at, text, INK, ImageFont.load_default(size), anchor)

    def frame(self, rows: list[str], more: bool) -> None:
        """Draw the title, a row each, each stretch's day and its first and last time."""
        self._text((LEFT, 20), "What goes on the chargers", 38)
        bottom = self._height - FOOT
        for number, span in enumerate(self._spans):
            left, right = self._left(number), self._left(number) + self._scale[number]
            start, end = span.start.astimezone(self._zone), span.end.astimezone(self._zone)
            self._draw.rectangle((left, TOP, right, bottom), outline=LINE, width=2)
            self._text((left, TOP - 66), f"{start:%a} {start.day} {start:%b}", 26)
            self._text((left, TOP - 34), f"{start:%H:%M}", 24)
            if self._scale[number] > 170:
                self._text((right, TOP - 34), f"{end:%H:%M}", 24, "ra")
        for place, name in enumerate(rows):
            y = TOP + place * ROW
            self._draw.line((LEFT, y + ROW, WIDTH - RIGHT, y + ROW), LINE, 1)
            self._text((LEFT - 14, y + ROW / 2), name[:9], 28, "rm")
        words = "Open at the right: to be resumed. Hatched: on now."
        self._text((LEFT, self._height - 44), words + (" More later." if more else ""), 24)

    def bar(self, row: int, step: ChargeStep) -> None:
        """Draw a charge with its label; its right side stays open where it is to be resumed."""
        left, right = self._x(step.window.start), self._x(step.window.end)
        top, bottom = TOP + row * ROW + 8, TOP + (row + 1) * ROW - 8
        self._draw.rectangle((left + 2, top, right - 2, bottom), FILL)
        self._draw.line((left + 2, top, right - 2, top), INK, 3)
        self._draw.line((left + 2, bottom, right - 2, bottom), INK, 3)
        self._draw.line((left + 2, top, left + 2, bottom), INK, 3)
        if step.last:
            self._draw.line((right - 2, top, right - 2, bottom), INK, 3)
        room = max(1, int((right - left - 8) // 17))
        end = step.window.end.astimezone(self._zone)
        whole = f"{step.kit.label} to {end:%H:%M}"
        text = whole if len(whole) <= room else step.kit.label[: max(1, room)]
        self._text(((left + right) / 2, (top + bottom) / 2), text, 28, "mm")

    def taken(self, row: int, label: str, until: datetime) -> None:
        """Draw what is on already, hatched, up to its end."""
        left, right = float(LEFT), max(self._x(until), LEFT + 30.0)
        top, bottom = TOP + row * ROW + 8, TOP + (row + 1) * ROW - 8
        for start in range(int(left), int(right), 14):
            self._draw.line((start, bottom, min(start + 24, right), top), LINE, 3)
        self._draw.rectangle((left, top, right, bottom), outline=INK, width=3)
        self._text(((left + right) / 2, (top + bottom) / 2), label[:7], 28, "mm")
