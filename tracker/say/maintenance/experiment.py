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
from tracker.say.listing import Listing
from tracker.say.maintenance.frequency import every
from tracker.say.numbers import about_money, chance, count, day, days, figure
from tracker.say.phrases import listed
from tracker.workshop import vocabulary
from tracker.workshop.experiments import Experiment

_REMIND_DAYS = 21
NONE_RUNNING = (
    "No experiment is running. One can settle what the log cannot tell: whether a task pays."
)
CAUTION = (
    "Go by no interval longer than the maker, the warranty or the local rules ask for, whatever an "
    "experiment would tell. The plan says which printer is next, not the people at it: whoever "
    "picks the printers by their state finds that state again in the answer."
)


def proposal_sentence(proposal: ExperimentProposal) -> str:
    """Is it worth doing, and what would be done? One or two sentences."""
    plan = proposal.experiment
    whole = (
        f"{vocabulary.task_label(plan.task)} {every(plan.every_days)} or "
        f"{every(plan.instead_of_days)}"
    )
    if proposal.is_worth_it:
        return (
            f"{whole}: worth finding out. Try both on {count(len(plan.printers), 'printer')} for "
            f"{_weeks(plan)}; {chance(proposal.planned.any_answer)} chance of an answer if the "
            f"shorter interval brings {_ratio(proposal)} as many {_part(plan)} failures."
        )
    return f"{whole}: no experiment is worth it. {' '.join(_hindrances(proposal))}"


def proposal_lines(proposal: ExperimentProposal) -> tuple[str, ...]:
    """What stands under it: the log so far, plan, length, look, money, worth."""
    return (
        _log_so_far(proposal),
        _who_and_when(proposal),
        _how_long(proposal),
        look_line(proposal.experiment),
        *risk_lines(proposal),
        worth_line(proposal),
        CAUTION,
    )


def plan_note(proposal: ExperimentProposal) -> str:
    """What was promised when it began, kept beside the plan."""
    return (
        f"Planned to tell a ratio of {figure(proposal.planned_ratio)} with "
        f"{chance(proposal.planned.any_answer)} chance; about {figure(proposal.failures_expected)} "
        f"{_part(proposal.experiment)} failures expected."
    )


def reminders(begun: Iterable[Experiment], today: date) -> tuple[str, ...]:
    """Experiments whose look or end came lately, so that somebody reads them."""
    said = []
    for one in begun:
        if _REMIND_DAYS >= (today - one.ends_on).days > 0:
            said.append(f"**{one.name}** ended on {day(one.ends_on)}: read what it says.")
        elif one.look_on is not None and _REMIND_DAYS >= (today - one.look_on).days > 0:
            said.append(
                f"**{one.name}**: its look was due when {day(one.look_on)} was over. Read it."
            )
    return tuple(said)


def schedule_listing(experiment: Experiment) -> Listing:
    """Which printer does it how often, phase by phase."""
    rows = [
        tuple(
            f"{every(phase.every_days)}, {day(phase.starts_on)} to {day(phase.ends_on)}"
            for phase in experiment.phases
            if phase.printer == printer
        )
        for printer in experiment.printers
    ]
    widest = max(map(len, rows))
    heads = ("Printer", *("first", "then", "last", *[""] * widest)[:widest])
    cells = tuple(
        (printer, *row, *[""] * (widest - len(row)))
        for printer, row in zip(experiment.printers, rows, strict=True)
    )
    return Listing(heads, cells)


def look_line(experiment: Experiment) -> str:
    """When to look, and by which rule."""
    if experiment.look_on is None:
        return f"No look before the end on {day(experiment.ends_on)} is planned."
    return (
        f"Look once, when {day(experiment.look_on)} is over, and stop only if the difference is "
        f"beyond {figure(LOOK_LIMIT)} standard errors; else go on to the end on "
        f"{day(experiment.ends_on)}. Between the two nothing is compared, for whoever looks until "
        "a difference shows will see one; with these two limits (O’Brien and Fleming 1979) a false "
        f"answer has a chance of {chance(FALSE_ANSWER)}."
    )


def risk_lines(proposal: ExperimentProposal) -> tuple[str, ...]:
    """What it risks in money, against going on as now."""
    risk, plan = proposal.risk, proposal.experiment
    said = partial(about_money, currency=proposal.log.studies.currency)
    now = every(proposal.now_days)
    return (
        f"At the longer interval {_more(risk.failures_at_longer, figure)} failures than {now}, all "
        f"parts together ({_spread(risk.failures_at_longer, figure)}): "
        f"{_more(risk.cost_at_longer, said)} in cost "
        f"({_spread(risk.cost_at_longer, said)}).",
        f"At the shorter interval {_more(risk.work_at_shorter, said)} in "
        f"work than {now} ({_spread(risk.work_at_shorter, said)}).",
        f"The whole experiment of {_weeks(plan)} against going on as now, both sides together: "
        f"{_more(risk.total, said)} "
        f"({_spread(risk.total, said)}).",
    )


def worth_line(proposal: ExperimentProposal) -> str:
    """What its answer is worth beside its cost."""
    value = proposal.value
    said = partial(about_money, currency=proposal.log.studies.currency)
    return (
        f"In the {YEARS_IT_HOLDS:g} years for which an answer is taken to hold, all printers "
        f"together, what one would choose now is expected to save {said(value.without)} "
        f"against the longer interval, what one would choose after it "
        f"{said(value.with_result)}: its answer is worth about "
        f"{said(value.gain)}. It costs about "
        f"{said(value.cost)} to be at the worse interval half of the time; the chance "
        f"that it turns the decision round is {chance(value.chance_of_change)}. Knowing the truth "
        f"for certain would be worth {said(value.with_truth - value.without)}."
    )


def _hindrances(proposal: ExperimentProposal) -> list[str]:
    plan, value = proposal.experiment, proposal.value
    currency = proposal.log.studies.currency
    said = []
    if "too_long" in proposal.hindrances:
        said.append(
            f"Too long: in {days(LONGEST_DAYS)}, the longest that makes sense, only "
            f"{figure(proposal.failures_expected)} {_part(plan)} failures are expected of the "
            f"{figure(proposal.failures_needed)} needed, so the chance of an answer is "
            f"{chance(proposal.planned.any_answer)} instead of {chance(POWER)}. "
            "Intervals further apart would tell sooner."
        )
    better = plan.every_days if proposal.log.saving.median > 0 else plan.instead_of_days
    if "cannot_change" in proposal.hindrances:
        said.append(
            f"It would hardly change the decision ({chance(value.chance_of_change)} chance): do it "
            f"{every(better)}."
        )
    if "costs_more" in proposal.hindrances:
        said.append(
            f"Its answer is worth {about_money(value.gain, currency)} and costs "
            f"{about_money(value.cost, currency)}: do it {every(better)}, which costs less on what "
            "is known."
        )
    return said


def _log_so_far(proposal: ExperimentProposal) -> str:
    ratio = proposal.kind.effect.hazard_ratio
    told = "tells already" if proposal.kind.is_told else "cannot tell yet"
    return (
        f"The log {told} for {_part(proposal.experiment)} failures: done "
        f"{every(proposal.experiment.every_days)} the risk is {figure(ratio.estimate)} times as "
        f"high (95 % limits {figure(ratio.lower)} to {figure(ratio.upper)}); over all parts the "
        f"chance that it pays is {chance(proposal.log.saving.chance_it_pays)}."
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
        f"{listed(names)} {every(interval)} first"
        for names, interval in ((first, plan.every_days), (others, plan.instead_of_days))
        if names
    ]
    rest = f" {listed(proposal.others)} go on as now." if proposal.others else ""
    return (
        f"{'; '.join(sides)}. After a quarter of the time each changes to the other interval, for "
        "the last quarter back: every printer is compared with itself, so that careful people with "
        f"better printers explain nothing. Drawn by lot, both groups alike in wear.{rest}"
    )


def _how_long(proposal: ExperimentProposal) -> str:
    plan = proposal.experiment
    return (
        f"{_weeks(plan)}: about {figure(proposal.failures_expected)} {_part(plan)} failures are "
        f"expected; {figure(proposal.failures_needed)} would do if the old interval stopped acting "
        f"at once. Played many times with the log’s own lives: "
        f"{chance(proposal.planned.any_answer)} chance of an answer if the shorter interval "
        f"brings {_ratio(proposal)} as many failures, {chance(proposal.possible.any_answer)} over "
        "everything that the log leaves possible "
        f"({chance(proposal.possible.at_look)} at the look already), and "
        f"{chance(proposal.none.any_answer)} of a false one where there is no difference."
    )


def _ratio(proposal: ExperimentProposal) -> str:
    return f"{figure(proposal.planned_ratio)} times"


def _weeks(experiment: Experiment) -> str:
    return count(round(experiment.days / 7), "week")


def _part(experiment: Experiment) -> str:
    return vocabulary.part_label(experiment.part_kind).lower()


def _more(values: Range, said) -> str:  # type: ignore[no-untyped-def]
    middle = values[0]
    return f"{said(abs(middle))} {'more' if middle >= 0 else 'less'}"


def _spread(values: Range, said) -> str:  # type: ignore[no-untyped-def]
    """The 80 % range of more or less."""
    _, low, high = values
    if low < 0 < high:
        return f"80 % range {said(-low)} less to {said(high)} more"
    first, last = sorted((abs(low), abs(high)))
    if math.isclose(first, last):
        return "80 % range: the same"
    return f"80 % range {said(first)} to {said(last)}"
