"""Do the intervals hold what they promise? Simulated workshops with few failures.

Run by hand: ``python -m tests.bench.calibration [WORKSHOPS]`` prints a markdown table. Each
workshop has four printers with one part each, watched for 900 days, a failed part being replaced
the same day. On the last day every running part's remaining life is forecast and then lived
through. Counted is how often it fell inside the central 50, 80 and 95 % intervals, how often the
80 % limits of the chance of failing within 60 days held the true chance, and the mean chance told
beside the share that did fail. Beside it stands the plug-in estimate: the same intervals from
the maximum-likelihood Weibull as if it were the truth (it has no answer below two failures).
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from tracker.models.life_model.competing import CompetingPosterior, chance_limits
from tracker.models.life_model.posterior import LifeBelief, LifePosterior

Array = npt.NDArray[np.float64]

LEVELS = (0.5, 0.8, 0.95)
HORIZON_DAYS = 60.0
_ENDS = np.array([(1 - level) / 2 for level in LEVELS] + [(1 + level) / 2 for level in LEVELS])


@dataclass(frozen=True)
class Workshop:
    """The truth of a simulated workshop and how it keeps its log; lives in days.

    ``belief_factor`` is the believed typical life over the true scale. With ``aged`` the printers
    ran for years before the log began, so the first parts have delayed entry. ``accident_days`` is
    the mean time between accidents (inf: none); ``check_days`` the time between checks at which
    failures are found (0: seen at once). With ``from_belief`` the truth itself is drawn from it.
    """

    name: str
    shape: float = 1.8
    scale: float = 500.0
    belief_factor: float = 1.0
    aged: bool = False
    accident_days: float = np.inf
    check_days: float = 0.0
    from_belief: bool = False
    printers: int = 4
    days: float = 900.0


SCENARIOS = (
    Workshop("truth drawn from the belief", from_belief=True),
    Workshop("belief right"),
    Workshop("belief twice too long", belief_factor=2),
    Workshop("belief twice too short", belief_factor=0.5),
    Workshop("belief four times too long", belief_factor=4),
    Workshop("belief four times too short", belief_factor=0.25),
    Workshop("few failures (long lives)", scale=1100),
    Workshop("few failures, belief twice too long", scale=1100, belief_factor=2),
    Workshop("old parts when the log began", aged=True),
    Workshop("old parts, belief twice too short", aged=True, belief_factor=0.5),
    Workshop("accidents compete", accident_days=1500),
    Workshop("failures found at checks 30 days apart", check_days=30),
    Workshop("early failures (shape 0.8)", shape=0.8),
    Workshop("strong wear (shape 3.5)", shape=3.5),
)


@dataclass
class Lives:
    """One row per fitted part, as a log would have it, and what happens to those still running."""

    age: list[float] = field(default_factory=list)
    entry: list[float] = field(default_factory=list)
    last_ok: list[float] = field(default_factory=list)
    worn: list[bool] = field(default_factory=list)
    struck: list[bool] = field(default_factory=list)
    running: list[tuple[float, float]] = field(default_factory=list)  # age now, life in the end


def live(workshop: Workshop, shape: float, scale: float, rng: np.random.Generator) -> Lives:
    """Every part of the workshop from the log's beginning (day 0) to its last day."""
    lives = Lives()
    for _ in range(workshop.printers):
        day = -rng.uniform(4, 8) * scale if workshop.aged else 0.0
        while day < workshop.days:
            wear = scale * rng.weibull(shape)
            accident = rng.exponential(workshop.accident_days) if _struck(workshop) else np.inf
            life = max(min(wear, accident), 1e-3)
            ends, fitted = day + life, day
            day = found = _found(workshop, ends)
            if found <= 0:
                continue
            now = workshop.days
            over = found <= now
            lives.age.append((found if over else now) - fitted)
            lives.entry.append(max(-fitted, 0.0))
            lives.worn.append(over and wear <= accident)
            lives.struck.append(over and accident < wear)
            last = max(found - workshop.check_days, fitted, 0.0) - fitted
            lives.last_ok.append(last if over and workshop.check_days else np.nan)
            if not over:
                # A part that failed unseen still counts as running: its life is what is found.
                lives.running.append((now - fitted, found - fitted))
    return lives


def _struck(workshop: Workshop) -> bool:
    return bool(np.isfinite(workshop.accident_days))


def _found(workshop: Workshop, day: float) -> float:
    step = workshop.check_days
    return float(np.ceil(day / step) * step) if step else day


@dataclass
class Tally:
    """What was counted of one way of forecasting."""

    inside: list[list[bool]] = field(default_factory=list)
    held: list[bool] = field(default_factory=list)
    told: list[float] = field(default_factory=list)
    failed: list[bool] = field(default_factory=list)

    @property
    def coverage(self) -> Array:
        """The share inside the 50, 80 and 95 % intervals; NaN without any forecast."""
        return np.mean(self.inside, axis=0) if self.inside else np.full(3, np.nan)

    def add(self, ends: Array, chance: Array, ages: Array, lives: Array) -> None:
        """One workshop's interval ends (parts, 6), chances, ages and true lives."""
        ahead = (lives - ages)[:, None]
        self.inside += ((ends[:, :3] <= ahead) & (ahead <= ends[:, 3:])).tolist()
        self.told += chance.tolist()
        self.failed += (lives - ages <= HORIZON_DAYS).tolist()


@dataclass(frozen=True)
class Study:
    """The tallies of a scenario over many workshops."""

    workshop: Workshop
    posterior: Tally
    plug_in: Tally
    unanswered: float  # share of workshops where the plug-in has no answer
    failures: float  # mean number of failures behind a forecast


def study(workshop: Workshop, workshops: int, rng: np.random.Generator) -> Study:
    """Forecast and count in that many simulated workshops."""
    posterior, plug_in = Tally(), Tally()
    unanswered = failures = 0
    belief = LifeBelief(workshop.scale * workshop.belief_factor)
    rare = LifeBelief(10 * belief.typical_life, shape=1.0, shape_spread=0.0)
    for _ in range(workshops):
        shape, scale = workshop.shape, workshop.scale
        if workshop.from_belief:
            shape = float(np.exp(rng.normal(np.log(belief.shape), belief.shape_spread)))
            rate = rng.gamma(belief.worth_failures, 1 / belief.worth_failures)
            scale = float(belief.typical_life * rate ** (-1 / shape))
            scale = float(np.clip(scale, 30.0, 1e6))  # thousands of renewals take long
        lives = live(workshop, shape, scale, rng)
        failures += sum(lives.worn)
        ages, ends = np.array(lives.running).T
        wear = LifePosterior.from_lives(
            lives.age, lives.worn, lives.entry, lives.last_ok, belief=belief
        )
        forecast: LifePosterior | CompetingPosterior = wear
        if _struck(workshop):
            accident = LifePosterior.from_lives(lives.age, lives.struck, lives.entry, belief=rare)
            forecast = CompetingPosterior(wear, accident)
        ahead = forecast.remaining_quantile(_ENDS[None, :], ages[:, None])
        posterior.add(ahead, forecast.chance_of_failure(ages, HORIZON_DAYS), ages, ends)
        low, high = chance_limits(forecast.points(512), ages, HORIZON_DAYS)
        truth = _true_chance(workshop, shape, scale, ages)
        posterior.held += ((low <= truth) & (truth <= high)).tolist()
        fitted = maximum_likelihood(lives)
        if fitted is None:
            unanswered += 1
            continue
        told = 1 - np.exp(fitted.gained(ages, ages + HORIZON_DAYS))
        plug_in.add(fitted.ahead(ages, _ENDS), told, ages, ends)
    return Study(workshop, posterior, plug_in, unanswered / workshops, failures / workshops)


def _true_chance(workshop: Workshop, shape: float, scale: float, ages: Array) -> Array:
    gained = ((ages + HORIZON_DAYS) / scale) ** shape - (ages / scale) ** shape
    return -np.expm1(-gained - HORIZON_DAYS / workshop.accident_days)


@dataclass(frozen=True)
class PlugIn:
    """A Weibull and an accident rate taken as if they were the truth."""

    shape: float
    rate: float
    accidents_per_day: float

    def gained(self, age: Array, t: Array) -> Array:
        """The log of the chance of going from one age to the other."""
        wear = self.rate * (age**self.shape - t**self.shape)
        result: Array = wear - self.accidents_per_day * (t - age)
        return result

    def ahead(self, ages: Array, chance: Array) -> Array:
        """Remaining days by which each part has failed with each chance: bisection."""
        low, high = np.zeros((2, len(ages), len(chance)))
        high += 1e6
        for _ in range(60):
            middle = 0.5 * (low + high)
            early = -np.expm1(self.gained(ages[:, None], ages[:, None] + middle)) < chance
            low, high = np.where(early, middle, low), np.where(early, high, middle)
        return high


def maximum_likelihood(lives: Lives) -> PlugIn | None:
    """The most likely Weibull of the lives (failure found = failed), None below two failures."""
    age, entry = np.array(lives.age), np.array(lives.entry)
    worn = np.array(lives.worn)
    if worn.sum() < 2:
        return None
    shapes = np.exp(np.linspace(np.log(0.1), np.log(30), 600))
    exposure = (age[:, None] ** shapes - entry[:, None] ** shapes).sum(axis=0)
    events = worn.sum()
    height = events * np.log(shapes / exposure) + (shapes - 1) * np.log(age[worn]).sum()
    best = int(height.argmax())
    accidents = sum(lives.struck) / (age - entry).sum()
    return PlugIn(float(shapes[best]), float(events / exposure[best]), float(accidents))


def table(studies: list[Study]) -> str:
    """The studies as a markdown table; shares in percent."""
    head = (
        "| scenario | failures | posterior 50 | 80 | 95 | plug-in 50 | 80 | 95 | no plug-in "
        "| limits of chance (80) | chance told | plug-in told | failed in 60 days |\n"
        "|---|---|---|---|---|---|---|---|---|---|---|---|---|"
    )
    percent: Callable[[float], str] = lambda share: f"{100 * share:.0f}"  # noqa: E731
    rows = [
        "| "
        + " | ".join(
            [
                one.workshop.name,
                f"{one.failures:.1f}",
                *map(percent, one.posterior.coverage),
                *map(percent, one.plug_in.coverage),
                percent(one.unanswered),
                percent(float(np.mean(one.posterior.held))),
                *(
                    f"{100 * np.mean(values):.1f}"
                    for values in (one.posterior.told, one.plug_in.told, one.posterior.failed)
                ),
            ]
        )
        + " |"
        for one in studies
    ]
    return "\n".join([head, *rows])


def main() -> None:
    """Print the table for all scenarios."""
    workshops = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    rng = np.random.default_rng(20_240_601)
    print(table([study(workshop, workshops, rng) for workshop in SCENARIOS]))


if __name__ == "__main__":
    main()
