"""Experiments in words: the proposal, its plan, and what it says at the look and at the end."""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import date
from functools import partial

from tracker.decisions.routine.experiment.information_value import YEARS_IT_HOLDS
from tracker.decisions.routine.experiment.money_at_risk import Range
from tracker.decisions.routine.experiment.proposal import LONGEST_DAYS, ExperimentProposal
from tracker.decisions.routine.experiment.stopping_rule import FALSE_ANSWER, LOOK_LIMIT, POWER
from tracker.language import N_, _
from tracker.say.listing import Listing
from tracker.say.maintenance.frequency import every
from tracker.say.numbers import about_money, chance, count, day, days, figure
from tracker.say.phrases import listed
from tracker.workshop import vocabulary
from tracker.workshop.experiments import Experiment

_REMIND_DAYS = 21
NONE_RUNNING = N_(
    "No experiment is running. One can settle what the log cannot tell: whether a task pays."
)
CAUTION = N_(
    "Go by no interval longer than the maker, the warranty or the local rules ask for, "
    "whatever an experiment would tell. The plan says which printer is next, not the "
    "people at it: whoever picks the printers by their state finds that state again in "
    "the answer."
)


def proposal_sentence(proposal: ExperimentProposal) -> str:
    """Is it worth doing, and what would be done? One or two sentences."""
    plan = proposal.experiment
    whole = _(
        "{task} {every_days} or {instead_of_days}",
        task=vocabulary.task_label(plan.task),
        every_days=every(plan.every_days),
        instead_of_days=every(plan.instead_of_days),
    )
    if proposal.is_worth_it:
        return _(
            "{whole}: worth finding out. Try both on {count} for {weeks}; {any_answer} "
            "chance of an answer if the shorter interval brings {ratio} as many "
            "{part} failures.",
            whole=whole,
            count=count(len(plan.printers), "printer", "printers"),
            weeks=_weeks(plan),
            any_answer=chance(proposal.planned.any_answer),
            ratio=_ratio(proposal),
            part=_part(plan),
        )
    return _(
        "{whole}: no experiment is worth it. {hindrances}",
        whole=whole,
        hindrances=" ".join(_hindrances(proposal)),
    )


def proposal_lines(proposal: ExperimentProposal) -> tuple[str, ...]:
    """What stands under it: the log so far, plan, length, look, money, worth."""
    return (
        _log_so_far(proposal),
        _who_and_when(proposal),
        _how_long(proposal),
        look_line(proposal.experiment),
        *risk_lines(proposal),
        worth_line(proposal),
        _(CAUTION),
    )


def plan_note(proposal: ExperimentProposal) -> str:
    """What was promised when it began, kept beside the plan."""
    return _(
        "Planned to tell a ratio of {planned_ratio} with {any_answer} chance; about "
        "{failures_expected} {part} failures expected.",
        planned_ratio=figure(proposal.planned_ratio),
        any_answer=chance(proposal.planned.any_answer),
        failures_expected=figure(proposal.failures_expected),
        part=_part(proposal.experiment),
    )


def reminders(begun: Iterable[Experiment], today: date) -> tuple[str, ...]:
    """Experiments whose look or end came lately, so that somebody reads them."""
    said = []
    for one in begun:
        if _REMIND_DAYS >= (today - one.ends_on).days > 0:
            said.append(
                _(
                    "**{name}** ended on {ends_on}: read what it says.",
                    name=one.name,
                    ends_on=day(one.ends_on),
                )
            )
        elif one.look_on is not None and _REMIND_DAYS >= (today - one.look_on).days > 0:
            said.append(
                _(
                    "**{name}**: its look was due when {look_on} was over. Read it.",
                    name=one.name,
                    look_on=day(one.look_on),
                )
            )
    return tuple(said)


def schedule_listing(experiment: Experiment) -> Listing:
    """Which printer does it how often, phase by phase."""
    rows = [
        tuple(
            _(
                "{every_days}, {starts_on} to {ends_on}",
                every_days=every(phase.every_days),
                starts_on=day(phase.starts_on),
                ends_on=day(phase.ends_on),
            )
            for phase in experiment.phases
            if phase.printer == printer
        )
        for printer in experiment.printers
    ]
    widest = max(map(len, rows))
    heads = (_("Printer"), *(_("first"), _("then"), _("last"), *[""] * widest)[:widest])
    cells = tuple(
        (printer, *row, *[""] * (widest - len(row)))
        for printer, row in zip(experiment.printers, rows, strict=True)
    )
    return Listing(heads, cells)


def look_line(experiment: Experiment) -> str:
    """When to look, and by which rule."""
    if experiment.look_on is None:
        return _("No look before the end on {ends_on} is planned.", ends_on=day(experiment.ends_on))
    return _(
        "Look once, when {look_on} is over, and stop only if the difference is beyond "
        "{look_limit} standard errors; else go on to the end on {ends_on}. Between the "
        "two nothing is compared, for whoever looks until a difference shows will see "
        "one; with these two limits (O’Brien and Fleming 1979) a false answer has a "
        "chance of {false_answer}, more where a printer has bad months of its own.",
        look_on=day(experiment.look_on),
        look_limit=figure(LOOK_LIMIT),
        ends_on=day(experiment.ends_on),
        false_answer=chance(FALSE_ANSWER),
    )


def risk_lines(proposal: ExperimentProposal) -> tuple[str, ...]:
    """What it risks in money, against going on as now."""
    risk, plan = proposal.risk, proposal.experiment
    said = partial(about_money, currency=proposal.log.studies.currency)
    now = every(proposal.now_days)
    return (
        _(
            "At the longer interval {failures_at_longer} failures than {now}, all parts "
            "together ({failures_spread}): {cost_at_longer} in cost ({cost_spread}).",
            failures_at_longer=_more(risk.failures_at_longer, figure),
            now=now,
            failures_spread=_spread(risk.failures_at_longer, figure),
            cost_at_longer=_more(risk.cost_at_longer, said),
            cost_spread=_spread(risk.cost_at_longer, said),
        ),
        _(
            "At the shorter interval {work_at_shorter} in work than {now} ({work_spread}).",
            work_at_shorter=_more(risk.work_at_shorter, said),
            now=now,
            work_spread=_spread(risk.work_at_shorter, said),
        ),
        _(
            "The whole experiment of {weeks} against going on as now, both sides together: "
            "{total} ({spread}).",
            weeks=_weeks(plan),
            total=_more(risk.total, said),
            spread=_spread(risk.total, said),
        ),
    )


def worth_line(proposal: ExperimentProposal) -> str:
    """What its answer is worth beside its cost."""
    value = proposal.value
    said = partial(about_money, currency=proposal.log.studies.currency)
    return _(
        "In the {years_it_holds} years for which an answer is taken to hold, all "
        "printers together, what one would choose now is expected to save {without} "
        "against the longer interval, what one would choose after it {with_result}: its "
        "answer is worth about {gain}. It costs about {cost} to be at the worse interval "
        "half of the time; the chance that it turns the decision round is "
        "{chance_of_change}. Knowing the truth for certain would be worth {with_truth}.",
        years_it_holds=f"{YEARS_IT_HOLDS:g}",
        without=said(value.without),
        with_result=said(value.with_result),
        gain=said(value.gain),
        cost=said(value.cost),
        chance_of_change=chance(value.chance_of_change),
        with_truth=said(value.with_truth - value.without),
    )


def _hindrances(proposal: ExperimentProposal) -> list[str]:
    plan, value = proposal.experiment, proposal.value
    currency = proposal.log.studies.currency
    said = []
    if "too_long" in proposal.hindrances:
        said.append(_too_long(proposal))
    better = plan.every_days if proposal.log.saving.rather_pays else plan.instead_of_days
    if "cannot_change" in proposal.hindrances:
        said.append(
            _(
                "It would hardly change the decision ({chance_of_change} chance): do it {better}.",
                chance_of_change=chance(value.chance_of_change),
                better=every(better),
            )
        )
    if "costs_more" in proposal.hindrances:
        said.append(
            _(
                "Its answer is worth {gain} and costs {cost}: do it {better}, which costs "
                "less on what is known.",
                gain=about_money(value.gain, currency),
                cost=about_money(value.cost, currency),
                better=every(better),
            )
        )
    return said


def _too_long(proposal: ExperimentProposal) -> str:
    """Why the longest course is no answer: too few failures, or enough that tell too little."""
    text = (
        N_(
            "Too long: in {longest_days}, the longest that makes sense, only "
            "{failures_expected} {part} failures are expected of the {failures_needed} "
            "needed, so the chance of an answer is {any_answer} instead of {power}. "
            "Intervals further apart would tell sooner."
        )
        if proposal.failures_expected < proposal.failures_needed
        else N_(
            "Too long: in {longest_days}, the longest that makes sense, the chance of an answer "
            "is {any_answer} instead of {power}. {failures_expected} {part} failures are "
            "expected; {failures_needed} would do if the old interval stopped acting at once, but "
            "it acts on after each change, and that blurs the difference. Intervals further apart "
            "would tell sooner."
        )
    )
    return _(
        text,
        longest_days=days(LONGEST_DAYS),
        failures_expected=figure(proposal.failures_expected),
        part=_part(proposal.experiment),
        failures_needed=figure(proposal.failures_needed),
        any_answer=chance(proposal.planned.any_answer),
        power=chance(POWER),
    )


def _log_so_far(proposal: ExperimentProposal) -> str:
    ratio = proposal.kind.effect.hazard_ratio
    text = (
        N_(
            "The log tells already for {part} failures: done {every_days} the risk is {estimate} "
            "times as high (95 % limits {lower} to {upper}); over all parts the chance that it "
            "pays is {chance_it_pays}."
        )
        if proposal.kind.is_told
        else N_(
            "The log cannot tell yet for {part} failures: done {every_days} the risk is {estimate} "
            "times as high (95 % limits {lower} to {upper}); over all parts the chance that it "
            "pays is {chance_it_pays}."
        )
    )
    return _(
        text,
        part=_part(proposal.experiment),
        every_days=every(proposal.experiment.every_days),
        estimate=figure(ratio.estimate),
        lower=figure(ratio.lower),
        upper=figure(ratio.upper),
        chance_it_pays=chance(proposal.log.saving.chance_it_pays),
    )


def _who_and_when(proposal: ExperimentProposal) -> str:
    plan = proposal.experiment
    first = [
        printer
        for printer in plan.printers
        if (own := plan.phase_on(printer, plan.starts_on)) and own.every_days == plan.every_days
    ]
    others = [printer for printer in plan.printers if printer not in first]
    sides = [
        _("{names} {interval} first", names=listed(names), interval=every(interval))
        for names, interval in ((first, plan.every_days), (others, plan.instead_of_days))
        if names
    ]
    rest = _(" {others} go on as now.", others=listed(proposal.others)) if proposal.others else ""
    return _(
        "{sides}. After a quarter of the time each changes to the other interval, for "
        "the last quarter back: every printer is compared with itself, so that careful "
        "people with better printers explain nothing. Drawn by lot, both groups alike in "
        "wear.{rest}",
        sides="; ".join(sides),
        rest=rest,
    )


def _how_long(proposal: ExperimentProposal) -> str:
    plan = proposal.experiment
    return _(
        "{weeks}: about {failures_expected} {part} failures are expected; "
        "{failures_needed} would do if the old interval stopped acting at once. Played "
        "many times with the log’s own lives: {any_answer} chance of an answer if the "
        "shorter interval brings {ratio} as many failures, {possible} over "
        "everything that the log leaves possible ({at_look} at the look already), and "
        "{false_answer} of a false one where there is no difference.",
        weeks=_weeks(plan),
        failures_expected=figure(proposal.failures_expected),
        part=_part(plan),
        failures_needed=figure(proposal.failures_needed),
        any_answer=chance(proposal.planned.any_answer),
        ratio=_ratio(proposal),
        possible=chance(proposal.possible.any_answer),
        at_look=chance(proposal.possible.at_look),
        false_answer=chance(proposal.none.any_answer),
    )


def _ratio(proposal: ExperimentProposal) -> str:
    return _("{planned_ratio} times", planned_ratio=figure(proposal.planned_ratio))


def _weeks(experiment: Experiment) -> str:
    return count(round(experiment.days / 7), "week", "weeks")


def _part(experiment: Experiment) -> str:
    return vocabulary.part_label(experiment.part_kind).lower()


def _more(values: Range, said) -> str:  # type: ignore[no-untyped-def]
    middle = values[0]
    amount = said(abs(middle))
    return _("{amount} more", amount=amount) if middle >= 0 else _("{amount} less", amount=amount)


def _spread(values: Range, said) -> str:  # type: ignore[no-untyped-def]
    """The 80 % range of more or less."""
    low, high = values[1:]
    if low < 0 < high:
        return _("{low} less to {high} more in 8 of 10 cases", low=said(-low), high=said(high))
    first, last = sorted((abs(low), abs(high)))
    if math.isclose(first, last):
        return _("the same in 8 of 10 cases")
    return _("{first} to {last} in 8 of 10 cases", first=said(first), last=said(last))
