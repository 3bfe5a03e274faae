"""What a failure costs, in words: each term, where it comes from, and the whole with its range."""

from __future__ import annotations

from functools import partial

import pandas as pd

from tracker.decisions.cost_terms import CostTerm, FailureCost
from tracker.language import N_, _
from tracker.say import numbers
from tracker.say.phrases import first_up
from tracker.workshop import vocabulary as words

_TERMS = {
    "part": N_("part"),
    "parts_along": N_("parts changed along with it"),
    "work": N_("work to change it"),
    "recovery": N_("cleans and refill after the change"),
    "spoiled": N_("spoiled film and garments"),
    "downtime": N_("standing still while it is changed"),
    "waiting": N_("standing still until one is delivered"),
    "symptom_work": N_("extra cleans that led up to it"),
    "takes_along": N_("chance that it takes another part with it"),
}
# Terms whose entries in the log are stoppages; those of the others are failures.
_OF_STOPPAGES = ("spoiled", "downtime")


def term_label(term: CostTerm) -> str:
    """The term's name on the screen."""
    return first_up(_(_TERMS[term.name]))


def source(term: CostTerm) -> str:
    """Where the figure comes from.

    >>> source(CostTerm("downtime", 40, 30, 50, "log", 12))
    'log, 12 stoppages'
    """
    if term.source == "log":
        if term.name in _OF_STOPPAGES:
            return _("log, {entries}", entries=numbers.count(term.entries, "stoppage", "stoppages"))
        return _("log, {entries}", entries=numbers.count(term.entries, "failure", "failures"))
    if term.source == "own order":
        return _(
            "own orders, {entries}", entries=numbers.count(term.entries, "purchase", "purchases")
        )
    if term.source == "guess":
        return _("guess (common practice, no source)")
    return {"catalogue": _("your parts catalogue"), "setting": _("your settings")}[term.source]


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
        (_("Together"), numbers.money(cost.total, currency), _range(*cost.range80, currency), "")
    )
    return pd.DataFrame(rows, columns=[_("What"), _("Amount"), _("80 % range"), _("From")])


def cost_sentence(cost: FailureCost, currency: str) -> str:
    """What one failure costs, with its range, and what most of it is."""
    part = words.part_label(cost.part_kind).lower()
    shelf = _("a spare on the shelf") if cost.spare_on_shelf else _("no spare on the shelf")
    most = max(cost.terms, key=lambda term: term.amount)
    text = (
        N_("One {part} failure with {shelf} costs about {total}; most of it is {most}: {amount}.")
        if _range(*cost.range80, currency)
        else N_(
            "One {part} failure with {shelf} costs about {total}; every figure is stated; most of "
            "it is {most}: {amount}."
        )
    )
    return _(
        text,
        part=part,
        shelf=shelf,
        total=numbers.within(cost.total, *cost.range80, partial(numbers.money, currency=currency)),
        most=_with_article(most),
        amount=numbers.money(most.amount, currency),
    )


def cost_line(cost: FailureCost, currency: str) -> str:
    """The whole and every term in one line, guesses named."""
    part = words.part_label(cost.part_kind).lower()
    shelf = _("a spare on the shelf") if cost.spare_on_shelf else _("no spare on the shelf")
    terms = ", ".join(
        _(
            N_("{term} {amount} (guess)") if term.source == "guess" else "{term} {amount}",
            term=_(_TERMS[term.name]),
            amount=numbers.money(term.amount, currency),
        )
        for term in cost.terms
    )
    return _(
        "One {part} failure with {shelf} costs {total}: {terms}.",
        part=part,
        shelf=shelf,
        total=numbers.money(cost.total, currency),
        terms=terms,
    )


def _range(low: float, high: float, currency: str) -> str:
    if numbers.money(low, currency) == numbers.money(high, currency):
        return ""
    return _(
        "{low} to {high}", low=numbers.money(low, currency), high=numbers.money(high, currency)
    )


def _with_article(term: CostTerm) -> str:
    name = _TERMS[term.name]
    bare = ("standing", "spoiled", "cleans", "extra", "parts ")
    return _(name) if name.startswith(bare) else _("the {name}", name=_(name))
