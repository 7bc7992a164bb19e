"""The commands that a document shows: what in backticks or in an indented block begins like one."""

import argparse
import re
import shlex
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from tui.__main__ import parser

ROOT: Final = Path(__file__).parents[1]
SPAN: Final = re.compile(r"`([^`\n]+)`|^    (?:\$ )?((?:halfsplit|python|HALFSPLIT)\b.*)$", re.MULTILINE)


def spans(document: str) -> list[str]:
    """All that stands in backticks or in an indented line that begins like a command, each once."""
    text = (ROOT / document).read_text(encoding="utf-8")
    return list(dict.fromkeys(a or b for a, b in SPAN.findall(text)))


def below(one: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
    """The commands below a parser, by name."""
    found: dict[str, argparse.ArgumentParser] = {}
    for action in one._actions:
        if isinstance(action, argparse._SubParsersAction):
            found |= action.choices
    return found


def own_commands(document: str) -> list[list[str]]:
    """The words after `halfsplit` of each of its commands, also where `halfsplit` itself is left out."""
    found = []
    for span in spans(document):
        words = shlex.split(span.replace("…", "...").replace("'", "\\'"))
        if words[:1] == ["halfsplit"] or words[:3] == ["python", "-m", "tui"]:
            found.append(words[1 if words[0] == "halfsplit" else 3 :])
        elif words[:1] and words[0] in below(parser()) and len(words) > 1:
            found.append(words)
    return [words for words in found if words]


def python_modules(document: str) -> list[str]:
    """What is run with `python -m`."""
    text = "\n".join(spans(document))
    return sorted(set(re.findall(r"python -m ([\w.]+)", text)))


def strange_words(words: list[str]) -> Iterator[str]:
    """What the parser does not know of a command's subcommands and options; values are not looked at."""
    one, path = parser(), "halfsplit"
    for word in words:
        if word.startswith("["):
            word = word.strip("[]")
        if word.startswith("--"):
            options = {option for action in one._actions for option in action.option_strings}
            if word.partition("=")[0] not in options:
                yield f"{path} has no {word}"
        elif commands := below(one):
            if word not in commands:
                yield f"{path} has no command {word}"
                return
            one, path = commands[word], f"{path} {word}"
