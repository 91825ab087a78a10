"""What people read about people: joining, knocking, roles, teams."""

from __future__ import annotations

from clubbot.chat.words.phrases import (
    Button,
    Reply,
    View,
    Wording,
    button,
    esc,
    listed,
    rows,
    when,
)
from clubbot.rules.model import Role
from clubbot.rules.results import (
    AboutMe,
    Claimed,
    ConfirmLeaving,
    Invited,
    Knocked,
    KnockView,
    LeftClub,
    LetIn,
    People,
    PersonView,
    Removed,
    TeamSet,
    TurnedAway,
    Welcome,
)

PAGE = 30
_ROLES = (Role.STUDENT, Role.HELPER, Role.CO_LEADER, Role.DOOR)


def welcome(result: Welcome, view: View) -> Reply:
    if result.club is None:
        return Reply(
            "I look after a club's robot kits. To come in, open the link that your club's leader "
            "gives you."
        )
    contact = f" Something wrong? Talk to {esc(result.contact)}." if result.contact else ""
    return Reply(
        f"Hello again. You are in {esc(result.club)} as {result.role}. "
        f"/help shows what you can do here.{contact}"
    )


def claimed(result: Claimed, view: View) -> Reply:
    return Reply(
        f"Welcome, {esc(result.person)}. You lead this club now. "
        "A few questions and it runs; each can be skipped and changed later.",
        ((button("Set up the club", "setup", "begin"),),),
    )


def knocked(result: Knocked, view: View) -> Reply:
    contact = f" Questions? Talk to {esc(result.contact)}." if result.contact else ""
    return Reply(
        f"Thanks. An adult of {esc(result.club)} lets you in soon; you hear from me here. "
        "Kept about you: your account's number and your name. Nothing else. "
        f"Nobody answers within a week? Then both are deleted.{contact}"
    )


def invited(result: Invited, view: View) -> Reply:
    if not result.code:
        return Reply(
            "That link was made already, and its code is kept nowhere. "
            f"If it didn't reach you, make a new one: /invite {result.role}"
        )
    return Reply(
        f"Link for a {result.role}, good until {when(result.until, view)} for "
        f"{result.uses} people:\nhttps://t.me/{view.bot}?start={result.code}\n"
        "Whoever opens it knocks; you let each one in."
    )


def people(result: People, view: View) -> Reply:
    pages = max(1, -(-len(result.people) // PAGE))
    page = min(max(result.page, 1), pages)
    of = f", page {page} of {pages}" if pages > 1 else ""
    lines = [f"{len(result.people)} in the club{of}:"]
    lines += [f"• {_person(each)}" for each in result.people[(page - 1) * PAGE : page * PAGE]]
    buttons: list[Button] = []
    for knock in result.knocks:
        lines.append(f"Knocks: {esc(knock.name)} as {knock.role}")
        buttons += knock_buttons(knock)
    lines.append("Change somebody: /role with their name. New people: /invite")
    turned = [button("Back", "people", page - 1)] if page > 1 else []
    turned += [button("More", "people", page + 1)] if page < pages else []
    laid = rows(buttons, 2)
    return Reply("\n".join(lines), (*laid, tuple(turned)) if turned else laid)


def _person(person: PersonView) -> str:
    team = f", {listed([esc(name) for name in person.teams])}" if person.teams else ""
    away = "" if person.reachable else " (can't be written to)"
    return f"{esc(person.name)}, {person.role}{team}{away}"


def knock_buttons(knock: KnockView) -> list[Button]:
    """Return the two answers to somebody who knocks."""
    return [
        button(f"Let {knock.name} in", "letin", knock.id),
        button("Turn away", "turnaway", knock.id),
    ]


def let_in(result: LetIn, view: View) -> Reply:
    person = result.person
    roles = (*_ROLES, Role.LEADER) if view.role is Role.LEADER else _ROLES
    buttons = [button(role.value, "role", person.id, role.value) for role in roles]
    teams = [button(team.name, "putin", person.id, team.id) for team in result.teams]
    return Reply(
        f"In the club: {_person(person)}. Another role, or a team?",
        (*rows(buttons, 2), *rows(teams, 3), (button("Remove", "remove", person.id),)),
    )


def turned_away(result: TurnedAway, view: View) -> Reply:
    return Reply(f"{esc(result.name) or 'Whoever knocked'} was turned away; nothing is kept.")


def removed(result: Removed, view: View) -> Reply:
    return Reply(f"{esc(result.name) or 'That person'} is no longer in the club.")


def about_me(result: AboutMe, view: View) -> Reply:
    teams = f", {listed([esc(name) for name in result.teams])}" if result.teams else ""
    lines = [
        f"Kept about you in {esc(result.club)}:",
        f"• your account's number, {result.account}, and your name, {esc(result.name)}",
        f"• {result.role}{teams}, since {when(result.since, view)}",
        f"• bookings of yours to come: {result.bookings}",
        f"• things you said about kits: {result.entries}; faults in your words: {result.reports}",
        "Nothing else. /leave deletes your number and your name at once; "
        "what happened to kits stays, said by somebody who left.",
    ]
    return Reply("\n".join(lines))


def confirm_leaving(result: ConfirmLeaving, view: View) -> Reply:
    return Reply(
        f"Leave {esc(result.club)}? Your number and your name are deleted at once. "
        "To come back you need a new link.",
        ((button("Yes, leave", "leave"), button("No", "stop")),),
    )


def left_club(result: LeftClub, view: View) -> Reply:
    return Reply(f"You have left {esc(result.club)}. Your number and your name are deleted.")


def team_set(result: TeamSet, view: View) -> Reply:
    return Reply(f"{esc(result.person)} is in {esc(result.team.name)} now.")


SAID: dict[type, Wording] = {
    Welcome: welcome,
    Claimed: claimed,
    Knocked: knocked,
    Invited: invited,
    People: people,
    LetIn: let_in,
    TurnedAway: turned_away,
    Removed: removed,
    AboutMe: about_me,
    ConfirmLeaving: confirm_leaving,
    LeftClub: left_club,
    TeamSet: team_set,
}
