"""The answer whether a task pays over all parts it protects: what a reader meets first."""

from __future__ import annotations

from tracker.decisions.routine.task_value import TaskValue
from tracker.language import _
from tracker.say.maintenance.frequency import every
from tracker.say.maintenance.log_check import clear_first
from tracker.say.maintenance.value.costs import about_amount_of, amount_of, part_name
from tracker.say.maintenance.value.task_value import (
    break_even_sentence,
    chance_sentence,
    demanded,
    earned_sentence,
    in_a_word,
    sums,
    tells_nothing,
    together_sentence,
    with_the_believed,
)
from tracker.say.maintenance.verdict import is_too_close, trivial_saving, used
from tracker.say.numbers import day
from tracker.say.phrases import first_up, listed
from tracker.workshop import vocabulary


def value_verdict(value: TaskValue) -> str:
    """The answer in a word, from which cost of a failure on it pays, what that hangs on, and how
    surely and how much."""
    return f"{headline(value)} {grounds(value)}"


def is_cleared(value: TaskValue) -> bool:
    """False while entries of the log are suspect and nobody has said what they were."""
    return not clear_first(value.kinds[0].kind.study)


def headline(value: TaskValue) -> str:
    """The answer in a word and the break-even; while entries of the log are suspect, that they come
    first; where the maker forbids one of the intervals, that."""
    name = vocabulary.task_label(value.studies.task)
    cleared = clear_first(value.kinds[0].kind.study)
    if cleared:
        return f"{name} – {cleared}"
    if is_forbidden(value):
        return _(
            "{name} – {demanded}, so to do it less often is no question of money.",
            name=name,
            demanded=demanded(value),
        )
    return f"{in_a_word(value)}. {break_even_sentence(value)}"


def is_open(value: TaskValue) -> bool:
    """True where the verdict leaves it open what to do: too close to call, or nothing told."""
    if not is_cleared(value) or is_forbidden(value):
        return False
    return tells_nothing(value) or is_too_close(
        value.saving, trivial_saving(value.studies.task_cost)
    )


def grounds(value: TaskValue) -> str:
    """What the answer hangs on, then how surely it pays and how much."""
    return f"{reason(value)} {in_figures(value)}"


def reason(value: TaskValue) -> str:
    """What the answer hangs on and what the log tells, in plain words; that there is no verdict
    while entries of the log are suspect, or that the maker has decided."""
    if not is_cleared(value):
        return _("Counted without these, and no verdict yet:")
    if is_forbidden(value):
        return _(
            "Only to know what it costs: {break_even_sentence}",
            break_even_sentence=_and(break_even_sentence(value), with_the_believed(value)),
        )
    return _and(with_the_believed(value), earned_sentence(value), hangs_on(value))


def _and(*sentences: str) -> str:
    return " ".join(filter(None, sentences))


def chance(value: TaskValue) -> str:
    """How surely it pays, beside the answer in a word; "" where there is no verdict."""
    return "" if not is_cleared(value) or is_forbidden(value) else chance_sentence(value)


def in_figures(value: TaskValue) -> str:
    """How surely it pays and how much, as chance, amount and range."""
    return first_up(sums(value)) if is_cleared(value) else together_sentence(value)


def is_forbidden(value: TaskValue) -> bool:
    """True where one of the two intervals is longer than the maker demands."""
    demand = value.studies.demand
    return demand is not None and demand.forbids(max(value.every_days, value.instead_of_days))


def hangs_on(value: TaskValue) -> str:
    """On what the answer depends most, and what would settle it."""
    if value.work_exceeds_all:
        return whatever_it_does(value)
    widest = max(value.kinds, key=lambda one: one.worth[2] - one.worth[1])
    part = vocabulary.part_label(widest.part_kind).lower()
    each = amount_of(value, widest.cost.total)  # as in "What is counted"
    if widest.is_told:
        return _(
            "It depends most on how many {part} failures that avoids, and on what one costs.",
            part=part,
        )
    seen = used(widest.effect.study.fits)
    return _(
        "It depends most on the {part}: a failure costs {each}, and {seen} so far do not "
        "tell whether the task prevents any. “Try it out” says whether doing both by "
        "plan would settle that.",
        part=part,
        each=each,
        seen=seen,
    )


def whatever_it_does(value: TaskValue) -> str:
    """That the work between the two intervals costs more than all failures, so that no effect of
    the task could make up for it.
    """
    mean, low, high = (about_amount_of(value, amount) for amount in value.all_failures)
    return _(
        "Whatever the task prevents: all {parts} failures where it is done {often} cost about "
        "{mean} per printer and year ({low} to {high} in 8 of 10 cases), and the work between the "
        "two intervals costs {work}. Prints spoiled without a failure are not in that.",
        parts=listed([part_name(one.part_kind) for one in value.kinds]),
        often=every(max(value.every_days, value.instead_of_days)),
        mean=mean,
        low=low,
        high=high,
        work=about_amount_of(value, abs(value.extra_work)),
    )


def answer_in_short(value: TaskValue | None) -> str:
    """The verdict where a page about something else tells it, with the day from which the log was
    looked at; "" where there is none.
    """
    if not value:
        return ""
    return _(
        "Does it pay, as known on {as_of}? {value_verdict}",
        as_of=day(value.studies.as_of),
        value_verdict=value_verdict(value),
    )
