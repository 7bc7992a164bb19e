"""The guarded way in for YAML: plain data with places, or problems a person can mend."""

import json
import re

import pytest
import yaml
from hypothesis import example, given, settings
from hypothesis import strategies as st

from knowledge import door
from knowledge.door import MAX_DEPTH, read_file, read_text
from knowledge.problems import InputProblems

STEADY = settings(max_examples=200, deadline=None, derandomize=True)


def refusal(text: str) -> str:
    """The words with which a text is refused."""
    with pytest.raises(InputProblems, match=r"^t\.yaml") as caught:
        read_text(text, "t.yaml")
    return str(caught.value)


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("yes", "yes"),
        ("no", "no"),
        ("on", "on"),
        ("Off", "Off"),
        ("True", "True"),
        ("12:30", "12:30"),
        ("2024-05-01", "2024-05-01"),
        ("2024-05-01T10:00:00Z", "2024-05-01T10:00:00Z"),
        ("0x1F", "0x1F"),
        ("1_000", "1_000"),
        (".inf", ".inf"),
        (".nan", ".nan"),
        ("12 psi", "12 psi"),
        ("'12'", "12"),
        ('"true"', "true"),
        ("1234567890123456", "1234567890123456"),
        ("12", 12),
        ("-3", -3),
        ("010", 10),
        ("0.5", 0.5),
        (".5", 0.5),
        ("1e-3", 0.001),
        ("true", True),
        ("false", False),
        ("null", None),
        ("~", None),
        ("", None),
    ],
)
def test_what_looks_like_text_stays_text(written, value):
    """Only digits, decimals, true, false and null become anything else; quotes always make text."""
    found = read_text(f"key: {written}\n", "t.yaml").data["key"]
    assert found == value
    assert type(found) is type(value)


def test_every_key_and_value_knows_its_line():
    """Lines count from 1; a trail that does not exist gets the line of what is nearest above it."""
    text = "a:\n  b: 1\n  c:\n    - x\n    - y: 2\n"
    document = read_text(text, "t.yaml")
    assert document.place(("a", "b")) == "t.yaml:2"
    assert document.place(("a", "c", 1, "y")) == "t.yaml:5"
    assert document.place(("a", "c", 7)) == "t.yaml:3"
    assert document.place(("nowhere",)) == "t.yaml:1"


def test_a_key_that_stands_twice_is_refused_with_both_lines():
    """It is the second place that is named, and the first one in brackets."""
    words = refusal("valve:\n  fails: open\n  size: 2\n  fails: closed\n")
    assert words == "t.yaml:4: valve.fails: stands twice (first on line 2). Keep one of them."


def test_all_keys_that_stand_twice_are_named_at_once():
    """Two doubles, two lines."""
    assert refusal("a: 1\na: 2\nb: 1\nb: 2\n").count("stands twice") == 2


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("a: &x 1\n", "t.yaml:1: an anchor (&x) is used. Take it out and write the value in full."),
        ("a: 1\nb: &x\n  c: 1\n", "t.yaml:2: an anchor (&x) is used"),
        ("a: 1\nb: *x\n", "t.yaml:2: an alias (*name) is used. Write the value out."),
        (
            "a: !!python/object:os.system x\n",
            "t.yaml:1: a tag (tag:yaml.org,2002:python/object:os.system) is used.",
        ),
        ("a: 1\nb: !own {c: 1}\n", "t.yaml:2: a tag (!own) is used. Take it out."),
        ("a: !!int 3\n", "t.yaml:1: a tag (tag:yaml.org,2002:int) is used. Take it out."),
        ("a: 1\n---\nb: 2\n", "t.yaml:2: a second document starts here. Keep one document in a file."),
        ("12: a\n", 't.yaml:1: the key 12 is not text. Put it in quotes: "12".'),
        ("a:\n  0.5: x\n", 't.yaml:2: a: the key 0.5 is not text. Put it in quotes: "0.5".'),
        ("? [a, b]\n: 1\n", "t.yaml:1: a key is a list or a mapping. Use plain text as the key."),
        ("? {a: b}\n: 1\n", "t.yaml:1: a key is a list or a mapping. Use plain text as the key."),
        ("a: [1, 2\nb: 3\n", "t.yaml:2: is not YAML: "),
        ("a: 1\n\tb: 2\n", "t.yaml:2: is not YAML: "),
        ("a: 'open\n", "is not YAML: "),
        ("a: \x07\n", "t.yaml: is not YAML: "),
    ],
)
def test_what_is_refused_says_where_and_how_to_mend_it(text, words):
    """Anchors, aliases, tags, second documents, keys that are not text, and what is no YAML at all."""
    assert words in refusal(text)


@pytest.mark.parametrize("opening", ["[", "{a: ", "[{a: "])
@pytest.mark.parametrize("times", [MAX_DEPTH + 1, 100_000])
def test_deep_brackets_are_an_error_and_not_a_crash(opening, times):
    """One too many is said in our words; a hundred thousand may be stopped earlier, in the parser's."""
    words = refusal(opening * times)
    ours = f"t.yaml:1: is nested more than {MAX_DEPTH} deep."
    assert words == ours or (
        times > 1000 and words == "t.yaml:1: is not YAML: exceeded maximum nesting depth."
    )


def test_deep_indents_are_an_error_too():
    """Block style, one level deeper in each line: the line that is one too deep is named."""
    text = "".join(f"{' ' * k}a:\n" for k in range(200))
    assert refusal(text) == f"t.yaml:{MAX_DEPTH + 1}: is nested more than {MAX_DEPTH} deep."


def test_the_deepest_that_is_allowed_is_read():
    """MAX_DEPTH lists within one another."""
    assert read_text("[" * MAX_DEPTH + "]" * MAX_DEPTH, "t.yaml").data != []


def test_too_many_values_are_refused(monkeypatch):
    """The line on which it becomes too much is named."""
    monkeypatch.setattr(door, "MAX_VALUES", 10)
    assert refusal("- 1\n" * 20) == "t.yaml:10: holds more than 10 values."


def test_a_file_is_read_under_its_own_name(tmp_path):
    """A byte-order mark is no part of the text."""
    path = tmp_path / "unit.yaml"
    path.write_bytes(b"\xef\xbb\xbfname: caf\xc3\xa9\n")
    document = read_file(path)
    assert (document.name, document.data) == ("unit.yaml", {"name": "café"})


def test_bytes_that_are_not_utf8_are_named_with_their_line(tmp_path):
    """A file saved in another encoding says so."""
    path = tmp_path / "old.yaml"
    path.write_bytes(b"a: 1\nb: caf\xe9\n")
    with pytest.raises(InputProblems, match=re.escape("old.yaml:2: is not UTF-8 text. Save it as UTF-8.")):
        read_file(path)


def test_a_file_that_is_not_there_says_so(tmp_path):
    """In the words of the system, without a traceback."""
    with pytest.raises(InputProblems, match=r"gone\.yaml: cannot be read \(No such file or directory\)"):
        read_file(tmp_path / "gone.yaml")


def test_a_folder_is_no_file(tmp_path):
    """The name given is the one shown."""
    with pytest.raises(InputProblems, match=r"^--unit: is not a file\. Name a YAML file\."):
        read_file(tmp_path, "--unit")


def test_a_file_that_is_too_large_is_not_even_parsed(tmp_path, monkeypatch):
    """Its bytes are counted first."""
    monkeypatch.setattr(door, "MAX_BYTES", 1_000_000)
    path = tmp_path / "huge.yaml"
    path.write_bytes(b"[" * 1_000_001)
    with pytest.raises(InputProblems, match=r"huge\.yaml: is larger than 1 MB"):
        read_file(path)


@given(st.text() | st.text("[]{}:,-?&*!|>'\"#%@ \n\tab1.~", max_size=40))
@example("\x00")
@example("\ufeff---\n...\n---")
@example("? ? ?")
@example("%YAML 9.9\n---\n")
@example("a: |9\n b")
@STEADY
def test_any_text_is_data_or_problems(text):
    """Never another exception; and problems always have a place and words."""
    try:
        read_text(text, "t.yaml")
    except InputProblems as error:
        assert error.problems  # noqa: PT017
        assert all(p.place.startswith("t.yaml") and p.what for p in error.problems)  # noqa: PT017


_looks_like_a_decimal = re.compile(r"[-+]?[0-9.]+[eE].*").fullmatch
_texts = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=12).filter(
    lambda text: not _looks_like_a_decimal(text)  # YAML 1.1 writes 1e3 as bare text; the door reads 1000.0
)
_scalars = (
    st.none()
    | st.booleans()
    | st.integers(-(10**15) + 1, 10**15 - 1)
    | st.floats(allow_nan=False, allow_infinity=False)
    | _texts
)
_nested = st.recursive(
    _scalars,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(_texts, inner, max_size=4),
    max_leaves=12,
)


@given(_nested)
@example({"no": ["yes", "on", "12:30", "2024-05-01", "null", "~", "", "1_000", "0x1F", "1.5", "=", "<<"]})
@STEADY
def test_plain_data_survives_the_way_out_and_in(data):
    """What a standard library writes is read back equal, and of the same types."""
    text = yaml.safe_dump(data)
    back = read_text(text, "t.yaml").data
    assert back == data
    assert json.dumps(back, sort_keys=True) == json.dumps(data, sort_keys=True)  # 1, 1.0 and true are equal


def test_a_problem_is_one_line():
    """Place, trail, what, mend: in that order."""
    with pytest.raises(
        InputProblems, match=r"^s\.yaml:2: a: stands twice \(first on line 1\)\. Keep one of them\.$"
    ):
        read_text("a: 1\na: 2", "s.yaml")
