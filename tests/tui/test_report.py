"""`halfsplit report`: a callout as one HTML file, as text and as JSON."""

import io
import json
import re
import shutil
from dataclasses import replace

import pytest

from diagnose.handover import as_json, handover_of
from diagnose.history.store import History
from diagnose.summary import Entry
from diagnose.timeline import timeline_chart
from tests.tui.driver import CURED, SMALL_BOOK, dump, new_walk, on_screen, press, small_book, walk_of
from tui.__main__ import main
from tui.handover_page import MOST, handover_html, handover_text
from tui.plain import walk_plain

HOSTILE = "<script>document.title='x'</script><img src='http://example.invalid/a.png'> & \"it's\" \x1b[2J"
SHOWN = "<script>document.title='x'</script><img src='http://example.invalid/a.png'> & \"it's\" [2J"
LONG_WORD = "w" * 3000


def cured():
    walk = walk_of(("check", "lift_arm", "nothing"), ("check", "output_gauge", "none"), *CURED)
    return handover_of(small_book(), walk.events, ["The gauge was stiff."])


def looked_at(chromium, tmp_path, handover):
    path = tmp_path / "report.html"
    path.write_text(handover_html(handover), encoding="utf-8")
    return chromium.look(path)


def test_a_browser_shows_it_and_prints_it_on_two_pages(chromium, tmp_path):
    """All that the next one needs is found in the text; nothing is asked for, nothing is complained of."""
    handover = cured()
    seen = looked_at(chromium, tmp_path, handover)
    assert seen.requests == []
    assert seen.complaints == []
    assert max(seen.pages.values()) <= 2
    assert seen.width <= 0
    for part in (
        "V-101",
        "CURED.",
        "Unit left: RUNNING",
        "Pilot inlet plugged",
        "pilot gasket",
        "The gauge was stiff.",
        "With the lever lifted by hand, does the valve open? Nothing happens",
        "Site procedure, permits, local codes",
        "How the answers moved the likeliest faults",
        "CAUSE: Pilot inlet plugged",
    ):
        assert part in seen.text, part


def test_hostile_words_are_text_and_do_not_spoil_the_page(chromium, tmp_path):
    """In every place where a person's words stand; a word without end is broken or cut."""
    handover = cured()
    summary = replace(
        handover.summary,
        unit=HOSTILE,
        entries=(*handover.summary.entries, Entry("", 1.0, "check", LONG_WORD, HOSTILE)),
        watch=(HOSTILE, LONG_WORD),
    )
    notes = (HOSTILE, LONG_WORD)
    seen = looked_at(chromium, tmp_path, replace(handover, summary=summary, notes=notes, site=HOSTILE))
    assert seen.requests == []
    assert seen.complaints == []
    assert seen.text.count(SHOWN) >= 4
    assert seen.width <= 0
    assert max(seen.pages.values()) <= 2


@pytest.mark.parametrize("count", [17, 45, 300])
def test_a_long_callout_keeps_to_two_pages_and_says_what_it_leaves_out(chromium, tmp_path, count):
    """The last lines stay; the text has all."""
    handover = cured()
    title, answer = (
        "With the level high, what does the controller's output gauge read, tapped?",
        "Near supply",
    )
    entries = tuple(Entry("", float(n), "check", f"{n} {title}", answer) for n in range(count))
    watch = tuple(f"Nobody could tell: {n} {title}" for n in range(count))
    notes = tuple(f"{n} {title} " * 20 for n in range(count))
    summary = replace(handover.summary, entries=entries, watch=watch)
    long = replace(handover, summary=summary, notes=notes)
    seen = looked_at(chromium, tmp_path, long)
    assert max(seen.pages.values()) <= 2
    assert f"{count - 1} {title}" in seen.text
    if count > MOST:
        assert f"{count - MOST} earlier lines" in seen.text
    text = " ".join(handover_text(long).split())
    assert all(f"{n} With the level high" in text for n in range(count))


def test_the_browser_test_can_fail(chromium, tmp_path):
    """A page that asks for something outside, writes to the console and is long is seen to do so."""
    path = tmp_path / "bad.html"
    path.write_text(
        "<meta charset=utf-8><img src='http://example.invalid/a.png'><script>console.log('hello')</script>"
        f"<pre>{'x' * 500}</pre>" + "<p>line</p>" * 200
    )
    seen = chromium.look(path)
    assert seen.requests == ["http://example.invalid/a.png"]
    assert any("hello" in line for line in seen.complaints)
    assert min(seen.pages.values()) > 2
    assert seen.width > 0


def test_it_holds_no_outside_address_and_no_script():
    """Read as a file: only the name of the picture's format is an address."""
    told = handover_html(cured())
    assert set(re.findall(r"https?://[^\"' <]*", told)) == {"http://www.w3.org/2000/svg"}
    assert not re.search(r"<(script|link|iframe|object|img)\b", told)
    assert not re.search(r"\b(src|href)\s*=", told)


def test_an_open_callout_can_be_handed_over_too():
    """Still open, with what is still possible; before the complaint there is no picture."""
    walk = new_walk(["1", "1"], lift_arm="nothing")
    told = handover_text(handover_of(small_book(), walk.events))
    assert "STILL OPEN." in told
    assert "Still possible: Pilot inlet plugged" in told
    early = handover_of(small_book(), new_walk().events)
    assert "<svg" not in handover_html(early)
    assert early.timeline.moments == ()


def test_the_timeline_in_the_report_ends_with_what_is_believed():
    """The chart's last point of each line is that fault's probability."""
    walk = new_walk(["1", "1"], lift_arm="nothing", output_gauge="none")
    handover = handover_of(small_book(), walk.events)
    ends = [series.points[-1][1] / 100 for series in timeline_chart(handover.timeline).series]
    assert ends == pytest.approx([leader.probability for leader in walk.view().leaders])


@pytest.fixture
def stored(tmp_path):
    """A store with one cured callout and a note on it; its path and the callout's name."""
    path = tmp_path / "store.sqlite"
    walk = walk_of(*CURED)
    events = walk.events
    with History.open(str(path), lambda: "2026-01-31T12:00:00Z") as history:
        key = history.begin(events[0])
        for number, event in enumerate(events[1:], 1):
            history.append(key, event, number)
        note = events[1].model_copy(update={"kind": "note", "id": "", "answer": "", "text": HOSTILE})
        history.remark(key, note)
    return str(path)


@pytest.mark.parametrize("name", ["test", "newest"])
def test_the_command_writes_what_it_is_asked_for(stored, tmp_path, capsys, name):
    """HTML and text to files with the talk on stderr; JSON and text on stdout."""
    words = ["report", name, "--db", stored, "--book", str(SMALL_BOOK)]
    html, text = tmp_path / "r.html", tmp_path / "r.txt"
    assert main([*words, "--html", str(html), "--text", str(text)]) == 0
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("Written: ") == 2
    assert main(words) == 0
    assert capsys.readouterr().out == text.read_text(encoding="utf-8")
    assert "\x1b" not in text.read_text(encoding="utf-8")
    assert main([*words, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["schema_version"]
    assert told["summary"]["cause"] == "pilot_plugged"
    assert "&lt;script&gt;" in html.read_text(encoding="utf-8")


def test_a_callout_that_there_is_none_of_is_told(stored, tmp_path, capsys):
    """Code 2 and what to do; also where there is no callout at all, and with another book."""
    words = ["--book", str(SMALL_BOOK)]
    assert main(["report", "nothing", "--db", stored, *words]) == 2
    assert "there is no such callout" in capsys.readouterr().err
    assert main(["report", "newest", "--db", str(tmp_path / "new.sqlite"), *words]) == 2
    assert "there is no callout yet" in capsys.readouterr().err
    assert main(["report", "test", "--db", stored]) == 2
    assert "--book" in capsys.readouterr().err


def test_the_json_names_no_person():
    """The caller and who answered stay out."""
    events = [event.model_copy(update={"by": "Kim"}) for event in walk_of(*CURED).events]
    events[0] = events[0].model_copy(
        update={"opening": events[0].opening.model_copy(update={"caller": "Pat"})}
    )
    told = json.dumps(as_json(handover_of(small_book(), events)))
    assert "Kim" not in told
    assert "Pat" not in told


async def test_a_key_of_the_walk_writes_the_page(keep_off_the_real_data_folder):
    """On the end page and on a question; the foot says where."""
    async with on_screen(walk_of(*CURED)) as pilot:
        await press(pilot, "p")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert "Hand-over page written" in dump(pilot.app)
    (path,) = (keep_off_the_real_data_folder / "data" / "handovers").iterdir()
    assert path.read_text(encoding="utf-8") == handover_html(
        handover_of(small_book(), walk_of(*CURED).events)
    )


def test_the_line_mode_writes_the_page_too(keep_off_the_real_data_folder):
    """Typed p; what cannot be written is told."""
    out = io.StringIO()
    walk_plain(walk_of(*CURED), ["p", ""], out, "record")
    assert "Hand-over page written" in out.getvalue()
    shutil.rmtree(keep_off_the_real_data_folder / "data" / "handovers")
    (keep_off_the_real_data_folder / "data" / "handovers").write_text("in the way")
    walk_plain(walk_of(*CURED), ["p", ""], out, "record")
    assert "cannot be written there" in out.getvalue()
