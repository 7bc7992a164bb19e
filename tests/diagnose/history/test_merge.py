"""Callouts that travel: any order, any number of times, the same store."""

import io
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.history.record import Record, in_one_order, union
from diagnose.history.store import History, Wanted
from diagnose.history.travel import Merged, export_callouts, merge, merge_records
from diagnose.history.wire import LONGEST_LINE, line_of
from tests.diagnose.history.conftest import NOW
from tests.diagnose.history.records import RECORDS, event, opening, saved


def text_of(history: History, with_names: bool = True) -> str:
    """Everything that is in a store, as one text."""
    out = io.StringIO()
    export_callouts(history, out, with_names)
    return out.getvalue()


def file_of(folder: Path, *records: Record, name: str = "in.jsonl", with_names: bool = True) -> Path:
    """A file with these callouts."""
    path = folder / name
    path.write_text("".join(line_of(record, with_names) + "\n" for record in records), encoding="utf-8")
    return path


@given(RECORDS, RECORDS, RECORDS)
def test_a_union_is_the_same_in_any_order_and_any_number_of_times(one, two, three):
    """Commutative, associative, idempotent; and the line that is gone on with is the same."""
    two, three = (Record((one.kept[0], *other.kept[1:])) for other in (two, three))
    whole = in_one_order(union(union(one, two), three))
    for other in (
        union(three, union(two, one)),
        union(union(two, three), one),
        union(union(one, one), union(two, union(three, two))),
    ):
        assert in_one_order(other) == whole
        assert other.events == whole.events
        assert {branch.events for branch in other.branches()} == {b.events for b in whole.branches()}


@given(RECORDS, RECORDS)
def test_nothing_is_lost_in_a_union(one, two):
    """Every event of both is there under the one that it followed."""
    two = Record((one.kept[0], *two.kept[1:]))
    assert set(union(one, two).digests) == set(one.digests) | set(two.digests)


@given(RECORDS)
def test_a_line_read_back_is_the_record(record):
    """And its text is the same whoever writes it."""
    from diagnose.history.wire import read_callouts

    text = line_of(record)
    (back,) = read_callouts(Path("f"), io.BytesIO(text.encode()))
    assert in_one_order(back.record) == in_one_order(record)
    assert line_of(back.record) == text


@settings(max_examples=25, deadline=None)
@given(st.lists(RECORDS, min_size=1, max_size=5), st.randoms())
def test_two_stores_that_took_the_same_files_are_the_same(records, draw):
    """In any order, some twice: the same export, the same overviews."""
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        texts = []
        for number in range(2):
            order = [*records, *draw.sample(records, len(records) // 2)]
            draw.shuffle(order)
            with History.open(str(Path(folder) / f"{number}.sqlite"), lambda: NOW) as history:
                cut = draw.randint(0, len(order))
                for lot in (order[:cut], order[cut:]):
                    merge_records(history, lot, Merged())
                texts.append((text_of(history), history.callouts(Wanted(struck=True))))
        assert texts[0] == texts[1]


def test_a_merge_counts_what_is_new_what_has_grown_and_what_was_known(history, tmp_path):
    """And a second time everything is known."""
    short = Record.in_a_row([opening("a"), event(1)])
    long = Record.in_a_row([opening("a"), event(1), event(2)])
    other = Record.in_a_row([opening("b")])
    merge(history, [file_of(tmp_path, short)])
    found = merge(history, [file_of(tmp_path, long, other)])
    assert (found.new, found.grown, found.known, found.problems) == (1, 1, 0, ())
    again = merge(history, [file_of(tmp_path, long, other, short)])
    assert (again.new, again.grown, again.known) == (0, 0, 2)


def test_two_laptops_that_went_on_apart_are_both_kept_and_the_clash_is_shown(place, tmp_path):
    """The longer branch is gone on with, the other stands beside it, whichever came in first."""
    start = [opening(), event(1)]
    one = file_of(tmp_path, Record.in_a_row([*start, event(2, answer="no")]), name="one.jsonl")
    two = file_of(tmp_path, Record.in_a_row([*start, event(3), event(4)]), name="two.jsonl")
    seen = []
    for order in ([one, two], [two, one], [one, two, two, one]):
        with History.open(place(), lambda: NOW) as history:
            for path in order:
                merge(history, [path])
            (item,) = history.callouts()
            record = history.record(item.key)
            assert item.branches == 1
            assert record.events == (*start, event(3), event(4))
            (branch,) = record.branches()
            assert (branch.after, branch.events) == (2, (event(2, answer="no"),))
            seen.append(text_of(history))
    assert seen[0] == seen[1] == seen[2]


def test_names_of_people_stay_at_home_unless_they_are_asked_for(place, tmp_path):
    """The copy without names is the same callout, and names that come later are learned."""
    with History.open(place(), lambda: NOW) as home, History.open(place(), lambda: NOW) as away:
        saved(home, opening(caller="Ann", by="Kim"), event(1, by="Lee"))
        bare = tmp_path / "bare.jsonl"
        bare.write_text(text_of(home, with_names=False), encoding="utf-8")
        assert not any(name in bare.read_text() for name in ("Ann", "Kim", "Lee"))
        assert merge(home, [bare]).known == 1
        assert "Ann" in text_of(home)
        merge(away, [bare])
        named = tmp_path / "named.jsonl"
        named.write_text(text_of(home), encoding="utf-8")
        merge(away, [named])
        assert text_of(away) == text_of(home)
        assert away.callouts()[0].caller == "Ann"


GOOD = line_of(Record.in_a_row([opening("good"), event(1)]))
EVENT = event(1).line()
HOSTILE = [
    ("rubbish", "is not a callout"),
    ("[" * 100_000, "is not a callout"),
    ('{"schema_version":1,"events":[]}', "does not open a callout"),
    ('{"schema_version":99,"events":[]}', "newer halfsplit"),
    (f'{{"schema_version":1,"events":[{EVENT}]}}', "does not open a callout"),
    (GOOD.replace("V-1", "V\\u0000"), "NUL"),
    (GOOD.replace("V-1", "V\\ud800"), "is not a callout"),
    (GOOD.replace("31.7", "NaN"), "is not a callout"),
    (GOOD.replace("31.7", "1e999"), "is not a callout"),
    (GOOD.replace("12:00:01Z", "12:00:01"), "no time in UTC"),
    (GOOD.replace("2026-01-31T12:00:01Z", "2026-02-30T12:00:01Z"), "no time in UTC"),
    (GOOD.replace('"check"', '"dance"'), "is not a callout"),
    (GOOD.replace('"check_1"', f'"{"x" * 5000}"'), "more than 4,000 characters"),
    (GOOD.replace('"events"', '"follows":{"1":1},"events"'), "cannot follow"),
    (GOOD.replace('"events"', '"follows":{"1":-1},"events"'), "cannot follow"),
    (GOOD.replace('"events"', '"follows":{"9":0},"events"'), "cannot follow"),
    (GOOD.replace('"events"', '"evil":1,"events"'), "is not a callout"),
    (GOOD.replace(EVENT, opening().line()), "opens a second callout"),
    (GOOD.replace(EVENT, ",".join([EVENT] * 5001)), "more than 5,000 events"),
    ("x" * (LONGEST_LINE + 5), "is longer than"),
    (GOOD.replace('"schema_version":1,', '"schema_version":1,"demo":true,', 1), "is of a demo"),
    (EVENT, "does not open a callout"),
]


@pytest.mark.parametrize(("line", "words"), HOSTILE, ids=[words for _, words in HOSTILE])
def test_a_damaged_or_hostile_line_is_named_and_the_others_are_taken(tmp_path, line, words):
    """By file and line; what is in the store stays as it was."""
    path = tmp_path / "in.jsonl"
    other = line_of(Record.in_a_row([opening("other")]))
    path.write_text(f"{GOOD}\n{line}\n\n{other}\n", encoding="utf-8")
    with History.open(str(tmp_path / "s.sqlite"), lambda: NOW) as history:
        saved(history, opening("mine"), event(1))
        found = merge(history, [path])
        assert [problem.place for problem in found.problems] == [f"{path}:2"]
        assert words in str(found.problems[0])
        assert sorted(item.name for item in history.callouts()) == ["good", "mine", "other"]


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_a_file_with_any_bytes_changed_harms_nothing(data):
    """Whatever comes of it, the store opens, reads, and still holds what was in it."""
    import tempfile

    raw = bytearray(f"{GOOD}\n".encode())
    for _ in range(data.draw(st.integers(1, 4))):
        raw[data.draw(st.integers(0, len(raw) - 1))] = data.draw(st.integers(0, 255))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "in.jsonl"
        path.write_bytes(bytes(raw))
        with History.open(str(Path(folder) / "s.sqlite"), lambda: NOW) as history:
            key = saved(history, opening("mine"), event(1))
            merge(history, [path])
            assert history.events(key) == (opening("mine"), event(1))
            for item in history.callouts(Wanted(struck=True)):
                history.record(item.key)


def test_a_file_of_an_earlier_halfsplit_is_read_and_its_torn_end_left_out(tmp_path):
    """One event a line; a last line without its end was never acknowledged."""
    path = tmp_path / "20260131.jsonl"
    path.write_text(f"{opening().line()}\n{event(1).line()}\n" + '{"at":"2026', encoding="utf-8")
    with History.open(str(tmp_path / "s.sqlite"), lambda: NOW) as history:
        assert merge(history, [path]).new == 1
        assert history.events(history.callouts()[0].key) == (opening(), event(1))


def test_a_file_that_is_not_there_is_named_and_the_others_are_taken(tmp_path):
    """No traceback."""
    good = file_of(tmp_path, Record.in_a_row([opening()]))
    with History.open(str(tmp_path / "s.sqlite"), lambda: NOW) as history:
        found = merge(history, [tmp_path / "none.jsonl", good])
        assert found.new == 1
        assert "cannot be read" in str(found.problems[0])
