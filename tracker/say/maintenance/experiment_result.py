"""What an experiment says as it stands: how it is kept, its answer, and what to do now."""

from __future__ import annotations

import math

from tracker.decisions.routine.experiment.counts import ArmCounts
from tracker.decisions.routine.experiment.read_out import ExperimentReading
from tracker.language import N_, _
from tracker.models.events.crossed_rates import CrossedRatio
from tracker.say.listing import Listing
from tracker.say.maintenance.experiment import look_line
from tracker.say.maintenance.frequency import every
from tracker.say.maintenance.verdict import saving_in_words
from tracker.say.numbers import about_money, chance, count, day, figure
from tracker.say.phrases import failures_of
from tracker.workshop import vocabulary

_KEPT_ENOUGH = 0.7  # below it the difference tried was another one than planned


def reading_sentence(reading: ExperimentReading) -> str:
    """The experiment in one or two sentences: its stage, its answer, what to do now."""
    one = reading.experiment
    what = _(
        "{task} {every_days} or {instead_of_days}",
        task=vocabulary.task_label(one.task),
        every_days=every(one.every_days),
        instead_of_days=every(one.instead_of_days),
    )
    if reading.stage == "planned":
        return _("{what}: begins on {starts_on}.", what=what, starts_on=day(one.starts_on))
    if reading.stage == "running":
        return _(
            "{what}: running until {ends_on}; {failures} so far. Go on: nothing is "
            "compared before the look.",
            what=what,
            ends_on=day(one.ends_on),
            failures=_failures(reading),
        )
    if reading.stage == "looked_at":
        if reading.may_stop:
            return _(
                "{what}: answered at the look. {answer} {now}",
                what=what,
                answer=_answer(reading),
                now=_now(reading),
            )
        return _(
            "{what}: the look on {look_on} gave no answer. Go on as planned until {ends_on}.",
            what=what,
            look_on=day(one.look_on),
            ends_on=day(one.ends_on),
        )
    return _(
        "{what}: ended on {ends_on}. {answer} {now}",
        what=what,
        ends_on=day(one.ends_on),
        answer=_answer(reading),
        now=_now(reading),
    )


def reading_lines(reading: ExperimentReading) -> tuple[str, ...]:
    """What it rests on: how it was kept, both ratios, the whole log, the money."""
    if reading.stage == "planned":
        return (look_line(reading.experiment),)
    lines = [kept_line(reading)]
    if reading.stage == "running":
        return (*lines, look_line(reading.experiment))
    part = _part(reading)
    if reading.meant is not None:
        lines.append(
            _(
                "Each printer as it was meant to do the task: {meant}",
                meant=_times(reading.meant, part, reading.limit),
            )
        )
    if reading.done is not None:
        lines.append(
            _(
                "By what was really done, for a change as large as planned: {done} Less to "
                "be trusted, for why a task was left out may have to do with the failures.",
                done=_times(reading.done, part, reading.limit),
            )
        )
    kind = reading.log_of_kind
    if kind is not None:
        ratio = kind.effect.hazard_ratio
        lines.append(
            _(
                "The whole log, the experiment in it: the risk is {estimate} times as high "
                "at the shorter interval (95 % limits {lower} to {upper}, {failures}).",
                estimate=figure(ratio.estimate),
                lower=figure(ratio.lower),
                upper=figure(ratio.upper),
                failures=count(kind.effect.failures, "failure", "failures"),
            )
        )
    if reading.log is not None:
        saving = saving_in_words(
            reading.log.saving, lambda amount: about_money(amount, reading.currency)
        )
        lines.append(
            _(
                "In money, all parts the task protects, {every_days} instead of "
                "{instead_of_days}: {saving}.",
                every_days=every(reading.experiment.every_days),
                instead_of_days=every(reading.experiment.instead_of_days),
                saving=saving,
            )
        )
    lines.append(
        _(
            "In the first 30 days after a change the old frequency still acts, and lots of "
            "parts are not told apart; the first draws the ratio toward 1."
        )
    )
    return tuple(lines)


def kept_line(reading: ExperimentReading) -> str:
    """How much of what was planned was done, at each interval."""
    one = reading.experiment
    said = [
        f"{every(interval)} {_share(share)}"
        for interval, share in zip((one.every_days, one.instead_of_days), reading.kept, strict=True)
        if math.isfinite(share)
    ]
    if not said:
        return _("No open day of it has passed yet.")
    line = _(
        "Kept up to {counted_until}, of what was planned: {said}.",
        counted_until=day(reading.counted_until),
        said="; ".join(said),
    )
    if reading.kept[0] < _KEPT_ENOUGH:
        line += _(" At the shorter interval much was left out, so less of a difference was tried.")
    return line


def _share(share: float) -> str:
    return chance(share) if share <= 1 else _("more often than planned")


def arms_listing(reading: ExperimentReading) -> Listing:
    """The counts at both intervals, the kind it is about first."""
    one = reading.experiment
    rows = []
    for kind, arms in ((one.part_kind, reading.arms), *reading.other_kinds):
        for interval, arm in zip((one.every_days, one.instead_of_days), arms, strict=True):
            rows.append(_row(kind, interval, arm))
    heads = (
        _("Part"),
        _("Interval"),
        _("Failures"),
        _("Usual at the parts’ ages"),
        _("Part-days"),
        _("Done in 30 days"),
    )
    return Listing(heads, tuple(rows), numeric=(2, 3, 4, 5))


def _row(kind: str, interval: float, arm: ArmCounts) -> tuple[str, ...]:
    return (
        vocabulary.part_label(kind),
        every(interval),
        str(arm.failures),
        figure(arm.usual),
        f"{arm.part_days:.0f}",
        figure(arm.per_30_days),
    )


def _answer(reading: ExperimentReading) -> str:
    one, meant = reading.experiment, reading.meant
    part = _part(reading)
    if meant is None or not math.isfinite(meant.z) or math.isnan(meant.ratio):
        return _("Too few {part} failures to compare.", part=part)
    if reading.verdict == "none":
        return _(
            "No answer: {failures}, {meant}",
            failures=_failures(reading),
            meant=_times(meant, part, reading.limit),
        )
    better = one.every_days if reading.verdict == "shorter" else one.instead_of_days
    return _(
        "Fewer {part} failures {better}: {meant}",
        part=part,
        better=every(better),
        meant=_times(meant, part, reading.limit),
    )


def _now(reading: ExperimentReading) -> str:
    """What to do now: failures alone do not say what pays."""
    one = reading.experiment
    is_stopped = reading.stage == "looked_at"
    if reading.log is None:
        if reading.verdict == "none":
            return _("Now do it as before; the difference, if there is one, is not a large one.")
        better = one.every_days if reading.verdict == "shorter" else one.instead_of_days
        text = (
            N_(
                "Stop the experiment and do it {better}, if the work is worth the failures it "
                "saves."
            )
            if is_stopped
            else N_("Now do it {better}, if the work is worth the failures it saves.")
        )
        return _(text, better=every(better))
    saving = reading.log.saving
    better = one.every_days if saving.rather_pays else one.instead_of_days
    sure = max(saving.chance_it_pays, 1 - saving.chance_it_pays)
    text = (
        N_("Stop the experiment and do it {better}: {sure} chance that this costs less.")
        if is_stopped
        else N_("Now do it {better}: {sure} chance that this costs less.")
    )
    return _(text, better=every(better), sure=chance(sure))


def _times(ratio: CrossedRatio, part: str, limit: float) -> str:
    if math.isnan(ratio.ratio):
        return _("too few {part} failures to compare.", part=part)
    upper = figure(ratio.upper) if math.isfinite(ratio.upper) else _("no limit")
    told = figure(ratio.ratio) if math.isfinite(ratio.ratio) else _("many")
    return _(
        "{told} times as many at the shorter interval (limits of {limit} standard "
        "errors: {lower} to {upper}).",
        told=told,
        limit=figure(limit, 3),
        lower=figure(ratio.lower),
        upper=upper,
    )


def _failures(reading: ExperimentReading) -> str:
    return failures_of(reading.failures, _part(reading))


def _part(reading: ExperimentReading) -> str:
    return vocabulary.part_label(reading.experiment.part_kind).lower()
