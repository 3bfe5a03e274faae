"""One task of the whole routine in words: its interval, why it is kept, what changing it does."""

from __future__ import annotations

import math

from tracker.decisions.routine.guard_rails import Kept
from tracker.decisions.routine.whole_routine.answer import Change, TaskInterval, WholeRoutine
from tracker.language import N_, _
from tracker.say.maintenance.frequency import every, fewer
from tracker.say.maintenance.verdict import is_too_close, saving_in_words
from tracker.say.numbers import about_money, day_range, days, figure
from tracker.say.phrases import first_up, listed, quoted
from tracker.workshop import vocabulary

_KEPT: dict[Kept, str] = {
    "people": N_("protects people"),
    "maker": N_("the maker asks for it"),
    "suspects": N_("entries of it look like work because of a symptom; say first what they were"),
    "no life": N_("no part's life is known to hang on it"),
    "never logged": N_("never logged, so the log cannot tell what it does"),
    "one pace": N_("always done at one pace, so the log cannot tell what it does"),
    "goes along": N_(
        "changed only along with {others}, so the log cannot tell which of them does it"
    ),
    "too little seen": N_("too little was seen to tell what it does"),
}
_UNSEEN = {
    "more often": N_("It was never done so often in the log, so this is a guess."),
    "less often": N_("It was never done so seldom in the log, so this is a guess."),
}


def why_kept(one: TaskInterval) -> str:
    """Why the task keeps its interval; "" where it is a question of money."""
    if one.kept is None:
        return ""
    others = listed([quoted(vocabulary.task_label(task)) for task in one.along_with])
    return _(_KEPT[one.kept], others=others)


def beside_alone(alone_days: float, one: TaskInterval | None) -> str:
    """How the interval that a task would have alone stands to the one advised: the whole routine's.

    ``alone_days``: of least cost for this task alone; ``one`` None where the whole routine has not
    been worked out.
    """
    if one is None:
        return _(
            "That is for this task alone; go by “The whole routine”, which weighs all tasks "
            "together, with drop-outs and shared stops."
        )
    alone, advised = every(alone_days), interval_in_words(one.every_days)
    if math.isinf(one.every_days):
        return _(
            "Alone this task would cost least {alone}; “The whole routine” does not weigh it, for "
            "the log of the last half year does not show it done.",
            alone=alone,
        )
    if one.kept is not None:
        return _(
            "Alone this task would cost least {alone}; “The whole routine”, which weighs all tasks "
            "together, leaves it {advised}: go by that.",
            alone=alone,
            advised=advised,
        )
    if alone == advised:
        return _("“The whole routine”, which weighs all tasks together, advises the same.")
    return _(
        "Alone this task would cost least {alone}; “The whole routine”, which weighs all tasks "
        "together with drop-outs and shared stops, advises {advised}: go by that.",
        alone=alone,
        advised=advised,
    )


def meanwhile(one: TaskInterval) -> str:
    """What to do while it is too close to call whether the task alone pays: one sentence."""
    now, advised = done_now(one), interval_in_words(one.every_days)
    if math.isinf(one.every_days):
        return _(
            "Until that is clear: leave it as it is; the log of the last half year does not show "
            "it done."
        )
    if one.kept is not None or not one.is_changed or now == advised:
        return _(
            "Until that is clear: leave it as now, {now}, as “The whole routine” does.", now=now
        )
    if not one.is_told:
        return _(
            "Until that is clear: leave it as now, {now}; {advised}, as in “The whole routine”, is "
            "belief.",
            advised=advised,
            now=now,
        )
    if is_too_close(one.alone.saving):
        return _(
            "Until that is clear: {advised}, as “The whole routine” advises; but that is too close "
            "to call as well, so you may as well leave it as now, {now}.",
            advised=advised,
            now=now,
        )
    return _(
        "Until that is clear: {advised} instead of {now}, as “The whole routine” advises.",
        advised=advised,
        now=now,
    )


def done_now(one: TaskInterval) -> str:
    """How often the task is done now, over all printers.

    Printers that differ are told as a range.
    """
    least, most = min(one.now_on.values()), max(one.now_on.values())
    if math.isinf(most) and least < most:
        return _("{least} or not at all", least=interval_in_words(least))
    if least == most or round(least, 1) == round(most, 1):
        return interval_in_words(least)
    return _("every {least} to {most}", least=figure(least), most=days(most))


def task_line(routine: WholeRoutine, one: TaskInterval) -> str:
    """One task: its interval with its range, what changing it alone does to every kind, or why it
    is kept."""
    name = vocabulary.task_label(one.task)
    if one.kept == "never logged":
        return _("{name}: {why}.", name=name, why=why_kept(one))
    if one.kept is not None:
        return _("{name}: {now}, kept: {why}.", name=name, now=done_now(one), why=why_kept(one))
    best = (
        _("{every_days} costs least", every_days=every(one.every_days))
        if one.is_changed
        else _("{now}, as now", now=done_now(one))
    )
    sentences = [f"{name}: {best} ({range_in_words(one)}).", *filter(None, [beyond_seen(one)])]
    if not one.is_told:
        sentences.append(_("The log cannot tell yet what it does, so this is belief."))
    if one.is_changed:
        sentences.append(_("Changed alone: {change}", change=change_in_words(routine, one.alone)))
    return " ".join(sentences)


def range_in_words(one: TaskInterval) -> str:
    """Where the least cost lies in four draws of five."""
    if one.low == one.high:
        return _("80 % sure: no other interval comes out")
    return _("{spread} in 8 of 10 cases", spread=day_range(one.low, one.high))


def beyond_seen(one: TaskInterval) -> str:
    """What the log has not seen, said so; "" where all of the answer was seen."""
    if one.seen is None or not (one.beyond or one.reaches_beyond):
        return ""
    often, seldom = one.seen
    end = (
        _("at times not at all")
        if math.isinf(seldom)
        else _("at least every {seldom}", seldom=days(seldom))
    )
    sentence = _(
        "The log has seen it done every {often} days at most and {end}",
        often=figure(often),
        end=end,
    )
    if one.beyond:
        return _(
            N_(
                "{sentence}; more often than that may cost less still, and how much nobody can "
                "say before it was tried."
            )
            if one.beyond == "more often"
            else N_(
                "{sentence}; less often than that may cost less still, and how much nobody can "
                "say before it was tried."
            ),
            sentence=sentence,
        )
    return _("{sentence}; what lies outside of that is a guess.", sentence=sentence)


def change_in_words(routine: WholeRoutine, change: Change) -> str:
    """What changing one task alone is worth, and what it does to every kind it acts on, to
    drop-outs and to the work; what the log has not seen is said so."""
    worth = saving_in_words(change.saving, lambda amount: amount_in_words(routine, amount))
    changes = [
        fewer(*points, _("{kind} failures", kind=vocabulary.part_label(kind).lower()))
        for kind, points in change.avoided.items()
    ]
    if change.drop_outs_avoided is not None:
        changes.append(fewer(*change.drop_outs_avoided, _("nozzle drop-outs")))
    work = _(
        N_("the work costs {amount} more")
        if change.extra_work >= 0
        else N_("the work costs {amount} less"),
        amount=amount_in_words(routine, abs(change.extra_work)),
    )
    unseen = f" {_(_UNSEEN[change.beyond])}" if change.beyond else ""
    return f"{worth}. {first_up('; '.join([*changes, work]))}.{unseen}"


def interval_in_words(interval_days: float) -> str:
    """An interval as it comes out of the log, in round days; infinite: not done."""
    if math.isinf(interval_days):
        return _("never")
    digits = 1 - math.floor(math.log10(interval_days)) if interval_days > 0 else 0
    return every(round(interval_days, digits))


def amount_in_words(routine: WholeRoutine, amount: float) -> str:
    """An estimated amount in the workshop's currency."""
    return about_money(amount, routine.gathered.currency)
