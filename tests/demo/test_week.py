"""The played week goes as written with the real bot, and what doesn't is found and named."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import httpx
import pytest

from demo.script import GROUP, ScriptError, read
from demo.telling import Teller
from demo.week import WEEK, main

ROOT = Path(__file__).resolve().parents[2]
HEAD = """
club Europe/Dublin from 2026-10-19 18:30
person Nora: leader
person Max: a stranger
group Robot club: Nora, Max
"""
CLAIM = """
Nora: /start {code}
  > Welcome, Nora [Set up the club]
"""


def play(*arguments: str) -> subprocess.CompletedProcess[str]:
    """Runs the demo as a process, as anybody would."""
    return subprocess.run(
        [sys.executable, "-m", "demo", *arguments],
        cwd=ROOT, capture_output=True, text=True, encoding="utf-8", check=False,
        env=os.environ | {"PYTHONUTF8": "1", "COLUMNS": "80"},
    )  # fmt: skip


def story(tmp_path: Path, text: str) -> str:
    """A story of its own, as a file."""
    path = tmp_path / "story.txt"
    path.write_text(HEAD + text, encoding="utf-8")
    return str(path)


def test_the_week_goes_as_written():
    run = play("--no-page")
    assert run.returncode == 0, run.stdout[-3000:] + run.stderr
    assert "\nAs written, " in run.stdout
    for piece in (
        "Friday 23 October",
        "in the group",
        "15:50  Cian",
        "[Undo]",
        "Tuesday 27 October",
    ):
        assert piece in run.stdout
    assert max(map(len, run.stdout.splitlines())) <= 96


@pytest.mark.parametrize(
    ("text", "line", "seen"),
    [
        (CLAIM.replace("Welcome, Nora", "Goodbye, Nora"), 8, "Welcome, Nora"),
        (CLAIM + "Max: hello\n", 9, "more than is written"),
    ],
    ids=["other words", "more than is written"],
)
def test_the_first_thing_that_isnt_as_written_is_named(
    tmp_path: Path, text: str, line: int, seen: str
):
    run = play("--no-page", story(tmp_path, text))
    assert run.returncode == 1
    assert f"story.txt, line {line}, differs." in run.stdout
    assert seen in run.stdout
    assert "\nAs written" not in run.stdout


@pytest.mark.skipif(os.name == "nt", reason="Ctrl+C can't be sent to one process on Windows")
def test_the_page_stays_open_for_more_until_it_is_interrupted(tmp_path: Path):
    run = subprocess.Popen(
        [sys.executable, "-m", "demo", "--page", story(tmp_path, CLAIM)],
        cwd=ROOT, stdout=subprocess.PIPE, text=True, encoding="utf-8",
    )  # fmt: skip
    assert run.stdout is not None
    try:
        line = next(line for line in run.stdout if "Go on as any of them" in line)
        url = line.split()[-1]
        first = _ask(f"{url}page/view")
        _ask(f"{url}control/say", {"person": first["person"], "text": "/setup"})
        moved = _ask(f"{url}page/clock", {"move": "morning"})
        assert moved["now"] == "2026-10-20T07:00:00+00:00"
        shown = _ask(f"{url}page/view")
        assert (shown["day"], shown["time"]) == ("Tuesday 20 October 2026", "08:00")
        assert "Adult to talk to" in shown["entries"][-1]["html"]
    finally:
        run.send_signal(signal.SIGINT)
        run.stdout.close()
    assert run.wait(30) == 0


def _ask(url: str, body: dict[str, Any] | None = None) -> dict[str, Any]:
    answer = httpx.post(url, json=body, timeout=30) if body else httpx.get(url, timeout=30)
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.json()
    return found


# -- the script -----------------------------------------------------------------------------------


def test_a_script_says_who_does_what_where_and_what_must_be_seen(tmp_path: Path):
    script = read(Path(story(tmp_path, """
        ## A heading
        at Sun 25 Oct 12:00
        Nora in the group answers "noted": and E: too
          the group > Thanks … fault 2 [Undo] [It's back]
          Max ~ changed
        Nora: [Book 2]
          ! out of date
        Max shows a photo: of a [cable]
        Max opens the link
    """.replace("\n        ", "\n"))))  # fmt: skip
    assert script.people == [("Nora", "leader"), ("Max", "a stranger")]
    assert [step.deed for step in script.steps] == [
        "heading", "at", "say", "press", "photo", "open",
    ]  # fmt: skip
    _, at, say, press, photo, _ = script.steps
    assert at.moment == datetime(2026, 10, 25, 12, tzinfo=ZoneInfo("UTC"))
    assert (say.place, say.answers, say.text) == (GROUP, "noted", "and E: too")
    thanks, changed = say.expected
    assert (thanks.fragments, thanks.buttons) == (("Thanks", "fault 2"), ("Undo", "It's back"))
    assert (changed.place, changed.how) == ("Max", "~")
    assert (press.text, press.expected[0].how) == ("Book 2", "!")
    assert photo.text == "of a [cable]"


def test_what_is_seen_fits_when_its_pieces_come_in_order(tmp_path: Path):
    path = story(tmp_path, "Nora: x\n  > Booked: 2 kits … Fri 23 Oct [Cancel it]\n")
    (expected,) = read(Path(path)).steps[0].expected
    text, buttons = "Booked: 2\nkits for Otters, Fri 23 Oct.", ["Cancel it", "More"]
    assert expected.fits(">", text, buttons)
    assert not expected.fits("~", text, buttons)
    assert not expected.fits(">", text, ["More"])
    assert not expected.fits(">", "Fri 23 Oct: Booked: 2 kits", buttons)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Nobody: hello\n", "no person 'Nobody'"),
        ("Nora dances\n", "not understood"),
        ("at Mon 20 Oct 12:00\n", "that day is a Tuesday"),
        ("at Tue 20 Oct 2pm\n", "not understood"),
        ("  > too early\n", "not understood"),
        ("Nora: x\n  Tess > y\n", "no person 'Tess'"),
        ("club Europe/Nowhere from 2026-10-19 18:30\n", "no such zone"),
    ],
)
def test_a_line_that_makes_no_sense_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str, words: str
):
    path = story(tmp_path, text)
    with pytest.raises(ScriptError, match=words):
        read(Path(path))
    assert main(["--no-page", path]) == 1
    assert "story.txt, line " in capsys.readouterr().err


def test_the_week_has_a_clock_change_and_a_club_of_twelve():
    script = read(WEEK)
    moments = [step.moment for step in script.steps if step.moment]
    assert moments[0].utcoffset() != moments[-1].utcoffset()
    assert any("A, B, C, D, E, F, G, H, J, K, L and M" in e.written
               for step in script.steps for e in step.expected)  # fmt: skip


def test_a_long_text_is_told_beside_its_speaker():
    lines: list[str] = []
    at = datetime(2026, 10, 23, 15, 50, tzinfo=ZoneInfo("Europe/Dublin"))
    Teller(lines.append).said(at, "Kit bot", "to Nora", "word " * 30, [["All back", "Some"]])
    assert lines[0] == "\nFriday 23 October"
    assert lines[1].startswith("15:50  Kit bot        word word")
    assert lines[2].startswith("       to Nora        word")
    assert lines[-1].strip() == "[All back]  [Some]"
