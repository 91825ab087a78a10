"""What people read about the school's calendar, and with the bookings as a calendar file."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from clubbot.chat.words.phrases import (
    Button,
    Reply,
    View,
    Wording,
    booking_line,
    button,
    esc,
    local,
    rows,
    when,
)
from clubbot.rules.feeds.model import FeedDay, Trouble
from clubbot.rules.results import (
    CalendarFile,
    FeedAsked,
    FeedBookingsKept,
    FeedBookingsOff,
    FeedBroken,
    FeedNews,
    FeedOff,
    FeedView,
)

_MOST_LINES = 14
_MOST_BUTTONS = 10
_MOST_BOOKINGS = 12

_TROUBLES = {
    Trouble.NOT_REACHED: "its server can't be reached",
    Trouble.SLOW: "its server is too slow",
    Trouble.TOO_BIG: "it is larger than 1 MB",
    Trouble.MISSING: "there is nothing at its address any more",
    Trouble.REFUSED: "its server wants a sign-in, or doesn't let me in",
    Trouble.SERVER: "its server has trouble of its own",
    Trouble.NOT_PUBLIC: "its address leads into a private network, where I don't go",
    Trouble.REDIRECTS: "its address leads on and on",
    Trouble.NOT_A_CALENDAR: "what is there is no calendar",
    Trouble.CUT_OFF: "the calendar is cut off in the middle",
    Trouble.UNREADABLE: "the calendar can't be read",
    Trouble.EMPTY: "the calendar is empty",
    Trouble.GONE: "all closed days have gone from it at once",
    Trouble.TOO_MANY: "it says closed on far too many days",
}
_HOW = "Send /feed and the calendar's address, such as: /feed https://school.example/calendar.ics"


def days(first: date, last: date, today: date) -> str:
    """Return "Mon 26 Oct", "26 to 30 Oct" or "21 Dec to 4 Jan", with years other than this one."""
    year = f" {last.year}" if last.year != today.year else ""
    if first == last:
        return f"{first:%a} {first.day} {first:%b}{year}"
    if (first.year, first.month) == (last.year, last.month):
        return f"{first.day} to {last.day} {last:%b}{year}"
    start_year = f" {first.year}" if first.year != last.year and first.year != today.year else ""
    return f"{first.day} {first:%b}{start_year} to {last.day} {last:%b}{year}"


def _lines(head: str, found: Sequence[FeedDay], today: date) -> list[str]:
    if not found:
        return []
    shown = [
        f"\u2022 {days(each.first_day, each.last_day, today)}: {esc(each.why) or 'closed'}"
        for each in found[:_MOST_LINES]
    ]
    more = [f"and {len(found) - _MOST_LINES} later"] if len(found) > _MOST_LINES else []
    return [head, *shown, *more]


def _buttons(
    word: str, verb: str, found: Sequence[FeedDay], today: date
) -> tuple[tuple[Button, ...], ...]:
    every = [
        button(f"{word} {days(each.first_day, each.last_day, today)}", verb, each.key)
        for each in found[:_MOST_BUTTONS]
    ]
    return rows(every, 2)


def asked(result: FeedAsked, view: View) -> Reply:
    return Reply(f"Reading the calendar at {esc(result.host)} now. You hear from me in a moment.")


def off(result: FeedOff, view: View) -> Reply:
    text = "The school's calendar is off."
    if result.opened:
        many = "closure of it is" if result.opened == 1 else "closures of it are"
        text += f" {result.opened} {many} gone too; /closed adds days by hand."
    return Reply(text)


def shown(result: FeedView, view: View) -> Reply:
    if result.host is None:
        return Reply(f"No school calendar yet. {_HOW}")
    today = local(view.now, view).date()
    read = f"read {when(result.read_at, view)}" if result.read_at else "not read yet"
    lines = [f"The school's calendar at {esc(result.host)}, {read}."]
    if result.trouble:
        lines.append(f"Just now {_TROUBLES[result.trouble]}. I try again every six hours.")
    lines += _lines("Taken as closed:", result.taken, today) or [
        "Nothing in it is taken as closed."
    ]
    lines += _lines("Not sure, so not taken:", result.unsure, today)
    lines += _lines("Left open, as you said:", result.dropped, today)
    lines.append("Something wrong? Tap it. No more of it: /feed off")
    return Reply(
        "\n".join(lines),
        (
            *_buttons("Open", "feeddrop", result.taken, today),
            *_buttons("Close", "feedtake", (*result.unsure, *result.dropped), today),
        ),
    )


def news(result: FeedNews, view: View) -> Reply:
    today = local(view.now, view).date()
    if result.first:
        head = "Taken from the school's calendar, no club on:"
        lines = _lines(head, result.taken, today)
        lines = lines or [f"The calendar at {esc(result.host)} is read. No closed day was found."]
    else:
        lines = _lines("The school's calendar now also says no club on:", result.taken, today)
    lines += _lines("No longer closed by the school's calendar:", result.gone, today)
    lines += _lines("Not sure, so not taken:", result.unsure, today)
    if result.bookings:
        return _with_bookings(result, lines, view)
    lines.append("Something wrong? Tap it, or /feed later.")
    return Reply(
        "\n".join(lines),
        (
            *_buttons("Open", "feeddrop", result.taken, today),
            *_buttons("Close", "feedtake", result.unsure, today),
        ),
    )


def _with_bookings(result: FeedNews, lines: list[str], view: View) -> Reply:
    count = len(result.bookings)
    many = "This booking starts" if count == 1 else f"These {count} bookings start"
    listed = [booking_line(each, view) for each in result.bookings[:_MOST_BOOKINGS]]
    more = [f"and {count - _MOST_BOOKINGS} more"] if count > _MOST_BOOKINGS else []
    verb = "stands" if count == 1 else "stand"
    text = [
        *lines,
        f"{many} then and still {verb}:",
        *listed,
        *more,
        "A day is wrong? /feed first.",
    ]
    what = "it" if count == 1 else f"all {count}"
    return Reply(
        "\n".join(text),
        (
            (
                button(f"Cancel {what}", "feedcancel", result.notice),
                button(f"Keep {what}", "feedkeep", result.notice),
            ),
        ),
    )


def broken(result: FeedBroken, view: View) -> Reply:
    text = (
        f"The school's calendar at {esc(result.host)} can't be used: {_TROUBLES[result.trouble]}."
    )
    if result.read_at is None:
        return Reply(f"{text} I try again every six hours. {_HOW}, or /feed off")
    extra = ""
    if result.trouble is Trouble.GONE:
        extra = " If that is right, send /feed with its address again."
    return Reply(
        f"{text} What it said {when(result.read_at, view)} stands. "
        f"I try again every six hours and won't repeat this.{extra}"
    )


def bookings_off(result: FeedBookingsOff, view: View) -> Reply:
    if not result.cancelled:
        return Reply("None of them stands any more. Nothing was changed.")
    many = "" if result.cancelled == 1 else "s"
    return Reply(f"{result.cancelled} booking{many} cancelled; those concerned are told.")


def bookings_kept(result: FeedBookingsKept, view: View) -> Reply:
    if not result.kept:
        return Reply("None of them stands any more. Nothing was changed.")
    verb = "stays" if result.kept == 1 else "stay"
    many = "" if result.kept == 1 else "s"
    return Reply(f"{result.kept} booking{many} {verb}, closed or not.")


def calendar_file(result: CalendarFile, view: View) -> Reply:
    if not result.bookings:
        whose = "There are no bookings" if result.everyone else "You have no bookings"
        return Reply(f"{whose} to come, so there is no file to send.")
    many = "" if result.bookings == 1 else "s"
    whose = "The club's" if result.everyone else "Your"
    return Reply(
        f"{whose} {result.bookings} booking{many} to come, for your calendar. "
        "It doesn't change by itself: send /ics again after changes.",
        document=(result.name, result.content.encode()),
    )


SAID: dict[type, Wording] = {
    FeedAsked: asked,
    FeedOff: off,
    FeedView: shown,
    FeedNews: news,
    FeedBroken: broken,
    FeedBookingsOff: bookings_off,
    FeedBookingsKept: bookings_kept,
    CalendarFile: calendar_file,
}
