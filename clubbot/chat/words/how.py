"""How to say it, by what was wanted, where a message could not be read."""

from __future__ import annotations

HOW = {
    "without": "I can't keep single kits out of a booking, so nothing is booked yet. Name those "
    "you want: /book C D and the day.",
    "call off": "A booking that stands: /cancel and its number takes it off, /change 3 2 kits "
    "changes it. /mine shows yours.",
    "days": "Which days? Such as: /closed 26 Oct to 30 Oct: mid-term",
    "move": "Which session to come, and when instead? Such as: /move thu to fri 16:00-17:30",
    "closed days": "No closed day found there. /setup shows what is closed.",
    "day": "Which day? Such as: /week fri, or /week alone for the week to come",
    "hours": "When is an adult in the room? Such as: /hours Mon 13:00-17:00, Fri 13:00-15:30",
    "time": "Which day, from when to when? Such as: /free fri 15:30 to 17:00",
    "keep": "Which kit, for which team, until when? Such as: /keep D Red until 5 Dec",
    "calendar": "Which calendar? Its address, such as: /feed https://school.example/calendar.ics",
    "away": "From when to when, and who acts? Such as: /away 3 Oct to 10 Oct Sam",
    "resource": "What, and how many are there? Such as: /resource mats 4",
    "fitting": "Which thing to which kit? Such as: /fit battery B7 to D, or /fit D",
    "version": "Which version is on which kit? Such as: /versions D F 3.2, or tablet D 7.1",
    "event": "Which days to come? Such as: /versions event 20 Nov to 27 Nov: competition",
    "evening": "What happened? Such as: /log all out 15:30, all back 17:00, G flat",
    "team": "Which team, and which adult? Such as: /team Red adult Sam",
    "adult": "Only an adult answers for a team: a leader or co-leader. /people shows who is.",
    "parts": "What of which parts? Such as: /parts found 2 cables, or /parts D from shelf",
    "count": "Which part, and how many or what weight? Such as: /count D cables 143 g",
    "mute": "Which kind of message? /mute shows them, such as: /mute faults",
    "role": "For whom? /invite helper, /invite student, /invite co-leader or /invite door phone",
    "stop": "When did it stop? Such as: /testday D 15:52, or /testday D 95 min.",
    "check": "Which fault? Its number, such as: /check 3. /check alone takes your own last one.",
    "fixed": "Which fault, and what was done? Such as: /fixed 3 new cable. /faults shows them.",
    "fixed one": "One fault at a time, please. Such as: /fixed 3 new cable",
    "claim": "What do they say? Such as: /claim 3 by 12 Dec, /claim 3 replaced S-99",
    "own words": "Which check, and your words? At most 300 signs. Tap \u201cAdd our own "
    "words\u201d below a check, or type it: /hints seat-battery: use both thumbs.",
}
