"""What the people of a simulated workshop wrote down of all that happened."""

from __future__ import annotations

from dataclasses import asdict

import numpy as np
import pandas as pd

from tests.simulation.simulated_care import maintenance_log, nozzle_log
from tests.simulation.simulator import Fitting, History
from tests.simulation.workshop_plan import Truth, WorkshopPlan
from tracker.workshop.records import Records

_FITTING_COLUMNS = [
    "printer",
    "part_kind",
    "position",
    "fitted_on",
    "fitted_counter_m2",
    "removed_on",
    "removed_counter_m2",
    "removal_reason",
    "failure_mode",
    "last_ok_on",
    "serial",
    "supplier",
    "batch",
    "unit_cost",
    "age_guess_days",
    "claim",
    "claim_amount",
]
_COSTLY = 100.0  # from this price on, people write down the serial number
_ROUND_AGES = (21.0, 120.0, 365.0)  # weeks, months, about a year
_CREDITED_AFTER_DAYS = 30
_LATE_QUANTILE = 1.2816  # nine in ten of a lognormal lie below exp(1.2816 · spread) × median


def write_down(history: History, rng: np.random.Generator) -> tuple[Records, Truth]:
    """The log of that history, from the day the log began to its last day, and the truth."""
    fittings, lives = _fittings(history, rng)
    frames = {
        "printers": _printers(history.plan),
        "fittings": fittings,
        "maintenance": maintenance_log(history, rng),
        "counters": _counters(history),
        "nozzle_checks": nozzle_log(history, rng),
        "stoppages": _stoppages(history, rng),
        "stock": _stock(history),
        "orders": _orders(history),
        "parts": _parts(history.plan),
        "routines": _routines(history.plan),
        "closures": _closures(history.plan),
        "settings": pd.DataFrame(
            {"name": ["log_began_on"], "value": [history.plan.log_began_on.isoformat()]}
        ),
    }
    return Records.of(frames), Truth(history.plan, lives)


def _printers(plan: WorkshopPlan) -> pd.DataFrame:
    return pd.DataFrame(
        [
            {
                "printer": printer.name,
                "started_on": printer.started_on,
                "site": printer.site,
                "model": printer.model,
                "head_type": printer.head_type,
                "retired_on": printer.retired_on,
                "channels": " ".join(printer.channels),
            }
            for printer in plan.printers
            if printer.started_on <= plan.log_ends_on
        ]
    )


def _fittings(history: History, rng: np.random.Generator) -> tuple[pd.DataFrame, pd.DataFrame]:
    plan, began, ends = history.plan, history.log_began, history.log_ends
    totals = [np.concatenate([[0.0], np.cumsum(days.area)]).round(1) for days in history.days]
    rows: list[tuple[object, ...]] = []
    true = []
    for fitting in sorted(history.fittings, key=lambda one: one.fitted):
        if fitting.fitted > ends or (fitting.removed is not None and fitting.removed < began):
            continue
        total = totals[fitting.printer]
        known = fitting.fitted >= began or rng.random() >= plan.fitting_day_unknown
        out = fitting.removed is not None
        reason = fitting.reason if out else ""
        if out and rng.random() < plan.reason_unknown:
            reason = "unknown"
        broke = reason in ("failed", "accident")
        seen_ok = broke and fitting.last_ok is not None and fitting.last_ok >= began
        rows.append(
            (
                plan.printers[fitting.printer].name,
                fitting.part.kind,
                fitting.position,
                fitting.fitted if known else np.nan,
                total[fitting.fitted] if fitting.fitted >= began else np.nan,
                fitting.removed if out else np.nan,
                total[fitting.removed] if out else np.nan,
                reason,
                _mode(fitting, reason, rng),
                fitting.last_ok if seen_ok else np.nan,
                f"SN{1001 + 7 * len(rows)}" if fitting.part.unit_cost >= _COSTLY else "",
                fitting.lot.supplier,
                fitting.lot.batch,
                fitting.lot.unit_cost,
                np.nan if known else _age_guess(began - fitting.fitted, plan, rng),
                *_claim(fitting, reason, ends),
            )
        )
        true.append((fitting.scale, fitting.wear_age, fitting.lot.bad))
    frame = pd.DataFrame(rows, columns=_FITTING_COLUMNS)
    for name in ("fitted_on", "removed_on", "last_ok_on"):
        frame[name] = history.dates(frame[name])
    return frame, pd.DataFrame(true, columns=["scale_days", "wear_age_days", "bad_batch"])


def _age_guess(age_days: int, plan: WorkshopPlan, rng: np.random.Generator) -> float:
    """What somebody says of a part whose fitting day nobody noted: weeks, months, about a year."""
    if rng.random() >= plan.age_guessed:
        return np.nan
    felt = age_days * np.exp(0.3 * rng.normal())
    return min(_ROUND_AGES, key=lambda said: abs(np.log(said / max(felt, 1.0))))


def _claim(fitting: Fitting, reason: str, ends: int) -> tuple[str, float]:
    """The warranty claim for it and its amount: credited after a month."""
    received = fitting.lot.received
    if reason != "failed" or received is None or fitting.removed is None:
        return "", np.nan
    if fitting.removed - received > fitting.part.warranty_days:
        return "", np.nan
    state = "credited" if fitting.removed + _CREDITED_AFTER_DAYS <= ends else "sent"
    return state, fitting.lot.unit_cost


def _mode(fitting: Fitting, reason: str, rng: np.random.Generator) -> str:
    if reason == "accident":
        return fitting.part.accident_mode
    if reason != "failed":
        return ""
    modes = fitting.part.modes
    # The first mode is the usual one: half of all, the others share the rest.
    return modes[0] if rng.random() < 0.5 else modes[rng.integers(len(modes))]


def _counters(history: History) -> pd.DataFrame:
    blocks = []
    for days in history.days:
        total = np.concatenate([[0.0], np.cumsum(days.area)]).round(1)
        workdays = np.flatnonzero(days.working)
        workdays = workdays[(workdays >= history.log_began) & (workdays <= history.log_ends)]
        week = (workdays + history.origin.weekday()) // 7
        read = workdays[np.unique(week, return_index=True)[1]]
        blocks.append(
            pd.DataFrame({"printer": days.plan.name, "read_on": read, "area_m2": total[read]})
        )
    frame = pd.concat(blocks, ignore_index=True).sort_values(
        ["read_on", "printer"], ignore_index=True
    )
    return frame.assign(read_on=history.dates(frame["read_on"]))


def _stoppages(history: History, rng: np.random.Generator) -> pd.DataFrame:
    rows = []
    free_from: dict[int, float] = {}
    for stop in history.stops:
        part = stop.fitting.part
        if stop.began < history.log_began or stop.began > history.log_ends:
            continue
        usual = part.hours_to_change if part.hours_stood is None else part.hours_stood
        work = usual * rng.uniform(0.7, 1.5)
        began = max(24 * stop.began + 8 + rng.uniform(0, 2), free_from.get(stop.printer, 0) + 0.1)
        ended = (began if stop.back == stop.began else 24 * stop.back + 9) + work
        free_from[stop.printer] = ended
        rows.append(
            {
                "printer": history.plan.printers[stop.printer].name,
                "began": began,
                "ended": ended if ended < 24 * (history.log_ends + 1) else np.nan,
                "cause": "accident" if stop.fitting.reason == "accident" else "part failed",
                "part_kind": part.kind,
                "scrap_cost": round(rng.gamma(1.5, part.scrap_cost / 1.5), 2),
                "note": "" if stop.back == stop.began else "waited for the part",
            }
        )
    names = ["printer", "began", "ended", "cause", "part_kind", "scrap_cost", "note"]
    frame = pd.DataFrame(rows, columns=names)
    first = pd.Timestamp(history.origin)
    for name in ("began", "ended"):
        minutes = (frame[name].astype(float) * 60).round()
        frame[f"{name}_at"] = first + pd.to_timedelta(minutes, unit="min")
    return frame.sort_values(["began_at", "printer"], ignore_index=True)


def _stock(history: History) -> pd.DataFrame:
    names = ["part_kind", "variant", "moved_on", "quantity", "reason", "unit_cost"]
    key = names[:2]
    moves = pd.DataFrame(history.shelf.moves, columns=names)
    before = moves["moved_on"] < history.log_began
    first = moves[before].groupby(key, sort=False)["quantity"].sum().reset_index()
    first = first.assign(moved_on=history.log_began, reason="counted", unit_cost=np.nan)
    later = moves[~before].groupby(["moved_on", *key, "reason"], sort=False)
    later_rows = later.agg({"quantity": "sum", "unit_cost": "first"}).reset_index()
    frame = pd.concat([first, later_rows], ignore_index=True)
    frame = frame[frame["moved_on"] <= history.log_ends]
    frame = frame.sort_values("moved_on", kind="stable", ignore_index=True)
    shelf_life = {part.key: part.shelf_life_days for part in history.plan.parts}
    kept = [shelf_life[row] for row in zip(frame["part_kind"], frame["variant"], strict=True)]
    keeps = frame["moved_on"] + np.array(kept)
    keeps = keeps.where(frame["reason"] == "received")
    return frame.assign(moved_on=history.dates(frame["moved_on"]), best_before=history.dates(keeps))


def _orders(history: History) -> pd.DataFrame:
    orders = [
        order
        for order in history.shelf.orders
        if history.log_began <= order.ordered <= history.log_ends
    ]
    came = (order.received if order.received <= history.log_ends else np.nan for order in orders)
    return pd.DataFrame(
        {
            "part_kind": [order.part.kind for order in orders],
            "variant": [order.part.variant for order in orders],
            "quantity": [order.quantity for order in orders],
            "ordered_on": history.dates(order.ordered for order in orders),
            "expected_on": history.dates(order.expected for order in orders),
            "received_on": history.dates(came),
            "supplier": [order.lot.supplier for order in orders],
            "unit_cost": [order.lot.unit_cost for order in orders],
        }
    )


def _parts(plan: WorkshopPlan) -> pd.DataFrame:
    return pd.DataFrame(
        [
            {
                "part_kind": part.kind,
                "variant": part.variant,
                "unit_cost": part.unit_cost,
                "pack_size": part.pack_size,
                "lead_days": part.lead_days,
                "lead_days_late": round(part.lead_days * np.exp(_LATE_QUANTILE * part.lead_spread)),
                "shelf_life_days": part.shelf_life_days,
                "replaced_with": part.replaced_with,
                "hours_to_change": part.hours_to_change,
            }
            for part in plan.parts
        ]
    )


def _routines(plan: WorkshopPlan) -> pd.DataFrame:
    return pd.DataFrame(
        [
            {
                "task": routine.task,
                "every_days": routine.every_days,
                "printer": printer,
                "starts_on": routine.starts_on,
                "ends_on": routine.ends_on,
            }
            for routine in plan.routines
            if routine.every_days is not None
            for printer in (routine.printers or ("",))
        ]
    )


def _closures(plan: WorkshopPlan) -> pd.DataFrame:
    closed = [asdict(shut) for shut in plan.closed if shut.began_on <= plan.log_ends_on]
    return pd.DataFrame(closed, columns=["began_on", "ended_on", "note"])
