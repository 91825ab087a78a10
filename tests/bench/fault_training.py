"""Work out the weights that messages about faults are weighed with, and compare methods.

    python -m tests.bench.fault_training            train on the tuned half, write weights.tsv
    python -m tests.bench.fault_training --compare  methods side by side, by cross-validation

Needs scipy, which the bot itself doesn't. Never reads the unseen half.
"""

from __future__ import annotations

import argparse
import json
import random
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from scipy.optimize import minimize
from scipy.sparse import csr_array

from clubbot.rules.faults.clues import clues_of, words_of
from clubbot.rules.faults.naming import find_mentions
from clubbot.rules.faults.spelling import tokenise
from clubbot.rules.faults.symptoms import Symptom
from clubbot.rules.faults.weighing import COLUMNS, SCALE

HERE = Path(__file__).parent
PHRASES = HERE.parent / "rules" / "phrases"
BOOK = HERE / "fault_phrasebook.txt"
WEIGHTS = HERE.parents[1] / "clubbot" / "rules" / "faults" / "weights.tsv"
SEED = 20261002
PER_LINE = 14
FEWEST_SEEN = 2
RIDGE = 0.05
STEPS = 60
SMALLEST = 4
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


def tuned() -> list[Example]:
    found = []
    for name in ("faults_tuned", "danger_tuned"):
        for line in (PHRASES / f"{name}.jsonl").read_text(encoding="utf-8").splitlines():
            row = json.loads(line)
            want = row["expect"]
            also = [each for each in want.get("also", []) if each]
            found.append(
                Example(
                    row["text"], row["labels"], want["fault"], want["danger"], want["symptom"], also
                )
            )
    return found


def phrasebook() -> list[Example]:
    """Each line of the book in several of its wordings, the same ones every time."""
    dice = random.Random(SEED)
    found, symptom = [], ""
    for line in BOOK.read_text(encoding="utf-8").splitlines():
        if not line.strip() or line.startswith("#"):
            continue
        if line.startswith("== "):
            symptom = line[3:].strip()
            continue
        texts = {_filled(line, dice) for _ in range(PER_LINE)}
        for text in sorted(texts):
            danger = symptom.startswith("danger")
            fault = symptom not in ("none", "harmless")
            code = "battery-danger" if danger else symptom if fault else None
            found.append(
                Example(
                    text, list("ABCDEFGHJKL"), fault, danger, code, weight=1.5 / len(texts) ** 0.5
                )
            )
    return found


_CHOICE = re.compile(r"\[([^\[\]]*)\]")
KITS = list("BCDEFGHJKL")


def _filled(line: str, dice: random.Random) -> str:
    while True:
        found = _CHOICE.search(line)
        if found is None:
            break
        line = line[: found.start()] + dice.choice(found.group(1).split("|")) + line[found.end() :]
    while "{kit}" in line:
        line = line.replace("{kit}", dice.choice(KITS), 1)
    line = re.sub(r"\s+", " ", line).strip()
    if dice.random() < 0.3:
        line = line.replace("'", "")
    return line


def note_clues(examples: Sequence[Example]) -> None:
    for each in examples:
        line = tokenise(each.text)
        each.clues = clues_of(line, words_of(line, find_mentions(line, each.labels)))


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
    """Three logistic regressions at once, each with a ridge penalty."""
    seen = Counter(clue for each in examples for clue in each.clues)
    names = sorted(clue for clue, count in seen.items() if count >= FEWEST_SEEN)
    clues = {clue: at for at, clue in enumerate(names)}
    rows = table(examples, clues)
    target, mask = _targets(examples)
    mask *= np.array([each.weight for each in examples])[:, None]
    shape = (len(clues) + 1, len(COLUMNS))

    def loss(flat: np.ndarray) -> tuple[float, np.ndarray]:
        both = flat.reshape(shape)
        matrix, base = both[:-1], both[-1]
        found = predict(rows @ matrix + base)
        error = (found - target) * mask
        slope = np.vstack([rows.T @ error + ridge * matrix, error.sum(axis=0)])
        return _cost(found, target, mask) + ridge / 2 * float((matrix**2).sum()), slope.ravel()

    best = minimize(
        loss, np.zeros(shape[0] * shape[1]), jac=True, method="L-BFGS-B", options={"maxiter": STEPS}
    ).x.reshape(shape)
    return Trained(clues, best[:-1], best[-1])


def _cost(found: np.ndarray, target: np.ndarray, mask: np.ndarray) -> float:
    count = len(SYMPTOMS)
    shares = -(target[:, :count] * np.log(found[:, :count] + 1e-12) * mask[:, :count]).sum()
    yes, want = found[:, count:], target[:, count:]
    rest = -(want * np.log(yes + 1e-12) + (1 - want) * np.log(1 - yes + 1e-12)) * mask[:, count:]
    return float(shares + rest.sum())


def predict(scores: np.ndarray) -> np.ndarray:
    count = len(SYMPTOMS)
    shifted = np.exp(scores[:, :count] - scores[:, :count].max(axis=1, keepdims=True))
    shares = shifted / shifted.sum(axis=1, keepdims=True)
    return np.hstack([shares, 1 / (1 + np.exp(-np.clip(scores[:, count:], -30, 30)))])


def _targets(examples: Sequence[Example]) -> tuple[np.ndarray, np.ndarray]:
    target = np.zeros((len(examples), len(COLUMNS)), dtype=np.float32)
    mask = np.ones_like(target)
    count = len(SYMPTOMS)
    for at, each in enumerate(examples):
        target[at, count] = each.fault
        target[at, count + 1] = each.danger
        if each.symptom is None:
            mask[at, :count] = 0
            continue
        others = each.also if not each.danger else []
        for code in others:
            target[at, SYMPTOMS.index(Symptom(code))] = 0.25 / len(others)
        target[at, SYMPTOMS.index(Symptom(each.symptom))] = 0.75 if others else 1
    return target, mask


def folds(examples: Sequence[Example], count: int) -> list[list[int]]:
    order = list(range(len(examples)))
    random.Random(SEED).shuffle(order)
    return [order[at::count] for at in range(count)]


def cross_validated(
    examples: Sequence[Example], book: Sequence[Example], ridge: float = RIDGE, count: int = 5
) -> np.ndarray:
    """Predictions for each example by a model that has not seen it."""
    found = np.zeros((len(examples), len(COLUMNS)))
    for held in folds(examples, count):
        out = set(held)
        rest = [each for at, each in enumerate(examples) if at not in out] + list(book)
        trained = train(rest, ridge)
        found[held] = predict(trained.scores([examples[at] for at in held]))
    return found


def summary(examples: Sequence[Example], found: np.ndarray, limit: float = 0.5) -> str:
    count = len(SYMPTOMS)
    faults = [at for at, each in enumerate(examples) if each.fault and not each.danger]
    calm = [at for at, each in enumerate(examples) if not each.fault]
    danger = [at for at, each in enumerate(examples) if each.danger]
    safe = [at for at, each in enumerate(examples) if not each.danger]

    def among(at: int, top: int) -> bool:
        ranked = np.argsort(-found[at, :count])[:top]
        right = {examples[at].symptom, *examples[at].also}
        return any(SYMPTOMS[each] in right for each in ranked)

    shares = {
        "top-1": np.mean([among(at, 1) for at in faults]),
        "top-2": np.mean([among(at, 2) for at in faults]),
        "false alarms": np.mean(found[calm, count] >= limit),
        "missed": np.mean(found[faults, count] < limit),
        "danger missed": np.mean(found[danger, count + 1] < limit),
        "danger raised in vain": np.mean(found[safe, count + 1] >= limit),
    }
    return "  ".join(f"{name} {share:.3f}" for name, share in shares.items())


def write(trained: Trained) -> int:
    numbers = np.clip(np.rint(trained.matrix * SCALE), -32000, 32000).astype(int)
    base = np.rint(trained.base * SCALE).astype(int)
    kept = [clue for clue, at in trained.clues.items() if np.abs(numbers[at]).max() >= SMALLEST]
    lines = [
        "# Hundredths per clue, one column for each of: " + " ".join(COLUMNS),
        "base\t" + " ".join(map(str, base)),
        *(f"{clue}\t" + " ".join(map(str, numbers[trained.clues[clue]])) for clue in kept),
    ]
    WEIGHTS.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return len(kept)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--compare", action="store_true")
    arguments = parser.parse_args()
    examples, book = tuned(), phrasebook() if BOOK.exists() else []
    note_clues(examples)
    note_clues(book)
    print(len(examples), "tuned messages,", len(book), "from the phrasebook")
    if arguments.compare:
        for ridge in (0.01, 0.03, 0.1):
            print(ridge, summary(examples, cross_validated(examples, [], ridge)))
            if book:
                print(
                    "  with the phrasebook",
                    summary(examples, cross_validated(examples, book, ridge)),
                )
        return
    print(write(train([*examples, *book])), "clues have a weight")


if __name__ == "__main__":
    main()
