"""Many callouts in one go: each line is ranked as it would be alone, and a bad line harms no other."""

import json
from io import BytesIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import diagnose.batch as batch
from diagnose.batch import MAX_BYTES, lines_of, rank_lines
from diagnose.question import understand
from diagnose.reasoner import Reasoner
from diagnose.report import rank
from diagnose.sheet import Unit, read_unit
from knowledge.book import load_book
from tests.helpers import tiny_book

TINY = tiny_book()
GOOD = b'{"id": "good", "saw": {"complaint": "wont_open"}}\n'


def answers(text: bytes, book=TINY) -> list[dict]:
    """What is said of each line, as JSON, through `json` and back."""
    found = [answer.to_json() for answer in rank_lines(book, lines_of(BytesIO(text)), "calls.jsonl")]
    return json.loads(json.dumps(found))


def line(**data) -> bytes:
    """One line of a batch."""
    return json.dumps(data).encode() + b"\n"


def errors(raw: bytes) -> str:
    """All that is wrong with one line, which stands between two good ones that are answered."""
    first, bad, last = answers(GOOD + raw.rstrip(b"\n") + b"\n" + GOOD)
    assert first["causes"] == last["causes"]
    assert (first["id"], last["id"], last["line"]) == ("good", "good", 3)
    assert bad["line"] == 2
    assert {error["place"] for error in bad["errors"]} == {"calls.jsonl:2"}
    assert not {"causes", "advice"} & set(bad)
    return "\n".join(f"{e['field']}: {e['what']}. {e['mend']}" for e in bad["errors"])


def alone(book, unit=None, sets=(), saws=(), hold="running") -> dict:
    """What `rank` says of one callout, through `json` and back."""
    unit = unit or Unit()
    return json.loads(json.dumps(rank(book, unit, understand(book, unit, sets, saws, hold))))


def without_place(answer: dict) -> dict:
    return {key: value for key, value in answer.items() if key not in ("line", "id")}


def test_a_line_says_what_the_same_callout_says_alone():
    """Sheets, facts, findings, a reading, what nobody could tell, several complaints and a hold."""
    book = load_book()
    name = "willow-flat-v210"
    saw = {"complaint": "wont_open", "output_gauge": "12 psi", "level_glass": "could_not_tell"}
    found = answers(
        line(id="a", unit=name, set={"action": "throttle"}, saw=saw, hold="on bypass")
        + line(id=2, saw={"complaint": ["wont_open", "opens_late"]})
        + line(set={"supply_set": "20psi", "valve_fails": "unknown"}),
        book,
    )
    words = [f"{check}={outcome}" for check, outcome in saw.items()]
    expected = [
        alone(book, read_unit(name, book), ["action=throttle"], words, "on bypass"),
        alone(book, saws=[f"complaint={one}" for one in ("wont_open", "opens_late")]),
        alone(book, sets=["supply_set=20psi", "valve_fails=unknown"]),
    ]
    assert [without_place(answer) for answer in found] == expected
    assert [(answer["line"], answer["id"]) for answer in found] == [(1, "a"), (2, 2), (3, None)]


FINDINGS = {name: list(entry.outcomes) for name, entry in TINY.checks.items()}
FACTS = {name: list(entry.values) for name, entry in TINY.facts.items()}


def some_of(choices: dict[str, list[str]]):
    """A mapping from some of the names to one of the choices of each."""
    return st.fixed_dictionaries({}, optional={name: st.sampled_from(v) for name, v in choices.items()})


callouts = st.tuples(some_of(FACTS), some_of(FINDINGS))


@given(st.lists(callouts, max_size=4))
@settings(max_examples=15, deadline=None, derandomize=True)
def test_the_order_is_kept_and_no_line_colours_another(lines):
    """Any callouts in any order, with facts known twice and not at all, each as it is alone."""
    text = b"".join(line(id=k, set=facts, saw=saw) for k, (facts, saw) in enumerate(lines))
    found = answers(text)
    assert [answer["id"] for answer in found] == list(range(len(lines)))
    for answer, (facts, saw) in zip(found, lines, strict=True):
        words = [[f"{name}={value}" for name, value in given.items()] for given in (facts, saw)]
        assert without_place(answer) == alone(TINY, None, *words)


@pytest.mark.parametrize(("kept", "compiled"), [(2, ["cold", "warm"]), (1, ["cold", "warm", "cold"])])
def test_lines_with_the_same_facts_share_one_compiled_network(kept, compiled, monkeypatch):
    """However their facts are ordered; and only so many networks are kept."""
    made = []

    def counted(book, facts, shapes):
        made.append(facts["season"])
        return Reasoner(book, facts, shapes)

    monkeypatch.setattr(batch, "Reasoner", counted)
    monkeypatch.setattr(batch, "KEPT", kept)
    cold, turned = {"season": "cold", "fails": "open"}, {"fails": "open", "season": "cold"}
    lines = [line(set=cold), line(set=turned, saw={"trim_seen": "worn"}), line(set={"season": "warm"})]
    assert len(answers(b"".join([*lines, line(set=cold)]))) == 4
    assert made == compiled


def test_blank_lines_are_passed_over_and_counted():
    """The numbers are the file's."""
    found = answers(b"\n" + GOOD + b"  \r\n\t\n" + GOOD.rstrip(b"\n"))
    assert [answer["line"] for answer in found] == [2, 5]


def test_a_byte_order_mark_and_foreign_line_ends_do_no_harm():
    """What some editors write."""
    found = answers(b"\xef\xbb\xbf" + GOOD.replace(b"\n", b"\r\n") + GOOD)
    assert found[0]["causes"] == found[1]["causes"]


def test_an_answer_comes_before_the_next_line_is_read():
    """Somebody at the other end of a pipe may wait for it."""

    def lines():
        yield GOOD
        raise AssertionError("the second line was asked for")

    assert next(rank_lines(TINY, lines(), "-")).report is not None


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"{", "is not JSON: Expecting property name"),
        (GOOD.strip() + GOOD, "is not JSON: Extra data (column 50)"),
        (b"[1, 2]", "is not an object"),
        (b"7", "is not an object"),
        (b'{"saw": {"complaint": NaN}}', "NaN is not a number that JSON has"),
        (b'{"id": -Infinity}', "-Infinity is not a number that JSON has"),
        (b"[" * 50_000, "is nested too deep"),
        (b'{"id": ' + b"9" * 5000 + b"}", "holds a number that is too long"),
        (b'{"unit": "caf\xe9"}', "is not UTF-8 text. Save it as UTF-8."),
        ('{"id": "x"}'.encode("utf-16"), "is not UTF-8 text. Save it as UTF-8."),
        (b'{"sow": {}}', "there is no key 'sow'. Did you mean saw?"),
        (b'{"saw": {"trim_seen": "worn", "trim_seen": "good"}}', "'trim_seen' is there twice"),
        (b'{"id": 1.5}', "id is neither text nor a whole number"),
        (b'{"id": true}', "id is neither text nor a whole number"),
        (b'{"unit": 7}', "unit is not text. Put it in quotation marks."),
        (b'{"hold": null}', "hold is not text"),
        (b'{"set": ["a"]}', 'set is not an object. Write it as "set": {"name": "value"}.'),
        (b'{"saw": null}', "saw is not an object"),
        (b'{"set": {"season": ["cold"]}}', "set 'season': the value is not text"),
        (b'{"saw": {"supply_gauge": 12}}', "saw 'supply_gauge': the value is not text"),
        (b'{"saw": {"complaint": [["wont_open"]]}}', "saw 'complaint': the value is not text"),
        (b'{"saw": {"complaint": "wont_opne"}}', "saw complaint=wont_opne: 'wont_opne' is no complaint."),
        (b'{"saw": {"supply_gauge": "12"}}', "has no unit"),
        (b'{"set": {"seeson": "cold"}}', "Did you mean season?"),
        (b'{"set": {"": ""}}', "does not say which and what"),
        (b'{"hold": "runing"}', "hold: there is no hold named 'runing'. Did you mean running?"),
        (b'{"unit": "nobody"}', "unit: there is no unit sheet 'nobody'"),
        (b'{"unit": "\\u0000"}', "there is no unit sheet"),
        (b'{"unit": "' + b"x" * 5000 + b'"}', "there is no unit sheet"),
        (b" " * (MAX_BYTES + 1) + GOOD, f"is longer than {MAX_BYTES:,} bytes"),
        (b'{"id": "' + b"x" * 3 * MAX_BYTES + b'"}', f"is longer than {MAX_BYTES:,} bytes"),
    ],
)
def test_a_bad_line_is_named_and_the_lines_about_it_are_answered(raw, words):
    """Its number, what is wrong and how to mend it."""
    assert words in errors(raw)


def test_all_that_is_wrong_with_a_line_is_told_at_once():
    """And the id comes back all the same."""
    bad = answers(line(id="x", set={"seeson": "cold"}, saw={"trim_seen": "wron"}, hold="runing"))[0]
    assert bad["id"] == "x"
    assert [error["field"] for error in bad["errors"]] == ["set seeson=cold", "saw trim_seen=wron", "hold"]


def test_a_mistake_in_a_sheet_is_told_with_its_own_place(tmp_path):
    """The line of the batch and the line of the sheet."""
    (tmp_path / "bad.yaml").write_text("unit: V-1\ncontroller: {action: snapp}\n")
    assert "unit bad.yaml:2 controller.action: " in errors(line(unit=str(tmp_path / "bad.yaml")))


def test_a_message_holds_nothing_that_a_terminal_would_obey():
    """Control characters of a line are shown, not sent."""
    found = errors(line(set={"\x1b[2Jx": "\n"}) + b"") + errors(line(**{"\x1b": 1}))
    assert "\x1b" not in found


@given(st.binary(max_size=300))
@settings(max_examples=200, deadline=None, derandomize=True)
def test_whatever_the_bytes_are_every_line_that_is_not_blank_has_one_answer(raw):
    """No line is lost, none is answered twice, nothing is raised."""
    expected = [number for number, part in enumerate(raw.split(b"\n"), 1) if part.strip()]
    assert [answer["line"] for answer in answers(raw)] == expected
