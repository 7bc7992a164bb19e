"""`book check` finds what an author cannot see."""

import pytest

from diagnose.book_check import check as check_whole
from knowledge.checker import check_book
from tests.helpers import bare_book, book_of, cause, changed, check


def verdict(changes):
    """The verdict on the bare book with one sound cause and some changes."""
    sound = {"causes": {"sound": cause({"stays_shut": "usually"})}}
    return check_book(book_of(changed(changed(bare_book(), sound), changes)))


def words(problems):
    """What is said, by whom it is said of."""
    return {problem.field: problem.what for problem in problems}


def test_a_sound_book_has_nothing_to_tell():
    """No problem and no hint."""
    found = verdict({})
    assert (found.problems, found.hints) == ((), ())


@pytest.mark.parametrize(
    ("changes", "name", "what"),
    [
        (
            {
                "causes": {"hidden": cause({"unseen": "usually"})},
                "conditions": {"unseen": {"title": "Unseen"}},
            },
            "hidden",
            "no check and no complaint can see this cause",
        ),
        ({"conditions": {"orphan": {"title": "Orphan"}}}, "orphan", "no cause brings this condition about"),
        ({"causes": {"twin": cause({"stays_shut": "usually"})}}, "twin", "no check can tell it from sound"),
        (
            {
                "checks": {
                    "drop_seen": check(
                        [{"given": "stays_shut", "then": "no"}, {"then": "yes"}], hold="isolated"
                    )
                }
            },
            "sound",
            "its proof, drop_seen, needs the unit 'isolated'",
        ),
    ],
)
def test_what_makes_a_book_wrong_is_a_problem(changes, name, what):
    """Each with the name of the entry that it is about."""
    assert words(verdict(changes).problems)[name] == what


def test_a_proof_that_cannot_see_its_cause_is_a_hint():
    """A check of something else proves nothing."""
    other = check([{"given": "apart", "then": "no"}, {"then": "yes"}])
    blind = cause({"apart": "usually"})
    found = verdict(
        {"causes": {"blind": blind}, "conditions": {"apart": {"title": "Apart"}}, "checks": {"look": other}}
    )
    assert words(found.hints)["blind"] == "its proof, drop_seen, cannot see it"


def test_twins_are_told_apart_by_a_check_of_their_own():
    """Then they are no twins any more."""
    look = check([{"given": "twin", "then": "yes"}, {"then": "no"}])
    found = verdict({"causes": {"twin": cause({"stays_shut": "usually"})}, "checks": {"look": look}})
    assert not found.problems


def test_a_book_too_dense_to_reason_over_names_what_hangs_together():
    """Every condition on every other's causes, and a check that looks at all of them."""
    many = [f"c{n}" for n in range(22)]
    conditions = {name: {"title": name} for name in many}
    causes = {f"k{n}": cause(dict.fromkeys(many, 0.5 + n / 10)) for n in range(3)}
    causes["sound"] = cause({"stays_shut": "usually"})
    look = check([{"given": many, "then": "yes"}, {"then": "no"}])
    book = book_of(
        changed(bare_book(), {"causes": causes, "conditions": conditions, "checks": {"look": look}})
    )
    found = check_whole(book)
    assert (found.cells, found.pairs) == ({}, ())
    assert "too dense" in found.problems[0].what
    assert "c7" in found.problems[0].what


@pytest.mark.parametrize(("count", "hinted"), [(18, []), (19, ["stays_shut"])])
def test_a_condition_that_too_many_things_lead_to_is_hinted_at(count, hinted):
    """With eighteen a general library still holds the table; with one more the author is told."""
    causes = {f"c{k}": cause({"stays_shut": "usually"}) for k in range(count)}
    looks = {f"look_{k}": check([{"given": f"c{k}", "then": "yes"}, {"then": "no"}]) for k in range(count)}
    found = check_whole(book_of(changed(bare_book(), {"causes": causes, "checks": looks})))
    assert [hint.field for hint in found.hints if "things lead to it" in hint.what] == hinted
