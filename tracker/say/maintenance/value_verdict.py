"""The answer whether a task pays over all parts it protects: what a reader meets first."""

from __future__ import annotations

from tracker.decisions.routine.task_value import TaskValue
from tracker.say.maintenance.log_check import clear_first
from tracker.say.maintenance.task_value import (
    break_even_sentence,
    demanded,
    in_a_word,
    sums,
    together_sentence,
)
from tracker.say.numbers import count, money
from tracker.say.phrases import first_up
from tracker.workshop import vocabulary


def value_verdict(value: TaskValue) -> str:
    """From which cost of a failure on it pays, how surely and how much, and what that hangs on."""
    return f"{headline(value)} {grounds(value)}"


def is_cleared(value: TaskValue) -> bool:
    """False while entries of the log are suspect and nobody has said what they were."""
    return not clear_first(value.kinds[0].kind.study)


def headline(value: TaskValue) -> str:
    """The break-even and the answer in a word; while entries of the log are suspect, that they come
    first; where the maker forbids one of the intervals, that."""
    name = vocabulary.task_label(value.studies.task)
    cleared = clear_first(value.kinds[0].kind.study)
    if cleared:
        return f"{name} – {cleared}"
    if is_forbidden(value):
        return f"{name} – {demanded(value)}, so to do it less often is no question of money."
    return f"{break_even_sentence(value)} {in_a_word(value)}."


def grounds(value: TaskValue) -> str:
    """How surely it pays, how much and what that hangs on, with no verdict while entries of the log
    are suspect or where the maker has decided."""
    if not is_cleared(value):
        return f"Counted without these, and no verdict yet: {together_sentence(value)}"
    if is_forbidden(value):
        return f"Only to know what it costs: {break_even_sentence(value)} {first_up(sums(value))}"
    return f"{hangs_on(value)} {first_up(sums(value))}"


def is_forbidden(value: TaskValue) -> bool:
    """True where one of the two intervals is longer than the maker demands."""
    demand = value.studies.demand
    return demand is not None and demand.forbids(max(value.every_days, value.instead_of_days))


def hangs_on(value: TaskValue) -> str:
    """On what the answer depends most, and what would settle it."""
    widest = max(value.kinds, key=lambda one: one.worth[2] - one.worth[1])
    part = vocabulary.part_label(widest.part_kind).lower()
    each = money(widest.cost.total, value.studies.currency)
    if widest.is_told:
        return f"It hangs most on how many {part} failures that avoids, and on what one costs."
    seen = count(widest.effect.failures, "failure")
    return (
        f"It hangs most on the {part}: a failure costs {each}, and {seen} so far do not tell "
        "whether the task prevents any. “Try it out” says whether doing both by plan would settle "
        "it."
    )


def answer_in_short(value: TaskValue | None) -> str:
    """The verdict where a page about something else tells it; "" where there is none."""
    return f"Does it pay? {value_verdict(value)}" if value else ""
