"""Makes bot_api.json out of the npm package @gramio/types; see NOTICE for how to run it.

Keeps facts only: names, types, what is required, limits. A "1-64 characters" or "1-64 bytes" in a
description becomes minLength/maxLength or minBytes/maxBytes; lengths that count "after entities
parsing" can't be seen from outside and are left to the stand-in. Descriptions are dropped.
"""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[3]
HERE = Path(__file__).resolve().parent
LENGTH = re.compile(r"(\d+)-(\d+) (characters|bytes)(?! after)(?! with at most)")
RESULT = re.compile(r"^    (\w+): CallAPI\w*<\s*((?:[^<>]|<[^<>]*>)*?)\s*>$", re.MULTILINE)
REF = "#/definitions/"
PREFIX = "Telegram"


def short(name: str) -> str:
    """A definition's name as the documentation has it."""
    return name.removeprefix(PREFIX)


def facts(node: Any) -> Any:
    """A schema without its prose, and without what only a TypeScript object could be."""
    if isinstance(node, list):
        return [facts(item) for item in node]
    if not isinstance(node, dict):
        return node
    if "anyOf" in node:
        kept = [item for item in node["anyOf"] if not typescript_only(item)]
        if len(kept) == 1:
            rest = {key: value for key, value in node.items() if key != "anyOf"}
            return facts({**kept[0], **rest})
        node = {**node, "anyOf": kept}
    out: dict[str, Any] = {}
    for key, value in node.items():
        if key == "$ref":
            out[key] = REF + short(value.removeprefix(REF))
        elif key == "properties":
            out[key] = {name: facts(item) for name, item in sorted(value.items())}
        elif key != "description":
            out[key] = facts(value)
    if out.get("type") == "string" and "enum" not in out:
        out |= lengths(node.get("description", ""))
    return out


def typescript_only(node: dict[str, Any]) -> bool:
    """True for "or anything with a toJSON method" and "or anything with a toString method"."""
    return node.get("properties", {}).keys() in ({"toJSON"}, {"toString"})


def lengths(prose: str) -> dict[str, int]:
    """The length limits that a description states, if it states one pair."""
    found = LENGTH.findall(prose)
    if len(found) != 1:
        return {}
    low, high, unit = found[0]
    word = "Length" if unit == "characters" else "Bytes"
    return {f"min{word}": int(low), f"max{word}": int(high)}


def result_schema(kind: str) -> Any:
    """The schema of a method's result, from how TypeScript writes its type."""
    options = [option.strip() for option in kind.split("|")]
    if len(options) > 1:
        return {"anyOf": [result_schema(option) for option in options]}
    if kind.endswith("[]"):
        return {"type": "array", "items": result_schema(kind[:-2])}
    if kind.startswith("Objects."):
        return {"$ref": REF + short(kind.removeprefix("Objects."))}
    plain = {"true": {"const": True}, "string": {"type": "string"}, "number": {"type": "number"}}
    return plain[kind]


def methods(source: str, wanted: set[str]) -> dict[str, dict[str, Any]]:
    """For each wanted method the name of its parameters' schema and the schema of its result."""
    found = {}
    for name, inside in RESULT.findall(source):
        if name in wanted:
            *params, result = [part.strip() for part in inside.split(",")]
            found[name] = {
                "params": params[0].removeprefix("Params.") if params else None,
                "result": result_schema(result),
            }
    return found


def reachable(definitions: dict[str, Any], roots: list[Any]) -> dict[str, Any]:
    """The definitions that the roots need, directly or not."""
    kept: dict[str, Any] = {}
    todo = [json.dumps(root) for root in roots]
    while todo:
        for name in re.findall(rf'"{REF}([^"]+)"', todo.pop()):
            if name not in kept:
                kept[name] = definitions[name]
                todo.append(json.dumps(kept[name]))
    return dict(sorted(kept.items()))


def main(folder: Path) -> None:
    """Reads objects.json, params.json and the package under `folder`, writes bot_api.json."""
    sys.path.insert(0, str(ROOT))
    from demo.standin.methods import METHODS

    package = folder / "node_modules/@gramio/types"
    source = (package / "out/methods.d.ts").read_text()
    wanted = methods(source, {name for name, _ in METHODS.values()})
    definitions: dict[str, Any] = {}
    for name in ("params", "objects"):
        for key, value in json.loads((folder / f"{name}.json").read_text())["definitions"].items():
            definitions[short(key)] = facts(value)
    roots: list[Any] = [{"$ref": f"{REF}Update"}, *wanted.values()]
    roots += [{"$ref": REF + entry["params"]} for entry in wanted.values() if entry["params"]]
    kept = reachable(definitions, roots)
    api = re.search(r"Based on Bot API v([\d.]+)", source)
    version = json.loads((package / "package.json").read_text())["version"]
    lines = [
        f'{{"source": "npm:@gramio/types@{version}", "bot_api": "{api[1] if api else ""}",',
        '"methods": {',
        ",\n".join(f"{json.dumps(name)}: {dense(entry)}" for name, entry in sorted(wanted.items())),
        '},\n"definitions": {',
        ",\n".join(f"{json.dumps(name)}: {dense(entry)}" for name, entry in kept.items()),
        "}}",
    ]
    (HERE / "bot_api.json").write_text("\n".join(lines) + "\n")


def dense(value: Any) -> str:
    """JSON without spaces."""
    return json.dumps(value, separators=(",", ":"))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
