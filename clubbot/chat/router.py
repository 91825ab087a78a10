"""Which words lead where: one row a command. The buttons' verbs stand beside, in `buttons`.

A command's row is all there is to say of it: its name, the deed that it needs, where it may be
used, its callback and its help line. The menus and /help are made of the rows.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass
from typing import Any

from telegram import (
    Bot,
    BotCommand,
    BotCommandScopeAllGroupChats,
    BotCommandScopeAllPrivateChats,
    BotCommandScopeChat,
)
from telegram.error import TelegramError

from clubbot.chat import (
    absence,
    afterwards,
    batteries,
    booking,
    charging,
    claiming,
    club,
    counting,
    exchange,
    fault,
    feed,
    fitting,
    group,
    handover,
    history,
    labels,
    lists,
    longer,
    losing,
    mending,
    minding,
    parts,
    stocktaking,
    succession,
    versions,
    wearing,
)
from clubbot.chat.buttons import OF_FEATURES, Callback, Verb
from clubbot.chat.talk import Talk
from clubbot.chat.words import help as helping
from clubbot.desk import moment
from clubbot.desk.acting import Answer
from clubbot.rules.model import Role
from clubbot.rules.permissions import Deed, may
from clubbot.rules.results import HelpNow

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Row:
    """One command. `deed` None: everybody may; `group`: it is of use in a group too."""

    name: str
    callback: Callback
    deed: Deed | None
    help: str
    group: bool = False


async def _help(talk: Talk, text: str) -> None:
    """Say what fits the role and the moment; "all", or a page's number, shows every command."""
    answer = await talk.ask(moment.now)
    if answer is None:
        return
    if not isinstance(answer.value, HelpNow):
        await talk.post.reply(talk.update, helping.stranger())
        return
    page = 1 if text == "all" else int(text) if text.isdecimal() and len(text) < 3 else 0
    lines = [(row.name, row.help) for row in rows_for(answer.view.role, answer.view.private)]
    if page:
        reply = helping.every(lines, page, answer.view)
    else:
        reply = helping.first(answer.value, lines, answer.view)
    await talk.post.edit(talk.update, reply)
    await _show_menu(talk, answer)


async def _start(talk: Talk, text: str) -> None:
    answer = await club.start(talk, text)
    if answer is not None:
        await _show_menu(talk, answer)


COMMANDS = (
    Row("free", booking.free, Deed.SEE_FREE, "what is free: /free fri 15:30 to 17:00", group=True),
    Row("week", booking.week, Deed.SEE_FREE, "a picture of what is free: /week, or /week fri"),
    Row("book", booking.book, Deed.BOOK, "book: /book 3 kits fri 15:30 to 17:00", group=True),
    Row("mine", booking.mine, Deed.SEE_OWN, "your bookings"),
    Row("cancel", booking.cancel, Deed.CANCEL_OWN, "cancel a booking: /cancel 12"),
    Row("change", booking.change, Deed.CANCEL_OWN, "change a booking: /change 12 2 kits"),
    Row("ics", feed.file, Deed.SEE_OWN, "bookings as a file for your calendar"),
    Row("back", handover.back, Deed.SAY_BACK, "kits are back: /back D"),
    Row("longer", longer.longer, Deed.NEED_LONGER, "kits are needed longer: /longer D"),
    Row("fault", fault.report, Deed.REPORT_FAULT, "something is wrong: /fault D dies", group=True),
    Row("kit", handover.kit, Deed.SEE_KIT, "look at one kit: /kit D", group=True),
    Row("today", lists.today, Deed.SEE_TODAY, "today's list"),
    Row("print", lists.printed, Deed.SEE_TODAY, "today's list as a page to print and tick"),
    Row("out", handover.out, Deed.GIVE_OUT, "give out: /out, or /out D F Red"),
    Row("swap", handover.swap, Deed.GIVE_OUT, "another kit instead: /swap F, or /swap F K"),
    Row("pass", handover.pass_on, Deed.PASS_ON, "pass on: /pass D Blue"),
    Row("log", afterwards.log, Deed.TAKE_BACK, "told afterwards: /log all back 17:00, G flat"),
    Row("count", counting.count, Deed.TAKE_BACK, "a full count: /count, or /count D"),
    Row("parts", parts.show, Deed.PARTS, "parts and spares: /parts, or /parts found 2 cables"),
    Row("undo", handover.undo, Deed.UNDO, "undo the last thing you did to kits"),
    Row("history", history.history, Deed.SEE_HISTORY, "who did what to a kit: /history D"),
    Row("stocktake", stocktaking.stocktake, Deed.TAKE_STOCK, "the store room, kit by kit"),
    Row("faults", mending.faults, Deed.SEE_FAULTS, "the open faults, or one: /faults 3"),
    Row("check", fault.check, Deed.REPORT_FAULT, "look into a fault, step by step: /check 3"),
    Row("claim", claiming.claim, Deed.CLAIM, "a letter to the supplier: /claim 3"),
    Row("fixed", mending.fixed, Deed.CLOSE_FAULT, "close a fault: /fixed 3 new cable"),
    Row("hints", mending.hints, Deed.SET_UP, "the club's own words on checks: /hints"),
    Row("withdraw", fault.withdraw, Deed.WITHDRAW, "out of use: /withdraw D: bent axle"),
    Row("restore", fault.restore, Deed.WITHDRAW, "back in use: /restore D"),
    Row("release", fault.release, Deed.RELEASE, "off hold, after a look: /release D"),
    Row("battery", charging.battery, Deed.SEE_KIT, "how full and why: /battery D, or D ran flat"),
    Row("charge", charging.charge_list, Deed.SEE_CHARGE_LIST, "what to charge for the week"),
    Row("charged", charging.charged, Deed.SIGN_CHARGE, "note a charge: /charged D F, or all"),
    Row(
        "health", batteries.battery_health, Deed.SEE_CHARGE_LIST, "batteries: /health, or /health D"
    ),
    Row("testday", batteries.test_day, Deed.TEST_DAY, "a run-time test, all from full: /testday"),
    Row("wear", wearing.wear, Deed.SEE_WEAR, "which kits wear out: /wear, or /wear D"),
    Row("fit", fitting.fit, Deed.FIT, "what is in a kit: /fit D, or /fit battery B7 to D"),
    Row("versions", versions.versions, Deed.VERSIONS, "software: /versions, or /versions D F 3.2"),
    Row("people", club.everyone, Deed.LET_IN, "who is in the club, who knocks"),
    Row("invite", club.invite, Deed.LET_IN, "a link to knock with: /invite student"),
    Row("role", club.role, Deed.LET_IN, "somebody's role and team: /role and the name"),
    Row("away", absence.away, Deed.GO_AWAY, "somebody acts for you: /away 3 Oct to 10 Oct Sam"),
    Row("handover", succession.handover, Deed.HAND_OVER, "all that whoever takes over needs"),
    Row("keep", booking.keep, Deed.KEEP, "kept built: /keep D Red until 5 Dec"),
    Row("samekit", booking.same_kit, Deed.KEEP, "same kit each time: /samekit Red, or Red off"),
    Row("teams", club.teams, Deed.SET_UP, "the teams: /teams Red, Blue, or Red off"),
    Row("team", club.team, Deed.SET_UP, "the adult who answers for a team: /team Red adult Sam"),
    Row("resource", club.resource, Deed.SET_UP, "booked along with kits: /resource mats 4"),
    Row("hours", club.hours, Deed.SET_UP, "an adult is there: /hours Mon 13:00-17:00"),
    Row("closed", club.closed, Deed.SET_UP, "no club: /closed 26 Oct to 30 Oct: mid-term"),
    Row("move", club.move, Deed.SET_UP, "hold a session elsewhen: /move thu to fri 16:00-17:30"),
    Row("open", club.opened, Deed.SET_UP, "open again: /open 30 Oct"),
    Row("feed", feed.calendar, Deed.SET_UP, "the school's calendar: /feed and its address, or off"),
    Row("lost", losing.lost, Deed.LOSE, "lost or stolen: /lost tablet D: seen in the hall"),
    Row("labels", labels.sheet, Deed.SET_UP, "labels to print: /labels, or /labels 7x3"),
    Row("import", exchange.how, Deed.SET_UP, "lists of kits and things: a CSV file, sent here"),
    Row("export", exchange.export, Deed.SET_UP, "the same lists as CSV files"),
    Row("sent", minding.sent, Deed.SEE_SENT, "what was written to children: /sent, or /sent Sam"),
    Row("setup", club.set_up, Deed.SET_UP, "set up the club, step by step"),
    Row("settings", club.settings, Deed.SET_UP, "times and limits"),
    Row(
        "link",
        group.link,
        Deed.LINK_GROUP,
        "in a group: it is the club's: /link, or /link here",
        group=True,
    ),
    Row("me", club.me, Deed.SEE_SELF, "what is kept about you"),
    Row("mydata", minding.my_data, Deed.SEE_SELF, "all of that as a file"),
    Row("mute", minding.mute, Deed.SEE_SELF, "what you aren't told: /mute, or /mute faults"),
    Row("leave", club.leave, Deed.LEAVE, "leave the club, and your name is deleted"),
    Row("club", club.clubs, None, "choose among your clubs"),
    Row("help", _help, None, "what you can do here", group=True),
    Row("start", _start, None, "begin"),
)


VERBS: dict[str, Verb] = {**OF_FEATURES, "help": Verb(_help, "[0-9]{1,2}")}


def rows_for(role: Role, private: bool) -> list[Row]:
    """Return the commands that somebody may use, here."""
    return [
        row
        for row in COMMANDS
        if row.name != "start"
        and (private or row.group)
        and (row.deed is None or may(role, row.deed))
    ]


def commands() -> list[tuple[Any, list[BotCommand]]]:
    """Return the menus to register: what anybody sees before their role is known."""
    return [
        (BotCommandScopeAllPrivateChats(), _menu(rows_for(Role.STUDENT, private=True))),
        (BotCommandScopeAllGroupChats(), _menu(rows_for(Role.LEADER, private=False))),
    ]


def _menu(rows: list[Row]) -> list[BotCommand]:
    return [BotCommand(row.name, row.help) for row in rows]


async def _show_menu(talk: Talk, answer: Answer) -> None:
    chat = talk.update.effective_chat
    if chat is not None and answer.view.private and answer.view.role is not Role.STRANGER:
        await show_menu(talk.update.get_bot(), chat.id, answer.view.role)


async def show_menu(bot: Bot, chat_id: int, role: Role) -> None:
    """Register the menu of a person's role for their private chat; it is a courtesy only."""
    try:
        await bot.set_my_commands(_menu(rows_for(role, private=True)), BotCommandScopeChat(chat_id))
    except TelegramError as error:
        log.warning("The menu of a chat couldn't be set: %s", error.message)
