"""One callout explained on paper: every number of `rank --json` by hand, from the book's numbers alone.

The book, tests/data/paper_book, has three causes. Written shortly, with L for the leak of every condition:

    S  supply shut     4 %   -- 0.9 --> N
    V  vent plugged    2 %   -- 0.7 --> N  no signal  -- 0.95 --> C  stays shut  --> "will not open"
    T  stem stuck      3 %   ------------ 0.8 ------------------> C
    U  what the book does not know, 0.5 %  -- 0.995 ------------> C

    P(N off | S, V)    = (1 - L) x 0.1 if S x 0.3 if V                        (noisy-OR)
    P(C off | N, T, U) = (1 - L) x 0.05 if N x 0.2 if T x 0.005 if U

The caller says "will not open" with 0.8 when C is there and 0.01 when it is not. The gauge was seen at full
and the vent was felt to breathe. A look slips with 0.02: then each of its two answers is as likely. So

    P(full | N) = 0.98 x 0.2 + 0.01 = 0.206          P(full | no N) = 0.98 x 0.9 + 0.01 = 0.892
    P(breathes | V) = 0.98 x 0.1 + 0.01 = 0.108      P(breathes | no V) = 0.98 x 0.95 + 0.01 = 0.941
    P(moves | T) = 0.98 x 0.1 + 0.01 = 0.108         P(moves | no T) = 0.98 x 0.95 + 0.01 = 0.941

Everything is a sum over the 64 rows (S, V, T, U, N, C) of one table. Nothing of `diagnose` computes here; it
only makes the JSON that is judged.
"""

import json
from itertools import product
from math import log2, log10, prod
from pathlib import Path

import pytest

from tui.__main__ import main

BOOK = Path(__file__).parents[1] / "data" / "paper_book"
LEAK = 0.00001
CAUSES = ("supply_shut", "vent_plugged", "stem_stuck", "unlisted_wont_open")
S, V, T, U = CAUSES
PRIOR = {S: 0.04, V: 0.02, T: 0.03, U: 0.005}
FINDINGS = ("wont_open", "gauge", "vent")


def rows():
    """(what is there, probability before anything is found) of each of the 64 rows."""
    for s, v, t, u, n, c in product((0, 1), repeat=6):
        chance = prod(p if there else 1 - p for p, there in zip(PRIOR.values(), (s, v, t, u), strict=True))
        n_off = (1 - LEAK) * 0.1**s * 0.3**v
        c_off = (1 - LEAK) * 0.05**n * 0.2**t * 0.005**u
        chance *= 1 - n_off if n else n_off
        chance *= 1 - c_off if c else c_off
        yield {S: s, V: v, T: t, U: u, "no_signal": n, "stays_shut": c}, chance


def says(finding, there):
    """P(what was found | one row); `moves` and `stuck` are the answers still open."""
    match finding:
        case "wont_open":
            return 0.8 if there["stays_shut"] else 0.01
        case "gauge":
            return 0.206 if there["no_signal"] else 0.892
        case "vent":
            return 0.108 if there[V] else 0.941
        case "moves":
            return 0.108 if there[T] else 0.941
        case "stuck":
            return 0.892 if there[T] else 0.059


def weight(findings, **fixed):
    """P(these findings, and these causes there or not), summed over the rows."""
    return sum(
        chance * prod(says(finding, there) for finding in findings)
        for there, chance in rows()
        if all(there[name] == value for name, value in fixed.items())
    )


def chance_of(cause, findings):
    """P(cause | findings)."""
    return weight(findings, **{cause: 1}) / weight(findings)


def decibans(cause, findings):
    """Ten times the log of P(cause | findings) / P(no cause | findings)."""
    return 10 * log10(weight(findings, **{cause: 1}) / weight(findings, **{cause: 0}))


def anyway(cause):
    """P(a cause lies about beside the culprit): the lesser of before and without the complaint."""
    return min(PRIOR[cause], chance_of(cause, FINDINGS[1:]))


def blame(findings):
    """Share of the blame of each cause: (after - anyway) / (1 - anyway), none below 0, 1 in all at most."""
    shares = {c: max(0.0, (chance_of(c, findings) - anyway(c)) / (1 - anyway(c))) for c in CAUSES}
    return {c: share / max(1.0, sum(shares.values())) for c, share in shares.items()}


ANSWERS = ("moves", "stuck")
REPAIR = {S: 5 + 20, T: 60 + 20}
"""Minutes of each repair with its proof. The vent is not to blame: it breathes."""
TAKES = 0.95
"""How surely a repair does away with its cause: nearly always."""
PRICES = {"help": 240, "proof": 20, "moving": 0, "talk": 1, "visit": 0}
LOOK, HELP = 4 + PRICES["talk"], PRICES["help"]
"""Minutes of looking at the stem, and of asking for it; of calling help and waiting."""


def going_on(shares, order):
    """Minutes of putting the causes right one by one, stopping where help is the cheaper end.

    Each repair is paid for as long as it is not cured yet, and cures its cause's share 95 times in 100.
    """
    spent, left, ends = 0.0, 1.0, [HELP]
    for cause in order:
        spent += REPAIR[cause] * left
        left -= TAKES * shares[cause]
        ends.append(spent + HELP * left)
    return min(ends)


def best_order(shares):
    """Most probability for the minutes first."""
    return sorted(REPAIR, key=lambda cause: -shares[cause] * TAKES / REPAIR[cause])


def chance_of_answer():
    """P(answer of the stem | findings)."""
    return {a: weight((*FINDINGS, a)) / weight(FINDINGS) for a in ANSWERS}


def likelihood():
    """P(answer of the stem | culprit): its blame with the answer over its blame with any answer.

    So the blame after the answers averages to the blame now.
    """
    chance = chance_of_answer()
    both = {a: {c: chance[a] * blame((*FINDINGS, a))[c] for c in REPAIR} for a in ANSWERS}
    return {a: {c: both[a][c] / sum(both[b][c] for b in ANSWERS) for c in REPAIR} for a in ANSWERS}


def after_answers():
    """(chance of an answer, shares of the blame after it) of each answer of the stem."""
    chance, told, now = chance_of_answer(), likelihood(), blame(FINDINGS)
    return [(chance[a], {c: told[a][c] * now[c] / chance[a] for c in REPAIR}) for a in ANSWERS]


def with_the_look():
    """Expected minutes when the stem is looked at first: the order may change with the answer, or stay."""
    now = best_order(blame(FINDINGS))
    return LOOK + sum(
        chance * min(going_on(shares, best_order(shares)), going_on(shares, now))
        for chance, shares in after_answers()
    )


def with_looks_between():
    """Expected minutes of the plan in which a cause is put right only if the stem points to it.

    An answer points to a cause when it is 1.5 times as likely with it as without knowing. The look is paid
    for, and the repair at a hit (it is the cause) and at a false alarm (it is not).
    """
    chance, told, shares = chance_of_answer(), likelihood(), blame(FINDINGS)
    ways = {}
    for cause, repair in REPAIR.items():
        share = shares[cause]
        points = [a for a in ANSWERS if told[a][cause] > 1.5 * chance[a]]
        hit = sum(told[a][cause] for a in points)
        alarm = sum(chance[a] - told[a][cause] * share for a in points) / (1 - share)
        looked = hit * share * TAKES / (LOOK + (hit * share + alarm * (1 - share)) * repair)
        ways[cause] = (share * TAKES / repair, looked, hit, alarm)
    spent, left, ends = 0.0, 1.0, [HELP]
    for cause in sorted(ways, key=lambda cause: -max(ways[cause][:2])):
        outright, looked, hit, alarm = ways[cause]
        share = shares[cause]
        if looked > outright:
            spent += LOOK * left + (hit * share + alarm * max(0.0, left - share)) * REPAIR[cause]
            left -= hit * TAKES * share
        else:
            spent += REPAIR[cause] * left
            left -= TAKES * share
        ends.append(spent + HELP * left)
    return min(ends)


def numbers(value, path=""):
    """Every number of a JSON value by its place, as `causes.0.probability`."""
    if isinstance(value, dict):
        items = value.items()
    elif isinstance(value, list):
        items = enumerate(value)
    else:
        return {path: value} if isinstance(value, int | float) and not isinstance(value, bool) else {}
    found = {}
    for key, part in items:
        found |= numbers(part, f"{path}.{key}" if path else str(key))
    return found


@pytest.fixture
def found(capsys):
    """What `rank --json` prints of the callout."""
    saws = [word for saw in ("complaint=wont_open", "gauge=full", "vent=breathes") for word in ("--saw", saw)]
    assert main(["rank", "--book", str(BOOK), "--json", *saws]) == 0
    return json.loads(capsys.readouterr().out)


def by_hand():
    """Every number that the JSON must hold, by its place."""
    now = {cause: chance_of(cause, FINDINGS) for cause in CAUSES}
    order = sorted(CAUSES, key=lambda cause: -now[cause])
    shares = blame(FINDINGS)
    expected = {"schema_version": 1}
    for k, cause in enumerate(order):
        expected[f"causes.{k}.probability"] = now[cause]
    # Conflict: the log of the findings' own probabilities over that of all of them together.
    apart = {name: weight((name,)) for name in FINDINGS}
    expected["fit.conflict_bits"] = log2(prod(apart.values()) / weight(FINDINGS))
    # Nine sections in the order of the signal; the blame of a cause goes to its own.
    for k in range(9):
        expected[f"sections.{k}.share"] = 0.0
    expected["sections.3.share"] = shares[S] + shares[V]
    expected["sections.7.share"] = shares[T]
    expected["unlisted"] = shares[U]
    # The advice: look at the stem, then go on as its answer says.
    answered = {answer: weight((*FINDINGS, answer)) / weight(FINDINGS) for answer in ANSWERS}
    expected["advice.minutes"] = 4.0
    expected["advice.risk_minutes"] = 0.0
    expected |= {f"prices.{name}": minutes for name, minutes in PRICES.items()}
    expected["advice.expected_minutes"] = least = min(with_the_look(), with_looks_between())
    for k, answer in enumerate(ANSWERS):
        expected[f"advice.answers.{k}.probability"] = answered[answer]
    # What follows most likely: the stem moves, the supply is put right, and it was not that.
    moves, shares_then = after_answers()[ANSWERS.index("moves")]
    expected["advice.then.0.chance"] = moves
    expected["advice.then.1.chance"] = moves * (1 - TAKES * shares_then[S])
    for k, name in enumerate(FINDINGS):
        place = f"explain.findings.{k}"
        others = tuple(other for other in FINDINGS if other != name)
        expected[f"{place}.chance"] = weight(FINDINGS[: k + 1]) / weight(FINDINGS[:k])
        expected[f"{place}.conflict_bits"] = log2(apart[name] * weight(others) / weight(FINDINGS))
    # Strongest chain of each cause to the complaint; each has but one here.
    chain = {S: 0.9 * 0.95, V: 0.7 * 0.95, T: 0.8, U: 0.995}
    for k, cause in enumerate(order):
        place = f"explain.causes.{k}"
        expected[f"{place}.probability"] = now[cause]
        expected[f"{place}.prior_decibans"] = 10 * log10(PRIOR[cause] / (1 - PRIOR[cause]))
        for n in range(len(FINDINGS)):
            gain = decibans(cause, FINDINGS[: n + 1]) - decibans(cause, FINDINGS[:n])
            expected[f"{place}.weights.{n}.decibans"] = gain
        expected[f"{place}.posterior_decibans"] = 10 * log10(now[cause] / (1 - now[cause]))
        expected[f"{place}.path_strength"] = chain[cause]
    # After `moves` another cause leads than the stem.
    expected["explain.would_change.0.chance"] = answered["moves"]
    expected["explain.would_change.0.probability"] = max(chance_of(c, (*FINDINGS, "moves")) for c in CAUSES)
    listed_off = weight(FINDINGS, **{S: 0, V: 0, T: 0}) / weight(FINDINGS)
    all_off = weight(FINDINGS, **{S: 0, V: 0, T: 0, U: 0}) / weight(FINDINGS)
    expected["explain.unexplained.unlisted"] = now[U]
    expected["explain.unexplained.nothing"] = all_off
    expected["explain.unexplained.no_listed"] = listed_off
    expected["explain.unexplained.probability"] = now[U] + all_off
    for k, answer in enumerate(sorted(ANSWERS, key=lambda a: -answered[a])):
        expected[f"explain.reason.parts.{k}.chance"] = answered[answer]
    expected["explain.reason.saves_minutes"] = going_on(shares, best_order(shares)) - least
    return expected


def test_every_number_of_a_callout_is_reproduced_on_paper(found):
    """Not one more in the JSON, not one less, each to nine digits."""
    have, want = numbers(found), by_hand()
    assert sorted(have) == sorted(want)
    assert have == pytest.approx(want, rel=1e-9, abs=1e-9)


def test_the_story_of_the_callout_is_the_one_that_the_numbers_tell(found):
    """The stem leads; looking at it is worth its minutes; if it moves it was something else."""
    explain = found["explain"]
    assert found["advice"]["id"] == "stem"
    assert [step["id"] for step in found["advice"]["then"]] == [S, "help"]
    assert [cause["id"] for cause in explain["causes"]] == [T, S, U, V]
    assert explain["causes"][1]["text"] == "Supply shut -> the signal does not come -> it stays shut."
    assert explain["would_change"][0]["text"] == (
        "If “Does the stem move by hand?” were “It moves” (53%), it would be “Supply shut”, 29%."
    )
    assert explain["reason"]["text"].startswith(
        "Parts “Supply shut” (It moves, 53%) from “Stem stuck” (It is stuck, 47%). Saves about "
    )


def test_the_weights_on_paper_add_up():
    """Three findings took the stem from 15 decibans against to about even: 11.1 + 3.4 + 0.4."""
    steps = [decibans(T, FINDINGS[:k]) for k in range(4)]
    assert [round(step, 2) for step in steps] == [-15.1, -4.03, -0.59, -0.15]
