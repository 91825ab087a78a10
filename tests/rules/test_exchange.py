"""Files: written and read back the same, harmless in a spreadsheet, wrong rows named one by one."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clubbot.rules.exchange import (
    COLUMNS,
    Contents,
    ItemRow,
    KitRow,
    KitTypeRow,
    PartRow,
    Problem,
    Sheet,
    SpareRow,
    TeamRow,
    compare,
    decode,
    read_sheet,
    write_sheets,
)
from clubbot.rules.exchange.cells import as_it_was, harmless
from clubbot.rules.tidy import tidy

# What people write to do harm or by accident: the signs of OWASP's page "CSV Injection", quotes,
# separators, apostrophes.
SIGNS = "=+-@'\";,|\t\r\n\uff1d\uff0b\uff0d\uff20 aB1\u00e9\u72d0"
TEXTS = st.text(st.sampled_from(SIGNS), max_size=16) | st.text(max_size=16)
WORDS = TEXTS.map(lambda text: tidy(text)[:16].strip()).filter(bool)


def _own(word: str) -> str:
    return word.casefold()


@st.composite
def contents(draw: st.DrawFn) -> Contents:
    """All that a club can have, with names of any sort."""
    types = draw(st.lists(WORDS, min_size=1, max_size=3, unique_by=_own))
    known = st.sampled_from(types)
    parts = draw(
        st.lists(
            st.builds(
                PartRow, known, WORDS, st.integers(1, 999), st.booleans(), st.booleans(),
                WORDS | st.just(""), WORDS | st.just(""), st.none() | st.integers(1, 99_999_999),
                st.none() | st.integers(0, 99_999), st.none() | st.integers(1, 500),
                st.none() | st.integers(0, 9_999_99),
            ),
            max_size=6,
            unique_by=lambda part: part.key,
        )
    )  # fmt: skip
    labels = draw(st.lists(WORDS, max_size=5, unique_by=_own))
    days = st.none() | st.dates(date(2000, 1, 1), date(2099, 1, 1))
    items = draw(
        st.lists(
            st.builds(
                ItemRow,
                st.sampled_from(["unit", "battery", "tablet", "charger"]),
                st.just("") | WORDS,
                st.sampled_from(["", *labels]),
                st.none() | st.integers(0, 9_999_999_99),
                days,
                days,
                st.sampled_from(["", "3.10", "v7.1", "beta-2"]),
            ),
            max_size=8,
            unique_by=lambda item: item.key if item.serial else object(),
        )
    )
    spare = [SpareRow(p.kit_type, p.part, draw(st.integers(0, 50))) for p in parts[::2]]
    teams = draw(st.lists(WORDS, max_size=3, unique_by=_own))
    return Contents(
        tuple(KitTypeRow(name, draw(st.integers(1, 1440))) for name in types),
        tuple(sorted(parts, key=lambda part: types.index(part.kit_type))),
        tuple(KitRow(label, draw(known), draw(WORDS | st.just(""))) for label in labels),
        tuple(items),
        tuple(TeamRow(name, draw(st.booleans())) for name in teams),
        tuple(spare),
    )


def _sheets(files: dict[str, str]) -> list[Sheet]:
    found = [read_sheet(text) for text in files.values()]
    assert all(isinstance(each, Sheet) for each in found), found
    return [each for each in found if isinstance(each, Sheet)]


@settings(max_examples=150)
@given(contents())
def test_what_is_written_changes_nothing_when_it_is_read_and_makes_the_same_elsewhere(
    have: Contents,
) -> None:
    sheets = _sheets(write_sheets(have))
    plan = compare(have, sheets)
    assert (plan.problems, plan.changes, plan.absent) == ((), (), 0)
    elsewhere = compare(Contents(), sheets)
    assert elsewhere.problems == ()
    made = [change.after for change in elsewhere.changes]
    every = (*have.kit_types, *have.parts, *have.kits, *have.items, *have.teams, *have.spares)
    assert sorted(map(repr, made)) == sorted(map(repr, every))


@settings(max_examples=150)
@given(contents())
def test_no_cell_of_a_file_is_taken_for_a_formula_whatever_it_is_split_at(have: Contents) -> None:
    for text in write_sheets(have).values():
        for line in csv.reader(io.StringIO(text, newline=""), strict=True):
            for cell in line:
                for piece in re.split(r"[,;\t|\r\n]", cell):
                    assert not re.match(r"[=+\-@\uff1d\uff0b\uff0d\uff20\t\r]", piece), cell


@settings(max_examples=300)
@given(TEXTS)
def test_every_text_comes_back_as_it_was(text: str) -> None:
    assert as_it_was(harmless(text)) == text


@pytest.mark.parametrize(
    ("typed", "read"),
    [("'Tis", "'Tis"), ("O'Hara", "O'Hara"), ("'=1+1", "=1+1"), ("5'-6'", "5'-6'")],
)
def test_an_apostrophe_typed_by_hand_stays_unless_it_guards_a_formula(
    typed: str, read: str
) -> None:
    assert as_it_was(typed) == read


ITEMS = "kind,serial,kit,price,bought on,warranty until\n"
# RFC 4180, section 2, rules 1 to 7, with their quoting and line ends, on the columns of teams.
RFC_4180 = [
    "team,same kit\r\naaa,yes\r\nzzz,no\r\n",
    "team,same kit\r\naaa,yes\r\nzzz,no",
    '"team","same kit"\r\n"aaa","yes"\r\nzzz,"no"\r\n',
]


@pytest.mark.parametrize("text", RFC_4180)
def test_files_are_read_as_the_standard_writes_them(text: str) -> None:
    sheet = read_sheet(text)
    assert isinstance(sheet, Sheet)
    assert sheet.rows == ((2, TeamRow("aaa", True)), (3, TeamRow("zzz", False)))


def test_a_quotation_mark_in_a_cell_is_doubled_and_lines_end_as_the_standard_says() -> None:
    text = write_sheets(Contents(teams=(TeamRow('b"bb, c', True),)))["teams.csv"]
    assert text == 'team,same kit\r\n"b""bb, c",yes\r\n'


@pytest.mark.parametrize(
    "text",
    [
        "team;same kit\nRed;yes\n",
        "team\tsame kit\nRed\tyes\n",
        "Same_Kit,TEAM\nyes,Red\n",
        "team,same kit,,\nRed,yes,,\n\n",
    ],
)
def test_files_from_spreadsheets_of_other_countries_are_read_too(text: str) -> None:
    sheet = read_sheet(text)
    assert isinstance(sheet, Sheet)
    assert sheet.rows == ((2, TeamRow("Red", True)),)


def test_text_in_utf_8_or_utf_16_is_read_and_anything_else_is_not() -> None:
    text = "team,same kit\r\nFüchse,yes\r\n"
    for coding in ("utf-8", "utf-8-sig", "utf-16"):
        assert decode(text.encode(coding)) == text
    assert decode("Füchse".encode("latin-1")) is None


@pytest.mark.parametrize(
    ("text", "row", "column", "what"),
    [
        ("label,kit type,place\nA,robot kit,\n,robot kit,\n", 3, "label", "missing"),
        ("label,kit type,place\n\nABCDEFGHIJKLMNOPQ,x,\n", 3, "label", "long"),
        ("label,kit type\nA,x\n", 1, "", "columns"),
        ("nonsense\n1\n", 1, "", "columns"),
        ("", 1, "", "columns"),
        ("team,same kit\nRed\n", 2, "", "cells"),
        ("team,same kit\nRed,yes,more\n", 2, "", "cells"),
        ("team,same kit\nRed,perhaps\n", 2, "same kit", "flag"),
        ('team,same kit\nRed,"yes\n', 3, "", "not-csv"),
        ("kit type,part,number\nx,y,-1\n", 2, "number", "number"),
        ("kit type,part,number\nx,y,\u0663\n", 2, "number", "number"),
        (ITEMS + "robot,,,,,\n", 2, "kind", "kind"),
        (ITEMS + "unit,,,12.345,,\n", 2, "price", "price"),
        (ITEMS + "unit,,,,31.12.2025,\n", 2, "bought on", "date"),
        (ITEMS + "unit,,,,,2025-02-30\n", 2, "warranty until", "date"),
    ],
)
def test_what_is_wrong_is_named_with_its_row_and_column(
    text: str, row: int, column: str, what: str
) -> None:
    found = read_sheet(text)
    assert isinstance(found, tuple)
    assert (found[0].row, found[0].column, found[0].what) == (row, column, what)


def test_all_wrong_rows_of_a_file_are_named_at_once() -> None:
    found = read_sheet("team,same kit\nRed,maybe\nBlue,yes\n,no\n")
    assert isinstance(found, tuple)
    assert [problem.row for problem in found] == [2, 4]


HAVE = Contents(
    kit_types=(KitTypeRow("robot kit", 120),),
    parts=(PartRow("robot kit", "cable", 4, False, True, "tray 1"),),
    kits=(KitRow("A", "robot kit", ""), KitRow("B", "robot kit", "shelf")),
    items=(ItemRow("tablet", "T1", "A", None, None, None),),
)


def _plan(*texts: str) -> tuple[list[str], list[Problem]]:
    plan = compare(HAVE, _sheets(dict(enumerate(texts))))  # type: ignore[arg-type]
    return [f"{c.before} > {c.after}" for c in plan.changes], list(plan.problems)


def test_files_may_build_on_one_another_in_any_order() -> None:
    fleet = "label,kit type,place\nC,BIG KIT,\n"
    types = "kit type,run minutes,part,number,big,essential,tray\nBig kit,90,wheel,4,no,yes,\n"
    items = "kind,serial,kit,price,bought on,warranty until\nunit,U9,c,,,\n"
    changes, problems = _plan(items, fleet, types)
    assert problems == []
    assert any("KitRow(label='C', kit_type='Big kit'" in change for change in changes)
    assert any("serial='U9', kit='C'" in change for change in changes)


@pytest.mark.parametrize(
    ("text", "row", "what"),
    [
        ("label,kit type,place\nC,nothing,\n", 2, "unknown"),
        ("label,kit type,place\nC,robot kit,\nc,robot kit,\n", 3, "twice"),
        ("kit type,part,number\nrobot kit,wheel,3\n", 2, "unknown"),
        (ITEMS + "unit,U1,Z,,,\n", 2, "unknown"),
        (ITEMS + "unit,U1,,,,\nunit,U1,A,,,\n", 3, "twice"),
        (
            "kit type,run minutes,part,number,big,essential,tray\nx,90,,,,,\nx,80,wheel,1,,,\n",
            3,
            "differs",
        ),
        (
            "label,kit type,place\n" + "".join(f"K{n},robot kit,\n" for n in range(199)),
            200,
            "too-many",
        ),
    ],
)
def test_rows_that_contradict_others_or_point_nowhere_are_named(
    text: str, row: int, what: str
) -> None:
    _, problems = _plan(text)
    assert [(problem.row, problem.what) for problem in problems] == [(row, what)]


def test_a_file_changes_what_differs_and_leaves_what_it_does_not_name() -> None:
    plan = compare(HAVE, _sheets({"f": "label,kit type,place\nb,robot kit,box 2\n"}))
    (change,) = plan.changes
    assert change.before == KitRow("B", "robot kit", "shelf")
    assert change.after == replace(HAVE.kits[1], label="b", place="box 2")
    assert plan.absent == 1


def test_what_a_shorter_list_of_kit_types_does_not_say_of_a_part_stays_as_it_stands() -> None:
    part = replace(HAVE.parts[0], compartment="box 3", weight_mg=4750, pack=10, price_cents=599)
    have = replace(HAVE, parts=(part,))
    short = "kit type,run minutes,part,number,big,essential,tray,pack\n"
    plan = compare(have, _sheets({"f": f"{short}robot kit,120,cable,6,no,yes,tray 1,20\n"}))
    (change,) = plan.changes
    assert change.after == replace(part, number=6, pack=20)


def test_weights_are_in_grams_and_anything_else_is_named() -> None:
    head = "kit type,run minutes,part,number,big,essential,tray,weight,spread\n"
    sheet = read_sheet(f"{head}robot kit,120,cable,6,no,yes,,4.75,0.1\n")
    assert isinstance(sheet, Sheet)
    (part,) = [row for _, row in sheet.rows if isinstance(row, PartRow)]
    assert (part.weight_mg, part.spread_mg) == (4750, 100)
    wrong = read_sheet(f"{head}robot kit,120,cable,6,no,yes,,0,0\nrobot kit,120,axle,6,,,,2 g,\n")
    assert isinstance(wrong, tuple)
    assert [(each.row, each.column, each.what) for each in wrong] == [
        (2, "weight", "grams"),
        (3, "weight", "grams"),
    ]


def test_every_sheet_is_told_apart_by_its_first_row() -> None:
    for kind, columns in COLUMNS.items():
        sheet = read_sheet(",".join(columns) + "\r\n")
        assert sheet == Sheet(kind, ())
