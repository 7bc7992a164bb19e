"""The reference of the commands and of a book's file, made from the code itself, as Markdown."""

import argparse
from collections.abc import Iterator
from typing import Any

MADE = "Made from the code by `halfsplit reference {}`; a test keeps it so."


def commands_text(parser: argparse.ArgumentParser) -> str:
    """Every command with its usage, words and options."""
    lines = ["# Commands", "", MADE.format("commands"), ""]
    for name, about, one in _commands(parser, parser.prog, ""):
        lines += [f"## {name}", "", _sentence(one.description or about), "", *_options(one), ""]
    return "\n".join(lines)


def _commands(
    parser: argparse.ArgumentParser, name: str, about: str
) -> Iterator[tuple[str, str, argparse.ArgumentParser]]:
    """The commands that can be run: the whole name, what the help says of it, and its parser."""
    below = [action for action in parser._actions if isinstance(action, argparse._SubParsersAction)]
    if not below:
        yield name, about, parser
    for action in below:
        said = {choice.dest: choice.help or "" for choice in action._choices_actions}
        for word, one in action.choices.items():
            yield from _commands(one, f"{name} {word}", said.get(word, ""))


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."


def _options(parser: argparse.ArgumentParser) -> Iterator[str]:
    for action in parser._actions:
        if action.help == argparse.SUPPRESS or isinstance(action, argparse._HelpAction):
            continue
        shown = action.metavar or action.dest
        value = "" if action.nargs == 0 else f" {' '.join(shown) if isinstance(shown, tuple) else shown}"
        named = ", ".join(f"`{option}{value}`" for option in action.option_strings)
        yield f"- {named or f'`{value.strip()}`'}: {action.help or ''}"


def book_text(schema: dict[str, Any]) -> str:
    """Every kind of entry of a book's file with its fields, from the JSON Schema.

    ``schema``: what `book schema` prints.
    """
    lines = ["# A file of the book", "", MADE.format("book"), ""]
    named = [("the file", schema), *schema["$defs"].items()]
    for name, entry in named:
        if "properties" not in entry:
            continue
        about = " ".join(str(entry.get("description", "")).split())
        lines += [f"## {name}", "", about, ""]
        needed = entry.get("required", [])
        for field, value in entry["properties"].items():
            said = " ".join(str(value.get("description", "")).split())
            must = "" if field in needed else ", may be left out"
            lines.append(f"- `{field}` ({_kind(value)}{must}){': ' + said if said else ''}")
        lines.append("")
    return "\n".join(lines)


def _kind(value: dict[str, Any]) -> str:
    """What stands in a field, in words."""
    if "$ref" in value:
        return str(value["$ref"]).rsplit("/", 1)[-1]
    if "anyOf" in value:
        return " or ".join(dict.fromkeys(_kind(one) for one in value["anyOf"]))
    if "enum" in value or "const" in value:
        return "one of " + ", ".join(map(str, value.get("enum", [value.get("const")])))
    match value.get("type"):
        case "array":
            return f"list of {_kind(value.get('items', {}))}"
        case "object":
            more = value.get("additionalProperties")
            for kind in value.get("patternProperties", {}).values():
                more = kind
            return f"name to {_kind(more)}" if isinstance(more, dict) else "mapping"
        case kind:
            return str(kind or "anything")
