"""What `rank` says: all causes, the advice with its reason, and every mistake in what was asked."""

from itertools import product

import pytest

from diagnose.question import understand
from diagnose.report import rank
from diagnose.sheet import Unit, read_unit
from knowledge.book import Book, load_book
from knowledge.problems import InputProblems

FIRST_LOOKS = {"output_gauge", "supply_gauge", "lever_by_hand", "stem_watch_high", "stem_on_lever"}
"""What an old hand would look at first: output gauge, supply gauge, lift the lever, watch the stem."""
RIGHT_PAIRS = list(product(("snap", "throttle"), (("direct", "closed"), ("indirect", "open"))))


@pytest.fixture(scope="module")
def book() -> Book:
    """The book that comes with the program."""
    return load_book()


def ranked(book, *saws, sets=(), hold="running", unit=None):
    """The report for some findings."""
    unit = unit or Unit()
    return rank(book, unit, understand(book, unit, sets, saws, hold))


def pairing(action, acting, fails):
    """The words that set a pairing."""
    return (f"action={action}", f"acting={acting}", f"valve_fails={fails}")


@pytest.mark.parametrize(("action", "pair"), RIGHT_PAIRS)
def test_the_first_check_of_a_full_vessel_is_one_that_an_old_hand_would_make(book, action, pair):
    """Complaint "won't open", level confirmed high, nothing else, in all four right pairings."""
    found = ranked(book, "complaint=wont_open", "level_glass=high", sets=pairing(action, *pair))
    assert found["advice"]["kind"] == "check"
    assert found["advice"]["id"] in FIRST_LOOKS
    assert len(found["advice"]["why"]) > 20


def test_every_cause_is_listed_likeliest_first(book):
    """The unlisted ones too, each with id, title, section and probability."""
    found = ranked(book, "complaint=wont_open")
    causes = found["causes"]
    assert len(causes) == len(book.causes) + len(book.complaints)
    assert [c["probability"] for c in causes] == sorted((c["probability"] for c in causes), reverse=True)
    assert {"id", "title", "section", "probability"} <= set(causes[0])
    assert {f"unlisted_{name}" for name in book.complaints} <= {c["id"] for c in causes}


def test_without_a_complaint_it_asks_for_one(book):
    """Nothing can be blamed for nothing."""
    assert ranked(book)["advice"]["kind"] == "complaint"


def test_a_reading_counts_as_the_outcome_that_it_stands_for(book):
    """12 psi on a 25 psi supply is part-way; the reading is kept beside it."""
    by_number = ranked(book, "complaint=wont_open", "output_gauge=12psi")
    by_name = ranked(book, "complaint=wont_open", "output_gauge=part")
    assert by_number["causes"] == by_name["causes"]
    assert {"check": "output_gauge", "outcome": "part", "reading": "12psi"} in by_number["findings"]


def test_could_not_tell_changes_no_probability_and_is_not_asked_again(book):
    """It takes the check off the list and says nothing about the unit."""
    plain = ranked(book, "complaint=wont_open")
    name = plain["advice"]["id"]
    untold = ranked(book, "complaint=wont_open", f"{name}=could_not_tell")
    assert untold["causes"] == plain["causes"]
    assert untold["advice"]["id"] != name


def test_the_way_to_a_hold_comes_before_what_needs_it(book):
    """A displacer that is too heavy has to be pulled: the advice is the next hold, with its cautions."""
    saws = [
        "complaint=wont_open",
        "level_glass=high",
        "lever_by_hand=both",
        "lever_follows_arm=follows",
        "arm_feel=heavy",
        "spring_look=right",
        "output_gauge=none",
    ]
    found = ranked(book, *saws, sets=pairing("snap", "direct", "closed"))
    assert found["causes"][0]["id"] == "displacer_coated"
    assert (found["advice"]["kind"], found["advice"]["id"]) == ("hold", "on bypass")
    assert found["advice"]["cautions"]
    opened = ranked(book, *saws, sets=pairing("snap", "direct", "closed"), hold="open")
    assert opened["advice"]["kind"] in ("check", "repair")


def test_findings_of_one_story_fit_and_others_do_not(book):
    """A lever that works and is dead, a stem open that stays shut: told, with what to look at again."""
    facts = pairing("snap", "direct", "closed")
    good = ranked(book, "complaint=wont_open", "supply_gauge=none", "lever_by_hand=stays_low", sets=facts)
    odd = ranked(
        book,
        "complaint=wont_open",
        "lever_by_hand=both",
        "lever_half_way=dead",
        "stem_watch_high=open",
        "stem_on_lever=stays_shut",
        sets=facts,
    )
    assert good["fit"]["together"]
    assert not odd["fit"]["together"]
    assert odd["fit"]["look_again"]


def test_the_sheet_gives_the_facts_and_set_overrides_it(book):
    """`--set` speaks for this callout; `unknown` makes a fact unknown again."""
    unit = read_unit("willow-flat-v210", book)
    assert ranked(book, unit=unit)["facts"]["valve_fails"] == "closed"
    assert ranked(book, unit=unit, sets=["valve_fails=open"])["facts"]["valve_fails"] == "open"
    assert "valve_fails" not in ranked(book, unit=unit, sets=["valve_fails=unknown"])["facts"]


@pytest.mark.parametrize(
    ("sets", "saws", "words"),
    [
        (["acton=snap"], [], "Did you mean action?"),
        (["action=snapp"], [], "Did you mean snap?"),
        (["action"], [], "Write it as FACT=VALUE"),
        ([], ["="], "Write it as CHECK=OUTCOME"),
        ([], ["output_gage=none"], "Did you mean output_gauge?"),
        ([], ["output_gauge=nnone"], "Did you mean none?"),
        ([], ["complaint=wont_opne"], "Did you mean wont_open?"),
        ([], ["output_gauge=12"], "has no unit"),
        ([], ["output_gauge=12 degF"], "is a temperature, not a pressure"),
        ([], ["output_gauge=none", "output_gauge=full"], "was also given as 'none'"),
    ],
)
def test_a_mistake_is_named_with_its_mend(book, sets, saws, words):
    """The nearest spelling, or the form that it should have."""
    with pytest.raises(InputProblems) as caught:
        ranked(book, *saws, sets=sets)
    assert words in str(caught.value)


def test_all_mistakes_are_told_at_once(book):
    """Nobody has to run it three times."""
    with pytest.raises(InputProblems, match="acton") as caught:
        ranked(book, "nonsense=1", "complaint=no", sets=["acton=snap"], hold="runing")
    assert len(caught.value.problems) == 4


def test_a_reading_judged_by_a_usual_number_says_so(book):
    """The sheet of a unit that is known gives it, and then nothing is said."""
    assert "by the usual" in ranked(book, "output_gauge=12psi")["notes"][0]
    assert not ranked(book, "output_gauge=12psi", unit=read_unit("willow-flat-v210", book))["notes"]


def test_the_supply_that_is_set_can_be_given_on_the_phone(book):
    """18 psi is full where the supply is set to 20, part-way where it is set to 40."""
    outcomes = [
        ranked(book, "output_gauge=18psi", sets=[f"supply_set={psi}psi"])["findings"][0]["outcome"]
        for psi in (20, 40)
    ]
    assert outcomes == ["full", "part"]


def test_a_reading_far_beyond_its_gauge_is_not_taken(book):
    """400 psi on a gauge of 60."""
    with pytest.raises(InputProblems, match="far beyond a gauge of 60 psi"):
        ranked(book, "output_gauge=400psi")
