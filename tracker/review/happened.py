"""What happened in a month: failures, parts used, hours stood still, money."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracker.decisions.downtime import Downtime
from tracker.decisions.ordering.purchases import paid_or_usual, price_of
from tracker.language import N_
from tracker.lives.exposure.table import days_since_epoch
from tracker.lives.open_days import Closures
from tracker.lives.stood_hours import stood_hours
from tracker.review.period import Period, by_month, compared, first_day
from tracker.review.untold_reasons import untold_reasons
from tracker.workshop.columns.day_numbers import day_number, days_of
from tracker.workshop.moved_parts import went_on_from
from tracker.workshop.records import Records
from tracker.workshop.variants import pooled_variants, types_in
from tracker.workshop.working_days import days_worked

BROKE = ("failed", "accident")
NOT_NOTED = N_("cause not noted")
ACCIDENT = N_("accident")  # a cause of its own where nobody wrote which
COMPARED = ("this_month", "month_before", "mean_before")
# As the CSV table has them; a credit is below zero, and left out where there was none.
MONEY = ("parts", "labour", "routine", "standing", "scrap", "credited")


@dataclass(frozen=True, eq=False)
class Happened:
    """Frames whose columns are COMPARED: this month, the month before, mean of those before.

    ``failures`` (failed or accident), ``accidents`` and ``parts_used`` by ``part_kind`` and
    ``variant`` (the index), ``causes`` by these and the cause (columns), ``hours`` stood still by
    printer, ``stops`` begun by printer, ``money`` by MONEY in currency units. ``events`` lists the
    month's failures one by one, the dearest part first (``price`` of a new one); ``untold`` more
    parts came out in it and nobody wrote down why (``untold_reasons``). ``corrective`` and
    ``upkeep_cost``: money of the month after failures or because of a symptom, and all
    maintenance.
    """

    failures: pd.DataFrame
    causes: pd.DataFrame
    accidents: pd.DataFrame
    parts_used: pd.DataFrame
    hours: pd.DataFrame
    stops: pd.DataFrame
    money: pd.DataFrame
    events: pd.DataFrame
    untold: int
    corrective: float
    upkeep_cost: float
    operating_hours: float


def what_happened(records: Records, lives: pd.DataFrame, period: Period) -> Happened:
    """What failed, was used, stood still and was paid; ``records`` as known on the last day."""
    broke = lives[lives["outcome"].isin(BROKE)]
    met_accident = broke[broke["outcome"] == "accident"]
    mode = broke["mode"].where(broke["mode"] != "", NOT_NOTED)
    mode = mode.mask((broke["mode"] == "") & (broke["outcome"] == "accident"), ACCIDENT)
    used = parts_fitted(records, period)
    stood = downtime_hours(records, period)
    this = broke[broke["removed_on"].dt.to_period("M") == period.month]
    events = this[
        ["removed_on", "printer", "part_kind", "variant", "position", "age", "outcome", "mode"]
    ]
    events = events.assign(
        supplier=this["supplier"], batch=this["batch"],
        note=records.fittings["note"].reindex(this.index).fillna(""),
        price=[price_of(records, part).amount for part in types_in(this)],
    ).sort_values(["removed_on", "printer", "position"])  # fmt: skip
    events = events.sort_values("price", ascending=False, kind="stable")
    untold = untold_reasons(records, period.last)
    money = _money(records, period, used, stood)
    mine = used[used["fitted_on"].dt.to_period("M") == period.month]
    spent = mine["parts"] + mine["labour"]
    corrective = _after_failure(lives, records.fittings.loc[mine.index])
    causes = _by_type(period, broke["removed_on"], broke, mode.rename("cause")).reset_index()
    items = [item for item in MONEY if item != "credited" or money["credited"].any()]
    table = compared(period, money.reindex(columns=items, fill_value=0.0))
    stood = stood[period.looks_at(stood["day"])]
    hours = _by_printer(records, period, by_month(stood["day"], stood["printer"], stood["hours"]))
    stops = records.stoppages.loc[period.looks_at(records.stoppages["began_at"])]
    return Happened(
        failures=_sorted(_by_type(period, broke["removed_on"], broke)),
        causes=_sorted(causes),
        accidents=_sorted(_by_type(period, met_accident["removed_on"], met_accident)),
        parts_used=_sorted(_by_type(period, used["fitted_on"], used)),
        hours=hours,
        stops=_by_printer(records, period, by_month(stops["began_at"], stops["printer"])),
        money=table,
        events=events.reset_index(drop=True),
        untold=int((untold["removed_on"].dt.to_period("M") == period.month).sum()),
        corrective=float(spent[corrective].sum()) + _symptom_work(records, period),
        upkeep_cost=float(spent.sum() + table.loc["routine", "this_month"]),
        operating_hours=operating_hours(records, period) - float(hours["this_month"].sum()),
    )


def _by_type(
    period: Period, days: pd.Series, rows: pd.DataFrame, *further: pd.Series
) -> pd.DataFrame:
    """How many of ``rows`` by kind, type and what else is given: the levels of the index."""
    keys = [rows["part_kind"], rows["variant"], *further]
    recent = period.looks_at(days)
    first, *rest = (key[recent] for key in keys)
    table = compared(period, by_month(days[recent], first.str.cat(rest, sep="\x1f")))
    told = [str(thing).split("\x1f") for thing in table.index]
    levels = [[one[place] for one in told] for place in range(len(keys))]
    table.index = pd.MultiIndex.from_arrays(levels, names=[str(key.name) for key in keys])
    return table


def _sorted(table: pd.DataFrame) -> pd.DataFrame:
    table = table[table[list(COMPARED)].fillna(0).sum(axis=1) > 0]
    return table.sort_values(["this_month", "mean_before"], ascending=False, kind="stable")


def _by_printer(records: Records, period: Period, table: pd.DataFrame) -> pd.DataFrame:
    names = dict.fromkeys([*records.printers["printer"], *table.columns])
    return compared(period, table.reindex(columns=list(names), fill_value=0.0))


def parts_fitted(records: Records, period: Period) -> pd.DataFrame:
    """Parts fitted on the days that are looked at and since the log began, with price and work.

    Parts fitted on a printer's first day, or on the log's, were there when it began and are not
    counted, but for those that took the place of one of these.
    """
    fittings = records.fittings
    started = records.printers.drop_duplicates("printer", keep="last").set_index("printer")
    began = first_day(records)
    rows = fittings[period.looks_at(fittings["fitted_on"])]
    place = ["printer", "part_kind", "position"]
    counts = rows["fitted_on"] > rows["printer"].map(started["started_on"]).fillna(pd.Timestamp(0))
    if began is not None:
        counts &= rows["fitted_on"] > pd.Timestamp(began)
    before = fittings[period.looks_at(fittings["removed_on"])]
    before = before[before["removed_on"] != before["fitted_on"]]
    came_out = pd.MultiIndex.from_frame(before[[*place, "removed_on"]])
    changed = pd.MultiIndex.from_frame(rows[[*place, "fitted_on"]]).isin(came_out)
    changed |= rows.duplicated([*place, "fitted_on"])
    counts |= changed & (True if began is None else rows["fitted_on"] >= pd.Timestamp(began))
    rows = rows[counts]
    facts = {kind: records.part_facts(kind) for kind in rows["part_kind"].unique()}
    moved = went_on_from(records)[fittings.index.get_indexer(rows.index)] >= 0
    paid = paid_or_usual(records, rows).astype(float)
    hours = rows["part_kind"].map({kind: fact.hours_to_change for kind, fact in facts.items()})
    return pd.DataFrame(
        {
            "fitted_on": rows["fitted_on"],
            "part_kind": rows["part_kind"],
            "variant": pooled_variants(records)[rows.index],
            "parts": paid.mask(moved, 0.0),  # it was paid for where it was in first
            "labour": hours.astype(float) * records.number("labour_per_hour"),
        }
    )


def _after_failure(lives: pd.DataFrame, rows: pd.DataFrame) -> pd.Series:
    """Whether the part that came out of that place last had failed, or went with one that had."""
    position = ["printer", "part_kind", "position"]
    out = lives[lives["removed_on"].notna() & lives["printer"].isin(rows["printer"].unique())]
    out = out[[*position, "removed_on", "outcome"]]
    joined = pd.merge_asof(
        rows[[*position, "fitted_on"]].reset_index().sort_values("fitted_on"),
        out.sort_values("removed_on"),
        left_on="fitted_on", right_on="removed_on", by=position,
    ).set_index("index")  # fmt: skip
    return joined["outcome"].isin([*BROKE, "with_other"]).reindex(rows.index)


def downtime_hours(records: Records, period: Period) -> pd.DataFrame:
    """Working hours stood still, one row per ``printer`` and ``day``: see ``stood_hours``."""
    stood = stood_hours(records, period.last)
    # Two stoppages of one printer on one day do not stop it for longer than the day.
    whole = stood.groupby(["printer", "day"], as_index=False)["hours"].sum()
    return whole.assign(hours=whole["hours"].clip(upper=records.number("hours_per_day")))


def operating_hours(records: Records, period: Period) -> float:
    """Hours all printers were there to work: working days, closed ones not, × the set hours."""
    days = days_worked(records, period.first, period.last)
    numbers = np.sort(days_since_epoch(days.to_series()))
    printers = records.printers.drop_duplicates("printer", keep="last")
    since = days_since_epoch(printers["started_on"])  # one not known lies far in the past
    retired = days_since_epoch(printers["retired_on"])
    until = np.where(printers["retired_on"].isna(), numbers.max(initial=0) + 1, retired)
    total = 0
    for rows, calendar in Closures.of(records).open_numbers(printers["printer"]).together():
        opened = numbers[calendar.number(numbers + 1) > calendar.number(numbers)]
        first, after = (np.searchsorted(opened, each[rows]) for each in (since, until))
        total += int(np.maximum(after - first, 0).sum())
    return total * records.number("hours_per_day")


def _symptom_work(records: Records, period: Period) -> float:
    """What the month's tasks done because of a symptom cost in work; currency units."""
    symptom = records.codes("maintenance", "why").is_word("symptom")
    done = records.day_numbers("maintenance", "done_on")
    called = symptom & (done >= day_number(period.first))
    minutes = records.cells("maintenance", "minutes")[called]
    return float(np.nansum(minutes)) / 60 * records.number("labour_per_hour")


def _by_month(days: np.ndarray, amounts: np.ndarray) -> pd.Series:
    """Amounts summed by the month of their day, of all months with a day."""
    there = ~np.isnat(days)
    months = days[there].astype("datetime64[M]").astype(np.int64)
    first = int(months.min()) if len(months) else 0
    sums = np.bincount(months - first, amounts[there])
    seen = np.flatnonzero(np.bincount(months - first))
    # Periods count their months from 1970 on, as numpy does.
    return pd.Series(sums[seen], pd.PeriodIndex.from_ordinals(first + seen, freq="M"), dtype=float)


def _routine_work(records: Records, period: Period) -> tuple[pd.Series, pd.Series]:
    """The days that are looked at, and what the tasks of each cost in work; currency units."""
    done = records.day_numbers("maintenance", "done_on")
    first, last = day_number(period.looked_at_from), day_number(period.last)
    rows = np.flatnonzero((done >= first) & (done <= last))
    minutes = np.nan_to_num(records.cells("maintenance", "minutes")[rows])
    each = np.bincount(done[rows] - first, minutes, last - first + 1)
    days = pd.Series(days_of(np.arange(first, last + 1, dtype=np.int32)))
    return days, pd.Series(each / 60 * records.number("labour_per_hour"))


def _money(
    records: Records, period: Period, used: pd.DataFrame, stood: pd.DataFrame
) -> pd.DataFrame:
    """Months × MONEY; of the routine only the months that are looked at."""
    downtime = Downtime.of(records, period.last)
    stops = records.stoppages
    # The day of the credit is not written down: it counts in the month the part came out.
    claimed = records.fittings[records.fittings["claim"] == "credited"]
    pieces = {
        "parts": (used["fitted_on"], used["parts"]),
        "labour": (used["fitted_on"], used["labour"]),
        "routine": _routine_work(records, period),
        "standing": (stood["day"], stood["hours"] * downtime.per_hour),
        "scrap": (stops["began_at"], stops["scrap_cost"].fillna(0)),
        "credited": (claimed["removed_on"], -claimed["claim_amount"].fillna(0)),
    }
    columns = {
        name: _by_month(day.to_numpy(), amount.to_numpy()) for name, (day, amount) in pieces.items()
    }
    return pd.DataFrame(columns).fillna(0.0)
