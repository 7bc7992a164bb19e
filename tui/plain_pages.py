"""The pages of a walk in line mode: everything in reading order, nothing drawn that is not asked for."""

from diagnose.own_words import said
from diagnose.steps import Step
from diagnose.walk import Walk
from diagnose.walk_view import View
from diagnose.words import odds_text, percent_text
from tui.card_lines import names_text, sentences, words_in
from tui.lines import ending, fit_text, needs_text, place_text, places_text, points, texts_of
from tui.procedure_lines import head_lines, line_text
from tui.procedure_lines import words_in as words_of_job
from tui.texts.kinds import HelpTexts, Texts
from tui.trip_lines import trip_short, trip_warning
from tui.voice import WIDTH, Voice


def say_view(voice: Voice, walk: Walk, view: View, record: str) -> None:
    """Everything that stands on the page."""
    texts, language = texts_of(walk), walk.book.language
    voice.say()
    if view.step is None:
        voice.say(texts.line.unit_ended.format(unit=view.unit))
        for about, line in ending(walk, record):
            voice.say(f"{about}: {line}")
        return
    hold, place = said(language, view.state.hold), place_text(walk, view).capitalize()
    voice.say(texts.line.unit_now.format(unit=view.unit, hold=hold, place=place))
    left = walk.trip()
    if left:
        voice.say(f"{trip_short(left, language).capitalize()}. {trip_warning(left, language)}".strip())
    fit = fit_text(walk, view)
    if fit:
        voice.say(f"{fit} {texts.line.change}")
    _say_step(voice, view.step, view.state.hold, texts)
    _say_beliefs(voice, view, texts)


def _say_step(voice: Voice, step: Step, hold: str, texts: Texts) -> None:
    page, line = texts.page, texts.line
    voice.say(step.heading)
    voice.say(f"{page.caution}{step.say}" if step.kind == "caution" else step.say)
    if step.why:
        voice.say(f"{page.why}{step.why}")
    needs = needs_text(step, hold, texts.language)
    if needs:
        voice.say(f"{page.needs}{needs}.")
    for caution in step.cautions:
        voice.say(f"{page.caution}{caution}")
    if step.defer:
        voice.say(step.defer)
    for number, text in enumerate(step.steps, 1):
        done = line.done if number in step.ticked else ""
        voice.say(text, line.step.format(number=number) + done)
    if step.right:
        voice.say(f"{page.right}{step.right}")
    voice.say(line.answers)
    for choice in step.choices:
        voice.say(choice.label, f"{choice.key}. ")
    if step.reading:
        voice.say(step.reading[:1].upper() + step.reading[1:])
    if step.back:
        voice.say(f"{page.way_back}{' '.join(step.back)}")
    if step.judged_by:
        voice.say(step.judged_by)
    if step.coming:
        voice.say(f"{page.coming}{step.coming}")


def _say_beliefs(voice: Voice, view: View, texts: Texts) -> None:
    if not view.leaders:
        return
    language = texts.language
    voice.say(texts.line.faults)
    for leader in view.leaders:
        change = points(leader)
        moved = texts.line.moved.format(change=change) if change else ""
        rests = f", {leader.rests_on}" if leader.rests_on else ""
        share = leader.probability
        voice.say(f"{percent_text(share)}, {said(language, odds_text(share))}: {leader.title}{rests}{moved}")
    places = places_text(view, language)
    if places:
        voice.say(f"{texts.fault.where.format(places=places)}.")


def say_card(voice: Voice, step: Step, language: str, drawn: bool) -> None:
    """What the thing looks like: in words, then as a drawing, which a screen reader can leave out."""
    words, card = words_in(language), step.card
    if card is None:
        voice.say(words.no_card)
        return
    voice.say(card.title)
    for label, text in sentences(card, language):
        voice.say(f"{label}: {text}")
    if card.rows and drawn:
        voice.say(f"{words.drawing}: {names_text(card)}.")
        voice.draw(card.rows)


def say_picture(voice: Voice, walk: Walk, view: View, number: str) -> None:
    """The timeline, or the graph around a likely fault."""
    from tui.picture_lines import picture

    if number not in [str(n) for n in range(len(view.leaders) + 1)]:
        voice.say(texts_of(walk).fault.no_such_picture)
        return
    voice.draw(picture(walk, view, int(number))(WIDTH))


def say_why(voice: Voice, walk: Walk, view: View) -> None:
    """Why this is asked, and what each answer said."""
    from tui.fault_lines import why_page  # with the screen's wrapping, as pictures are

    voice.draw(why_page(walk, view)(WIDTH))


def say_fault(voice: Voice, walk: Walk, view: View, number: str) -> None:
    """The likely faults, or all of one."""
    from tui.fault_lines import page_of_fault

    if number not in [str(n) for n in range(len(view.leaders) + 1)]:
        voice.say(texts_of(walk).fault.no_such)
        return
    voice.draw(page_of_fault(walk, view, int(number), drawn=False)(WIDTH))


def say_job(voice: Voice, walk: Walk) -> None:
    """The whole job of the present repair, with the numbers of this unit."""
    job = walk.whole_job()
    if job is None:
        voice.say(texts_of(walk).message.no_job)
        return
    for line in [*head_lines(job), *(line_text(line, words_of_job(job).caution) for line in job.lines)]:
        voice.say(line)


def say_help(voice: Voice, texts: HelpTexts) -> None:
    """What is shown means, and what can be typed."""
    for line in texts.about:
        voice.say(line)
    for key, what in texts.plain_keys:
        voice.say(f"{key}: {what}.")
