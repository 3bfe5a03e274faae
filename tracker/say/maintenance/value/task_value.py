"""What a task is worth over all parts it protects, in words: from which cost on it pays."""

from __future__ import annotations

from tracker.decisions.cost_draws import FACTOR_BY_SOURCE
from tracker.decisions.routine.task_value import TaskValue
from tracker.language import N_, _
from tracker.say.maintenance.frequency import every
from tracker.say.maintenance.log_check import lag_chosen, log_findings
from tracker.say.maintenance.value.costs import (
    about_amount_of,
    amount_of,
    cost_lines,
    part_name,
    work_once,
)
from tracker.say.maintenance.value.kind_value import kind_line, not_watched, pays_from
from tracker.say.maintenance.verdict import (
    how_sure,
    least_cost_sentence,
    saving_in_words,
    trivial_saving,
)
from tracker.say.numbers import figure
from tracker.say.phrases import first_up, listed
from tracker.workshop import vocabulary


def value_lines(value: TaskValue) -> tuple[str, ...]:
    """What stands under the verdict: every kind, the best interval, costs, what is left out."""
    study = value.kinds[0].kind.study
    return (
        *filter(None, [lag_chosen(study)]),
        *log_findings(study.log, study.task),
        *(kind_line(value, one) for one in value.kinds),
        *least_cost_lines(value),
        *cost_lines(value),
        *not_counted(value),
    )


def least_cost_lines(value: TaskValue) -> tuple[str, ...]:
    """The interval of least cost over all parts; none where there is only belief."""
    if not value.leading.is_told:
        return ()
    seen = value.leading.effect.study.fits.observed_days
    demand = value.studies.demand
    end = _("the end of what was tried") if demand is None else demanded(value)
    least = value.studies.least_cost
    return (least_cost_sentence(least, _("failures of all these parts"), seen, end=end),)


def demanded(value: TaskValue) -> str:
    """How often the maker demands the task."""
    demand = value.studies.demand
    if demand is None or demand.every_days is None:
        return _("the maker demands it by printed area")
    return _("the maker demands it {every_days}", every_days=every(demand.every_days))


def break_even_sentence(value: TaskValue) -> str:
    """From which cost of a failure on the change pays, beside what is counted now.

    Where there is only belief: how many failures it has to avoid, which hangs on no model.
    """
    one = value.leading
    change = _(
        "{task}: {every_days} instead of {instead_of_days}",
        task=vocabulary.task_label(value.studies.task),
        every_days=every(value.every_days),
        instead_of_days=every(value.instead_of_days),
    )
    counted = amount_of(value, one.cost.total)
    if not one.kind.is_belief or one.cost.total <= 0:
        return _(
            "{change} {break_even}; counted now: {counted}.",
            change=change,
            break_even=pays_from(one.break_even_told or one.break_even, value),
            counted=counted,
        )
    text = (
        N_(
            "{change} pays if it avoids {needed} {part} failures per printer and year, at "
            "{counted} each."
        )
        if value.extra_work > 0
        else N_(
            "{change} pays if it brings no more than {needed} {part} failures per printer and "
            "year, at {counted} each."
        )
    )
    return _(
        text,
        change=change,
        needed=figure(abs(value.extra_work) / one.cost.total),
        part=part_name(one.part_kind),
        counted=counted,
    )


def with_the_believed(value: TaskValue) -> str:
    """What the break-even leaves out, what that is believed to save, and the figure with it; ""
    where the log tells of all other kinds, it makes no difference, or all is belief."""
    leading = value.leading
    if leading.kind.is_belief and leading.cost.total > 0:
        return ""
    whole, told = leading.break_even, leading.break_even_told
    if told is None or pays_from(whole, value) == pays_from(told, value):
        return ""
    others = [one for one in value.kinds if one is not leading and not one.is_told]
    saved = sum(one.worth[0] for one in others)
    text = (
        N_(
            "That leaves out failures of {parts}, of which the log cannot tell: about {amount} a "
            "year is believed to be saved by them, and with that it {break_even}."
        )
        if saved >= 0
        else N_(
            "That leaves out failures of {parts}, of which the log cannot tell: about {amount} a "
            "year is believed to be lost by them, and with that it {break_even}."
        )
    )
    return _(
        text,
        parts=listed([part_name(one.part_kind) for one in others]),
        amount=about_amount_of(value, abs(saved)),
        break_even=pays_from(whole, value),
    )


def together_sentence(value: TaskValue) -> str:
    """How sure that is with all parts together, and how it moves without those for which the log
    cannot tell.
    """
    return f"{in_a_word(value)}: {sums(value)}"


def sums(value: TaskValue) -> str:
    """The chance that it pays, the amounts and the work, with all parts and with those told."""
    names = listed([part_name(one.part_kind) for one in value.kinds])
    trivial = trivial_saving(value.studies.task_cost)
    whole = saving_in_words(value.saving, lambda amount: about_amount_of(value, amount), trivial)
    several = len(value.kinds) > 1
    text = (
        N_("with {names} together {whole}. {work}")
        if several
        else N_("with {names} failures {whole}. {work}")
    )
    sentence = _(text, names=names, whole=whole, work=work_once(value))
    if not value.not_told or value.work_exceeds_all:
        return sentence
    if value.saving_if_told is None:
        text = (
            N_(
                "{sentence} The log cannot tell yet for any of them: much of this is belief, and "
                "no saving can be promised."
            )
            if several
            else N_(
                "{sentence} The log cannot tell yet: much of this is belief, and no saving can be "
                "promised."
            )
        )
        return _(text, sentence=sentence)
    without = saving_in_words(
        value.saving_if_told, lambda amount: about_amount_of(value, amount), trivial
    )
    return _(
        "{sentence} The log cannot tell yet for {part}; left out: {without}.",
        sentence=sentence,
        part=listed(list(map(part_name, value.not_told))),
        without=without,
    )


def chance_sentence(value: TaskValue) -> str:
    """The chance that it pays and how much with all parts together; that it is belief, where the
    log tells of none of them.
    """
    trivial = trivial_saving(value.studies.task_cost)
    whole = saving_in_words(value.saving, lambda amount: about_amount_of(value, amount), trivial)
    if tells_nothing(value):
        return _("By belief, for the log tells of none of these parts: {whole}.", whole=whole)
    return f"{first_up(whole)}."


def tells_nothing(value: TaskValue) -> bool:
    """True where the log tells of no part that the task protects: no belief makes an answer, only
    work that costs more than all failures.
    """
    believed = bool(value.not_told) and value.saving_if_told is None
    return believed and not value.work_exceeds_all


def in_a_word(value: TaskValue) -> str:
    """The answer in a word or two."""
    if tells_nothing(value):
        return _("Cannot tell yet")
    return how_sure(value.saving, trivial_saving(value.studies.task_cost))


def earned_sentence(value: TaskValue) -> str:
    """What the log tells of the failures avoided, beside the work; "" where it tells of none."""
    told = [one for one in value.kinds if one.is_told]
    if not told:
        return ""
    failures = [
        _(
            N_("{avoided} fewer {part} failures save about {about}")
            if one.avoided[0] >= 0
            else N_("{avoided} more {part} failures cost about {about}"),
            avoided=figure(abs(one.avoided[0])),
            part=part_name(one.part_kind),
            about=about_amount_of(value, abs(one.worth[0])),
        )
        for one in told
    ]
    text = (
        N_(
            "Known from the log, per printer and year: {failures}; the extra work costs about "
            "{about}."
        )
        if value.extra_work >= 0
        else N_(
            "Known from the log, per printer and year: {failures}; the work saved is worth about "
            "{about}."
        )
    )
    return _(text, failures=listed(failures), about=about_amount_of(value, abs(value.extra_work)))


def not_counted(value: TaskValue) -> tuple[str, ...]:
    """What the answer leaves out, and how sure its costs are taken to be."""
    off = {source: round(100 * (factor - 1)) for source, factor in FACTOR_BY_SOURCE.items()}
    remarks = [
        _("“Pays” from a cost on: from there it more likely pays than not."),
        _(
            "Failures and amounts are averages of all cases that the log leaves possible, so that "
            "the parts add up to the whole."
        ),
        _(
            "The chance counts that costs are uncertain too: a guess is taken to be off by "
            "{guess} % or more one time in three, a stated figure by {catalogue} %, one "
            "counted in the log by {log} %.",
            guess=off["guess"],
            catalogue=off["catalogue"],
            log=off["log"],
        ),
        _(
            "Not counted: drop-outs and spoiled prints that end without a failure, and the "
            "time a printer stands for the task."
        ),
    ]
    for one in value.kinds:
        full = one.effect.cost_of_failure
        if len(one.cost.terms) < len(full.terms):
            remarks.append(
                _(
                    "What one {part_kind} failure does to other parts is counted with those.",
                    part_kind=part_name(one.part_kind),
                )
            )
    return (*remarks, *map(not_watched, value.studies.not_watched))
