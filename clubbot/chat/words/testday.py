"""What people read on a run-time test day."""

from __future__ import annotations

from dataclasses import replace

from clubbot.chat.words.health import half_of_them
from clubbot.chat.words.lots import CAUTION
from clubbot.chat.words.phrases import (
    Button,
    Reply,
    View,
    Wording,
    button,
    capital,
    day_name,
    esc,
    labels,
    listed,
    local,
    number_of_kits,
    rows,
)
from clubbot.chat.words.things import code
from clubbot.rules.energy.survival import RunTime
from clubbot.rules.results import (
    KitRef,
    TestDayLeft,
    TestDayOver,
    TestDayReady,
    TestDayRuns,
    TestLine,
)

_MOST = 10
_SAID = {
    "good": "",
    "unsure": "",
    "short uses": "short uses only",
    "weak": "too weak for a session",
}


def ready(result: TestDayReady, view: View) -> Reply:
    if not result.kits:
        return Reply("No kit can be tested now: all are out or not in use.")
    today = local(view.now, view).date()
    last = (
        f" The last one was {day_name(local(result.last, view).date(), today)}."
        if (result.last)
        else ""
    )
    lines = [
        f"<b>Run-time test</b>, {number_of_kits(len(result.kits))}: {labels(result.kits)}.{last}",
        "An adult stays with them. All full, the same program on each, wheels up, nothing that "
        "rolls off the table. Start all at once, tap Start, then each label as it stops.",
        "One that gets hot, swells or smells: stop it, leave it, get an adult. Don't charge it.",
    ]
    lines += [f"{esc(kit.label)} is {esc(why)}: not in this test." for kit, why in result.left]
    some = len(result.kits) <= _MOST
    which = ".".join(code(kit, False) for kit in result.kits) if some else "all"
    return Reply("\n".join(lines), ((button("Start: all run now", "teststart", which),),))


def runs(result: TestDayRuns, view: View) -> Reply:
    begun = local(result.started_at, view)
    minutes = int((view.now - result.started_at).total_seconds() // 60)
    lines = [
        f"<b>Run-time test</b> since {begun:%H:%M}, {minutes} min. "
        f"{len(result.running)} still running. Tap each label as it stops.",
        *[f"{esc(kit.label)}: {stopped} min" for kit, stopped in result.stopped],
        "Missed one? /testday D 15:52 says when. /testday shows this again, to any adult.",
        "No time to wait for the last? End the test: I note that they still ran.",
    ]
    laid = list(rows([_stops(kit) for kit in result.running], 4))
    below = [button("End the test", "testend")]
    if result.stopped:
        below.insert(0, button(f"{result.stopped[-1][0].label} not yet", "testback"))
    return Reply("\n".join(lines), (*laid, tuple(below)))


def left(result: TestDayLeft, view: View) -> Reply:
    """Ask whoever began a test what still runs, or say that it is over, with what was noted."""
    shown = result.runs
    if not result.over:
        asked = f"Do {labels(shown.running)} still run? You began this test, and nobody ended it."
        reply = runs(shown, view)
        return replace(reply, text=f"{asked}\n{reply.text}")
    noted = [f"{esc(kit.label)} {minutes} min" for kit, minutes in shown.stopped]
    day = local(shown.started_at, view)
    text = (
        f"Nobody ended the run-time test of {day:%a} {day.day} {day:%b}, {day:%H:%M}: it is over "
        f"now. Noted: {listed(noted) if noted else 'nothing'}."
    )
    for first in shown.running[:1]:
        text += (
            f" Nothing is noted of {labels(shown.running)}: switch them off. Do you know how long "
            f"one ran? /battery {esc(first.label)} test 95."
        )
    return Reply(text)


def _stops(kit: KitRef) -> Button:
    return button(kit.label, "teststop", kit.id)


def over(result: TestDayOver, view: View) -> Reply:
    day = local(result.started_at, view)
    lines = [f"<b>Run-time test of {day:%a} {day.day} {day:%b}</b>"]
    lines += [_line(line) for line in result.lines]
    if result.lines:
        if said := half_of_them(result.fleet):
            lines.append(f"{capital(said)}.")
        lines.append(
            f"A week's sessions ask for {result.need} min of driving, one for {result.session}."
        )
        lines.append(_then_charge(result))
    else:
        lines.append("Nothing was noted.")
    weak = [line.kit for line in result.lines if line.verdict in ("weak", "short uses")]
    looks = [button(f"Look at {kit.label}", "health", kit.id) for kit in weak[:8]]
    on = (button("Not over: go on", "testmore"),)
    return Reply("\n".join(lines), (*rows(looks, 2), on))


def _then_charge(result: TestDayOver) -> str:
    empty = [line.kit for line in result.lines if line.run.ended]
    if not empty:
        return "Switch them all off now."
    if len(empty) == len(result.lines):
        return f"They are empty now: charge them to at least half today. {CAUTION}"
    them = "is empty now: charge it" if len(empty) == 1 else "are empty now: charge them"
    return f"Switch off what still runs. {labels(empty)} {them} to at least half today. {CAUTION}"


def _line(line: TestLine) -> str:
    said = f": {_SAID[line.verdict]}" if _SAID[line.verdict] else ""
    ran = "ran" if line.run.ended else "still running after"
    return f"{esc(line.kit.label)} {ran} {line.run.minutes} min{_before(line.before)}{said}"


def _before(run: RunTime | None) -> str:
    if run is None:
        return ""
    return f", {run.minutes} last time" if run.ended else f", over {run.minutes} last time"


SAID: dict[type, Wording] = {
    TestDayLeft: left,
    TestDayOver: over,
    TestDayReady: ready,
    TestDayRuns: runs,
}
