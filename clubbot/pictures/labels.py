"""Labels as a PDF: the name large, a shape for those who don't read yet, a code to scan.

Everything is black on white. The shapes are plain geometry; a code keeps the four modules of quiet
around it that ISO/IEC 18004 asks for.
"""

from __future__ import annotations

import io
from math import cos, pi, sin
from typing import TYPE_CHECKING

from clubbot.rules.labels import GRIDS, PLAIN, Grid, Mark, mark
from clubbot.rules.results import LabelSheet, LabelText

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

LINK = "https://t.me/{bot}?start=kit_{code}"
QUIET = 4
"""Modules, ISO/IEC 18004."""
EDGE = 2.0
"""Millimetres that stay white at a label's edges: printers are off by about a millimetre."""
MM = 72 / 25.4
FONT, SMALL_FONT = "Helvetica-Bold", "Helvetica"
SMALL = 7.0
CUT = 4.0

Points = list[tuple[float, float]]


def grid_of(sheet: LabelSheet) -> Grid:
    """Return the grid that a sheet names."""
    every = (*PLAIN.values(), *GRIDS)
    return next(each for each in every if (each.paper, each.name) == (sheet.paper, sheet.grid))


def labels(sheet: LabelSheet, club: str, bot: str) -> bytes:
    """Return the PDF of a sheet, to be printed at its real size."""
    from reportlab.pdfgen.canvas import Canvas

    grid = grid_of(sheet)
    made = io.BytesIO()
    canvas = Canvas(made, pagesize=(grid.page[0] * MM, grid.page[1] * MM), invariant=1)
    canvas.setTitle(club)
    shown = -1
    for number, each in enumerate(sheet.labels):
        page, left, top = grid.place(number)
        if page != shown:
            if shown >= 0:
                canvas.showPage()
            if grid.cut:
                _cut_marks(canvas, grid)
            shown = page
        canvas.saveState()
        canvas.translate(left * MM, (grid.page[1] - top - grid.label[1]) * MM)
        canvas.scale(MM, MM)
        _label(canvas, grid.label, each, club, LINK.format(bot=bot, code=each.code))
        canvas.restoreState()
    canvas.save()
    return made.getvalue()


def _cut_marks(canvas: Canvas, grid: Grid) -> None:
    """Draw short lines outside the labels, in line with their edges."""
    left, top = grid.corner
    right, bottom = left + grid.columns * grid.pitch[0], top + grid.rows * grid.pitch[1]
    height = grid.page[1]
    canvas.saveState()
    canvas.scale(MM, MM)
    canvas.setLineWidth(0.2)
    for column in range(grid.columns + 1):
        x = left + column * grid.pitch[0]
        for near, far in ((top - 1, top - 1 - CUT), (bottom + 1, bottom + 1 + CUT)):
            canvas.line(x, height - near, x, height - far)
    for row in range(grid.rows + 1):
        y = height - (top + row * grid.pitch[1])
        for near, far in ((left - 1, left - 1 - CUT), (right + 1, right + 1 + CUT)):
            canvas.line(near, y, far, y)
    canvas.restoreState()


def _label(
    canvas: Canvas, size: tuple[float, float], each: LabelText, club: str, link: str
) -> None:
    """Draw one label from its lower left corner, in millimetres."""
    width, height = size
    side = min(height - 2 * EDGE, 0.46 * width)
    _code(canvas, width - EDGE - side, (height - side) / 2, side, link)
    room = width - side - 3 * EDGE
    foot = 3.2
    tall = height - 2 * EDGE - foot
    shape = min(tall, 0.42 * room)
    _mark(canvas, EDGE, EDGE + foot + (tall - shape) / 2, shape, mark(each.place))
    _name(canvas, each.label, EDGE + shape + 1, EDGE + foot, room - shape - 1, tall)
    _foot(canvas, f"{each.thing} \u00b7 {club}", room)


def _name(canvas: Canvas, text: str, x: float, y: float, width: float, height: float) -> None:
    """Write a name as large as fits; one in letters that the font lacks is written in by hand."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    if not _printable(text):
        canvas.setLineWidth(0.3)
        canvas.rect(x, y + height * 0.2, width, height * 0.6)
        return
    size = min(height * 0.95, width / stringWidth(text, FONT, 1))
    canvas.setFont(FONT, size)
    canvas.drawCentredString(x + width / 2, y + (height - 0.72 * size) / 2, text)


def _foot(canvas: Canvas, text: str, width: float) -> None:
    from reportlab.pdfbase.pdfmetrics import stringWidth

    whole = "".join(sign for sign in text if _printable(sign))
    size = SMALL / MM
    shown, cut = whole, len(whole)
    while cut and stringWidth(shown, SMALL_FONT, size) > width:
        cut -= 1
        shown = f"{whole[:cut]}\u2026"
    canvas.setFont(SMALL_FONT, size)
    canvas.drawString(EDGE, EDGE, shown)


def _printable(text: str) -> bool:
    try:
        text.encode("cp1252")
    except UnicodeEncodeError:
        return False
    return True


def _code(canvas: Canvas, x: float, y: float, side: float, link: str) -> None:
    import segno

    matrix = segno.make_qr(link, error="m").matrix
    module = side / (len(matrix) + 2 * QUIET)
    path = canvas.beginPath()
    for row, line in enumerate(matrix):
        for column, dark in enumerate(line):
            if dark:
                bottom = y + side - (QUIET + row + 1) * module
                path.rect(x + (QUIET + column) * module, bottom, module, module)
    canvas.drawPath(path, stroke=0, fill=1)


# -- shapes ---------------------------------------------------------------------------------------


def _round(corners: int, radius: float = 0.5, turn: float = 0.0) -> Points:
    steps = [turn + 2 * pi * each / corners for each in range(corners)]
    return [(0.5 + radius * sin(at), 0.5 + radius * cos(at)) for at in steps]


def _star() -> Points:
    outer, inner = _round(5), _round(5, 0.2, pi / 5)
    return [point for pair in zip(outer, inner, strict=True) for point in pair]


_PLUS: Points = [
    (0.33, 0), (0.67, 0), (0.67, 0.33), (1, 0.33), (1, 0.67), (0.67, 0.67),
    (0.67, 1), (0.33, 1), (0.33, 0.67), (0, 0.67), (0, 0.33), (0.33, 0.33),
]  # fmt: skip


def _turned(points: Points) -> Points:
    """Turn by an eighth round the middle."""
    c = cos(pi / 4)
    return [
        (0.5 + c * (x - 0.5) - c * (y - 0.5), 0.5 + c * (x - 0.5) + c * (y - 0.5))
        for x, y in points
    ]


_OUTLINES: dict[str, Points] = {
    "circle": _round(60),
    "square": [(0.05, 0.05), (0.95, 0.05), (0.95, 0.95), (0.05, 0.95)],
    "triangle": [(0, 0.07), (1, 0.07), (0.5, 0.93)],
    "tip": [(0, 0.93), (1, 0.93), (0.5, 0.07)],
    "diamond": [(0.5, 0), (0.9, 0.5), (0.5, 1), (0.1, 0.5)],
    "plus": _PLUS,
    "cross": _turned(_PLUS),
    "star": _star(),
    "hexagon": _round(6),
    "half": [(0, 0.25), *((0.5 - 0.5 * cos(pi * n / 30), 0.25 + 0.5 * sin(pi * n / 30))
                          for n in range(1, 30)), (1, 0.25)],
    "arrow": [(0, 0.35), (0.5, 0.35), (0.5, 0.1), (1, 0.5), (0.5, 0.9), (0.5, 0.65), (0, 0.65)],
    "hourglass": [(0.1, 0), (0.9, 0), (0.58, 0.5), (0.9, 1), (0.1, 1), (0.42, 0.5)],
}  # fmt: skip


def _mark(canvas: Canvas, x: float, y: float, side: float, what: Mark) -> None:
    """Draw a shape; one that is drawn several times stands in a block of smaller ones."""
    across = 1 if what.times == 1 else 2 if what.times <= 4 else 3
    small = side / across
    for number in range(what.times):
        row, column = divmod(number, across)
        left, bottom = x + column * small, y + side - (row + 1) * small
        _outline(canvas, left, bottom, small * (0.96 if across == 1 else 0.86), what)


def _outline(canvas: Canvas, x: float, y: float, side: float, what: Mark) -> None:
    first, *others = _OUTLINES[what.shape]
    path = canvas.beginPath()
    path.moveTo(x + first[0] * side, y + first[1] * side)
    for across, up in others:
        path.lineTo(x + across * side, y + up * side)
    path.close()
    canvas.setLineWidth(side * 0.06)
    canvas.setLineJoin(1)
    canvas.drawPath(path, stroke=1, fill=1 if what.fill == "full" else 0)
    if what.fill == "dotted":
        canvas.circle(x + side / 2, y + side / 2, side * 0.1, stroke=0, fill=1)
