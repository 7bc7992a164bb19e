"""The sentences of `history rates`, `history trend` and `history stock`."""

from collections.abc import Mapping, Sequence
from typing import Final

from diagnose.history.rates import UnitRates
from diagnose.history.site_trends import Cost, Season, SiteTrends, UnitTrend
from diagnose.history.stock import Part
from diagnose.history.work import Minutes, Takes
from diagnose.words import minutes_text, percent_text
from tui.text import clean

MOST: Final = 12
"""Lines of each list that a person is shown; --json and --csv give all."""
NOTHING: Final = "No callout has ended yet, so there is nothing to learn from."
NO_PARTS: Final = "Nothing is likely to be wanted in the next quarter."
NONE_WORSE: Final = "No unit is getting worse, as far as its callouts tell."
MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def reading(done: int, waiting: int) -> str:
    """How far the reading of callouts is."""
    return f"Reading callouts: {done} of {waiting}"


def rates_lines(
    found: UnitRates, minutes: Sequence[Minutes], takes: Sequence[Takes], titles: Mapping[str, str]
) -> list[str]:
    """The rates of one unit, and what was learned of minutes and repairs."""
    whose = ", ".join(filter(None, (found.unit or "A new unit", found.site)))
    lines = [
        f"{whose}: {found.callouts} callouts here, {found.callouts_at_site} at the site, "
        f"{found.callouts_everywhere} in all.",
        f"Of 1000 callouts of this unit, with a 90% interval. A callout of {found.half_life:g} years ago "
        "counts for half.",
        "",
    ]
    for rate in found.rates[:MOST]:
        lines.append(
            f"{_few(rate.rate):>5} ({_few(rate.low)} to {_few(rate.high)}), book {_few(rate.book)}  "
            f"{titles.get(rate.cause, rate.cause)}  [{rate.cause}]"
        )
        lines.append(
            f"      {found.rests_on(rate)}; {percent_text(rate.borrowed)} of it from the book and other units"
        )
    if minutes:
        lines += ["", "Minutes of a step, with a 90% interval:"]
        lines += [_minutes_line(step, titles) for step in sorted(minutes, key=lambda s: -s.times)[:MOST]]
    if takes:
        lines += ["", "How often a repair holds, with a 90% interval:"]
        lines += [_takes_line(one, titles) for one in sorted(takes, key=lambda t: -t.held - t.failed)[:MOST]]
    return [clean(line) for line in lines]


def _few(value: float) -> str:
    return f"{value:.0f}" if value >= 9.95 else f"{value:.1f}"


def _minutes_line(step: Minutes, titles: Mapping[str, str]) -> str:
    return (
        f"{_few(step.minutes):>5} ({_few(step.low)} to {_few(step.high)}), book {_few(step.book)}  "
        f"{titles.get(step.step, step.step)}  timed {step.times} times"
    )


def _takes_line(one: Takes, titles: Mapping[str, str]) -> str:
    return (
        f"{percent_text(one.takes):>5} ({percent_text(one.low)} to {percent_text(one.high)}), "
        f"book {percent_text(one.book)}  {titles.get(one.cause, one.cause)}  "
        f"held {one.held}, did not hold {one.failed}"
    )


def trend_lines(found: SiteTrends, titles: Mapping[str, str]) -> list[str]:
    """What gets worse, what comes back, when in the year, and at what cost."""
    worse = [unit for unit in (*found.units, *found.by_cause) if unit.worse]
    lines = [f"{found.callouts} callouts that have ended.", "", "Getting worse:"]
    lines += [_worse_line(unit, titles) for unit in worse[:MOST]] or [NONE_WORSE]
    lines += ["", "Units by callouts:"]
    lines += [_unit_line(unit) for unit in sorted(found.units, key=lambda u: -u.callouts)[:MOST]]
    lines += ["", "Cost, by fault:"]
    lines += [_cost_line(cost, titles) for cost in found.costs[:MOST]]
    seasons = [season for season in found.seasons if season.chance < 0.05]
    if seasons:
        lines += ["", "Faults with a season:"]
        lines += [_season_line(season, titles) for season in seasons[:MOST]]
    return [clean(line) for line in lines]


def _worse_line(unit: UnitTrend, titles: Mapping[str, str]) -> str:
    what = f", {titles.get(unit.cause, unit.cause)}" if unit.cause else ""
    now = f"; now every {_days(unit.trend.mtbf_now.value)}" if unit.trend else ""
    return f"  {unit.unit}{what}: {percent_text(unit.sure)} sure, {unit.callouts} callouts{now}"


def _unit_line(unit: UnitTrend) -> str:
    if unit.trend is None:
        return f"  {unit.unit}: {unit.callouts} callouts, too few for a trend"
    every = unit.trend.mtbf
    return (
        f"  {unit.unit}: {unit.callouts} callouts, one every {_days(every.value)} "
        f"({_days(every.low)} to {_days(every.high)}), last {unit.last:%Y-%m-%d}"
    )


def _days(days: float) -> str:
    return f"{_few(days)} days"


def _cost_line(cost: Cost, titles: Mapping[str, str]) -> str:
    lost = f", {minutes_text(cost.lost_minutes)} of production lost" if cost.lost_minutes else ""
    back = f"; back within 30 days after {cost.back_soon} of {cost.cured} cures" if cost.cured else ""
    return (
        f"  {titles.get(cost.cause, cost.cause)}: {_few(cost.callouts)} callouts, "
        f"{minutes_text(cost.minutes)}{lost}{back}"
    )


def _season_line(season: Season, titles: Mapping[str, str]) -> str:
    return (
        f"  {titles.get(season.cause, season.cause)}: mostly about {MONTHS[season.peak - 1]}, "
        f"{season.callouts} callouts (by accident: {percent_text(season.chance)})"
    )


def stock_lines(site: str, parts: Sequence[Part], enough: float, titles: Mapping[str, str]) -> list[str]:
    """The parts to hold."""
    if not parts:
        return [NO_PARTS]
    lines = [
        f"{site or 'This site'}, the next 91 days. So many last with a chance of {percent_text(enough)}:",
        "",
    ]
    for part in parts:
        whose = "; ".join(titles.get(cause, cause) for cause in part.causes[:3])
        lines.append(f"{part.hold:>4}  {part.part} (expected {_few(part.expected)})  for: {whose}")
    return [clean(line) for line in lines]
