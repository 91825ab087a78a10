"""Words of somebody who needs a person and no answer: afraid, or at a loss what to do."""

from __future__ import annotations

import re

_NEEDS = re.compile(
    r"\b(?:scared|afraid|frightened|worried|panick?(?:ing|ed)?|crying|freaking out)\b"
    r"|\b(?:talk|speak)\s+(?:to|with)\s+(?:a\s+|an\s+|the\s+|my\s+|some)?"
    r"(?:grown.?ups?|adult|teacher|human|person|one|body|leader|real)"
    r"|\b(?:get|call|need|want|find|where(?:'?s| is))\s+(?:me\s+)?(?:a\s+|an\s+|the\s+|my\s+|some)?"
    r"(?:grown.?ups?|adult|teacher|human|person|one to help|body to help|help)\b"
    r"|\bwhat\s+(?:do|should|shall|must|can)\s+(?:i|we)\s+do\b|\bhelp\s*me\b|^\W*help\W*$",
    re.IGNORECASE,
)


def needs_a_person(text: str) -> bool:
    """Say whether somebody asks for a person: "im scared", "what do i do"."""
    return _NEEDS.search(text) is not None
