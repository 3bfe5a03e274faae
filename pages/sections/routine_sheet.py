"""One printable sheet that shows an owner or a customer whether a routine pays."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from tracker.decisions.routine.effect import RoutineEffect
from tracker.say import numbers
from tracker.say.routine import interval_lines, verdict, with_and_without_a_spare
from tracker.say.routine_change import history_remarks, history_sentences
from tracker.say.routine_doubts import doubts
from tracker.say.routine_evidence import LAGS_TEXT, cost_lines, evidence_lines, lag_table
from tracker.workshop import vocabulary as words

_STYLE = (
    "body{font:10pt/1.4 sans-serif;max-width:48rem;margin:1.5rem auto;padding:0 1rem;color:#111}"
    "h1{font-size:15pt}h2{font-size:11.5pt;margin:1em 0 .3em}table{border-collapse:collapse}"
    "td,th{border:1px solid #888;padding:.15em .6em;text-align:right}th{background:#eee}"
    "ul{margin:.2em 0;padding-left:1.3em}.answer{font-size:13pt;font-weight:bold}"
    "tr,li{break-inside:avoid}.row{display:flex;gap:2rem;flex-wrap:wrap}"
    "@page{size:A4;margin:11mm}@media print{body{font-size:8pt;line-height:1.25;margin:0;"
    "max-width:none;padding:0}h1{font-size:13pt;margin:0}h2{font-size:9.5pt;margin:.7em 0 .2em}"
    ".answer{font-size:10.5pt}p{margin:.4em 0}td,th{padding:.05em .5em}}"
)
_SHOWN = (1, 3, 7, 14, 30, 60, 90, 180)


def sheet(effect: RoutineEffect, workshop: str, currency: str) -> str:
    """A self-contained HTML page: the verdict, the money, the evidence, the doubts, the cautions.

    Works offline and prints. All text is escaped.
    """
    title = f"Does it pay? {words.task_label(effect.task)}"
    heading = escape(f"{workshop} – {title}" if workshop else title)
    cautions = words.TASKS[effect.task].cautions if effect.task in words.TASKS else ()
    parts = [
        f"<h1>{heading}</h1>",
        f'<p class="answer">{_text(verdict(effect))}</p>',
        f"<p>As of {numbers.day(effect.as_of)}.</p>",
        _worth(effect, currency) if effect.is_enough else "",
        f"<h2>What is counted in money</h2>{_list(cost_lines(effect))}",
        f"<h2>The evidence</h2>{_list(evidence_lines(effect))}",
        f"<p>The ratio by the days left out before each day. {escape(LAGS_TEXT)}</p>",
        _table(lag_table(effect).columns, lag_table(effect).itertuples(index=False)),
        _before_after(effect),
        f"<h2>What to know before relying on it</h2>{_list(doubts(effect))}",
        f"<h2>Cautions</h2>{_list(words.CAUTIONS[key] for key in (*cautions, 'deference'))}",
    ]
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{heading}</title>'
        f"<style>{_STYLE}</style></head><body>{''.join(parts)}</body></html>"
    )


def _worth(effect: RoutineEffect, currency: str) -> str:
    def money(amount: float) -> str:
        return numbers.money(amount, currency)

    least = effect.least_cost()
    shown = {effect.every_days, effect.instead_of_days, least.every_days, *_SHOWN}
    curve = least.curve[least.curve["every_days"].isin(shown)]
    rows = (
        (
            f"{row.every_days:g}",
            f"{row.failures_per_year:.1f}",
            money(row.cost),  # type: ignore[arg-type]
            f"{money(row.p10)} to {money(row.p90)}",  # type: ignore[arg-type]
        )
        for row in curve.itertuples()
    )
    lines = [*with_and_without_a_spare(effect), *interval_lines(effect)]
    return (
        f"<h2>What it is worth</h2>{_list(lines)}"
        "<p>Work and failures together, per printer and year:</p>"
        + _table(("every … days", "failures", "cost", "80 % range"), rows)
    )


def _before_after(effect: RoutineEffect) -> str:
    sentences = history_sentences(effect.history)
    if not sentences:
        return ""
    remarks = _text(" ".join(history_remarks(effect.history)))
    return f"<h2>Before and after the schedule changed</h2>{_list(sentences)}<p>{remarks}</p>"


def _text(sentence: str) -> str:
    return escape(numbers.unbroken(sentence))


def _list(lines: Iterable[str]) -> str:
    return f"<ul>{''.join(f'<li>{_text(line)}</li>' for line in lines)}</ul>"


def _table(names: Iterable[str], rows: Iterable[Iterable[object]]) -> str:
    head = "".join(f"<th>{escape(str(name))}</th>" for name in names)
    body = "".join(
        f"<tr>{''.join(f'<td>{_text(str(cell))}</td>' for cell in row)}</tr>" for row in rows
    )
    return f"<table><tr>{head}</tr>{body}</table>"
