"""What people read about the club's own words on checks and causes."""

from __future__ import annotations

from clubbot.chat.words.phrases import Reply, View, Wording, button, esc, rows
from clubbot.rules.faults.knowledge import known
from clubbot.rules.results import OwnWords, OwnWordsAdded, OwnWordsWanted

HOW = (
    "To add some, tap \u201cAdd our own words\u201d below a check of /check. Or type it: "
    "/hints seat-battery: ours needs both thumbs."
)


def _name(code: str) -> str:
    """Return what a check or cause is called: what is done, or what is behind it."""
    if code in known().checks:
        return known().checks[code].done
    return known().causes[code].name if code in known().causes else "no longer asked"


def every(result: OwnWords, view: View) -> Reply:
    if not result.words:
        return Reply(f"The club has added nothing of its own yet. {HOW}")
    lines = [
        f"{place}. {esc(each.code)} ({_name(each.code)}): {esc(each.text)}"
        for place, each in enumerate(result.words, 1)
    ]
    drop = [
        button(f"Delete {place}", "dropword", each.id) for place, each in enumerate(result.words, 1)
    ]
    return Reply("\n".join(["What our club says:", *lines, HOW]), rows(drop[:40], 4))


def wanted(result: OwnWordsWanted, view: View) -> Reply:
    return Reply(
        f"What should stand below \u201c{_name(result.code)}\u201d? Write it now, in one message.",
        ((button("Never mind", "stop"),),),
    )


def added(result: OwnWordsAdded, view: View) -> Reply:
    text = f"It now stands below \u201c{_name(result.code)}\u201d: {esc(result.text)} /hints"
    return Reply(text)


SAID: dict[type, Wording] = {OwnWords: every, OwnWordsWanted: wanted, OwnWordsAdded: added}
