"""An experiment read out: counted by hand, at every stage, and with a known truth."""

from __future__ import annotations

import math
from datetime import date, timedelta

import pandas as pd
import pytest

from tests.bench.experiment_study import asked, lived_through
from tests.decisions.workshops import kept_as, rows, workshop
from tracker.decisions.routine.experiment.counts import ExperimentCounts
from tracker.decisions.routine.experiment.crossover import TwoIntervals, crossover
from tracker.decisions.routine.experiment.read_out import read_experiment
from tracker.decisions.routine.experiment.stopping_rule import END_LIMIT, LOOK_LIMIT
from tracker.workshop.experiments import experiment_named
from tracker.workshop.records import Records

TASK = "shake_dampers"
START = date(2026, 1, 5)
QUARTER = 40
FAILED = (20, 50, 70, 95, 110, 140)  # days from the start on which the one damper failed
DONE = (0, 7, 14, 21, 28, 35, 60, 90, 120, 127, 134, 141, 148, 155)
CLOSED = (100, 104)


def on(number: int) -> date:
    return START + timedelta(days=number)


def by_hand() -> Records:
    """One printer with one damper; every 7 days, every 30 for two quarters, every 7 again."""
    plain = workshop(1, "C")
    others = plain.fittings[plain.fittings["part_kind"] != "damper"]
    fitted = [on(-100), *map(on, FAILED)]
    dampers = rows(
        "printer part_kind position fitted_on removed_on removal_reason",
        *(
            ("A", "damper", "C", begin, end, "failed" if end else "")
            for begin, end in zip(fitted, [*fitted[1:], None], strict=True)
        ),
    )
    plan = crossover(
        "Shaking", TwoIntervals(TASK, "damper", 7.0, 30.0), {"A": True}, START, QUARTER
    )
    frames = {
        "fittings": pd.concat([others, dampers], ignore_index=True),
        "maintenance": rows(
            "printer task done_on why", *(("A", TASK, on(day), "planned") for day in DONE)
        ),
        "closures": rows("began_on ended_on", tuple(map(on, CLOSED))),
        "experiments": kept_as(plan),
    }
    return Records.of({"printers": plain.printers} | frames)


def counts() -> ExperimentCounts:
    known, as_of = by_hand(), on(170)
    one = experiment_named(known, "Shaking")
    return ExperimentCounts.of(known.known_at(as_of), as_of, one, "damper", one.ends_on)


def test_failures_days_and_actions_are_those_counted_by_hand() -> None:
    got = counts()
    assert got.failures.tolist() == [[1, 2, 2, 1]]
    assert got.part_days.tolist() == [[40, 40, 40, 40]]
    assert got.actions.tolist() == [[6, 1, 1, 6]]
    assert got.open_days.tolist() == [[40, 40, 35, 40]]  # five days of the third are closed
    shorter, longer = got.arm(shorter=True), got.arm(shorter=False)
    assert (shorter.failures, longer.failures) == (2, 4)
    assert shorter.per_30_days == pytest.approx(30 * 12 / 80)
    assert longer.kept(30, 1.0) == pytest.approx(2 / (75 / 30))


def test_the_ratio_is_that_of_two_rates_for_a_printer_alone() -> None:
    reading = read_experiment(by_hand(), on(170), experiment_named(by_hand(), "Shaking"))
    assert reading.stage == "ended"
    shorter, longer = reading.arms
    assert reading.meant is not None
    assert reading.meant.ratio == pytest.approx((2 / shorter.usual) / (4 / longer.usual), rel=1e-5)
    share = shorter.usual / (shorter.usual + longer.usual)
    score = (2 - 6 * share) / math.sqrt(6 * share * (1 - share))
    assert reading.meant.z == pytest.approx(score)
    assert (reading.limit, reading.verdict) == (END_LIMIT, "none")
    assert reading.meant.lower < 1 < reading.meant.upper


def test_what_was_done_is_measured_as_a_share_of_what_was_planned() -> None:
    step = math.log2(30 / 7 + 0.5) - math.log2(1.5)
    done = [math.log2(rate + 0.5) for rate in (4.5, 0.75, 30 / 35, 4.5)]
    mean = sum(done) / 4
    assert counts().dose_done(step)[0] == pytest.approx([(one - mean) / step for one in done])


def test_nothing_is_compared_before_the_look_and_only_the_look_after_it() -> None:
    known = by_hand()
    one = experiment_named(known, "Shaking")
    assert one.look_on == on(79)
    early = read_experiment(known, on(79), one)  # the day of the look is not over
    assert (early.stage, early.meant, early.verdict) == ("running", None, None)
    later = read_experiment(known, on(118), one)
    assert (later.stage, later.counted_until, later.limit) == ("looked_at", on(79), LOOK_LIMIT)
    assert [arm.failures for arm in later.arms] == [1, 2]  # those of days 95 and 110 wait
    assert later.verdict == "none"
    assert not later.may_stop
    assert read_experiment(known, on(-1), one).stage == "planned"


def test_a_failure_that_was_not_known_on_the_day_is_not_counted() -> None:
    known = by_hand()
    reading = read_experiment(known, on(60), experiment_named(known, "Shaking"))
    assert reading.failures == 2
    assert reading.counted_until == on(60)


def test_a_true_effect_is_read_out_beside_what_the_whole_log_says() -> None:
    experiment = asked()[2].experiment
    records = lived_through(-0.6, experiment, 1003)
    reading = read_experiment(records, experiment.ends_on + timedelta(days=1), experiment)
    assert reading.verdict == "shorter"
    assert reading.meant is not None
    truth = math.exp(-0.6 * (math.log2(30 / 7 + 0.5) - math.log2(1.5)))
    assert reading.meant.lower < truth < reading.meant.upper < 1
    kind = reading.log_of_kind
    assert kind is not None
    assert kind.effect.hazard_ratio.lower < truth < kind.effect.hazard_ratio.upper
    # One action in ten was left out, on weekdays only.
    assert all(0.75 < share < 1.05 for share in reading.kept)
    assert [name for name, _ in reading.other_kinds] == ["head"]
