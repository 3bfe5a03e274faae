"""Does the advice on orders pay, and is the service level kept? Many simulated workshops.

Run by hand: ``python -m tests.bench.replay_study [workshops]``. Each workshop has two to six
printers, seven part kinds whose true lives, delivery times and prices differ from the catalogue's
by a lognormal factor, and 900 days of log. Its own history is replayed (``advice_cost``) with the
advice as it is, at other service levels, and keeping the stock of least cost. Prints Markdown.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pandas as pd

from tests.decisions.workshops import setting
from tests.simulation.simulator import simulate_workshop
from tests.simulation.study_parts import varied_parts
from tests.simulation.workshop_plan import study_plan
from tracker.decisions.stock_level import stock_for_service
from tracker.replay.advice import Level
from tracker.replay.costs import advice_cost
from tracker.replay.findings import ADVICE, NONE, ONE, AdviceCost
from tracker.replay.past_advice import advice_of
from tracker.workshop.records import Records

ASKED = (0.8, 0.9, 0.95, 0.98)


def workshop(
    seed: int, *, printers: int | None = None, days: int = 900, kinds: Sequence[str] | None = None
) -> tuple[Records, date]:
    """The records of one simulated workshop, and the day after its log ends."""
    rng = np.random.default_rng(seed)
    parts = varied_parts(rng)
    number = int(rng.integers(2, 7)) if printers is None else printers
    chosen = tuple(part for part in parts if kinds is None or part.kind in kinds)
    plan = study_plan(printers=number, days=days, parts=chosen)
    records, _ = simulate_workshop(plan, rng)
    said = setting(log_began_on=plan.log_began_on, service_level=0.95, review_days=30)
    return records.with_table("settings", said), plan.log_ends_on + timedelta(days=1)


@dataclass(frozen=True)
class Finding:
    """One replayed workshop: the advice as it is, and other ways of keeping stock, by name."""

    as_advised: AdviceCost
    others: dict[str, AdviceCost]


def one_workshop(
    seed: int,
    *,
    asked: Sequence[float] = (),
    draws: int = 8,
    printers: int | None = None,
    days: int = 900,
    kinds: Sequence[str] | None = None,
) -> Finding:
    """Simulate and replay; the advice is computed once and walked over with every rule."""
    records, as_of = workshop(seed, printers=printers, days=days, kinds=kinds)
    advice = advice_of(records, as_of)
    rules: dict[str, Callable[[Level], int]] = {
        f"{share:g}": _for_service(share) for share in asked
    }
    if asked:
        rules["least cost"] = lambda level: level.least_cost
        rules["larger of both"] = lambda level: max(level.target, level.least_cost)

    def played(rule: Callable[[Level], int] | None, service: float | None) -> AdviceCost:
        own = advice if rule is None else advice.keeping(rule)
        rng = np.random.default_rng(seed)
        return advice_cost(records, as_of, draws=draws, rng=rng, advice=own, service=service)

    levels = {f"{share:g}": share for share in asked}
    return Finding(
        played(None, None),
        {name: played(rule, levels.get(name)) for name, rule in rules.items()},
    )


def _for_service(share: float) -> Callable[[Level], int]:
    return lambda level: stock_for_service(level.chances, share)


def costs(found: Sequence[AdviceCost]) -> pd.DataFrame:
    """Mean money, printer-days stood and share of needs met at once per workshop and policy."""
    rows = []
    for policy in (ADVICE, ONE, NONE):
        own = [one.of(policy) for one in found if one.policies]
        needs = sum(one.needs for one in own)
        money = np.array([one.money for one in own])
        rows.append(
            {
                "policy": policy,
                "money": money.mean(),
                "std_error": money.std(ddof=1) / np.sqrt(len(money)),
                "standing": np.mean([one.downtime_cost for one in own]),
                "standing_days": np.mean([one.downtime_days for one in own]),
                "holding": np.mean([one.holding + one.aged for one in own]),
                "left_over": np.mean([one.left_over for one in own]),
                "met_at_once": 1 - sum(one.missing for one in own) / needs,
            }
        )
    return pd.DataFrame(rows).set_index("policy")


def kept(found: Sequence[AdviceCost]) -> tuple[int, float, float, float]:
    """Cycles, share kept had the stock been exactly what was asked for, chance foretold and share
    kept with whole pieces, over all workshops' kinds kept by stock."""
    own = [one.service for one in found if one.service is not None]
    cycles = np.array([one.cycles for one in own])
    share = cycles / cycles.sum()
    return (
        int(cycles.sum()),
        float(share @ np.array([one.kept_as_asked for one in own])),
        float(share @ np.array([one.foretold for one in own])),
        float(share @ np.array([one.kept for one in own])),
    )


def main(workshops: int) -> None:
    findings = []
    for seed in range(workshops):
        findings.append(one_workshop(seed, asked=ASKED))
        if seed + 1 in (workshops // 4, workshops // 2, workshops):
            report(findings)


def report(findings: Sequence[Finding]) -> None:
    """The tables of DEVELOPERS.md."""
    print(f"\n{len(findings)} workshops, means over the scored 24 months of each\n")
    print("| policy | money ± std error | standing | days stood | holding, aged | left over | "
          "met at once |\n|---|---|---|---|---|---|---|")  # fmt: skip
    names = ["as advised", *findings[0].others]
    for name in names:
        own = [f.as_advised if name == "as advised" else f.others[name] for f in findings]
        table = costs(own)
        for policy, row in table.iterrows():
            if policy != ADVICE and name != "as advised":
                continue
            label = policy if policy != ADVICE else f"advice, {name}"
            print(
                f"| {label} | {row.money:,.0f} ± {row.std_error:,.0f} | {row.standing:,.0f} | "
                f"{row.standing_days:.1f} | {row.holding:,.0f} | {row.left_over:,.0f} | "
                f"{row.met_at_once:.1%} |"
            )
    print("\n| asked | cycles | kept by exactly that stock | foretold for whole pieces | kept |"
          "\n|---|---|---|---|---|")  # fmt: skip
    for name in names[1:]:
        cycles, exact, foretold, share = kept([f.others[name] for f in findings])
        print(f"| {name} | {cycles} | {exact:.1%} | {foretold:.1%} | {share:.1%} |")
    kinds = pd.concat([f.as_advised.by_kind for f in findings])
    print("\n| part | needs | advice | one on the shelf | when it breaks |\n|---|---|---|---|---|")
    mean = kinds.groupby(["part_kind", "policy"], sort=False)[["needs", "money"]].mean()
    for kind in kinds["part_kind"].unique():
        own = mean.loc[kind]
        print(
            f"| {kind} | {own.loc[ADVICE, 'needs']:.1f} | {own.loc[ADVICE, 'money']:,.0f} | "
            f"{own.loc[ONE, 'money']:,.0f} | {own.loc[NONE, 'money']:,.0f} |"
        )
    services = pd.concat([f.as_advised.service_by_kind for f in findings])
    print("\n| part | asked | kept by exactly that stock | foretold for whole pieces | kept |"
          "\n|---|---|---|---|---|")  # fmt: skip
    for kind, own in services.groupby("part_kind", sort=False):
        print(
            f"| {kind} | 95.0% | {own['kept_as_asked'].mean():.1%} | "
            f"{own['foretold'].mean():.1%} | {own['kept'].mean():.1%} |"
        )
    sys.stdout.flush()


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 24)
