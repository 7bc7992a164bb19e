"""What a walk says in one language, by the page on which it stands. Names in braces are filled in."""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class PageTexts:
    """The page of a question: its labels, the lines around it."""

    why: str
    needs: str
    caution: str
    right: str
    way_back: str
    coming: str
    now: str
    ended: str
    question: str
    answered: str
    unit: str
    unit_already: str
    about: str
    tools: str
    parts: str
    not_together: str
    look_again: str
    what_is_wrong: str
    sections: Mapping[str, str]
    """Short names of the loop's sections, for the strip."""
    answers: str
    not_sure: str
    more: str
    more_not_sure: str
    more_cautions: str
    faults: str
    too_small: str
    working: str
    reading_book: str
    """Stands on the first frame while the book and the store are read."""


@dataclass(frozen=True)
class FootTexts:
    """Keys at the foot of a page, each with what it does."""

    answer: str
    tick: str
    job: str
    reading: str
    view: str
    sure: str
    not_sure: str
    undo: str
    help: str
    leave: str
    faults: str
    why: str
    said: str
    change: str
    colours: str
    enter: str
    prove: str
    save: str
    page: str
    help_page: str
    picker: str
    chooser: str
    pictures: str
    fault_pages: str
    reasons: str
    said_page: str


@dataclass(frozen=True)
class MessageTexts:
    """What is told after a key, beside the question."""

    nothing_before: str
    no_job: str
    no_findings: str
    not_saved: str
    still_working: str
    somebody_else: str
    other_book: str
    mine_not_taken: str
    earlier: str
    took_back: str
    was_wrong: str
    events: Mapping[str, str]
    """Events in a few words, by kind."""
    step_ticked: str
    better: str
    key_not_taken: str
    """The key was meant for a question that is no longer there."""
    type_words: str
    no_offers: str
    no_answer: str
    no_reading: str
    cannot_doubt: str
    writing: str
    page_written: str
    page_not_written: str
    saved_as: str
    text_not_saved: str


@dataclass(frozen=True)
class DialogTexts:
    """The pages that lie over a question."""

    which_change: str
    go_on: str
    go_on_with: str
    new_one: str
    callout: str
    called: str
    type_reading: str
    doubt: str
    no_unit: str
    what_said: str
    more_offers: str
    help: str
    record: str
    saved_in: str
    started_with_other: str
    in_short: str


@dataclass(frozen=True)
class FaultTexts:
    """The pages of the likely faults, of the reasons, and the pictures."""

    faults: str
    fault: str
    reasons: str
    timeline: str
    around: str
    working: str
    by_last: str
    where: str
    not_in_book: str
    nothing_yet: str
    not_known: str
    no_such: str
    no_such_picture: str
    not_drawn: str
    scale: str
    starts_at: str
    why: str
    how: str
    repair: str
    decibans: str
    why_this: str
    each_answer: str
    hardly: str
    would_change: str
    together: str
    worst: str
    second_look: str
    nothing_odd: str
    moved: str
    nothing_moved: str
    after: str
    not_cured: str
    kinds: Mapping[str, str]
    """What goes before an entry of the graph, by its kind."""
    complaints: str
    seen_by: str


@dataclass(frozen=True)
class EndTexts:
    """The end page, and the text that is pasted."""

    ended: str
    endings: Mapping[str | None, str]
    nothing_wrong: str
    wrong: str
    odd: str
    put_right: str
    nothing: str
    why: str
    also: str
    complaint: str
    done: str
    one_check: str
    checks: str
    minutes: str
    since: str
    parts: str
    watch: str
    record: str
    title: str
    by_minute: str
    way_of: str
    findings: str
    pictures: str
    note: str
    older_notes: str
    other_edition: str
    hand_over: str
    callout: str
    unit_left: str
    left_out: str
    and_more: str
    more_lines: str


@dataclass(frozen=True)
class TripTexts:
    """The time to the trip."""

    short: str
    due: str
    ask_again: str
    bounds: Mapping[str, str]
    to_do: tuple[str, ...]
    """What to do once so many marks are passed (`diagnose.trip.MARKS`)."""
    say_again: str
    is_due: str
    in_time: str


@dataclass(frozen=True)
class LineTexts:
    """What the line mode alone says."""

    answer: str
    ended_prompt: str
    left: str
    closed: str
    so_far: str
    which_change: str
    may_be: str
    which_said: str
    not_in_list: str
    unit_ended: str
    unit_now: str
    change: str
    step: str
    done: str
    answers: str
    number_or: str
    faults: str
    moved: str
    no_step: str
    ticked: str
    all_ticked: str
    open_callouts: str
    start_new: str
    which: str
    not_listed: str


@dataclass(frozen=True)
class HelpTexts:
    """What `?` says."""

    about: tuple[str, ...]
    plain_keys: tuple[tuple[str, str], ...]
    keys: Mapping[str, str]
    """What the keys of the screens do, by the id of their binding; those of one kind share a line."""
    names: Mapping[str, str]
    """Names of keys where the key's own is no word for a person."""
    span: str


@dataclass(frozen=True)
class Texts:
    """Everything that a walk says of itself in one language. What it says of a unit comes from the book."""

    language: str
    page: PageTexts
    foot: FootTexts
    message: MessageTexts
    dialog: DialogTexts
    fault: FaultTexts
    end: EndTexts
    trip: TripTexts
    line: LineTexts
    help: HelpTexts
