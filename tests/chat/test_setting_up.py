"""A leader who never ran a bot sets a club up, by tapping and by typing, in few steps."""

from __future__ import annotations

from tests.chat.played import Club

TWELVE = ("A", "B", "C", "D", "E", "F", "G", "H", "J", "K", "L", "M")


class Newcomer:
    """Nora with her thumbs: answers one question after the other, and counts."""

    def __init__(self, club: Club) -> None:
        self.club, self.count = club, 0

    async def types(self, text: str) -> None:
        self.count += 1
        await self.club.says("Nora", text)

    async def taps(self, label: str) -> None:
        self.count += 1
        await self.club.presses("Nora", label)

    async def begins(self) -> None:
        await self.types(f"/start {self.club.code}")
        await self.taps("Set up the club")


STEPS: tuple[tuple[str, str, bool], ...] = (
    ("What is the club called?", "Friday robots", False),
    ("Which city is the club in", "Dublin", False),
    ("How many kits are there", "12", False),
    ("What is in a kit?", "Usual", True),
    ("10 kinds", "That's right", True),
    ("tablet of its own", "One each", True),
    ("How many bays", "shelf 4, desk 2", False),
    ("When does the club meet", "Fri 15:30-17:00, Robotics A: Mon 4-5.30pm", False),
    ("When else is an adult in the room", "Mon 13:00-16:00", False),
    ("Which teams are there?", "Red, Blue, Green", False),
    ("Do students write to me", "With student accounts", True),
    ("a leader confirms three things", "All three are so", True),
    ("calendar with its holidays", "https://school.example/calendar.ics", False),
    ("When am I to be silent", "21:00 to 07:00", True),
    ("Which number is called", "112", False),
    ("Which adult do children talk to", "Ms Quinn", False),
)
"""What is asked, the answer, and whether it is a button."""


async def test_twelve_kits_are_set_up_within_twenty_five_taps_and_messages(new: Club) -> None:
    nora = Newcomer(new)
    await nora.begins()
    for question, answer, tapped in STEPS:
        if question != "10 kinds":
            new.sees("Nora", question)
        await (nora.taps(answer) if tapped else nora.types(answer))
    done = new.sees("Nora", "Friday robots", "Europe/Dublin", "12 kits: A, B, C", "What next?")
    for part in (
        "Contents: 14 kinds of parts",
        "Tablets: 12 paired with kits",
        "Chargers: 6 bays (shelf 4, desk 2)",
        "Robotics A, Mon 16:00 to 17:30 (Nora); Fri 15:30 to 17:00 (Nora)",
        "Adult there: Mon 13:00 to 16:00",
        "Teams: Blue, Green and Red",
        "with accounts, confirmed 15 Oct 2026",
        "Calendar: school.example",
        "Quiet hours: 21:00 to 07:00",
        "Emergency: 112",
        "Adult to talk to: Ms Quinn",
        "Print labels: /labels",
        "send /link there",
        "/invite co-leader, /invite helper, /invite student",
    ):
        assert part in done.text, part
    assert nora.count <= 25
    await new.says("Nora", "/free")
    new.answers("Nora", "12 of 12 kits free tomorrow, 15:30 to 17:00")
    await new.says("Nora", "/fit D")
    new.sees("Nora", "tablet")
    await new.says("Nora", "/count D")
    assert "touch sensor" in "".join(new.news("Nora")[-1].buttons)


async def test_the_same_works_by_text_alone(new: Club) -> None:
    typed = {
        "Usual": "usual",
        "That's right": "ok",
        "One each": "all",
        "With student accounts": "with",
        "All three are so": "confirmed",
        "21:00 to 07:00": "9 pm to 7 am",
    }
    await new.says("Nora", f"/start {new.code}")
    await new.says("Nora", "/setup go on")
    for _, answer, _ in STEPS:
        await new.says("Nora", typed.get(answer, answer))
    new.answers("Nora", "12 kits", "Tablets: 12 paired", "confirmed 15 Oct 2026", "Ms Quinn")


async def test_without_student_accounts_the_door_phone_is_next_and_no_student_link_is_made(
    new: Club,
) -> None:
    await new.says("Nora", f"/start {new.code}")
    await new.says("Nora", "/setup accounts")
    await new.presses("Nora", "Without")
    new.answers("Nora", "Students: without accounts", "/invite door phone")
    await new.says("Nora", "/invite student")
    new.answers("Nora", "once a leader has confirmed", "/setup accounts")
    await new.says("Nora", "/invite door phone")
    new.answers("Nora", "Link for a door phone")


async def test_with_student_accounts_nobody_comes_in_before_a_leader_has_confirmed(
    new: Club,
) -> None:
    await new.says("Nora", f"/start {new.code}")
    await new.says("Nora", "/setup accounts")
    await new.presses("Nora", "With student accounts")
    await new.presses("Nora", "Not yet")
    new.answers("Nora", "not confirmed yet: nobody can be let in")
    await new.says("Nora", "/invite student")
    new.answers("Nora", "once a leader has confirmed")
    await new.says("Nora", "/setup accounts")
    await new.says("Nora", "with")
    await new.presses("Nora", "All three are so")
    await new.says("Nora", "/invite student")
    new.answers("Nora", "Link for a student")


async def test_what_cannot_be_read_is_asked_again_with_the_reason(new: Club) -> None:
    nora = Newcomer(new)
    await nora.begins()
    for bad, why in (
        ("x" * 200, "name of 1 to 80 characters"),
        ("Friday robots", "Which city"),
        ("Dublinn", "did you mean"),
        ("Munich, Germany", "did you mean"),
    ):
        await nora.types(bad)
        new.answers("Nora", why)
    assert "Europe/Berlin" in new.news("Nora")[-1].buttons
    await nora.types("Cork, Ireland")
    new.answers("Nora", "Europe/Dublin: it is 10:00 there now, on Thursday", "How many kits")
    for bad, why in (
        ("A, A", "A is there twice"),
        ("500", "between 1 and 200 kits"),
        ("0", "between 1 and 200 kits"),
        ("a label that nobody would write on a tray", "at most 16 characters"),
    ):
        await nora.types(bad)
        new.answers("Nora", "I need", why, "How many kits are there")
    await nora.types("R2-R4")
    await nora.types("lots of things")
    new.answers("Nora", "I can't read lots of things", "What is in a kit?")
    await nora.types("skip")
    await nora.types("skip")
    await nora.types("plenty")
    new.answers("Nora", "I can't read plenty", "How many bays")
    await nora.types("skip")
    await nora.types("whenever we like")
    new.answers("Nora", "I can't read whenever we like", "When does the club meet")
    await nora.types("Fri 15:30-17:00 with Owen")
    new.answers("Nora", "Owen isn't an adult here yet", "When else is an adult")


async def test_labels_that_will_be_misread_are_named_before_they_are_taken(new: Club) -> None:
    await new.says("Nora", f"/start {new.code}")
    await new.says("Nora", "/setup kits")
    await new.says("Nora", "A to L")
    asked = new.answers("Nora", "I will be misread on a shelf")
    assert asked.buttons == ["A to M, without those", "Keep them", "Skip"]
    await new.presses("Nora", "A to M, without those")
    new.answers("Nora", "12 kits: A, B, C, D, E, F, G, H, J, K, L and M")
    await new.says("Nora", "/setup kits")
    await new.says("Nora", "O, 0")
    await new.presses("Nora", "Keep them")
    new.answers("Nora", "14 kits", "0 and O will be misread on a shelf")
    await new.says("Nora", "/setup kits")
    await new.says("Nora", "O is now W")
    new.answers("Nora", "L, M and W")


async def test_every_question_can_be_skipped_and_changed_later_from_the_list(new: Club) -> None:
    nora = Newcomer(new)
    await nora.begins()
    for _ in range(13):
        await nora.taps("Skip")
    skipped = new.answers("Nora", "not set; times are in UTC", "no kits yet", "What next?")
    assert skipped.buttons[0] == "Go on: Name"
    assert {"City", "Kits", "Contents", "Tablets", "Chargers", "Students"} <= set(skipped.buttons)
    await nora.taps("Kits")
    await nora.types("12")
    new.answers("Nora", "12 kits", "Chargers: not set")
    await nora.types("/setup")
    await nora.taps("Chargers")
    await nora.types("4")
    new.answers("Nora", "Chargers: 4 bays (Charger 1 4)")
    await nora.taps("Go on: Name")
    new.answers("Nora", "What is the club called?")


async def test_a_restart_in_the_middle_of_the_set_up_loses_nothing(new: Club) -> None:
    nora = Newcomer(new)
    await nora.begins()
    await nora.types("Friday robots")
    await new.restart()
    await nora.types("Dublin")
    new.answers("Nora", "How many kits are there")
    await new.restart()
    await nora.taps("Skip")
    new.answers("Nora", "What is in a kit?")
    await nora.taps("Usual")
    await new.restart()
    await nora.types("wheel with tyre 6")
    new.answers("Nora", "6 wheel with tyre", "Is that right?")


async def test_the_adults_who_run_the_meetings_are_tapped_or_typed(club: Club) -> None:
    await club.says("Nora", "/setup runners")
    asked = club.answers("Nora", "Who runs which meeting?")
    assert {"Fri 15:30: Owen", "Mon 16:00: Nora"} <= set(asked.buttons)
    await club.presses("Nora", "Fri 15:30: Owen")
    await club.says("Nora", "Mon Nora")
    club.answers("Nora", "Mon 16:00 to 17:30 (Nora); Fri 15:30 to 17:00 (Owen)")
