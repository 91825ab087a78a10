"""Work out the weights that messages about faults are weighed with, and compare methods.

    python -m tests.bench.fault_training            train on what may be learnt, write weights.tsv
    python -m tests.bench.fault_training --compare  methods side by side, each time without some of
                                                    the forty-two people who wrote

The network that reads words in order is made by fault_sequence.py. Learns from the tuned half, from
what forty-two more people wrote, from our own phrases and from the phrasebook. Needs scipy, which
the bot itself doesn't. Never reads the unseen half, nor the phrases kept apart (*_apart.jsonl).
"""

from __future__ import annotations

import argparse
import json
import random
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
from rapidfuzz import fuzz, process
from scipy.optimize import minimize
from scipy.sparse import csr_array

from clubbot.rules.faults.clues import Word, clues_of, words_of
from clubbot.rules.faults.naming import find_mentions
from clubbot.rules.faults.poorly import beside_the_point
from clubbot.rules.faults.reading import DANGER_FROM, FAULT_FROM
from clubbot.rules.faults.spelling import tokenise
from clubbot.rules.faults.symptoms import Symptom
from clubbot.rules.faults.weighing import KINDS, NONE, SCALE

HERE = Path(__file__).parent
PHRASES = HERE.parent / "rules" / "phrases"
LEARNT = [
    "faults_tuned", "danger_tuned", "faults_own", "danger_own", "faults_more", "faults_wide",
    "faults_short", "faults_season", "faults_risky", "faults_close", "faults_plain",
]  # fmt: skip
PLAIN, PLAIN_TIMES = "faults_plain", 3
"""Short and plain is what is mostly typed, and seldom what people write who are asked to."""
BOOK = HERE / "fault_phrasebook.txt"
WEIGHTS = HERE.parents[1] / "clubbot" / "rules" / "faults" / "weights.tsv"
SEED = 20261002
PER_LINE = 10
WIDE = 5
BOOK_WEIGHT = 1.5
TUNED_WEIGHT = 3.0
COMPOSED = 1400
JOINTS = [" but ", ", ", ". ", " and ", " - "]
OVER = [
    "it's fixed now", "we fixed it", "all good now", "works again", "sorted", "solved", "fine now",
    "it was just unplugged", "turned out the battery wasn't in", "now it works", "it is ok again",
    "we found out why, it works", "never mind, solved", "that was last year, now it's perfect",
    "not any more", "the supplier repaired it", "we clicked it back on, fine", "it's gone now",
    "since the repair no problem", "false alarm, it's fine", "restarted and all fine",
    "it was our own mistake", "we uploaded the right one, works", "found it", "is back to normal",
    "that's solved thanks", "everything works now", "you fixed it, thank you", "ok after a restart",
    "I put it back on", "I plugged it in again", "now it does", "did it, done", "it was in the box",
    "not any longer, thx", "doesn't any more", "found the reason, fine", "good again", "repaired",
    "it was my mistake, sorry", "I forgot to press start", "we only forgot to turn it on",
    "that was all", "it's ok now", "solved itself", "was just dirty, cleaned", "done, thanks",
    "it was the wrong one, now it's right", "swapped the cable and all good", "no problem now",
]  # fmt: skip
MIGHT = [
    "what if", "what do we do if", "imagine", "tip: if", "if one day", "does it matter if",
    "what happens when", "how do you react if", "let's hope not that", "just a joke:",
    "in the story", "in my dream", "last year", "who knows what to do when", "never again that",
    "remember when", "there's a help page for when", "the poster explains what to do if",
    "suppose", "in case", "what do we do when", "would it be bad if", "homework: explain why",
    "quiz: what is wrong if", "at home", "in the video", "the other school said that", "joke:",
    "in last year's final", "tell a leader if", "how often does it happen that", "if ever",
]  # fmt: skip
YET = [
    "it worked yesterday but", "everything else is fine but", "we charged it but",
    "sorry to bother you but", "Good afternoon, my daughter says that", "I don't know why but",
    "all robots are fine, only", "we tried everything,", "Hello, this is Leo's mum, he says",
    "thanks for the help yesterday but now", "we restarted it and still", "update on our kit:",
    "not sure if this is a problem but", "could somebody have a look?", "first it was ok, then",
    "was great last week, now", "the others work,", "since this morning", "is it normal that",
    "reply to coach: yes,", "as I said,", "come and look please,", "it isn't empty, but", "still:",
    "can somebody help,", "we don't know why but", "I think", "not again...", "hello, problem:",
    "we fixed the other one, but", "it's charged but", "sorry, me again:", "just noticed that",
]  # fmt: skip
FEWEST_SEEN = 2
RIDGE = 0.03
STEPS = 250
SMALLEST = 20
SYMPTOMS = list(Symptom)


@dataclass
class Example:
    text: str
    labels: list[str]
    fault: bool
    danger: bool
    symptom: str | None
    also: list[str] = field(default_factory=list)
    weight: float = 1.0
    clues: frozenset[str] = frozenset()
    words: tuple[Word, ...] = ()
    writer: int = 0


def tuned() -> list[Example]:
    found = []
    for name in LEARNT:
        for line in (PHRASES / f"{name}.jsonl").read_text(encoding="utf-8").splitlines():
            row = json.loads(line)
            want = row["expect"]
            also = [each for each in want.get("also", []) if each]
            example = Example(
                row["text"],
                row["labels"],
                want["fault"],
                want["danger"],
                want["symptom"],
                also,
                TUNED_WEIGHT,
                writer=row.get("writer", 0),
            )
            found.extend(replace(example) for _ in range(PLAIN_TIMES if name == PLAIN else 1))
    return found


def phrasebook() -> list[Example]:
    """Each line of the book in several of its wordings, and some of them put together."""
    dice = random.Random(SEED)
    found, symptom = [], ""
    for line in BOOK.read_text(encoding="utf-8").splitlines():
        if not line.strip() or line.startswith("#"):
            continue
        if line.startswith("== "):
            symptom = line[3:].strip()
            continue
        wordings = PER_LINE * (WIDE if line.startswith("* ") else 1)
        line = line.removeprefix("* ")
        texts = {_filled(line, dice) for _ in range(wordings)}
        weight = BOOK_WEIGHT / len(texts) ** 0.5
        found.extend(_example(text, symptom, weight) for text in sorted(texts))
    return found + _put_together(found, dice)


def _example(text: str, section: str, weight: float) -> Example:
    danger = section == "danger"
    fault = section not in ("none", "harmless")
    code = "battery-danger" if danger else section if fault else None
    return Example(text, list("ABCDEFGHJKL"), fault, danger, code, weight=weight)


def _put_together(found: Sequence[Example], dice: random.Random) -> list[Example]:
    """Faults that are over, that might come, or that stand beside something else."""
    faults = [each for each in found if each.fault and not each.danger]
    calm = [each for each in found if not each.fault]
    dangers = [each for each in found if each.danger]
    made = []
    for _ in range(COMPOSED):
        fault, other = dice.choice(faults), dice.choice(calm)
        weight = fault.weight
        over = f"{fault.text}{dice.choice(JOINTS)}{dice.choice(OVER)}"
        made.append(Example(over, fault.labels, False, False, None, weight=weight))
        might = f"{dice.choice(MIGHT)} {fault.text}"
        made.append(Example(might, fault.labels, False, False, None, weight=weight))
        beside = [fault.text, other.text]
        dice.shuffle(beside)
        joined = dice.choice([". ", ", ", " and ", "\n", "! "]).join(beside)
        made.append(replace(fault, text=joined))
        yet = f"{dice.choice(YET)} {fault.text}"
        made.append(replace(fault, text=yet))
        peril = dice.choice(dangers)
        made.append(replace(peril, text=f"{fault.text}{dice.choice(JOINTS)}{peril.text}"))
        two = dice.choice([". ", ", ", " and "]).join([other.text, dice.choice(calm).text])
        made.append(Example(two, other.labels, False, False, None, weight=other.weight))
    return made


_CHOICE = re.compile(r"\[([^\[\]]*)\]")
KITS = list("BCDEFGHJKL")
UNNAMED = ["our robot", "the robot", "ours", "my robot", "it", "the unit", "our kit", "a robot"]
BEFORE = [
    "hi", "hello", "hey", "sir", "miss", "please help", "help", "guys", "umm", "so", "ok so",
    "question:", "sorry but", "I think", "yo", "just saw:", "good morning", "btw", "omg", "again:",
    "FYI", "quick one:", "uh oh", "hello coach", "we noticed", "not sure but", "today", "um",
]  # fmt: skip
AFTER = [
    "pls", "please", "please help", "pls help", "help", "lol", "haha", "😭", "😂", "!!", "...",
    "today", "again", "since yesterday", "sorry", "thanks", "thx", "asap", "sir", "what now",
    "can someone look", "?", "🙈", "tbh", "ngl", "for real", "just so you know", "🙏", "rn", "😅",
    "what do we do", "this morning", "at the moment", "as always", ":(", ":)", "!?", "at school",
]  # fmt: skip


def _filled(line: str, dice: random.Random) -> str:
    """One wording of a line, now and then without a kit, even without any subject ("keeps
    freezing"), and with small words around it."""
    while (found := _CHOICE.search(line)) is not None:
        line = line[: found.start()] + dice.choice(found.group(1).split("|")) + line[found.end() :]
    if dice.random() < 0.2:
        line = line.replace("{kit}'s", "its", 1).replace("{kit}", dice.choice(UNNAMED), 1)
    elif line.startswith("{kit} ") and dice.random() < 0.08:
        line = line.removeprefix("{kit} ")
    while "{kit}" in line:
        line = line.replace("{kit}", dice.choice(KITS), 1)
    line = re.sub(r"\s+", " ", line).strip()
    if dice.random() < 0.3:
        line = line.replace("'", "")
    if dice.random() < 0.22:
        line = f"{dice.choice(BEFORE)} {line}"
    if dice.random() < 0.3:
        line = f"{line} {dice.choice(AFTER)}"
    return line


def note_clues(examples: Sequence[Example]) -> None:
    for each in examples:
        line = tokenise(each.text)
        mentions = find_mentions(line, each.labels)
        each.words = words_of(line, mentions, beside_the_point(line, mentions))
        each.clues = clues_of(line, each.words)


@dataclass
class Trained:
    clues: dict[str, int]
    matrix: np.ndarray
    base: np.ndarray

    def scores(self, examples: Sequence[Example]) -> np.ndarray:
        return table(examples, self.clues) @ self.matrix + self.base


def table(examples: Sequence[Example], clues: dict[str, int]) -> csr_array:
    values, columns, ends = [], [], [0]
    for each in examples:
        known = [clues[clue] for clue in sorted(each.clues) if clue in clues]
        columns.extend(known)
        values.extend([1 / max(len(each.clues), 1) ** 0.5] * len(known))
        ends.append(len(columns))
    return csr_array((values, columns, ends), shape=(len(examples), len(clues)), dtype=np.float64)


def train(examples: Sequence[Example], ridge: float = RIDGE) -> Trained:
    """A logistic regression among all kinds, with a ridge penalty."""
    seen = Counter(clue for each in examples for clue in each.clues)
    names = sorted(clue for clue, count in seen.items() if count >= FEWEST_SEEN)
    clues = {clue: at for at, clue in enumerate(names)}
    rows = table(examples, clues)
    columns = rows.T.tocsr()
    target = targets(examples)
    weight = np.array([each.weight for each in examples])[:, None]
    shape = (len(clues) + 1, len(KINDS))

    def loss(flat: np.ndarray) -> tuple[float, np.ndarray]:
        both = flat.reshape(shape)
        matrix, base = both[:-1], both[-1]
        found = predict(rows @ matrix + base)
        error = (found - target) * weight
        slope = np.vstack([columns @ error + ridge * matrix, error.sum(axis=0)])
        cost = -float((target * np.log(found + 1e-12) * weight).sum())
        return cost + ridge / 2 * float((matrix**2).sum()), slope.ravel()

    best = minimize(
        loss, np.zeros(shape[0] * shape[1]), jac=True, method="L-BFGS-B", options={"maxiter": STEPS}
    ).x.reshape(shape)
    return Trained(clues, best[:-1], best[-1])


def predict(scores: np.ndarray) -> np.ndarray:
    """Shares of all kinds."""
    shifted = np.exp(scores - scores.max(axis=1, keepdims=True))
    return shifted / shifted.sum(axis=1, keepdims=True)


def targets(examples: Sequence[Example]) -> np.ndarray:
    """What each message is about; a quarter goes to what it might be as well."""
    target = np.zeros((len(examples), len(KINDS)), dtype=np.float64)
    kinds = list(KINDS)
    for at, each in enumerate(examples):
        kind = Symptom.BATTERY_DANGER if each.danger else each.symptom or NONE
        others = [] if each.danger else each.also
        for code in others:
            target[at, kinds.index(code)] = 0.25 / len(others)
        target[at, kinds.index(kind)] = 0.75 if others else 1
    return target


def folds(examples: Sequence[Example]) -> list[list[int]]:
    """Four or five people at a time: those who write differ more than what they write."""
    return [
        [at for at, each in enumerate(examples) if each.writer and each.writer % 5 == rest]
        for rest in range(5)
    ]


def cross_validated(
    examples: Sequence[Example], book: Sequence[Example], ridge: float = RIDGE
) -> np.ndarray:
    """Predictions for what they wrote, each by a model that has seen nothing of its writer."""
    found = np.zeros((len(examples), len(KINDS)))
    for held in folds(examples):
        out = set(held)
        rest = [each for at, each in enumerate(examples) if at not in out] + list(book)
        trained = train(rest, ridge)
        found[held] = predict(trained.scores([examples[at] for at in held]))
    return found


def nearest(examples: Sequence[Example]) -> np.ndarray:
    """For each message of theirs what the most alike one of the others was."""
    found = np.zeros((len(examples), len(KINDS)))
    target = targets(examples)
    for held in folds(examples):
        rest = sorted(set(range(len(examples))) - set(held))
        texts = [examples[at].text.lower() for at in rest]
        for at in held:
            best = process.extractOne(examples[at].text.lower(), texts, scorer=fuzz.token_set_ratio)
            found[at] = target[rest[best[2]]]
    return found


def chances(found: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """As the bot takes them: ranks of harmless symptoms, chance of a fault, chance of danger."""
    shares = found[:, : len(SYMPTOMS)].copy()
    danger = found[:, SYMPTOMS.index(Symptom.BATTERY_DANGER)]
    shares[:, SYMPTOMS.index(Symptom.BATTERY_DANGER)] = 0
    return np.argsort(-shares, axis=1), 1 - found[:, -1], danger


def summary(
    examples: Sequence[Example], found: np.ndarray, fault_from: float, danger_from: float
) -> str:
    ranks, fault, danger = chances(found)
    harmless = [at for at, each in enumerate(examples) if each.fault and not each.danger]
    calm = [at for at, each in enumerate(examples) if not each.fault]
    dangers = [at for at, each in enumerate(examples) if each.danger]
    safe = [at for at, each in enumerate(examples) if not each.danger]

    def among(at: int, top: int) -> bool:
        right = {examples[at].symptom, *examples[at].also}
        return any(SYMPTOMS[each] in right for each in ranks[at, :top])

    shares = {
        "top-1": np.mean([among(at, 1) for at in harmless]),
        "top-2": np.mean([among(at, 2) for at in harmless]),
        "false alarms": np.mean(fault[calm] >= fault_from),
        "missed": np.mean(fault[harmless] < fault_from),
        "danger missed": np.mean(danger[dangers] < danger_from),
        "danger raised in vain": np.mean(danger[safe] >= danger_from),
    }
    return "  ".join(f"{name} {share:.3f}" for name, share in shares.items())


def write(trained: Trained) -> int:
    numbers = np.clip(np.rint(trained.matrix * SCALE), -32000, 32000).astype(int)
    base = np.rint(trained.base * SCALE).astype(int)
    kept = [clue for clue, at in trained.clues.items() if np.abs(numbers[at]).max() >= SMALLEST]
    lines = [
        "# Hundredths per clue, one column for each of: " + " ".join(KINDS),
        "base\t" + " ".join(map(str, base)),
        *(f"{clue}\t" + " ".join(map(str, numbers[trained.clues[clue]])) for clue in kept),
    ]
    WEIGHTS.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return len(kept)


def _compare(examples: Sequence[Example], book: Sequence[Example]) -> None:
    others = [at for at, each in enumerate(examples) if each.writer]
    said = [examples[at] for at in others]
    print("most alike message:", summary(said, nearest(examples)[others], 0.5, 0.5))
    for name, extra in (("weights, whole messages alone", []), ("with the phrasebook", book)):
        found = cross_validated(examples, extra)[others]
        print(f"{name}:", summary(said, found, FAULT_FROM, DANGER_FROM), flush=True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--compare", action="store_true")
    arguments = parser.parse_args()
    examples, book = tuned(), phrasebook() if BOOK.exists() else []
    note_clues(examples)
    note_clues(book)
    print(len(examples), "whole messages,", len(book), "from the phrasebook")
    if arguments.compare:
        _compare(examples, book)
        return
    print(write(train([*examples, *book])), "clues have a weight")


if __name__ == "__main__":
    main()
