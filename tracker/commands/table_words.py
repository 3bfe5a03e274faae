"""What the tables on a terminal are headed, and how their cells read, in the language in use.

Answers as JSON keep the names and words of the program; a table is for people.
"""

from __future__ import annotations

import math

from tracker.errors import legible
from tracker.language import N_, _, exact
from tracker.say.entering.record_words import table_label
from tracker.workshop import vocabulary as words

HEADINGS = (
    N_("part kind"), N_("variant"), N_("printer"), N_("position"), N_("supplier"), N_("task"),
    N_("age days"), N_("chance of failure"), N_("days p10"), N_("days p50"), N_("days p90"),
    N_("median if guess halved"), N_("median if guess doubled"),
    N_("fitted"), N_("on hand"), N_("on order"), N_("horizon days"), N_("expected need"),
    N_("stock for service"), N_("stock least cost"), N_("chance of shortage now"),
    N_("order now"), N_("lead days"), N_("lead days late"), N_("risk before arrival"),
    N_("counted on"), N_("need if guess halved"), N_("need if guess doubled"),
    N_("common stock"), N_("apart stock"), N_("saved pieces"), N_("saved money"),
    N_("pieces"), N_("price"), N_("spent"), N_("avoided cost"), N_("risk left"),
    N_("order by"), N_("risk if ordered now"), N_("risk if waiting 30 days"), N_("verdict"),
    N_("risk limit by"), N_("costs alike from"), N_("costs alike until"), N_("costs alike within"),
    N_("spares"),
    N_("every days now"), N_("every days least cost"), N_("every days low"),
    N_("every days high"), N_("saving per printer year"), N_("kept"),
    N_("month"), N_("parts"), N_("foretold"), N_("came"), N_("policy"), N_("needs"),
    N_("missing"), N_("downtime days"), N_("downtime cost"), N_("holding"), N_("aged"),
    N_("left over"), N_("low"), N_("high"), N_("money"),
    N_("basis"), N_("shape"), N_("shape lower"), N_("shape upper"), N_("scale days"),
    N_("b10 days"), N_("b10 lower"), N_("b10 upper"), N_("median days"), N_("median lower"),
    N_("median upper"), N_("mean life days"), N_("failures"), N_("lives"), N_("left out"),
    N_("failures left out"), N_("ends"), N_("ends unknown"), N_("ends by eye"), N_("reading"),
    N_("family"), N_("parameters"), N_("log likelihood"), N_("aic"), N_("aicc"), N_("weight"),
    N_("scale"), N_("b10"), N_("mean life"), N_("why not"),
    N_("hazard ratio"), N_("lower"), N_("upper"), N_("failures avoided per printer year"),
    N_("failures avoided p10"), N_("failures avoided p90"), N_("cost of failure"),
    N_("chance it helps"), N_("cox hazard ratio"), N_("cox lower"), N_("cox upper"),
    N_("events needed"), N_("saving p10"), N_("saving p90"), N_("chance it pays"),
    N_("table"), N_("rows"), N_("added"), N_("completed"), N_("unchanged"), N_("corrected"),
)  # fmt: skip
_CELLS = (
    N_("advice"), N_("always one on the shelf"), N_("order when it breaks"),
    N_("belief"), N_("wear"), N_("early failures"), N_("chance"), N_("cannot tell"),
    N_("lognormal"), N_("loglogistic"), N_("exponential"), N_("weibull"),
)  # fmt: skip
_OF_THE_PROGRAM = frozenset(("policy", "basis", "reading", "family", "variant"))
_LABELS = {"part_kind": words.part_label, "task": words.task_label, "table": table_label}


def heading(name: str) -> str:
    """What stands over the column of that name; a heading in words already is left as it is."""
    return _(name.replace("_", " "))


def cell(name: str, value: object) -> str:
    """A value as it reads under that name: three significant digits, kinds by their labels."""
    if isinstance(value, float):
        if math.isnan(value):  # nothing is known
            return ""
        digits = f"{value:.3g}" if abs(value) < 1000 else f"{value:.0f}"
        return exact(float(digits)) if math.isfinite(value) else digits
    if value is None:
        return ""
    text = str(value)
    if name in _LABELS:
        text = _LABELS[name](text)
    return legible(_(text) if name in _OF_THE_PROGRAM else text)
