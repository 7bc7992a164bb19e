"""Looking further ahead beside a walk: a better step may be shown, but only while its moment lasts."""

from dataclasses import replace

import pytest

from diagnose import walk as walk_module
from diagnose.advice import Adviser
from diagnose.events import Event
from diagnose.opening import open_callout
from diagnose.sheet import Unit
from diagnose.walk import Walk
from tests.helpers import tiny_book


@pytest.fixture
def walk():
    """The tiny book's walk, come to its first advice."""
    book = tiny_book()
    saved: list[Event] = []
    walk = Walk(book, [open_callout("test", Unit("test"), book, "")], saved.append, lambda: "")
    walk.answer("far")
    walk.answer("wont_open")
    return walk


def test_before_any_advice_there_is_nothing_to_look_ahead_for():
    """Danger and the complaint come first, whatever else might be better."""
    book = tiny_book()
    walk = Walk(book, [open_callout("test", Unit("test"), book, "")], lambda event: None, lambda: "")
    assert walk.view().advice is None
    assert walk.looked_ahead() is None


def other_advice(monkeypatch, walk):
    """Make rollout find another check than the one advised."""
    now = walk.view().advice
    other = next(name for name in walk.book.checks if name != now.id and name != "trim_seen")
    better = replace(now, kind="check", id=other, then=())
    monkeypatch.setattr(walk_module.Adviser, "best_ahead", lambda self, limits, stop: better)
    return other


def test_a_better_step_is_shown_while_its_moment_lasts(walk, monkeypatch):
    """It takes the place of the first one and is what an answer goes to."""
    other = other_advice(monkeypatch, walk)
    before = walk.view()
    better = walk.looked_ahead()
    assert walk.view() is before
    assert better.step.id == other
    assert better.leaders == before.leaders
    assert walk.show(better, before)
    assert walk.view().step.id == other
    walk.answer("could_not_tell")
    assert walk.events[-1].id == other


def test_a_better_step_that_comes_too_late_is_not_shown(walk, monkeypatch):
    """The question was answered meanwhile: what is on the screen stays."""
    other_advice(monkeypatch, walk)
    before = walk.view()
    better = walk.looked_ahead()
    walk.answer("0")
    after = walk.view()
    assert not walk.show(better, before)
    assert walk.view() is after


def test_where_rollout_agrees_nothing_changes(walk, monkeypatch):
    """The same step again is no better view."""
    now = walk.view().advice
    monkeypatch.setattr(walk_module.Adviser, "best_ahead", lambda self, limits, stop: now)
    assert walk.looked_ahead() is None


def test_what_is_looked_ahead_for_is_what_the_adviser_says(walk):
    """The real rollout: the step it finds, or none where it finds the same."""
    view = walk.view()
    ahead = Adviser(walk._reasoner, view.state.evidence).best_ahead(
        walk_module.limits_of(walk.book, view.state)
    )
    better = walk.looked_ahead()
    shown = better.advice if better else view.advice
    assert (shown.kind, shown.id) == (ahead.kind, ahead.id)
