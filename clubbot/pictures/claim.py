"""A letter to the supplier as pages to print or to send: text, facts in tables, stills."""

from __future__ import annotations

import io
import unicodedata
from collections.abc import Iterator, Sequence
from html import escape
from typing import TYPE_CHECKING

from clubbot.rules.claim_paper import ClaimPaper

if TYPE_CHECKING:
    from reportlab.lib.styles import PropertySet
    from reportlab.platypus import Flowable

MM = 72 / 25.4
MARGIN = 22 * MM
STILL = (80 * MM, 62 * MM)
"""The room for one still; two stand side by side."""
WIDTH = 210 * MM - 2 * MARGIN
LARGEST = 1200
"""Dots along a still's longer side: enough to see a crack, small enough to send."""


def page(paper: ClaimPaper, stills: Sequence[bytes]) -> bytes:
    """Return the PDF of a letter, on A4; stills that are no pictures are left out."""
    from reportlab.lib.pagesizes import A4
    from reportlab.platypus import SimpleDocTemplate

    made = io.BytesIO()
    document = SimpleDocTemplate(
        made,
        pagesize=A4,
        leftMargin=MARGIN,
        rightMargin=MARGIN,
        topMargin=MARGIN,
        bottomMargin=MARGIN,
        title=printable(paper.heading),
        invariant=1,
    )
    document.build(list(_flow(paper, stills)))
    return made.getvalue()


def _flow(paper: ClaimPaper, stills: Sequence[bytes]) -> Iterator[Flowable]:
    from reportlab.lib.styles import getSampleStyleSheet
    from reportlab.platypus import KeepTogether, Paragraph, Spacer

    styles = getSampleStyleSheet()
    body = styles["BodyText"]
    yield Paragraph(_marked(paper.heading), styles["Heading2"])
    for text in paper.before:
        yield Paragraph(_marked(text), body)
    for title, rows in paper.tables:
        yield KeepTogether([Paragraph(_marked(title), styles["Heading4"]), _table(rows, body)])
    yield Spacer(1, 4 * MM)
    yield KeepTogether([Paragraph(_marked(text), body) for text in paper.after])
    images = [image for content in stills if (image := _still(content)) is not None]
    if images:
        yield Spacer(1, 4 * MM)
        yield KeepTogether([Paragraph(_marked(paper.stills), styles["Heading4"]), _pairs(images)])


def _table(rows: Sequence[Sequence[str]], body: PropertySet) -> Flowable:
    from reportlab.lib import colors
    from reportlab.platypus import Paragraph, Table, TableStyle

    cells = [[Paragraph(_marked(cell), body) for cell in row] for row in rows]
    count = len(rows[0])
    first = 0.24 * WIDTH
    widths = [first, WIDTH - first] if count == 2 else [WIDTH / count] * count
    table = Table(cells, colWidths=widths, repeatRows=1, hAlign="LEFT")
    table.setStyle(
        TableStyle(
            [
                ("GRID", (0, 0), (-1, -1), 0.4, colors.grey),
                ("BACKGROUND", (0, 0), (-1, 0), colors.whitesmoke),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ]
        )
    )
    return table


def _pairs(images: Sequence[Flowable]) -> Flowable:
    from reportlab.platypus import Table

    rows = [list(images[place : place + 2]) for place in range(0, len(images), 2)]
    if len(rows[-1]) == 1 and len(rows) > 1:
        rows[-1].append("")  # type: ignore[arg-type]
    return Table(rows, hAlign="LEFT")


def _still(content: bytes) -> Flowable | None:
    from PIL import Image, ImageOps, UnidentifiedImageError
    from reportlab.platypus import Image as Picture

    try:
        with Image.open(io.BytesIO(content)) as opened:
            # The camera's own notes may say where and when: they stay behind.
            image = ImageOps.exif_transpose(opened).convert("RGB")
    except (UnidentifiedImageError, OSError, ValueError, Image.DecompressionBombError):
        return None
    image.thumbnail((LARGEST, LARGEST))
    kept = io.BytesIO()
    image.save(kept, "JPEG", quality=80)
    scale = min(STILL[0] / image.width, STILL[1] / image.height)
    kept.seek(0)
    return Picture(kept, image.width * scale, image.height * scale)


def _marked(text: str) -> str:
    return escape(printable(text), quote=False).replace("\n", "<br/>")


def printable(text: str) -> str:
    """Return a text in the letters that every reader's built-in font has.

    A letter with a mark that the font lacks loses the mark; what it lacks altogether is a "?".
    """
    return "".join(_sign(sign) for sign in text)


def _sign(sign: str) -> str:
    for each in (sign, *(unicodedata.normalize("NFKD", sign)[:1])):
        try:
            each.encode("cp1252")
        except UnicodeEncodeError:
            continue
        return each if each == "\n" or each.isprintable() else " "
    return "?"
