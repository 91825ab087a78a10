"""Run times as pictures: a bar for each battery of a test, or one battery through the months.

Nothing is said by colour alone: what a week needs is a dashed line with its number, a bar that
falls short of it is hatched, a test is a cross, and every bar ends in its minutes.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

from clubbot.rules.results import BatteryHealth, RunTimes, TestDayOver

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw

WIDTH = 1080
"""Pixels: sharp on a phone held upright."""
LEFT, RIGHT, TOP, ROW, FOOT = 150, 130, 130, 58, 120
HEIGHT, END = 760, WIDTH - 150
INK, PAPER, LINE, FILL = "#1a1a1a", "#ffffff", "#b8b8b8", "#d8e3ee"


def test_picture(result: TestDayOver) -> bytes:
    """Return the PNG of a test's result: the longest first, with the need and the last test."""
    runs = [run for each in result.lines for run in (each.run, each.before) if run is not None]
    most = max([result.need, *(run.minutes for run in runs)])
    image, draw = _sheet(TOP + ROW * len(result.lines) + FOOT)
    scale = _Scale(LEFT, WIDTH - RIGHT, 0, most * 1.04)
    _text(draw, (LEFT, 22), "Minutes from full to the end", 36)
    for place, line in enumerate(result.lines):
        top = TOP + place * ROW
        _text(draw, (LEFT - 16, top + ROW / 2), line.kit.label[:7], 32, "rm")
        run = line.run
        box = (LEFT, top + 9, scale.at(run.minutes), top + ROW - 9)
        _bar(draw, box, hatched=run.ended and run.minutes < result.need, ended=run.ended)
        more = "" if run.ended else "+"
        _text(draw, (WIDTH - RIGHT + 14, top + ROW / 2), f"{run.minutes}{more}", 30, "lm")
        if line.before is not None:
            x = scale.at(line.before.minutes)
            draw.line((x, top + 4, x, top + ROW - 4), INK, 5)
    bottom = TOP + ROW * len(result.lines)
    _need_across(draw, scale.at(result.need), bottom, result.need)
    _text(draw, (LEFT - 110, bottom + 44), "Hatched: below what a week needs (dashed).", 26)
    open_end = "" if all(each.run.ended for each in result.lines) else " Open, +: still running."
    _text(draw, (LEFT - 110, bottom + 78), f"Upright stroke: the test before.{open_end}", 26)
    return _png(image)


def fleet_picture(result: RunTimes) -> bytes:
    """Return the PNG of what is believed of every battery: its range with the middle as a dot."""
    most = max([result.need, *(each.run[2] for each in result.lines)])
    image, draw = _sheet(TOP + ROW * len(result.lines) + FOOT)
    scale = _Scale(LEFT, WIDTH - RIGHT, 0, most * 1.04)
    _text(draw, (LEFT, 22), "Minutes of driving from full, as believed", 36)
    for place, line in enumerate(result.lines):
        y = TOP + place * ROW + ROW / 2
        _text(draw, (LEFT - 16, y), line.kit.label[:7], 32, "rm")
        low, middle, high = (scale.at(each) for each in line.run)
        box = (low, y - 15, max(high, low + 6), y + 15)
        _bar(draw, box, hatched=line.verdict in ("weak", "short uses"))
        draw.ellipse((middle - 8, y - 8, middle + 8, y + 8), INK)
        _text(draw, (WIDTH - RIGHT + 10, y), f"{line.run[0]}-{line.run[2]}", 26, "lm")
    bottom = TOP + ROW * len(result.lines)
    _need_across(draw, scale.at(result.need), bottom, result.need)
    _text(draw, (LEFT - 110, bottom + 44), "Bar: four times in five in here. Dot: the middle.", 26)
    _text(draw, (LEFT - 110, bottom + 78), "Hatched: almost surely below the need (dashed).", 26)
    return _png(image)


def health_picture(result: BatteryHealth) -> bytes:
    """Return the PNG of one battery's run time through the months, beside the others'."""
    image, draw = _sheet(HEIGHT)
    highs = [each[3] for each in result.months] + [run.minutes for _, run in result.tests]
    most = max([result.need, *highs, *(result.others or ())]) * 1.1
    up = _Scale(HEIGHT - 190, 100, 0, most)
    number = len(result.months)
    across = _Scale(LEFT + 40, END - 60, 0, max(1, number - 1))
    _text(draw, (40, 22), f"Battery of {result.kit.label[:7]}: minutes from full", 36)
    for minutes in range(0, int(most) + 1, 20 if most < 200 else 60):
        y = up.at(minutes)
        draw.line((LEFT, y, END, y), LINE, 1)
        _text(draw, (LEFT - 14, y), str(minutes), 26, "rm")
    if result.others is not None:
        for bound in (result.others[0], result.others[2]):
            draw.line((LEFT, up.at(bound), END, up.at(bound)), INK, 2)
        _text(draw, (END + 10, up.at(sum(result.others[::2]) / 2)), "others", 26, "lm")
    _dashed(draw, (LEFT, END), up.at(result.need), across=True)
    _text(draw, (END + 10, up.at(result.need)), f"need {result.need}", 26, "lm")
    for place, (day, low, middle, high) in enumerate(result.months):
        x = across.at(place)
        _bar(draw, (x - 14, up.at(high), x + 14, up.at(low)), hatched=high < result.need)
        draw.ellipse((x - 8, up.at(middle) - 8, x + 8, up.at(middle) + 8), INK)
        if number <= 7 or place % 2 == number % 2 or place == number - 1:
            _text(draw, (x, HEIGHT - 170), f"{day:%b}", 26, "mt")
    for place, run in result.tests:
        _mark(draw, across.at(place) + 22, up.at(run.minutes), ended=run.ended)
    _text(draw, (40, HEIGHT - 112), "Bar: four times in five in here. Dot: the middle.", 26)
    arrow = "" if all(run.ended for _, run in result.tests) else " (arrow: still running)"
    _text(draw, (40, HEIGHT - 78), f"Cross: a test{arrow}. Dashed: what a week needs.", 26)
    _text(draw, (40, HEIGHT - 44), "Hatched: almost surely below it. Lines: the others' range.", 26)
    return _png(image)


class _Scale:
    """Values to pixels."""

    def __init__(self, first: float, last: float, least: float, most: float) -> None:
        self._first, self._least = first, least
        self._each = (last - first) / ((most - least) or 1)

    def at(self, value: float) -> float:
        return self._first + (value - self._least) * self._each


def _sheet(height: int) -> tuple[Image, ImageDraw]:
    from PIL import Image, ImageDraw

    image = Image.new("RGB", (WIDTH, height), PAPER)
    return image, ImageDraw.Draw(image)


def _png(image: Image) -> bytes:
    from PIL import Image as images

    made = io.BytesIO()
    small = image.convert("P", palette=images.Palette.ADAPTIVE, colors=32)
    small.save(made, "PNG", optimize=True)
    return made.getvalue()


def _text(
    draw: ImageDraw, at: tuple[float, float], text: str, size: int, anchor: str = "la"
) -> None:
    from PIL import ImageFont

    draw.text(at, text, INK, ImageFont.load_default(size), anchor)


def _mark(draw: ImageDraw, x: float, y: float, *, ended: bool) -> None:
    """Draw a test: a cross where it stopped, an arrow up where it still ran."""
    if ended:
        for sign in (1, -1):
            draw.line((x - 12, y - 12 * sign, x + 12, y + 12 * sign), INK, 5)
        return
    draw.line((x, y, x, y - 30), INK, 5)
    draw.line((x - 12, y - 18, x, y - 30, x + 12, y - 18), INK, 5)


def _bar(
    draw: ImageDraw,
    box: tuple[float, float, float, float],
    *,
    hatched: bool,
    ended: bool = True,
) -> None:
    """Draw a bar; one that isn't `ended` is open to the right."""
    left, top, right, bottom = box
    draw.rectangle(box, PAPER if hatched else FILL)
    if hatched:
        tall = bottom - top
        for start in range(int(left - tall), int(right), 11):
            first, last = max(start, left), min(start + tall, right)
            if last - first > 1:
                ends = (first, bottom - (first - start), last, bottom - (last - start))
                draw.line(ends, INK, 2)
    if ended:
        draw.rectangle(box, outline=INK, width=3)
    else:
        draw.line((right, top, left, top, left, bottom, right, bottom), INK, 3)


def _need_across(draw: ImageDraw, x: float, bottom: float, need: int) -> None:
    _dashed(draw, (TOP - 12, bottom), x, across=False)
    _text(draw, (x, TOP - 18), f"need {need}", 26, "ms")


def _dashed(draw: ImageDraw, ends: tuple[float, float], where: float, *, across: bool) -> None:
    for start in range(int(ends[0]), int(ends[1]), 18):
        stop = min(start + 10, ends[1])
        box = (start, where, stop, where) if across else (where, start, where, stop)
        draw.line(box, INK, 3)
