"""The book in another language: whole where it must be, with the numbers of the English one."""

import re

import pytest

from knowledge.book import SHIPPED, load_book
from knowledge.problems import InputProblems
from knowledge.translation import (
    Read,
    in_language,
    languages_of,
    load_translation,
    texts_of,
    translation_hints,
)
from tests.helpers import tiny_book, write_book, yaml_of

BOOK = load_book()
SPANISH = load_translation(SHIPPED, "es")


def folder_with(tmp_path, **tables):
    """The tiny book with texts in a language xx."""
    write_book(tmp_path)
    (tmp_path / "xx").mkdir()
    (tmp_path / "xx" / "one.yaml").write_text(yaml_of(tables), encoding="utf-8")
    return tmp_path


def test_every_caution_has_its_spanish():
    """Nobody is to read one in a language that is not theirs."""
    turned = in_language(BOOK, SPANISH)
    assert {name for name, text in BOOK.cautions.items() if turned.cautions[name] == text} == set()
    assert turned.cautions.keys() == BOOK.cautions.keys()


def test_numbers_of_a_spanish_line_are_those_of_the_english_one():
    """Found here anew from both books, the sorts of entries side by side."""
    turned = texts_of(in_language(BOOK, SPANISH))
    pairs = list(zip(texts_of(BOOK), turned, strict=True)) if len(turned) == len(texts_of(BOOK)) else []
    digits = re.compile(r"\d+")
    wrong = [
        (one.text, other.text)
        for one, other in pairs
        if sorted(digits.findall(one.text)) != sorted(digits.findall(other.text))
    ]
    assert wrong == []


def test_what_a_person_reads_of_the_shipped_book_is_whole_in_spanish():
    """Nothing missing, nothing left over, no number and no brace that differs."""
    assert [str(hint) for hint in translation_hints(BOOK, SPANISH)] == []


def test_a_text_stands_under_its_english_in_every_entry_or_in_one_alone(tmp_path):
    """One entry's own text goes before the one for all."""
    folder = folder_with(
        tmp_path,
        texts={"A fault": "Una falla", "No": "Nones"},
        entries={"drop_seen": {"No": "No, señor"}},
    )
    turned = in_language(load_book(folder), load_translation(folder, "xx"))
    assert turned.causes["supply_lost"].title == "Una falla"
    assert turned.checks["drop_seen"].outcomes["no"] == "No, señor"
    assert turned.checks["vent_breathes"].outcomes["no"] == "Nones"
    assert turned.cautions["read_it"] == "Read this."


def test_the_spoken_line_is_the_one_that_stands_beside_it():
    """`say_in` is older than the folder, and goes before it."""
    turned = in_language(BOOK, SPANISH)
    assert turned.checks["supply_gauge"].say == BOOK.checks["supply_gauge"].say_in["es"]
    assert turned.checks["supply_gauge"].say_in["en"] == BOOK.checks["supply_gauge"].say


def test_nothing_that_is_reasoned_with_changes():
    """The same ids, links, strengths, minutes and holds."""
    turned = in_language(BOOK, SPANISH)
    assert turned.links == BOOK.links
    assert turned.digest == BOOK.digest
    for name, check in BOOK.checks.items():
        same = {"shows", "minutes", "hold", "up_to", "slip", "cautions", "card", "reading"}
        assert check.model_dump(include=same) == turned.checks[name].model_dump(include=same)
        assert list(check.outcomes) == list(turned.checks[name].outcomes)


def test_what_is_missing_left_over_or_different_is_hinted_at(tmp_path):
    """Each at its place: the entry of the book, or the line of the texts."""
    folder = folder_with(
        tmp_path,
        texts={"Read this.": "Lea esto 2 veces.", "Old text.": "Viejo."},
        entries={"drop_seen": {"Gone": "Ido"}},
    )
    book = load_book(folder)
    hints = [str(hint) for hint in translation_hints(book, load_translation(folder, "xx"))]
    assert any(re.match(r"tiny\.yaml:\d+: supply_lost: has no xx text for: A fault", hint) for hint in hints)
    assert any("xx/one.yaml:2: its numbers are not those of: Read this." in hint for hint in hints)
    assert any("xx/one.yaml:3: the book has no such text: Old text." in hint for hint in hints)
    assert any("xx/one.yaml:6: drop_seen: the book has no such text: Gone" in hint for hint in hints)


def test_names_in_braces_stay_and_their_words_do_not(tmp_path):
    """What is put in for a unit goes by its name."""
    procedure = {
        "title": "A job",
        "purpose": "It is done.",
        "minutes": 1,
        "steps": [{"do": "Set {supply_set|the supply}."}, {"do": "Go."}],
    }
    book = tiny_book({"procedures": {"a_job": procedure}})
    english = "Set {supply_set|the supply}."
    for other, wrong in (("Ponga {supply_set|el suministro}.", 0), ("Ponga {supply|el suministro}.", 1)):
        (tmp_path / f"{wrong}").mkdir()
        folder = folder_with(tmp_path / f"{wrong}", texts={english: other})
        hints = translation_hints(book, load_translation(folder, "xx"))
        assert sum("names in braces" in hint.what for hint in hints) == wrong


def test_a_text_that_stands_in_two_files_is_refused_with_both_places(tmp_path):
    """And an unknown language says which there are."""
    folder = folder_with(tmp_path, texts={"A fault": "Una falla"})
    (folder / "xx" / "two.yaml").write_text("texts: {A fault: Otra}", encoding="utf-8")
    with pytest.raises(InputProblems, match=r"xx/two.yaml:1: stands twice \(first in xx/one.yaml:2\)"):
        load_translation(folder, "xx")
    with pytest.raises(InputProblems, match=r"has no texts in 'yy'\. It can be: xx"):
        load_translation(folder, "yy")
    assert languages_of(folder) == ["xx"]


def test_a_kept_translation_is_the_same():
    """Through the store that a book is kept in."""
    kept = {}
    assert load_translation(SHIPPED, "es", kept) == SPANISH
    assert len(kept) == 1
    assert load_translation(SHIPPED, "es", kept) == SPANISH


def test_the_texts_of_a_book_name_the_entry_that_they_stand_in():
    """Cautions, questions, answers, steps; each once for an entry."""
    found = texts_of(tiny_book())
    assert Read("read_it", "Read this.") in found
    assert Read("supply_lost", "Put it right.") in found
    assert len(found) == len(set(found))
