"""One printable sheet that shows an owner or a customer whether a routine pays."""

from __future__ import annotations

from html import escape

from tracker.decisions import wording
from tracker.decisions.routine_cost import LeastCost
from tracker.decisions.routine_value import RoutineEffect
from tracker.records import vocabulary as words

_STYLE = (
    "body{font:11pt/1.5 sans-serif;max-width:46rem;margin:2rem auto;padding:0 1rem;color:#111}"
    "h1{font-size:15pt}h2{font-size:12pt;margin-top:1.4em}table{border-collapse:collapse}"
    "td,th{border:1px solid #888;padding:.25em .7em;text-align:right}th{background:#eee}"
    ".answer{font-size:13pt;font-weight:bold}@page{margin:18mm}"
)


def sheet(effect: RoutineEffect, least: LeastCost, workshop: str, currency: str) -> str:
    """A self-contained HTML page: the verdict, the cost by interval, the doubts.

    Works offline and prints on one A4 page. All text is escaped.
    """

    def money(amount: float) -> str:
        return wording.money(amount, currency)

    title = f"Does it pay? {words.task_label(effect.task)}"
    rows = "".join(
        f"<tr><td>{row.every_days:g}</td><td>{row.failures_per_year:.1f}</td>"
        f"<td>{escape(money(row.cost))}</td>"
        f"<td>{escape(money(row.p10))} to {escape(money(row.p90))}</td></tr>"
        for row in least.curve.itertuples()
    )
    figures = (
        f"Risk of failing {wording.figure(effect.hazard_ratio)} times as high (95 % limits "
        f"{wording.figure(effect.lower)} to {wording.figure(effect.upper)}), "
        f"{wording.count(effect.failures, 'failure')} seen; "
        f"{wording.chance(effect.chance_it_helps)} chance that it helps. A failure costs "
        f"{money(effect.cost_of_failure.total)}, the task {money(effect.cost_of_task.total)}."
    )
    doubts = "".join(
        f"<li>{escape(note)}</li>" for note in (effect.disagreement, *effect.notes) if note
    )
    cautions = words.TASKS[effect.task].cautions if effect.task in words.TASKS else ()
    care = "".join(f"<li>{escape(words.CAUTIONS[key])}</li>" for key in (*cautions, "deference"))
    heading = escape(f"{workshop} – {title}" if workshop else title)
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{heading}</title>'
        f"<style>{_STYLE}</style></head><body><h1>{heading}</h1>"
        f'<p class="answer">{escape(effect.verdict)}</p>'
        f"<p>{escape(figures)}</p>"
        f"<h2>Cost by interval, per printer and year</h2><table><tr><th>every … days</th>"
        f"<th>failures</th><th>cost</th><th>80 % range</th></tr>{rows}</table>"
        f"<h2>What to know before relying on it</h2><ul>{doubts}</ul>"
        f"<h2>Cautions</h2><ul>{care}</ul>"
        f"<p>As of {wording.day(effect.as_of)}.</p></body></html>"
    )
