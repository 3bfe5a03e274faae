"""Records seen as lifetimes on a given day: one row per fitting.

A fitting is one part in one position from a day to a day. What is known on ``as_of`` decides: a
part removed later is still running on that day, and the reason is not known yet.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Array, Bools
from tracker.errors import UsageError
from tracker.language import N_, _
from tracker.lives.area_scale import lives_in_area
from tracker.lives.open_days import Closures
from tracker.workshop import vocabulary as words
from tracker.workshop.columns.coded import Coded, smallest
from tracker.workshop.columns.day_numbers import day_number, whole_days
from tracker.workshop.moved_parts import carried_on, went_on_from
from tracker.workshop.records import Records
from tracker.workshop.variants import pooled_variants

Scale = Literal["days", "area"]

# A part that failed on its fitting day lived some hours, never zero.
SAME_DAY_AGE_DAYS = 0.5
# From so many ends on, and such a share of all, they can bend a life (common practice, no source).
_FEW_ENDS, _MANY = 5, 0.2
# Everything is recorded to the day, so "good yesterday, failed today" is as exact as it gets.
EXACT_WITHIN_DAYS = 1.0

FITTING_DAY_UNKNOWN = N_("fitting day unknown")
REMOVED_BEFORE_LOG = N_("removed before the log began")
LOG_NOT_BEGUN = N_("the log began on or after this day")
REMOVED_BEFORE_FITTED = N_("removed before it was fitted")
FITTED_AFTER_RETIRED = N_("fitted after the printer was retired")

COLUMNS = (
    "part_kind",
    "printer",
    "site",
    "position",
    "channel",
    "ink",
    "head_type",
    "variant",
    "supplier",
    "batch",
    "serial",
    "fitted_on",
    "new_on",
    "removed_on",
    "entry",
    "age",
    "last_ok",
    "outcome",
    "mode",
    "counted",
    "why_not",
)


@dataclass(frozen=True)
class LifeArrays:
    """Counted lives as arrays of one length, ready for any life model.

    ``age`` at the end of watching, ``failed`` True where the chosen event happened then (False =
    right-censored), ``entry`` the age when watching began, ``last_ok`` the age at the last good
    check before a failure (NaN = the failure is exact to the day).
    """

    age: Array
    failed: Bools
    entry: Array
    last_ok: Array

    def __len__(self) -> int:
        return len(self.age)

    def __repr__(self) -> str:
        return f"LifeArrays({len(self)} lives, {int(self.failed.sum())} failures)"


def life_table(records: Records, as_of: date, scale: Scale = "days") -> pd.DataFrame:
    """How long has every fitted part lived, and how did it end, as known on that day?

    One row per fitting, index the fitting's index in ``records.fittings``; the columns are
    COLUMNS. ``entry``, ``age`` and ``last_ok`` are in days, or in m² on the area scale:

    - ``new_on``: the day from which ``age`` counts: the fitting day, but of a part that was in
      somewhere before (``moved_parts``) so much earlier as it was in use there.
    - ``entry``: age when watching began, above 0 for a part that was in before the log began or
      before its printer came into the workshop, or that went on from another place (delayed
      entry).
    - ``age``: age at the end of watching; half a day for a part that came out the day it went in.
    - ``last_ok``: age at the last good check, where the failure is only known to lie in
      (last_ok, age]; NaN where it is exact. Good the day before counts as exact, for the log
      knows days only.
    - ``outcome``: a word of ``vocabulary.OUTCOMES``. The open parts of a retired printer are
      ``retired`` on that day; a part removed without a reason is ``unknown``. A kind that does
      not wear cannot fail: a waste tank written down as failed was full, which is ``planned``.
    - ``variant``: the type of the part, whose spares it shares (``variants.pooled_variants``).
    - ``counted``: True where a life model can use the row, else ``why_not`` says why in words.

    Raises UsageError for an unknown scale.

    >>> from datetime import date
    >>> day = pd.Timestamp
    >>> records = Records.of({
    ...     "printers": pd.DataFrame({"printer": ["Ada"], "started_on": [day("2024-01-01")]}),
    ...     "fittings": pd.DataFrame({
    ...         "printer": ["Ada", "Ada"], "part_kind": ["damper", "damper"],
    ...         "position": ["W1", "W1"], "fitted_on": [day("2024-01-01"), day("2024-03-01")],
    ...         "removed_on": [day("2024-03-01"), None], "removal_reason": ["failed", ""]}),
    ... })
    >>> life_table(records, date(2024, 3, 31))[["ink", "age", "outcome", "counted"]]
         ink   age  outcome  counted
    0  white  60.0   failed     True
    1  white  30.0  running     True
    """
    if scale not in ("days", "area"):
        raise UsageError(
            _(
                'scale: {scale} is not a way to measure life; use "days" or "area".',
                scale=repr(scale),
            )
        )
    known = records.known_at(as_of)
    return known.once(_life_table, as_of, scale)


def _life_table(known: Records, as_of: date, scale: Scale) -> pd.DataFrame:
    log_began_on = known.log_began_on
    fittings = known.fittings
    printer, facts = known.codes("fittings", "printer"), _printer_facts(known)
    of_printer = facts.reindex(printer.words)
    today = pd.Timestamp(as_of)

    fitted_on = fittings["fitted_on"]

    def told(values: pd.Series) -> pd.Series:
        """What the printer of each part has there; missing where it has no row."""
        return pd.Series(values.to_numpy()[printer.codes], fittings.index)

    retired_on = told(of_printer["retired_on"].astype("datetime64[ns]"))
    retires = fittings["removed_on"].isna() & retired_on.notna()
    removed_on = fittings["removed_on"].where(~retires, retired_on)
    outcome = _outcomes(known, removed_on, retires)

    watched_from = told(of_printer["started_on"].astype("datetime64[ns]"))
    if log_began_on is not None:
        log_began = pd.Timestamp(log_began_on)
        watched_from = watched_from.where(watched_from > log_began, log_began)
    watched_until = removed_on.fillna(today)
    before = went_on_from(known)
    own = _days_between(fitted_on.fillna(watched_from), watched_until)
    carried = carried_on(before, own)
    new_on = fitted_on - pd.to_timedelta(carried, unit="D") if carried.any() else fitted_on
    raw_age = _days_between(new_on, watched_until)
    age = np.where(watched_until == fitted_on, raw_age + SAME_DAY_AGE_DAYS, raw_age)
    entry = np.fmax(_days_between(new_on, fitted_on), _days_between(new_on, watched_from))
    entry[np.isnan(raw_age)] = np.nan
    broke = outcome.is_word("failed") | outcome.is_word("accident")
    last_ok = _last_ok(fittings["last_ok_on"], new_on, broke, age, entry)

    out = removed_on.notna().to_numpy()
    backwards = (watched_until < fitted_on).to_numpy()
    reasons = {
        REMOVED_BEFORE_LOG: (entry >= age) & out,
        LOG_NOT_BEGUN: (entry >= age) & ~out,
        REMOVED_BEFORE_FITTED: backwards,
        FITTED_AFTER_RETIRED: backwards & retires.to_numpy(),
        FITTING_DAY_UNKNOWN: np.isnan(raw_age),
    }
    why = np.zeros(len(fittings), dtype=np.int8)
    for place, rows in enumerate(reasons.values(), start=1):
        why[rows] = place
    why_not, counted = np.array(["", *reasons], dtype=object)[why], why == 0

    if scale == "area":
        not_exact = fittings["last_ok_on"].where(~np.isnan(last_ok))
        area = lives_in_area(known, watched_from, watched_until, not_exact, broke)
        carried = carried_on(before, area.age)
        entry, age, last_ok = (part + carried for part in (area.entry, area.age, area.last_ok))
        why_not = np.where(counted, area.why_not, why_not)
        counted = why_not == ""

    channel, ink = _channels(known)
    return pd.DataFrame(
        {
            "part_kind": fittings["part_kind"],
            "printer": fittings["printer"],
            "site": told(of_printer["site"].fillna("")),
            "position": fittings["position"],
            "channel": channel,
            "ink": ink,
            "head_type": told(of_printer["head_type"].fillna("")),
            "variant": pooled_variants(known),
            "supplier": fittings["supplier"],
            "batch": fittings["batch"],
            "serial": fittings["serial"],
            "fitted_on": fitted_on,
            "new_on": new_on,
            "removed_on": removed_on,
            "entry": entry,
            "age": age,
            "last_ok": last_ok,
            "outcome": outcome.decoded(),
            "mode": fittings["failure_mode"].where(removed_on.notna(), ""),
            "counted": counted,
            "why_not": why_not,
        },
        index=fittings.index,
        columns=list(COLUMNS),
        copy=False,  # nobody writes into what is shared
    )


def ages(lives: pd.DataFrame, event: Sequence[str] = ("failed",)) -> LifeArrays:
    """Which ages does a life model get when these outcomes are the event?

    Takes rows of ``life_table`` (all, or those of one kind) and keeps the counted ones. Every
    other outcome only says that the part lived at least this long.

    >>> lives = pd.DataFrame({"age": [60.0, 30.0], "entry": 0.0, "last_ok": np.nan,
    ...                       "outcome": ["failed", "running"], "counted": True})
    >>> ages(lives)
    LifeArrays(2 lives, 1 failures)
    """
    counted = lives[lives["counted"]]
    failed = counted["outcome"].isin(list(event)).to_numpy(dtype=bool)
    return LifeArrays(
        age=counted["age"].to_numpy(dtype=float),
        failed=failed,
        entry=counted["entry"].to_numpy(dtype=float),
        last_ok=np.where(failed, counted["last_ok"].to_numpy(dtype=float), np.nan),
    )


def can_bend_lives(ends: int, of: int) -> bool:
    """So many ends of ``of``, that lives come out wrong where some were failures?"""
    return ends >= max(_FEW_ENDS, _MANY * of)


def open_days_watched(closures: Closures, lives: pd.DataFrame, as_of: date) -> float:
    """For how many open days were the parts of these counted rows watched, all together?"""
    watched = (lives["age"] - lives["entry"]).to_numpy(dtype=np.float64)
    days = watched.sum()
    printer, names = pd.factorize(lives["printer"])
    ended = whole_days(lives["removed_on"], missing=day_number(as_of))
    began = ended - watched.astype(np.int64)
    for printers, calendar in closures.open_numbers(names).together():
        own = np.isin(printer, printers)
        closed = calendar.closed_before(ended[own]) - calendar.closed_before(began[own])
        days -= closed.sum()
    return float(days)


def _printer_facts(records: Records) -> pd.DataFrame:
    # The last row wins where a printer is written down twice.
    return records.printers.drop_duplicates("printer", keep="last").set_index("printer")


def _days_between(start: pd.Series, end: pd.Series) -> Array:
    days: Array = (end - start).to_numpy() / np.timedelta64(1, "D")
    return days


def _outcomes(known: Records, removed_on: pd.Series, retires: pd.Series) -> Coded:
    reason, kind = (known.codes("fittings", name) for name in ("removal_reason", "part_kind"))
    given = [str(word) or "unknown" for word in reason.words]
    names = list(dict.fromkeys((*given, "failed", "planned", "retired", "running")))
    place = {word: at for at, word in enumerate(names)}
    of_reason = np.array([place[word] for word in given], dtype=smallest(len(names)))
    codes = of_reason[reason.codes]
    by_level = kind.marked(np.array([not words.wears(str(word)) for word in kind.words], bool))
    codes[by_level & (codes == place["failed"])] = place["planned"]
    codes[retires.to_numpy()] = place["retired"]
    codes[removed_on.isna().to_numpy()] = place["running"]
    return Coded(codes, np.array(names, dtype=object))


def _last_ok(
    last_ok_on: pd.Series,
    new_on: pd.Series,
    broke: Bools,
    age: Array,
    entry: Array,
) -> Array:
    # Good before watching began tells no more than that watching began.
    last_ok = np.maximum(_days_between(new_on, last_ok_on), entry)
    wider = age - last_ok > EXACT_WITHIN_DAYS
    return np.where(broke & wider, last_ok, np.nan)


def _channels(known: Records) -> tuple[NDArray[np.object_], NDArray[np.object_]]:
    kind, place = (known.codes("fittings", name) for name in ("part_kind", "position"))
    inks = np.array(
        [[words.ink_of(own, where) for where in place.words] for own in kind.words], object
    )
    if not inks.size:
        return np.array([], dtype=object), np.array([], dtype=object)
    channels = np.where(inks != "", place.words, "")
    return channels[kind.codes, place.codes], inks[kind.codes, place.codes]
