"""What people type, on one line and without what nobody sees."""

from __future__ import annotations

import re

_UNSEEN = re.compile(
    "[\x00-\x08\x0e-\x1f\x7f-\x9f\u00ad\u061c\u180e\u200b-\u200f\u202a-\u202e\u2060-\u206f\ufeff"
    "\ud800-\udfff]"
)


def tidy(text: str) -> str:
    """Return a text without signs that nobody sees or that turn a line round, each gap one space.

    What is left may be empty.
    """
    return " ".join(_UNSEEN.sub("", text).split())
