"""Do the intervals hold what they promise? Simulated workshops with few failures.

Run by hand: ``python -m tests.bench.calibration [WORKSHOPS]`` prints a markdown table. Each
workshop has four printers with one part each, watched for 900 days, a failed part being replaced
the same day. On the last day every running part's remaining life is forecast and then lived
through. Counted is how often it fell inside the central 50, 80 and 95 % intervals, how often the
80 % limits of the chance of failing within 60 days held the true chance, and the mean chance told
beside the share that did fail. Three ways of forecasting: the life model that every answer rests
on, the closed form of one kind and nothing but lives (which knows no accidents), and the plug-in:
the maximum-likelihood Weibull as if it were the truth (it has no answer below two failures).
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from tracker.models.life_model.posterior import LifeBelief, LifePosterior
from tracker.models.life_model.whole import Groups, History, Parts, fit_life_model
from tracker.models.life_model.whole import Lives as WatchedLives

Array = npt.NDArray[np.float64]

LEVELS = (0.5, 0.8, 0.95)
HORIZON_DAYS = 60.0
DRAWS = 256
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

    printer: list[int] = field(default_factory=list)
    fitted: list[float] = field(default_factory=list)
    age: list[float] = field(default_factory=list)
    entry: list[float] = field(default_factory=list)
    last_ok: list[float] = field(default_factory=list)
    worn: list[bool] = field(default_factory=list)
    struck: list[bool] = field(default_factory=list)
    running: list[tuple[float, float]] = field(default_factory=list)  # age now, life in the end

    @property
    def is_running(self) -> npt.NDArray[np.bool_]:
        """Which rows are of parts still in."""
        return ~(np.array(self.worn) | np.array(self.struck))


def live(workshop: Workshop, shape: float, scale: float, rng: np.random.Generator) -> Lives:
    """Every part of the workshop from the log's beginning (day 0) to its last day."""
    lives = Lives()
    for printer in range(workshop.printers):
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
            lives.printer.append(printer)
            lives.fitted.append(fitted)
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


@dataclass(frozen=True, eq=False)
class Told:
    """Of every running part: interval ends (parts, 6), its chance of failing within the horizon
    and the 80 % limits of that chance (None: the way of forecasting has none)."""

    ends: Array
    chance: Array
    limits: tuple[Array, Array] | None = None


def by_life_model(lives: Lives, belief: LifeBelief, workshop: Workshop) -> Told | None:
    """What the model of all lives says; printers, lots and days might differ for all it knows."""
    watched = WatchedLives.of(
        0,
        lives.printer,
        np.maximum(lives.fitted, 0.0),
        lives.age,
        lives.worn,
        entry=lives.entry,
        accident=lives.struck,
        last_ok=np.where(lives.worn, lives.last_ok, np.nan),
    )
    groups = Groups(np.array([0]), (belief,))
    history = History(watched, groups, workshop.days, workshop.printers)
    draws = fit_life_model(history, DRAWS, rng=np.random.default_rng(1))
    parts = Parts.of_lives(watched, np.flatnonzero(lives.is_running))
    chances = draws.chances(parts, HORIZON_DAYS)[:, :, 0]
    ends = draws.remaining_quantiles(parts, _ENDS)
    return Told(ends, draws.weight @ chances, _limits(chances, draws.weight))


def by_closed_form(lives: Lives, belief: LifeBelief, workshop: Workshop) -> Told | None:
    """What the closed form says; nothing where accidents happen, of which it knows nothing."""
    if _struck(workshop):
        return None
    found = LifePosterior.from_lives(
        lives.age, lives.worn, lives.entry, lives.last_ok, belief=belief
    )
    ages = np.array(lives.running)[:, 0]
    curves = found.points(DRAWS)
    gained = curves.cumulative_hazard(ages + HORIZON_DAYS) - curves.cumulative_hazard(ages)
    ends = found.remaining_quantile(_ENDS[None, :], ages[:, None])
    limits = _limits(-np.expm1(-gained), np.full(len(gained), 1 / len(gained)))
    return Told(ends, found.chance_of_failure(ages, HORIZON_DAYS), limits)


def by_plug_in(lives: Lives, belief: LifeBelief, workshop: Workshop) -> Told | None:
    """What the most likely Weibull says, taken as if it were the truth."""
    fitted = maximum_likelihood(lives)
    if fitted is None:
        return None
    ages = np.array(lives.running)[:, 0]
    chance = -np.expm1(fitted.gained(ages, ages + HORIZON_DAYS))
    return Told(fitted.ahead(ages, _ENDS), chance)


def _limits(chances: Array, weight: Array) -> tuple[Array, Array]:
    """Between which limits a chance lies at 80 %: ``chances (draws, parts)`` and their weights."""
    order = np.argsort(chances, axis=0)
    reached = np.cumsum(weight[order], axis=0)
    sorted_chances = np.take_along_axis(chances, order, axis=0)
    low, high = (
        sorted_chances[np.minimum((reached < share).sum(axis=0), len(chances) - 1),
                       np.arange(chances.shape[1])]
        for share in (0.1, 0.9)
    )  # fmt: skip
    return low, high


Way = Callable[[Lives, LifeBelief, Workshop], Told | None]
LIFE_MODEL, CLOSED_FORM, PLUG_IN = "life model", "closed form", "plug-in"
WAYS: Mapping[str, Way] = {
    LIFE_MODEL: by_life_model,
    CLOSED_FORM: by_closed_form,
    PLUG_IN: by_plug_in,
}


@dataclass
class Tally:
    """What was counted of one way of forecasting."""

    inside: list[list[bool]] = field(default_factory=list)
    held: list[bool] = field(default_factory=list)
    told: list[float] = field(default_factory=list)
    failed: list[bool] = field(default_factory=list)
    unanswered: int = 0

    @property
    def coverage(self) -> Array:
        """The share inside the 50, 80 and 95 % intervals; NaN without any forecast."""
        return np.mean(self.inside, axis=0) if self.inside else np.full(3, np.nan)

    def add(self, told: Told | None, running: Array, truth: Array) -> None:
        """One workshop: what was told, ages now and in the end (parts, 2), true chances."""
        if told is None:
            self.unanswered += 1
            return
        ahead = running[:, 1] - running[:, 0]
        inside = (told.ends[:, :3] <= ahead[:, None]) & (ahead[:, None] <= told.ends[:, 3:])
        self.inside += inside.tolist()
        self.told += told.chance.tolist()
        self.failed += (ahead <= HORIZON_DAYS).tolist()
        if told.limits is not None:
            low, high = told.limits
            self.held += ((low <= truth) & (truth <= high)).tolist()


@dataclass(frozen=True)
class Study:
    """The tallies of a scenario over many workshops, by way of forecasting."""

    workshop: Workshop
    tallies: Mapping[str, Tally]
    workshops: int
    failures: float  # mean number of failures behind a forecast


def study(
    workshop: Workshop, workshops: int, rng: np.random.Generator, ways: tuple[str, ...] = (*WAYS,)
) -> Study:
    """Forecast and count in that many simulated workshops."""
    tallies = {way: Tally() for way in ways}
    failures = 0
    belief = LifeBelief(workshop.scale * workshop.belief_factor)
    for _ in range(workshops):
        shape, scale = workshop.shape, workshop.scale
        if workshop.from_belief:
            shape = float(np.exp(rng.normal(np.log(belief.shape), belief.shape_spread)))
            rate = rng.gamma(belief.worth_failures, 1 / belief.worth_failures)
            scale = float(belief.typical_life * rate ** (-1 / shape))
            scale = float(np.clip(scale, 30.0, 1e6))  # thousands of renewals take long
        lives = live(workshop, shape, scale, rng)
        failures += sum(lives.worn)
        running = np.array(lives.running)
        truth = _true_chance(workshop, shape, scale, running[:, 0])
        for way, tally in tallies.items():
            tally.add(WAYS[way](lives, belief, workshop), running, truth)
    return Study(workshop, tallies, workshops, failures / workshops)


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
        "| scenario | failures | life model | closed form | plug-in | no plug-in, % "
        "| limits of chance hold (80): life model / closed form "
        "| told: life model / closed form / plug-in | failed in 60 days |\n"
        "|---|---|---|---|---|---|---|---|---|"
    )
    return "\n".join([head, *map(_row, studies)])


def _row(one: Study) -> str:
    tallies = [one.tallies[way] for way in WAYS]
    model, _, plug_in = tallies
    cells = [
        one.workshop.name,
        f"{one.failures:.1f}",
        *(_percents(tally.coverage, 0, " ") for tally in tallies),
        _percents([plug_in.unanswered / one.workshops], 0),
        _percents([_mean(tally.held) for tally in tallies[:2]], 0),
        _percents([_mean(tally.told) for tally in tallies], 1),
        _percents([_mean(model.failed)], 1),
    ]
    return "| " + " | ".join(cells) + " |"


def _mean(values: Sequence[float]) -> float:
    return float(np.mean(values)) if values else float("nan")


def _percents(shares: Iterable[float], digits: int, between: str = " / ") -> str:
    return between.join("–" if np.isnan(one) else f"{100 * one:.{digits}f}" for one in shares)


def main() -> None:
    """Print the table for all scenarios."""
    workshops = int(sys.argv[1]) if len(sys.argv) > 1 else 150
    rng = np.random.default_rng(20_240_601)
    print(table([study(workshop, workshops, rng) for workshop in SCENARIOS]))


if __name__ == "__main__":
    main()
