"""A tiny but whole book for tests, and ways to change it."""

import json
import tempfile
from collections.abc import Mapping
from copy import deepcopy
from pathlib import Path
from typing import Any

import yaml

from knowledge.book import Book, load_book
from knowledge.words import HOLDS

_ASKED = {"say": "Look at it.", "why_it_splits": "it parts the two", "minutes": 2, "right": "It is right."}


def cause(
    leads_to: Mapping[str, Any], base: float = 10, hold: str = "running", **more: Any
) -> dict[str, Any]:
    """A cause with a repair; ``minutes`` and ``takes`` go to the repair, the rest to the cause."""
    repair = {"do": ["Put it right."], "minutes": more.pop("minutes", 10), "hold": hold, "prove": "drop_seen"}
    if "takes" in more:
        repair["takes"] = more.pop("takes")
    fixed = {"title": "A fault", "plain": "It is broken", "why": "It wears.", "base": base}
    return {**fixed, "leads_to": dict(leads_to), "repair": repair, **more}


def check(shows: list[dict[str, Any]], outcomes: str = "yes no", **more: Any) -> dict[str, Any]:
    """A check with the outcomes named, and rows of what it shows."""
    named = {name: name.capitalize() for name in outcomes.split()}
    return {**_ASKED, "ask": "What does it show?", "outcomes": named, "shows": shows, **more}


def fact(prior: list[dict[str, Any]], values: str, **more: Any) -> dict[str, Any]:
    """A fact of the unit with the values named."""
    asked = {key: value for key, value in _ASKED.items() if key != "right"}
    named = {name: name.capitalize() for name in values.split()}
    return {**asked, "ask": "Which is it?", "title": "A fact", "values": named, "prior": prior, **more}


def complaint(of: str, unlisted: float = 5, **more: Any) -> dict[str, Any]:
    """A complaint about a condition."""
    return {"title": "It is wrong", "say": "It does it wrong", "of": of, "unlisted": unlisted, **more}


def holds(minutes: float = 5, back_minutes: float = 3) -> dict[str, Any]:
    """Every hold above running, each with the one caution `read_it`."""
    step = {
        "title": "Go there",
        "done": "It is there",
        "minutes": minutes,
        "back_minutes": back_minutes,
        "cautions": ["read_it"],
        "steps": ["Go."],
        "back": ["Come back."],
    }
    return {hold: dict(step) for hold in HOLDS[1:]}


def bare_book() -> dict[str, Any]:
    """What every book needs besides causes, conditions and checks: no facts, no holds that cost."""
    return {
        "section": "pilot and ports",
        "checks": {"drop_seen": check([{"given": "stays_shut", "then": "no"}, {"then": "yes"}])},
        "conditions": {"stays_shut": {"title": "Stays shut"}},
        "complaints": {"wont_open": complaint("stays_shut")},
        "holds": holds(0, 0),
        "cautions": {"read_it": "Read this."},
        "prices": {"help": 240, "proof": 0},
    }


TINY: dict[str, Any] = {
    "section": "pilot and ports",
    "facts": {
        "season": fact([{"share": {"warm": 0.7, "cold": 0.3}}], "warm cold", sheet="supply.medium"),
        "fails": fact(
            [
                {"when": {"season": "cold"}, "share": {"closed": 0.9, "open": 0.1}},
                {"share": {"closed": 0.6, "open": 0.4}},
            ],
            "closed open",
            sheet="valve.fails",
        ),
    },
    "quantities": {
        "supply_psi": {"title": "Supply", "unit": "psi", "usual": 30, "sheet": "controller.supply_set"}
    },
    "causes": {
        "vent_blocked": cause(
            {"output_stuck": "nearly always"},
            14,
            "supply off",
            more_likely=[{"when": {"season": "warm"}, "times": 2}],
        ),
        "supply_lost": cause({"no_supply": "always"}, 20, minutes=5),
        "supply_frozen": cause(
            {"no_supply": "usually", "slow_pilot": 0.4},
            2,
            "supply off",
            more_likely=[{"when": {"season": "cold"}, "base": 60}],
        ),
        "trim_worn": cause({"passes": "usually"}, 12, "open", minutes=90, takes="usually"),
        "stem_stuck": cause({"stays_shut": 0.9, "passes": "seldom"}, 8, "depressured", minutes=40),
    },
    "conditions": {
        "no_supply": {"title": "No supply", "leads_to": {"output_stuck": "always"}},
        "slow_pilot": {"title": "Slow pilot", "leads_to": {"output_stuck": "sometimes"}},
        "output_stuck": {
            "title": "Output stuck",
            "leads_to": {
                "stays_shut": {"strength": "always", "when": {"fails": "closed"}},
                "passes": [
                    {"strength": "always", "when": {"fails": "open"}},
                    {"strength": "seldom"},
                ],
            },
        },
        "stays_shut": {"title": "Stays shut"},
        "passes": {"title": "Passes"},
    },
    "checks": {
        "supply_gauge": check(
            [
                {"given": "no_supply", "then": {"none": "usually", "part": 0.15}},
                {"given": "slow_pilot", "then": {"part": "often"}},
                {"then": "full"},
            ],
            "none part full",
            minutes=1,
            reading={
                "unit": "psi",
                "bins": [
                    {"is": "none", "below": 1.5},
                    {"is": "part", "below": 0.8, "of": "supply_psi"},
                    {"is": "full"},
                ],
            },
        ),
        "vent_breathes": check([{"given": "vent_blocked", "then": "no"}, {"then": "yes"}], hold="supply off"),
        "output_moves": check(
            [
                {"given": ["output_stuck", "stem_stuck"], "then": {"no": 0.9}},
                {"given": "output_stuck", "when": {"fails": "closed"}, "then": "no"},
                {"then": {"yes": "nearly always"}},
            ],
            slip=0.05,
            up_to="on bypass",
        ),
        "trim_seen": check(
            [{"given": "trim_worn", "then": {"worn": "nearly always"}}, {"then": "good"}],
            "worn good",
            hold="open",
        ),
        "stem_moves": check(
            [{"given": "stem_stuck", "then": "no"}, {"then": {"yes": "usually"}}],
            hold="on bypass",
            minutes=4,
        ),
        "drop_seen": check([{"given": "stays_shut", "then": "no"}, {"then": "yes"}], minutes=6),
    },
    "complaints": {
        "wont_open": complaint("stays_shut"),
        "wont_shut": complaint("passes", 3, reported="nearly always"),
    },
    "triage": {
        "how_full": {
            "ask": "How close is it to the trip?",
            "say": "How full is it?",
            "outcomes": {
                "near": {"title": "Near the trip", "do": ["Open the bypass."]},
                "far": {"title": "Far from it"},
            },
        }
    },
    "holds": holds(),
    "cautions": {"read_it": "Read this.", "shut_first": "Shut it first."},
    "prices": {"help": 240, "proof": 20},
}
"""Five causes, five conditions, six checks over four holds, two facts of which one depends on the other."""


def changed(data: Mapping[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    """A copy of nested data with some values replaced; a change to None takes the entry out.

    >>> changed({"a": {"b": 1, "c": 2}}, {"a": {"b": 3, "c": None}})
    {'a': {'b': 3}}
    """
    result = deepcopy(dict(data))
    for name, value in changes.items():
        if value is None:
            result.pop(name, None)
        elif isinstance(value, Mapping) and isinstance(result.get(name), Mapping):
            result[name] = changed(result[name], value)
        else:
            result[name] = deepcopy(value)
    return result


class _Plain(yaml.SafeDumper):
    """Writes everything out: the door refuses aliases."""

    def ignore_aliases(self, data: Any) -> bool:
        return True


def yaml_of(data: Mapping[str, Any]) -> str:
    """The data as YAML text without anchors, in its own order."""
    return yaml.dump(dict(data), Dumper=_Plain, sort_keys=False)


def write_book(folder: Path, changes: Mapping[str, Any] | None = None) -> Path:
    """Write the tiny book, with changes, to ``folder``/tiny.yaml; the folder comes back."""
    (folder / "tiny.yaml").write_text(yaml_of(changed(TINY, changes or {})), encoding="utf-8")
    return folder


def book_of(data: Mapping[str, Any]) -> Book:
    """The book that this data makes, through the real loader."""
    with tempfile.TemporaryDirectory() as name:
        # JSON is YAML, and twenty times quicker to write.
        (Path(name) / "book.yaml").write_text(json.dumps(data, indent=0), encoding="utf-8")
        return load_book(Path(name))


def tiny_book(changes: Mapping[str, Any] | None = None) -> Book:
    """The tiny book, with changes."""
    return book_of(changed(TINY, changes or {}))
