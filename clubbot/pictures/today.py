"""A day's list as pages to print: a box to tick for going out, one for coming back.

It is in the same order as the list in chat. A4 and Letter both hold it: the margins are those of
the smaller in each direction.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from clubbot.rules.results import Today, TodayBooking

if TYPE_CHECKING:
    from PIL.Image import Image

DOTS = 150
"""Dots in an inch."""
WIDTH, HEIGHT = 1240, 1650
"""A4 is 1240 by 1754 dots, Letter 1275 by 1650."""
MARGIN, BOX = 90, 34
TITLE, HEAD, LABEL, TEXT = 44, 32, 40, 26
TODO = {
    "charge": "charge or swap it",
    "fetch": "fetch it",
    "look": "look at it",
    "swap": "swap it for another",
    "fill": "put the parts in",
    "plug": "plug the tablet in",
}


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the page; `boxes` are the words beside its boxes, `tall` its height in dots."""

    text: str
    size: int
    boxes: tuple[str, ...] = ()
    indent: int = 0
    tall: int = 48


def lines(what: Today, zone: ZoneInfo, club: str) -> Iterator[Line]:
    """Yield the lines of a day's list, in the order of the list in chat."""
    day = what.day
    yield Line(f"{club}: {day:%A} {day.day} {day:%B %Y}", TITLE, tall=80)
    if what.closed is not None:
        yield Line(f"No club. {what.closed}".strip(), TEXT)
    for each in what.todo:
        team = f", {each.team.name}" if each.team else ""
        text = f"{each.kit.label}{team}: {TODO[each.what]} ({_why(each.why)})"
        yield Line(text, TEXT, boxes=("",), indent=20)
    for session in what.sessions:
        start = session.session.window.start.astimezone(zone)
        end = session.session.window.end.astimezone(zone)
        adult = f", {session.adult}" if session.adult else ""
        yield Line(f"{start:%H:%M} to {end:%H:%M}{adult}", HEAD, tall=76)
        for booking in session.bookings:
            yield from _booking(booking)
    if what.others:
        yield Line("At other times", HEAD, tall=76)
        for booking in what.others:
            yield from _booking(booking)
    for label, why in what.not_usable:
        yield Line(f"{label}: {_why(why)}", TEXT)


def _why(why: str) -> str:
    """Return why a kit isn't ready, without what somebody typed: the page hangs in the room."""
    return why.partition(":")[0]


def _booking(each: TodayBooking) -> Iterator[Line]:
    booking = each.booking
    name = booking.team.name if booking.team else f"Booking {booking.number}"
    before = f"   (last time {each.changed[0]})" if each.changed else ""
    yield Line(f"{name}{before}", TEXT, tall=56)
    problems = dict(each.problems)
    for kit in booking.kits:
        why = f"   ! {_why(problems[kit.label])}" if kit.label in problems else ""
        yield Line(f"{kit.label}{why}", LABEL, boxes=("out", "back"), indent=40, tall=60)
    for _ in range(booking.count - len(booking.kits)):
        yield Line("____", LABEL, boxes=("out", "back"), indent=40, tall=60)


def page(what: Today, zone: ZoneInfo, club: str) -> bytes:
    """Return a PDF of as many pages as the list needs."""
    pages = list(_pages(list(lines(what, zone, club))))
    made = io.BytesIO()
    pages[0].save(
        made, "PDF", resolution=DOTS, save_all=True, append_images=pages[1:], title=f"{club}"
    )
    return made.getvalue()


def _pages(rows: list[Line]) -> Iterator[Image]:
    from PIL import Image, ImageDraw

    image = Image.new("L", (WIDTH, HEIGHT), 255)
    y = MARGIN
    for row in rows:
        if y + row.tall > HEIGHT - MARGIN:
            yield image
            image, y = Image.new("L", (WIDTH, HEIGHT), 255), MARGIN
        _draw(ImageDraw.Draw(image), row, y)
        y += row.tall
    yield image


def _draw(draw: object, row: Line, y: int) -> None:
    from PIL import ImageDraw, ImageFont

    assert isinstance(draw, ImageDraw.ImageDraw)  # noqa: S101 - named so for the type only
    x = MARGIN + row.indent
    middle = y + row.tall // 2
    for word in row.boxes:
        draw.rectangle((x, middle - BOX // 2, x + BOX, middle + BOX // 2), outline=0, width=3)
        x += BOX + 10
        if word:
            draw.text((x, middle), word, 0, ImageFont.load_default(22), "lm")
            x += 70
    font = ImageFont.load_default(row.size)
    text = row.text
    while text and draw.textlength(text, font) > WIDTH - MARGIN - x:
        text = text[:-2] + "\u2026" if len(text) > 2 else ""
    draw.text((x, middle), text, 0, font, "lm")
