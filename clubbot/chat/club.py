"""The club and its people in chat."""

from __future__ import annotations

from clubbot.chat.talk import Talk
from clubbot.desk import answering, club, leaving, moving, people, questions, scanning
from clubbot.desk.acting import Answer
from clubbot.rules.model import Role

TAG = "kit_"
"""What a link from a label starts the chat with, before the label's code."""
BEGIN = "begin"
"""In a button's place for a question: go on with the first that is open."""
ROLES = {role.value: role for role in Role}


async def start(talk: Talk, text: str) -> Answer | None:
    if text.startswith(TAG):
        return await talk.say(scanning.scan, text.removeprefix(TAG))
    user = talk.update.effective_user
    return await talk.say(people.start, text, user.first_name if user else "")


async def set_up(talk: Talk, text: str) -> None:
    """Show the list; with a question's name, ask that one: /setup kits."""
    word = text.lower().replace("go on", "begin")
    if word in questions.ORDER:
        await talk.say(questions.set_up, word)
    else:
        await talk.say(questions.go_on if word == BEGIN else questions.set_up)


async def ask(talk: Talk, step: str) -> None:
    await (talk.press(questions.go_on) if step == BEGIN else talk.press(questions.set_up, step))


async def skip(talk: Talk, step: str) -> None:
    await talk.press(questions.skip_set_up, step)


async def answer(talk: Talk, facts: str) -> None:
    step, _, text = facts.partition(":")
    await talk.press(questions.answer, step, text)


async def runs(talk: Talk, facts: str) -> None:
    meeting, _, person = facts.partition(":")
    await talk.press(questions.give_meeting, int(meeting), int(person))


async def settings(talk: Talk, text: str) -> None:
    await (talk.say(club.change_setting, text) if text else talk.say(club.settings))


async def closed(talk: Talk, text: str) -> None:
    await (talk.say(club.close_days, text) if text else talk.say(club.ask_to_close))


async def opened(talk: Talk, text: str) -> None:
    await talk.say(club.open_days, text)


async def clubs(talk: Talk, text: str) -> None:
    await talk.say(club.my_clubs)


async def choose(talk: Talk, number: str) -> None:
    await talk.press(club.choose_club, int(number))


async def everyone(talk: Talk, text: str) -> None:
    await talk.say(people.everyone, int(text) if text.isdecimal() and len(text) < 4 else 1)


async def people_page(talk: Talk, page: str) -> None:
    await talk.press(people.everyone, int(page))


async def invite(talk: Talk, text: str) -> None:
    await talk.say(people.invite, ROLES.get(text.lower(), Role.STRANGER))


async def role(talk: Talk, text: str) -> None:
    await talk.say(people.find, text)


async def let_in(talk: Talk, knock: str) -> None:
    await talk.press(people.let_in, int(knock))


async def turn_away(talk: Talk, knock: str) -> None:
    await talk.press(people.turn_away, int(knock))


async def give_role(talk: Talk, facts: str) -> None:
    person, _, name = facts.partition(":")
    await talk.press(people.change_role, int(person), ROLES.get(name, Role.STRANGER))


async def put_in(talk: Talk, facts: str) -> None:
    person, _, team = facts.partition(":")
    await talk.press(people.put_in_team, int(person), int(team))


async def me(talk: Talk, text: str) -> None:
    await talk.say(leaving.about_me)


async def leave(talk: Talk, text: str) -> None:
    await talk.say(leaving.ask_to_leave)


async def leave_now(talk: Talk, facts: str) -> None:
    await talk.press(leaving.leave)


async def remove(talk: Talk, person: str) -> None:
    await talk.press(people.remove, int(person))


async def teams(talk: Talk, text: str) -> None:
    name, _, last = text.rpartition(" ")
    if name and last.lower() == "off":
        await talk.say(club.remove_team, name)
    elif text:
        await talk.say(club.add_teams, text)
    else:
        await talk.say(questions.set_up, "teams")


async def team(talk: Talk, text: str) -> None:
    await talk.say(answering.team_adult, text)


async def resource(talk: Talk, text: str) -> None:
    await talk.say(club.set_resource, text)


async def no_club(talk: Talk, day: str) -> None:
    await talk.press(club.ask_to_close, day)


async def close(talk: Talk, day: str) -> None:
    await talk.press(club.close_day, day)


async def hours(talk: Talk, text: str) -> None:
    await talk.say(club.set_hours, text)


async def move(talk: Talk, text: str) -> None:
    await talk.say(moving.move_session, text)


async def move_back(talk: Talk, facts: str) -> None:
    day, _, at = facts.partition(":")
    await talk.press(moving.move_back, day, f"{at[:2]}:{at[2:]}")


async def along(talk: Talk, facts: str) -> None:
    number, _, count = facts.partition(":")
    await talk.say(moving.bring_along, int(number), int(count))
