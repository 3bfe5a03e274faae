"""What a failure costs, in words: each term, where it comes from, and the whole with its range."""

from __future__ import annotations

import pandas as pd

from tracker.decisions.failure_cost import CostTerm, FailureCost
from tracker.say import numbers
from tracker.workshop import vocabulary as words

_TERMS = {
    "part": "part",
    "parts_along": "parts changed along with it",
    "work": "work to change it",
    "recovery": "cleans and refill after the change",
    "spoiled": "spoiled film and garments",
    "downtime": "standing still while it is changed",
    "waiting": "standing still until one is delivered",
    "symptom_work": "extra cleans that led up to it",
    "takes_along": "chance that it takes another part with it",
}
# What the entries are that stand behind a term counted in the log.
_ENTRIES = {
    "spoiled": "stoppage",
    "downtime": "stoppage",
    "symptom_work": "failure",
    "takes_along": "failure",
}


def term_label(term: CostTerm) -> str:
    """The term's name on the screen."""
    name = _TERMS[term.name]
    return f"{name[0].upper()}{name[1:]}"


def source(term: CostTerm) -> str:
    """Where the figure comes from.

    >>> source(CostTerm("downtime", 40, 30, 50, "log", 12))
    'log, 12 stoppages'
    """
    if term.source == "log":
        return f"log, {numbers.count(term.entries, _ENTRIES[term.name])}"
    if term.source == "own order":
        return f"own orders, {numbers.count(term.entries, 'purchase')}"
    if term.source == "guess":
        return "guess (common practice, no source)"
    return {"catalogue": "your parts catalogue", "setting": "your settings"}[term.source]


def cost_table(cost: FailureCost, currency: str) -> pd.DataFrame:
    """Every term with its amount, its 80 % range and its source, and the whole."""
    rows = [
        (
            term_label(term),
            numbers.money(term.amount, currency),
            _range(term.low, term.high, currency),
            source(term),
        )
        for term in cost.terms
    ]
    rows.append(
        ("Together", numbers.money(cost.total, currency), _range(*cost.range80, currency), "")
    )
    return pd.DataFrame(rows, columns=["What", "Amount", "80 % range", "From"])


def cost_sentence(cost: FailureCost, currency: str) -> str:
    """What one failure costs, with its range, and what most of it is."""
    part = words.part_label(cost.part_kind).lower()
    shelf = "a spare on the shelf" if cost.spare_on_shelf else "no spare on the shelf"
    most = max(cost.terms, key=lambda term: term.amount)
    between = _range(*cost.range80, currency)
    sure = f" (80 % range {between})" if between else "; every figure is stated"
    return (
        f"A {part} failure with {shelf} costs about {numbers.money(cost.total, currency)}{sure}; "
        f"most of it is {_with_article(most)}: {numbers.money(most.amount, currency)}."
    )


def cost_line(cost: FailureCost, currency: str) -> str:
    """The whole and every term in one line, guesses named."""
    part = words.part_label(cost.part_kind).lower()
    shelf = "a spare on the shelf" if cost.spare_on_shelf else "no spare on the shelf"
    terms = ", ".join(
        f"{_TERMS[term.name]} {numbers.money(term.amount, currency)}"
        f"{' (guess)' if term.source == 'guess' else ''}"
        for term in cost.terms
    )
    return f"A {part} failure with {shelf} costs {numbers.money(cost.total, currency)}: {terms}."


def _range(low: float, high: float, currency: str) -> str:
    if numbers.money(low, currency) == numbers.money(high, currency):
        return ""
    return f"{numbers.money(low, currency)} to {numbers.money(high, currency)}"


def _with_article(term: CostTerm) -> str:
    name = _TERMS[term.name]
    bare = ("standing", "spoiled", "cleans", "extra", "parts ")
    return name if name.startswith(bare) else f"the {name}"
