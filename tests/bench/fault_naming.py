"""Work out the weights by which kits' names in messages are told from the same words and numbers.

    python -m tests.bench.fault_naming            train on what may be learnt, write naming.tsv
    python -m tests.bench.fault_naming --compare  rules alone and with weights side by side, each
                                                  time without some of the people

Learns from the phrases that fault_training.py learns from; from the same phrases as another club's,
whose labels they don't mean (red and 7 in a club of letters) or into which its labels were put; and
from the wordings of fault_namebook.txt. Needs scipy, which the bot itself doesn't. Never reads the
unseen half, nor the phrases kept apart (*_apart.jsonl). Run it before fault_training.py and
fault_sequence.py, which read what is named.
"""

from __future__ import annotations

import argparse
import json
import random
import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from scipy.optimize import minimize
from scipy.sparse import csr_array

from clubbot.rules.faults.names import prepare
from clubbot.rules.faults.naming_clues import sorts
from clubbot.rules.faults.naming_places import spelled
from clubbot.rules.faults.naming_rules import ruled
from clubbot.rules.faults.naming_weighing import (
    AT_FAULT_FROM,
    BASE_AT_FAULT,
    BASE_MEANT,
    MEANT_FROM,
    SCALE,
    clued,
)
from clubbot.rules.faults.naming_words import WORDS
from clubbot.rules.faults.poorly import well_ones
from clubbot.rules.faults.spelling import tokenise
from tests.bench.fault_training import HERE, LEARNT, PHRASES
from tests.bench.fault_training import WEIGHTS as SYMPTOM_WEIGHTS

BOOK = HERE / "fault_namebook.txt"
WEIGHTS = SYMPTOM_WEIGHTS.with_name("naming.tsv")
SEED = 20261126
PER_LINE, COMPARING = 5, 4
NUMBERS_ELSEWHERE, SAID_OF_OTHERS = 0.3, 0.5
FEWEST_SEEN = 3
RIDGE = {BASE_MEANT: 0.1, BASE_AT_FAULT: 0.02}
LOUD = 2.0
"""How much more the rules' word and a label's own looks count than one word beside it."""
MADE_WEIGHT, TUNED_WEIGHT, NEW_WEIGHT = 0.5, 0.5, 2.0
"""The rules were made with the first ten people's messages, so that their word is better there."""
NEW_FROM = 11
FOLDS = 6
SMALLEST = 30
STEPS = 200


@dataclass
class Place:
    label: str
    by_rule: bool
    well: bool
    clues: dict[str, set[str]]
    meant: bool = False
    at_fault: bool = True


@dataclass
class Message:
    text: str
    labels: list[str]
    fault: bool
    kits: frozenset[str]
    writer: int = 0
    made: bool = False
    places: list[Place] = field(default_factory=list)

    @property
    def weight(self) -> float:
        own = TUNED_WEIGHT if self.writer < NEW_FROM else NEW_WEIGHT
        return MADE_WEIGHT * max(own, 1.0) if self.made else own


def written(names: Sequence[str]) -> list[Message]:
    found = []
    for name in names:
        for line in (PHRASES / f"{name}.jsonl").read_text(encoding="utf-8").splitlines():
            row = json.loads(line)
            want = row["expect"]
            kits = frozenset(want["kits"])
            found.append(
                Message(row["text"], row["labels"], want["fault"], kits, row.get("writer", 0))
            )
    return found


def clubs() -> dict[str, list[str]]:
    """What clubs call their kits, by the sort of name."""
    found: dict[str, list[str]] = {
        "number": [str(number) for number in range(1, 13)],
        "high": [str(number) for number in range(11, 47)],
        "padded": [f"{number:02}" for number in range(1, 13)],
        "letter": list("ABCDEFGHIJKL"),
        "late": list("MNOPQRSTUVWX"),
        "code": [f"{letter}{number}" for letter in "ABKR" for number in range(1, 7)],
    }
    for name, sort in sorts().items():
        found.setdefault(sort, []).append(name.capitalize())
    return found


def elsewhere(messages: Sequence[Message]) -> Iterator[Message]:
    """The same words in a club whose labels they don't mean, such as 7 in a club of letters."""
    dice = random.Random(SEED)
    for message in messages:
        line = tokenise(message.text)
        own = {label.lower() for label in message.labels}
        numbered = any(label.isdecimal() for label in own)
        for sort, labels in clubs().items():
            plain = sort in {"number", "high", "padded", "letter"}
            if own & {label.lower() for label in labels} or (numbered and plain):
                continue
            if plain and dice.random() > NUMBERS_ELSEWHERE:
                continue
            places = spelled(line, prepare(tuple(labels)))
            if any(
                each.kind != "code" and line.low(each.first - 1) not in WORDS.kit for each in places
            ):
                yield replace(message, labels=labels, kits=frozenset(), made=True)


def of_others(messages: Sequence[Message]) -> Iterator[Message]:
    """The same said of another club's kits."""
    dice = random.Random(SEED)
    named = {sort: labels for sort, labels in clubs().items() if sort not in {"doing", "padded"}}
    for message in messages:
        if not message.kits or dice.random() > SAID_OF_OTHERS:
            continue
        labels = named[dice.choice(sorted(named.keys() - {"number", "letter"}))]
        if any(label.lower() in message.text.lower() for label in labels):
            continue
        other = _renamed(message, dice.sample(labels, min(len(labels), 12)))
        if other is not None:
            yield other


def _renamed(message: Message, labels: list[str]) -> Message | None:
    line = tokenise(message.text)
    places = spelled(line, prepare(tuple(message.labels)))
    instead = dict(zip(sorted({each.label for each in places}), labels, strict=False))
    text = message.text
    for each in places:
        raw = line.raw(each.first)
        base = raw[:-2] if raw.lower().endswith("'s") else raw
        unlike = base.lower() != each.label.lower() or base in {"a", "i", "I"}
        if unlike or each.label not in instead:
            if each.label in message.kits:
                return None
            continue
        if base == "A" and each.label not in message.kits:
            continue
        new = instead[each.label].lower() if base.islower() else instead[each.label]
        text = re.sub(rf"(?<!\w){re.escape(base)}(?!\w)", new, text)
    kits = frozenset(instead[label] for label in message.kits if label in instead)
    changed = text != message.text
    return replace(message, text=text, labels=labels, kits=kits, made=True) if changed else None


def namebook() -> Iterator[Message]:
    """Each line of the book with several names put in."""
    dice = random.Random(SEED)
    sort = ""
    for line in BOOK.read_text(encoding="utf-8").splitlines():
        if line.startswith("== "):
            sort = line.split()[1]
        elif line and not line.startswith("#"):
            times = PER_LINE * (COMPARING if "{W}" in line else 1) if "{" in line else 2
            for _ in range(times):
                yield _filled(line, sort, dice)


def _filled(line: str, sort: str, dice: random.Random) -> Message:
    every = clubs()
    if sort == "any":
        sort = dice.choice([*sorted(every.keys() - {"doing", "padded"}), "letter"])
    elif sort == "number":
        sort = dice.choice(["number", "high"])
    labels = every[sort]
    fault = line.startswith("! ")
    text = line.removeprefix("! ")
    slots = re.findall(r"\{[NKW]\}", text)
    names = dice.sample([label for label in labels if label not in {"A", "I"}], len(slots))
    for slot, name in zip(slots, names, strict=True):
        letters = sort in {"letter", "late"}
        small = dice.random() < (0.1 if letters and slot != "{N}" else 0.35)
        text = text.replace(slot, name.lower() if small else name, 1)
    named = zip(slots, names, strict=True)
    kits = frozenset(name for slot, name in named if slot == "{K}" or (slot == "{W}" and not fault))
    if dice.random() < 0.4:
        text = text[0].upper() + text[1:]
    return Message(text, labels, fault, kits, made=True)


def note_places(messages: Sequence[Message]) -> None:
    """Where labels are spelled, and whether they are meant there.

    Of several places of one label that is meant, those are that the rules take for it.
    """
    for message in messages:
        line = tokenise(message.text)
        spots = spelled(line, prepare(tuple(message.labels)))
        by_rule = ruled(line, spots)
        well = well_ones(line, by_rule)
        chosen = {each.label for each in by_rule}
        message.places = []
        for spot, (clues, compared) in zip(spots, clued(line, spots), strict=True):
            place = Place(spot.label, spot in by_rule, spot in well, {BASE_MEANT: clues})
            place.clues[BASE_AT_FAULT] = compared
            named = spot.label in message.kits
            place.meant = named and (place.by_rule or spot.label not in chosen)
            place.at_fault = named
            message.places.append(place)


def _counts(message: Message, place: Place, base: str) -> bool:
    """False where the expectation doesn't tell: a report lists no kit that is only compared."""
    if base == BASE_AT_FAULT:
        told = message.fault and bool(place.clues[base]) and not (message.made and not message.kits)
        return told and (place.by_rule or place.at_fault)
    return place.at_fault or not message.fault or not place.by_rule


def train(messages: Sequence[Message], base: str) -> dict[str, float]:
    """A logistic regression with a ridge penalty; the weights with that of no clue as `base`."""
    rows = [
        (place, message.weight)
        for message in messages
        for place in message.places
        if _counts(message, place, base)
    ]
    seen = Counter(clue for place, _ in rows for clue in place.clues[base])
    names = sorted(clue for clue, count in seen.items() if count >= FEWEST_SEEN)
    index = {clue: at for at, clue in enumerate(names)}
    loud = np.array([LOUD if base == BASE_AT_FAULT or name[0] in "VKSP" else 1.0 for name in names])
    values, columns, ends = [], [], [0]
    for place, _ in rows:
        known = sorted(index[clue] for clue in place.clues[base] if clue in index)
        columns.extend(known)
        values.extend(loud[known] / len(place.clues[base]) ** 0.5)
        ends.append(len(columns))
    table = csr_array((values, columns, ends), shape=(len(rows), len(names)))
    turned = table.T.tocsr()
    weight = np.array([weight for _, weight in rows])
    if base == BASE_MEANT:
        target = np.array([place.meant for place, _ in rows], dtype=np.float64)
    else:
        target = np.array([place.at_fault for place, _ in rows], dtype=np.float64)
    ridge = RIDGE[base]

    def loss(flat: np.ndarray) -> tuple[float, np.ndarray]:
        score = table @ flat[:-1] + flat[-1]
        error = (1 / (1 + np.exp(-score)) - target) * weight
        cost = float(((np.logaddexp(0, score) - target * score) * weight).sum())
        slope = np.append(turned @ error + ridge * flat[:-1], error.sum())
        return cost + ridge / 2 * float((flat[:-1] ** 2).sum()), slope

    start = np.zeros(len(names) + 1)
    best = minimize(loss, start, jac=True, method="L-BFGS-B", options={"maxiter": STEPS}).x
    return {**dict(zip(names, best[:-1] * loud, strict=True)), base: best[-1]}


def chance(weights: dict[str, float], clues: set[str], base: str) -> float:
    total = sum(weights.get(clue, 0) for clue in clues) / len(clues) ** 0.5
    return float(1 / (1 + np.exp(-weights[base] - total)))


def kits_of(message: Message, weights: dict[str, float] | None) -> frozenset[str]:
    """As the bot names them, by the rules alone where there are no weights."""
    named: set[str] = set()
    poorly: set[str] = set()
    for place in message.places:
        clues, compared = place.clues[BASE_MEANT], place.clues[BASE_AT_FAULT]
        if (
            not place.by_rule
            if weights is None
            else chance(weights, clues, BASE_MEANT) < MEANT_FROM
        ):
            continue
        named.add(place.label)
        beside = weights is not None and compared and not place.well
        if not place.well and not (
            beside and chance(weights, compared, BASE_AT_FAULT) < AT_FAULT_FROM
        ):
            poorly.add(place.label)
    return frozenset(poorly or named) if message.fault else frozenset(named)


def learnt() -> list[Message]:
    own = written(LEARNT)
    messages = [*own, *elsewhere(own), *of_others(own), *namebook()]
    note_places(messages)
    return messages


def compare(messages: Sequence[Message]) -> None:
    right: dict[str, list[tuple[bool, bool]]] = defaultdict(list)
    apart = {name: written([name]) for name in ("faults_apart", "danger_apart", "varied_apart")}
    for fold in range(FOLDS):
        rest = [each for each in messages if not each.writer or each.writer % FOLDS != fold]
        weights = train(rest, BASE_MEANT) | train(rest, BASE_AT_FAULT)
        for each in messages:
            if each.writer and each.writer % FOLDS == fold and not each.made:
                both = (kits_of(each, None) == each.kits, kits_of(each, weights) == each.kits)
                right[f"writer {each.writer:2}"].append(both)
    weights = train(messages, BASE_MEANT) | train(messages, BASE_AT_FAULT)
    for name, others in apart.items():
        note_places(others)
        right[name] = [
            (kits_of(each, None) == each.kits, kits_of(each, weights) == each.kits)
            for each in others
        ]
    for name, found in sorted(right.items()):
        alone, weighed = np.mean(found, axis=0)
        print(f"{name:13} {len(found):4} messages  rules {alone:.4f}  with weights {weighed:.4f}")


def write(weights: dict[str, float]) -> int:
    numbers = {clue: round(weight * SCALE) for clue, weight in weights.items()}
    kept = {
        clue: number
        for clue, number in numbers.items()
        if abs(number) >= SMALLEST or clue in {BASE_MEANT, BASE_AT_FAULT}
    }
    rows = [f"{clue}\t{number}" for clue, number in sorted(kept.items())]
    header = "# Hundredths per clue of naming_clues.py"
    WEIGHTS.write_text("\n".join([header, *rows]) + "\n", encoding="utf-8")
    return len(kept)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--compare", action="store_true")
    messages = learnt()
    if parser.parse_args().compare:
        compare(messages)
        return
    weights = train(messages, BASE_MEANT) | train(messages, BASE_AT_FAULT)
    print(write(weights), "clues have a weight")


if __name__ == "__main__":
    main()
