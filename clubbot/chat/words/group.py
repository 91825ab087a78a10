"""What a club's group reads: dates and times, nobody's name."""

from __future__ import annotations

from clubbot.chat.words.phrases import (
    Reply,
    View,
    Wording,
    button,
    capital,
    day_name,
    esc,
    local,
    span,
)
from clubbot.rules.results import (
    AnnouncementsSet,
    DaysAnnounced,
    GroupLetGo,
    GroupLinked,
    MoveAnnounced,
    SchoolsYesNeeded,
)

_WHERE = (
    "I also say here when there is no club or a session moves. Only in one topic: /link here, "
    "said in that topic. Not at all: /link quiet"
)


def linked(result: GroupLinked, view: View) -> Reply:
    reads = "I don't get to see the rest of what you write."
    if result.sees_everything:
        reads = (
            "I can see all that you write; the school said yes to that. I keep nothing of it but "
            "reports of faults and danger."
        )
    return Reply(
        f"This group now belongs to {esc(result.club)}. I answer to commands, to replies to me "
        f"and to my name. {reads} {_WHERE}"
    )


def schools_yes_needed(result: SchoolsYesNeeded, view: View) -> Reply:
    why, mend = (
        (
            "because I am an administrator here",
            "take my administrator's rights away",
        )
        if result.as_administrator
        else (
            "because my privacy mode is off",
            "switch it on where the bot was made, take me out of the group and add me again",
        )
    )
    return Reply(
        f"Not linked yet: right now I can see every message of this group, {why}. I need commands "
        f"only. Better: {mend}. Then send /link again. Leave it as it is only if the school has "
        "said yes.",
        ((button("The school said yes", "linkyes"), button("No", "stop")),),
    )


def let_go(result: GroupLetGo, view: View) -> Reply:
    return Reply(f"This group no longer belongs to {esc(result.club)}. /link links it to a club.")


def announcements_set(result: AnnouncementsSet, view: View) -> Reply:
    if not result.announces:
        return Reply("Fine, I announce nothing in this group. Again: /link here")
    where = "in this topic" if result.in_topic else "here, outside the topics"
    return Reply(f"I say {where} from now on when there is no club or a session moves.")


def days_announced(result: DaysAnnounced, view: View) -> Reply:
    today = local(view.now, view).date()
    days = day_name(result.first, today)
    if result.last != result.first:
        days += f" to {day_name(result.last, today)}"
    return Reply(f"{capital(days)}: {'no club' if result.closed else 'there is club after all'}.")


def move_announced(result: MoveAnnounced, view: View) -> Reply:
    return Reply(
        f"The session of {span(result.before, view)} is held {span(result.after, view)} instead."
    )


SAID: dict[type, Wording] = {
    GroupLinked: linked,
    SchoolsYesNeeded: schools_yes_needed,
    GroupLetGo: let_go,
    AnnouncementsSet: announcements_set,
    DaysAnnounced: days_announced,
    MoveAnnounced: move_announced,
}
