"""What does an experiment say: at its look, and at its end? And until then: how is it kept?

Each printer counts as it was meant to do the task, whatever was done (intention to treat): whoever
picks by what was done lets in again the reason why it was done. What was really done comes second.
Nothing is compared before the look, and between the look and the end only what was there at the
look, for the limits allow for two comparisons and no more.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Literal

from tracker.decisions.routine.experiment.counts import ArmCounts, ExperimentCounts
from tracker.decisions.routine.experiment.stopping_rule import END_LIMIT, LOOK_LIMIT
from tracker.decisions.routine.task_value import KindValue, TaskValue, task_value
from tracker.errors import NotEnoughData, UsageError
from tracker.forecast.routine_exposure import schedule_exposure
from tracker.models.events.crossed_rates import CrossedRatio, crossed_ratio
from tracker.workshop.experiments import Experiment
from tracker.workshop.records import Records
from tracker.workshop.working_days import WorkingDays

Stage = Literal["planned", "running", "looked_at", "ended"]
Verdict = Literal["shorter", "longer", "none"]


@dataclass(frozen=True, eq=False)
class ExperimentReading:
    """An experiment as it stands on a day.

    ``stage``: not begun, running before its look, running after it, over. ``counted_until``: the
    last day that is counted. ``arms``: the counts at the shorter and the longer interval, of the
    kind that it is about; ``other_kinds`` of the others that the task protects. ``working_share``
    of the open days are worked.
    ``meant``: failures at the shorter interval as a multiple of those at the longer, each printer
    as it was meant to do the task, limits at ``limit`` standard errors; ``done`` the same by what
    was really done, for a change as large as planned. Both None before the look. ``log`` is what
    the whole log, the experiment in it, says of the two intervals; None before the look and where
    it cannot tell anything.
    """

    experiment: Experiment
    as_of: date
    currency: str
    stage: Stage
    counted_until: date
    arms: tuple[ArmCounts, ArmCounts]
    other_kinds: tuple[tuple[str, tuple[ArmCounts, ArmCounts]], ...]
    working_share: float
    meant: CrossedRatio | None
    done: CrossedRatio | None
    limit: float
    log: TaskValue | None = field(repr=False)

    @property
    def verdict(self) -> Verdict | None:
        """Which interval has fewer failures, by the limit agreed on; None before the look."""
        if self.meant is None:
            return None
        if abs(self.meant.z) < self.limit:
            return "none"
        return "shorter" if self.meant.z < 0 else "longer"

    @property
    def failures(self) -> int:
        """Failures of the counted kind so far, both intervals together."""
        return sum(arm.failures for arm in self.arms)

    @property
    def kept(self) -> tuple[float, float]:
        """How much of what was planned was done, at the shorter and the longer interval."""
        shorter, longer = self.arms
        every, instead = self.experiment.every_days, self.experiment.instead_of_days
        return shorter.kept(every, self.working_share), longer.kept(instead, self.working_share)

    @property
    def log_of_kind(self) -> KindValue | None:
        """What the whole log says of the counted kind."""
        kinds = self.log.kinds if self.log else ()
        return next((one for one in kinds if one.part_kind == self.experiment.part_kind), None)

    @property
    def may_stop(self) -> bool:
        """Has the look answered already?"""
        return self.stage == "looked_at" and self.verdict in ("shorter", "longer")


def read_experiment(records: Records, as_of: date, experiment: Experiment) -> ExperimentReading:
    """What does the experiment say on that day, at the stage that it is in?"""
    known = records.known_at(as_of)
    stage = _stage(experiment, as_of)
    until = min(as_of, experiment.ends_on)
    if stage == "looked_at" and experiment.look_on is not None:
        until = experiment.look_on
    share = WorkingDays.of(known, as_of).share
    # At the look as it was then: what was found later must not move what was agreed on.
    seen_on = until if stage == "looked_at" else as_of
    then = records.known_at(seen_on)
    counts = ExperimentCounts.of(then, seen_on, experiment, experiment.part_kind, until)
    meant = done = log = None
    limit = LOOK_LIMIT if stage == "looked_at" else END_LIMIT
    if stage in ("looked_at", "ended"):
        meant = crossed_ratio(counts.failures, counts.usual, counts.dose, limit)
        step = schedule_exposure(experiment.every_days, share) - schedule_exposure(
            experiment.instead_of_days, share
        )
        if step > 0:
            dose = counts.dose_done(step)
            done = crossed_ratio(counts.failures, counts.usual, dose, limit)
        log = _whole_log(records, as_of, experiment)
    others = [one.part_kind for one in log.kinds] if log else []
    return ExperimentReading(
        experiment=experiment,
        as_of=as_of,
        currency=known.setting("currency"),
        stage=stage,
        counted_until=until,
        arms=(counts.arm(shorter=True), counts.arm(shorter=False)),
        other_kinds=tuple(
            (kind, (own.arm(shorter=True), own.arm(shorter=False)))
            for kind in others
            if kind != experiment.part_kind
            for own in [ExperimentCounts.of(then, seen_on, experiment, kind, until)]
        ),
        working_share=share,
        meant=meant,
        done=done,
        limit=limit,
        log=log,
    )


def _stage(experiment: Experiment, as_of: date) -> Stage:
    if as_of < experiment.starts_on:
        return "planned"
    if as_of > experiment.ends_on:
        return "ended"
    # The look's last day is whole only on the day after it.
    looked = experiment.look_on is not None and as_of >= experiment.look_on + timedelta(days=1)
    return "looked_at" if looked else "running"


def _whole_log(records: Records, as_of: date, experiment: Experiment) -> TaskValue | None:
    try:
        return task_value(
            records, as_of, experiment.task, experiment.every_days, experiment.instead_of_days
        )
    except (NotEnoughData, UsageError):  # read without it; the experiment stands by itself
        return None
