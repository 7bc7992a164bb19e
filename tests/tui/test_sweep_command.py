"""`halfsplit rig sweep` tells what it measured as a table, as JSON and as a page."""

import json
from xml.etree import ElementTree

import pytest

from diagnose.trial.policies import HALFSPLIT
from diagnose.trial.sweep import COMPARED, Result, Trial
from diagnose.trial.sweep_report import report
from diagnose.trial.working import Bill
from tui.__main__ import main
from tui.commands.rig_sweep import lines
from tui.curves_svg import bars_svg
from tui.sweep_page import page

LOG = [("complaint", "complaint", "wont_open", 0.0), ("check", "supply_gauge", "0 psi", 2.0)]


def results():
    """Two made-up results, one of a case that was not found."""
    made = []
    for fault, ended in (("supply_shut", "cured"), ("glass_plugged", "help")):
        bills = {name: Bill(minutes=100.0, ended="cured", log=LOG) for name in COMPARED}
        bills[HALFSPLIT] = Bill(minutes=40.0, ended=ended, checks=3, log=LOG)
        made.append(Result(Trial("snap_direct_water", ((fault, 1.0),), 0), "wont_open", bills))
    return made


def test_the_table_names_each_policy_each_bar_and_what_was_not_found():
    text = "\n".join(lines(report(results())))
    for policy in COMPARED:
        assert policy in text
    assert "single faults: 2 cases" in text
    assert "bar: single faults found 0.500, at least 0.97: NOT met" in text
    assert "single faults: minutes over the fixed table's 0.400, at most 0.5: met" in text
    assert "glass_plugged: 1 of 1 not found" in text
    assert "check supply_gauge: 0 psi" in text


def test_the_page_holds_the_same_and_names_no_outside_address():
    html = page(report(results()), results())
    assert "glass_plugged: 1 of 1 not found" in html
    assert html.count("<svg") == 2
    assert "src=" not in html
    assert "href=" not in html


def test_a_bar_is_as_long_as_its_number():
    root = ElementTree.fromstring(bars_svg("a < b", [("one", 10.0), ("two", 5.0)], "min"))
    rects = [float(r.get("width")) for r in root.iter("{http://www.w3.org/2000/svg}rect")][1:]
    assert rects == [340.0, 170.0]


@pytest.mark.parametrize(
    ("more", "word"),
    [(["--sample", "0"], "--sample"), (["--sample", "2"], "--sample"), (["--jobs", "0"], "--jobs")],
)
def test_numbers_out_of_range_are_named(more, word, capsys):
    assert main(["rig", "sweep", *more]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert word in told.err


def test_a_place_that_cannot_be_written_is_named_before_the_work(tmp_path, capsys):
    (tmp_path / "file").write_text("")
    kept = tmp_path / "file" / "sweep.jsonl"
    assert main(["rig", "sweep", "--keep", str(kept)]) == 2
    assert str(kept) in capsys.readouterr().err


def test_curves_of_a_run_are_a_picture_with_both_plants(tmp_path, capsys):
    picture = tmp_path / "seen.svg"
    words = ["rig", "run", "--fault", "supply_shut", "--minutes", "2", "--svg", str(picture), "--json"]
    assert main(words) == 0
    curves = json.loads(capsys.readouterr().out)["curves"]
    root = ElementTree.fromstring(picture.read_text())
    assert len(list(root.iter("{http://www.w3.org/2000/svg}polyline"))) == 2 * len(curves)
