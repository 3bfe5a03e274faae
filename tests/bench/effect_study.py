"""Are the limits of a maintenance effect honest? Simulated workshops with a known effect.

Run by hand: ``python -m tests.bench.effect_study [workshops] [printers] [days]``. Many seeds of the
records simulator, with symptom-driven actions in the log, for a strong effect and for none; prints
how often the 95 % limits hold the truth, the mean estimate, false alarms, and what counting the
symptom-driven actions would have made of it. A short version runs in the tests.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np

from tracker.lives.episodes import part_episodes
from tracker.models.posterior import LifeBelief
from tracker.models.regression import fit_cox, fit_weibull_hazard
from tracker.records.simulator import simulate_workshop
from tracker.records.workshop_plan import study_plan

TASK = "shake_dampers"


@dataclass(frozen=True)
class Finding:
    """One simulated workshop: the effect per doubling as each method sees it."""

    failures: int
    mean: float
    lower: float
    upper: float
    cox: float
    cox_lower: float
    cox_upper: float
    with_symptoms: float


def one_workshop(
    effect: float,
    seed: int,
    printers: int,
    days: int,
    *,
    lag_days: int = 0,
    step_days: int = 1,
    hidden_spread: float = 0.0,
    draws: int = 2000,
) -> Finding:
    """Simulate, cut into episodes, fit; ``hidden_spread`` makes printers differ (log scale)."""
    rng = np.random.default_rng(seed)
    plan = study_plan(printers=printers, days=days, shake_effect=effect)
    if hidden_spread:
        types = [f"type {number}" for number in range(printers)]
        factors = dict(zip(types, np.exp(hidden_spread * rng.normal(size=printers)), strict=True))
        plan = replace(
            plan,
            printers=tuple(
                replace(printer, head_type=name)
                for printer, name in zip(plan.printers, types, strict=True)
            ),
            parts=tuple(
                replace(part, head_type_factors=factors) if part.kind == "damper" else part
                for part in plan.parts
            ),
        )
    records, _ = simulate_workshop(plan, rng)
    as_of = plan.log_ends_on + timedelta(days=1)
    name = f"x_{TASK}"

    def episodes(planned_only: bool) -> object:
        return part_episodes(
            records, as_of, "damper", [TASK], lag_days=lag_days, step_days=step_days,
            planned_only=planned_only,
        )  # fmt: skip

    rows = episodes(True)
    fit = fit_weibull_hazard(
        rows, [name, "white"], prior_sd={"white": 1.5}, belief=LifeBelief(120), rng=rng, draws=draws
    )
    limits = fit.hazard_ratio({name: 1.0})
    cox = fit_cox(rows, [name], strata="white")
    table = cox.hazard_ratios.loc[name]
    wrong = fit_cox(episodes(False), [name], strata="white")
    return Finding(
        failures=fit.failures,
        mean=float(fit.weights @ fit.draws[name]),
        lower=float(np.log(limits.lower)),
        upper=float(np.log(limits.upper)),
        cox=float(cox.coefficients[name]),
        cox_lower=float(np.log(table["lower"])),
        cox_upper=float(np.log(table["upper"])),
        with_symptoms=float(wrong.coefficients[name]),
    )


def report(title: str, truth: float, findings: list[Finding]) -> None:
    """Print one line per method."""
    n = len(findings)
    print(f"{title}: {n} workshops, {np.mean([f.failures for f in findings]):.0f} failures each")
    for method, middle, low, high in (
        ("Weibull with belief", "mean", "lower", "upper"),
        ("Cox", "cox", "cox_lower", "cox_upper"),
    ):
        m, a, b = (np.array([getattr(f, key) for f in findings]) for key in (middle, low, high))
        covered = np.mean((a <= truth) & (truth <= b))
        alarms = np.mean((a > 0) | (b < 0))
        print(
            f"  {method:20s} mean {m.mean():+.3f} (truth {truth:+.2f}, spread {m.std():.3f}), "
            f"limits hold it {covered:.1%}, exclude none {alarms:.1%}, "
            f"width {np.mean(b - a):.2f}"
        )
    print(f"  symptoms counted: mean {np.mean([f.with_symptoms for f in findings]):+.3f}\n")


def main(workshops: int = 200, printers: int = 6, days: int = 900) -> None:
    """Print the study."""
    for hidden in (0.0, 0.25):
        for effect in (-0.6, 0.0):
            findings = [
                one_workshop(effect, 100_000 + seed, printers, days, hidden_spread=hidden)
                for seed in range(workshops)
            ]
            report(f"effect {effect:+.1f}, hidden spread {hidden}", effect, findings)
    for lag in (3, 7, 14):
        findings = [
            one_workshop(-0.6, 100_000 + seed, printers, days, lag_days=lag)
            for seed in range(workshops // 2)
        ]
        report(f"effect -0.6, lag {lag}", -0.6, findings)


if __name__ == "__main__":
    main(*(int(value) for value in sys.argv[1:]))
