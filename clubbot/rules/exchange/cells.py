"""Cells that no spreadsheet takes for a formula, and back.

A cell is taken for one where it begins with a sign of `_TRIGGERS` (OWASP, "CSV Injection"), also
behind a separator inside it, where a program splits at another sign than the file does. There an
apostrophe is put in front; one that stands there already gets a second, so that reading takes
exactly one away and every text comes back as it was.
"""

from __future__ import annotations

import re

_TRIGGERS = "=+\\-@\uff1d\uff0b\uff0d\uff20\t\r\n"
_DANGEROUS = re.compile(rf"(^|[,;\t|\r\n])('*[{_TRIGGERS}])")
_MADE_HARMLESS = re.compile(rf"(^|[,;\t|\r\n])'('*[{_TRIGGERS}])")


def harmless(text: str) -> str:
    """Return a cell's text as it goes into a file."""
    return _DANGEROUS.sub(r"\1'\2", text)


def as_it_was(cell: str) -> str:
    """Return what `harmless` made a cell of; one that was typed by hand stays as it is."""
    return _MADE_HARMLESS.sub(r"\1\2", cell)
