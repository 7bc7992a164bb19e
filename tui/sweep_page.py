"""A sweep as one HTML page, with plots and without any outside address."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from tui.curves_svg import bars_svg
from tui.graph_svg import escaped

if TYPE_CHECKING:
    from diagnose.trial.sweep import Result
    from diagnose.trial.sweep_report import Kind, Report

STYLE: Final = (
    "body{font-family:sans-serif;max-width:60em;margin:2em auto;color:#222}"
    "table{border-collapse:collapse}td,th{border:1px solid #999;padding:.2em .6em;text-align:right}"
    "td:first-child,th:first-child{text-align:left}pre{font-size:.85em;overflow-x:auto}"
)
HEADS: Final = ("", "cured", "found", "first right", "checks", "minutes", "wrong repairs")


def page(said: "Report", results: "Sequence[Result]") -> str:
    """The whole page."""
    from tui.commands.rig_sweep import story

    parts = [
        '<!doctype html><html lang="en"><head><meta charset="utf-8">',
        f"<title>halfsplit: sweep of the rig</title><style>{STYLE}</style></head><body>",
        "<h1>Faults of the rig, looked for</h1>",
        "<p>Invented units, simulated. Found: put right and proved, and no vessel opened for nothing.</p>",
    ]
    for kind in said.kinds:
        parts += _kind(kind)
    parts.append("<h2>Bars</h2><ul>")
    for bar in said.bars:
        sign = "at most" if bar.at_most else "at least"
        met = "met" if bar.met else "<b>not met</b>"
        parts.append(f"<li>{escaped(bar.name)}: {bar.reached:.3f}, {sign} {bar.wanted:g}: {met}</li>")
    parts.append("</ul>")
    parts.append(bars_svg("Minutes by complaint, halfsplit", _by_complaint(results), "min"))
    if said.missed:
        rows = "".join(f"<li>{escaped(f)}: {times} of {of} not found</li>" for f, times, of in said.missed)
        parts.append(f"<h2>Single faults not always found</h2><ul>{rows}</ul>")
    stories = "\n".join(line for result in said.worst for line in story(result))
    parts.append(f"<h2>Where most was lost</h2><pre>{_lines(stories)}</pre></body></html>\n")
    return "\n".join(parts)


def _lines(text: str) -> str:
    return "\n".join(map(escaped, text.split("\n")))


def _kind(kind: "Kind") -> list[str]:
    heads = "".join(f"<th>{head}</th>" for head in HEADS)
    rows = "".join(
        f"<tr><td>{escaped(row.policy)}</td><td>{row.cured:.1%}</td><td>{row.found:.1%}</td>"
        f"<td>{row.guessed:.1%}</td><td>{row.checks:.1f}</td><td>{row.minutes:.0f}</td>"
        f"<td>{row.wrong:.2f}</td></tr>"
        for row in kind.rows
    )
    minutes = [(row.policy, row.minutes) for row in kind.rows]
    return [
        f"<h2>{kind.name}: {kind.cases} cases</h2>",
        f"<p>{kind.silent} more give no ground for a complaint.</p><table><tr>{heads}</tr>{rows}</table>",
        bars_svg(f"Mean minutes, {kind.name}", minutes, "min"),
    ]


def _by_complaint(results: "Sequence[Result]") -> list[tuple[str, float]]:
    from diagnose.trial.sweep_report import minutes_by_complaint

    return list(minutes_by_complaint(results).items())
