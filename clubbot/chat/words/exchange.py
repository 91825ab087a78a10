"""What people read about files that are taken in and given out."""

from __future__ import annotations

from clubbot.chat.words.phrases import Reply, View, Wording, button, esc
from clubbot.rules.exchange import COLUMNS
from clubbot.rules.results import (
    Exported,
    ExportedFile,
    ImportChange,
    Imported,
    ImportPreview,
    ImportProblem,
    ImportProblems,
    NothingToImport,
)

_MOST_PROBLEMS = 15
_BOM = "\ufeff"
"""Tells spreadsheets that a file is in UTF-8."""


def how() -> Reply:
    lines = ["Send me a CSV file. I show what it would change before anything is done."]
    lines += [f"• {name}.csv: {', '.join(columns)}" for name, columns in COLUMNS.items()]
    lines.append(
        "/export gives you all of them with what stands now. No row is ever deleted by a file."
    )
    return Reply("\n".join(lines))


def too_large() -> Reply:
    return Reply("That file is too large. Send a CSV file of at most 200 kB; /import says which.")


def not_fetched() -> Reply:
    return Reply("I couldn't fetch that file. Nothing was changed; please send it again.")


def not_text() -> Reply:
    return Reply("That is no text that I can read. Save it as CSV in UTF-8 and send it again.")


def preview(result: ImportPreview, view: View) -> Reply:
    lines = ["Since then something else has changed. Now it would be:"] if result.anew else []
    files = ", ".join(f"{esc(name, 20)}.csv" for name in result.files[:5])
    lines.append(f"{files}: {result.new} new, {result.changed} changed, {result.same} as they are.")
    lines += [f"• {_change(change)}" for change in result.changes]
    if more := result.new + result.changed - len(result.changes):
        lines.append(f"… and {more} more.")
    if result.absent:
        lines.append(f"{result.absent} not in the file stay as they are.")
    lines.append("Nothing is changed yet. Take it in?")
    yes = button("Yes, take it in", "takein", result.key)
    return Reply("\n".join(lines), ((yes, button("No", "stop")),))


def _change(change: ImportChange) -> str:
    where, name = esc(change.sheet.replace("_", " "), 20), esc(change.name, 60)
    if change.new:
        columns = change.columns[2:]
        rest = ", ".join(
            f"{esc(column, 20)} {esc(after, 40)}" for column, _, after in columns if after
        )
        return f"{where}, new: {name}" + (f" ({rest})" if rest else "")
    parts = [
        f"{esc(column, 20)} {esc(before, 40) or 'empty'} → {esc(after, 40) or 'empty'}"
        for column, before, after in change.columns
    ]
    return f"{where}: {name}: {', '.join(parts)}"


_WHAT = {
    "not-csv": "this is no CSV file: a quotation mark isn't closed, or stands in a wrong place",
    "columns": "the first row must have these columns: {value}",
    "cells": "this row has {value} cells",
    "missing": "{column} is missing",
    "long": "{column} is longer than {value} characters",
    "number": "{column} must be a whole number, {value}",
    "flag": "{column} must be yes or no",
    "price": "{column} must look like 129.50",
    "grams": "{column} must be in grams, such as 4.75",
    "date": "{column} must look like 2026-09-30",
    "version": "{column} must be one word, such as 3.2",
    "kind": "{column} must be unit, battery, tablet or charger",
    "twice": "{value} is there twice",
    "differs": "{value} has two different run times",
    "unknown": "there is no {column} {value}, and no row that adds it",
    "setting": "there is no setting {value}; /export shows them all",
    "value": "the value of {value} can't be read; /export shows how it is written",
    "second": "there are two of these; put their rows into one file",
    "too-many": "a club has at most {value} kits",
}


def problem(result: ImportProblem) -> str:
    """Return one line for something wrong in a file."""
    where = (
        f"{esc(result.sheet, 20)}.csv, row {result.row}" if result.sheet else f"row {result.row}"
    )
    text = _WHAT.get(result.what, "this row can't be read")
    said = text.format(column=esc(result.column, 20), value=esc(result.value, 120))
    return f"{where}: {said}"


def problems(result: ImportProblems, view: View) -> Reply:
    lines = ["Nothing was changed. Please put this right and send the file again:"]
    lines += [f"• {problem(each)}" for each in result.problems[:_MOST_PROBLEMS]]
    if more := len(result.problems[_MOST_PROBLEMS:]):
        lines.append(f"… and {more} more.")
    return Reply("\n".join(lines))


def nothing(result: NothingToImport, view: View) -> Reply:
    return Reply(f"Nothing to change: all {result.rows} rows stand like that already.")


def done(result: Imported, view: View) -> Reply:
    text = f"Taken in: {result.new} new, {result.changed} changed."
    if result.short:
        many = "" if result.short == 1 else "s"
        text += f" {result.short} booking{many} can't have all kits any more; those are told."
    return Reply(text)


def exported(result: Exported, view: View) -> Reply:
    return Reply(
        f"All that the club has, in {len(result.files)} files. Sent back to me unchanged, they "
        "change nothing. They have serial numbers and prices: keep them among adults."
    )


def file(result: ExportedFile, view: View) -> Reply:
    name = f"The file {esc(result.name, 40)}."
    return Reply(name, document=(result.name, (_BOM + result.content).encode()))


WAITING = frozenset({ImportPreview})
"""What is followed by a yes or a no."""

SAID: dict[type, Wording] = {
    ImportPreview: preview,
    ImportProblems: problems,
    NothingToImport: nothing,
    Imported: done,
    Exported: exported,
    ExportedFile: file,
}
