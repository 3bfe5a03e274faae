"""What an experiment says as it stands: how it is kept, its answer, and what to do now."""

from __future__ import annotations

import math

from tracker.decisions.routine.experiment.counts import ArmCounts
from tracker.decisions.routine.experiment.read_out import ExperimentReading
from tracker.models.events.crossed_rates import CrossedRatio
from tracker.say.listing import Listing
from tracker.say.maintenance.experiment import look_line
from tracker.say.maintenance.frequency import every
from tracker.say.maintenance.verdict import saving_in_words
from tracker.say.numbers import about_money, chance, count, day, figure
from tracker.workshop import vocabulary

_KEPT_ENOUGH = 0.7  # below it the difference tried was another one than planned


def reading_sentence(reading: ExperimentReading) -> str:
    """The experiment in one or two sentences: its stage, its answer, what to do now."""
    one = reading.experiment
    what = (
        f"{vocabulary.task_label(one.task)} {every(one.every_days)} or {every(one.instead_of_days)}"
    )
    if reading.stage == "planned":
        return f"{what}: begins on {day(one.starts_on)}."
    if reading.stage == "running":
        return (
            f"{what}: running until {day(one.ends_on)}; {_failures(reading)} so far. Go on: "
            "nothing is compared before the look."
        )
    if reading.stage == "looked_at":
        if reading.may_stop:
            return f"{what}: answered at the look. {_answer(reading)} {_now(reading)}"
        return (
            f"{what}: the look on {day(one.look_on)} gave no answer. Go on as planned until "
            f"{day(one.ends_on)}."
        )
    return f"{what}: ended on {day(one.ends_on)}. {_answer(reading)} {_now(reading)}"


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
            "Each printer as it was meant to do the task: "
            f"{_times(reading.meant, part, reading.limit)}"
        )
    if reading.done is not None:
        lines.append(
            f"By what was really done, for a change as large as planned: "
            f"{_times(reading.done, part, reading.limit)} Less to be trusted, for why a task was "
            "left out may have to do with the failures."
        )
    kind = reading.log_of_kind
    if kind is not None:
        ratio = kind.effect.hazard_ratio
        lines.append(
            f"The whole log, the experiment in it: the risk is {figure(ratio.estimate)} times as "
            f"high at the shorter interval (95 % limits {figure(ratio.lower)} to "
            f"{figure(ratio.upper)}, {count(kind.effect.failures, 'failure')})."
        )
    if reading.log is not None:
        saving = saving_in_words(
            reading.log.saving, lambda amount: about_money(amount, reading.currency)
        )
        lines.append(
            f"In money, all parts the task protects, {every(reading.experiment.every_days)} "
            f"instead of {every(reading.experiment.instead_of_days)}: {saving}."
        )
    lines.append(
        "In the first 30 days after a change the old frequency still acts, and lots of parts are "
        "not told apart; the first draws the ratio toward 1."
    )
    return tuple(lines)


def kept_line(reading: ExperimentReading) -> str:
    """How much of what was planned was done, at each interval."""
    one = reading.experiment
    said = [
        f"{every(interval)} {chance(share) if share <= 1 else 'more often than planned'}"
        for interval, share in zip((one.every_days, one.instead_of_days), reading.kept, strict=True)
        if math.isfinite(share)
    ]
    if not said:
        return "No open day of it has passed yet."
    line = f"Kept up to {day(reading.counted_until)}, of what was planned: {'; '.join(said)}."
    if reading.kept[0] < _KEPT_ENOUGH:
        line += " At the shorter interval much was left out, so less of a difference was tried."
    return line


def arms_listing(reading: ExperimentReading) -> Listing:
    """The counts at both intervals, the kind it is about first."""
    one = reading.experiment
    rows = []
    for kind, arms in ((one.part_kind, reading.arms), *reading.other_kinds):
        for interval, arm in zip((one.every_days, one.instead_of_days), arms, strict=True):
            rows.append(_row(kind, interval, arm))
    heads = (
        "Part",
        "Interval",
        "Failures",
        "Usual at the parts’ ages",
        "Part-days",
        "Done in 30 days",
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
        return f"Too few {part} failures to compare."
    if reading.verdict == "none":
        return f"No answer: {_failures(reading)}, {_times(meant, part, reading.limit)}"
    better = one.every_days if reading.verdict == "shorter" else one.instead_of_days
    return f"Fewer {part} failures {every(better)}: {_times(meant, part, reading.limit)}"


def _now(reading: ExperimentReading) -> str:
    """What to do now: failures alone do not say what pays."""
    one = reading.experiment
    stop = "Stop the experiment and do" if reading.stage == "looked_at" else "Now do"
    if reading.log is None:
        if reading.verdict == "none":
            return "Now do it as before; the difference, if there is one, is not a large one."
        better = one.every_days if reading.verdict == "shorter" else one.instead_of_days
        return f"{stop} it {every(better)}, if the work is worth the failures it saves."
    saving = reading.log.saving
    better = one.every_days if saving.median > 0 else one.instead_of_days
    sure = saving.chance_it_pays if saving.median > 0 else 1 - saving.chance_it_pays
    return f"{stop} it {every(better)}: {chance(sure)} chance that this costs less."


def _times(ratio: CrossedRatio, part: str, limit: float) -> str:
    if math.isnan(ratio.ratio):
        return f"too few {part} failures to compare."
    upper = figure(ratio.upper) if math.isfinite(ratio.upper) else "no limit"
    told = figure(ratio.ratio) if math.isfinite(ratio.ratio) else "many"
    return (
        f"{told} times as many at the shorter interval (limits of {figure(limit, 3)} standard "
        f"errors: {figure(ratio.lower)} to {upper})."
    )


def _failures(reading: ExperimentReading) -> str:
    return count(reading.failures, f"{_part(reading)} failure")


def _part(reading: ExperimentReading) -> str:
    return vocabulary.part_label(reading.experiment.part_kind).lower()
