"""The workshop's records as the whole life model reads them.

A group is a part kind with its ink and variant, a unit is a printer, a lot is what one supplier
delivered under one batch number. Ages count open days only: a printer that is closed wears
nothing. Kinds that do not wear by age are left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import pandas as pd

from tracker.arrays import Array, Bools, Ints
from tracker.forecast.exposure_tables import LaterLog
from tracker.forecast.log_quality.judged_log import JudgedLog
from tracker.forecast.routine_exposure import (
    Exposure,
    RoutineExposure,
    routine_exposure,
    steps_if,
)
from tracker.forecast.wear_belief import wear_belief
from tracker.lives.life_table import SAME_DAY_AGE_DAYS, life_table
from tracker.lives.open_days import Closures
from tracker.lives.unknown_age import AGES, FirstWatched, first_watched, possible_ages
from tracker.models.life_model.posterior import LifeBelief
from tracker.models.life_model.whole.calendar_time import OpenDays
from tracker.models.life_model.whole.history import (
    Closed,
    Groups,
    Guesses,
    History,
    Lives,
    Steps,
)
from tracker.workshop import vocabulary as words
from tracker.workshop.columns.coded import Coded
from tracker.workshop.columns.day_numbers import rising
from tracker.workshop.fitted_types import coded_variants
from tracker.workshop.records import Records
from tracker.workshop.working_days import WorkingDays, of_workshop

_EVERYWHERE = -1
_GROUP = ["part_kind", "ink", "variant"]
_LOT = ["part_kind", "supplier", "batch"]
_AS_FITTED = ("printer", "part_kind", "supplier", "batch")


def day_number(day: date) -> float:
    """The day on the model's calendar: whole days since 1970-01-01, at its beginning."""
    return float(np.datetime64(day, "D").astype(np.int64))


def date_of(number: float) -> date:
    """The calendar day of a number on the model's calendar."""
    day: date = np.datetime64(round(number), "D").astype(object)
    return day


@dataclass(frozen=True, eq=False)
class LifeHistory:
    """A history with what its numbers stand for.

    ``printers, groups, lots, exposures`` name its units, groups (kind, ink, variant), lots (kind,
    supplier, batch) and exposures in order. Per row of ``history.lives``: ``fitting``, the
    fitting's index in the records, and ``running``, whether it is still in. ``working_share`` of
    the open days are worked.
    """

    history: History
    printers: tuple[str, ...]
    groups: tuple[tuple[str, str, str], ...]
    lots: tuple[tuple[str, str, str], ...]
    exposures: tuple[Exposure, ...]
    fitting: Ints
    running: Bools
    working_share: float


def path_if(told: LifeHistory, every: Mapping[str, float]) -> Steps:
    """Exposures to come if these tasks are done every so many days from today on, on all printers;
    for ``path=`` of the fitted model. Everything else goes on as it would.

    Raises UsageError for a task that is no exposure of this history, or an impossible interval.
    """
    history = told.history
    exposure = RoutineExposure(told.exposures, history.exposures)
    return steps_if(exposure, every, history.as_of, told.working_share)


def life_history(
    known: Records,
    as_of: date,
    *,
    judged: JudgedLog | None = None,
    later: LaterLog | None = None,
) -> LifeHistory | None:
    """Which lives has the whole life model to learn from? None where there is none.

    ``known``: records as known on that day; ``judged``: what was found in their log on a day not
    long before, which is judged anew where left out; ``later``: what was known on a later day (see
    ``routine_exposure``). Groups, units and lots are numbered in the order of their names. Beliefs
    are the catalogue's. A part whose fitting day is not known has the ages ``lives.unknown_age``
    allows on the first day it was watched; its failure counts as exact.
    """
    rows = known.once(_watched, as_of)
    kinds = rows["part_kind"]
    rows = rows[kinds.isin([kind for kind in kinds.unique() if words.wears(kind)])]
    if rows.empty:
        return None
    told = _numbered_lives(rows, known, as_of)
    kinds = [kind for kind, _, _ in told.groups]
    first_day = int(np.floor(rows["began"].min()))
    exposure = routine_exposure(
        known, as_of, told.printers, kinds, first_day, judged=judged, later=later
    )
    if exposure is None:
        return told
    history = replace(told.history, steps=exposure.steps)
    return replace(told, history=history, exposures=exposure.names)


def kind_history(
    known: Records, as_of: date, part_kind: str, watched_from: Mapping[str, float]
) -> LifeHistory | None:
    """The same for one kind only, each printer watched from its day on, without parts of unknown
    age and without exposures.
    """
    rows = known.once(_watched, as_of)
    rows = rows[(rows["part_kind"] == part_kind) & rows["counted"]]
    since = rows["printer"].map(dict(watched_from)).astype(float)
    rows = rows.assign(began=np.maximum(rows["began"], since))
    rows = rows[rows["ended"] > rows["began"]]
    return None if rows.empty else _numbered_lives(rows, known, as_of)


def _numbered_lives(rows: pd.DataFrame, known: Records, as_of: date) -> LifeHistory:
    """These rows as a history without exposures."""
    group, groups = _numbered(rows[_GROUP])
    unit, printers = _numbered(rows[["printer"]])
    lot, lots = _numbered(rows[_LOT])
    batched = rows["batch"].ne("").to_numpy()
    lot_code, lots_seen = np.full(len(rows), -1), np.unique(lot[batched])
    lot_code[batched] = np.searchsorted(lots_seen, lot[batched])
    beliefs = tuple(
        wear_belief(known.part_facts(kind, variant), ink=ink) for kind, ink, variant in groups
    )
    names = tuple(name for (name,) in printers)
    closed = _closed(known, names)
    unknown = rows["unknown"].to_numpy()
    kinds = pd.factorize(pd.Series([kind for kind, _, _ in groups]))[0].astype(np.int64)
    history = History(
        _lives(rows, group, unit, lot_code, unknown, closed),
        Groups(kinds, beliefs),
        day_number(as_of) + 1.0,  # the end of that day: what was fitted on it has begun
        len(printers),
        len(lots_seen),
        _guesses(rows[unknown], [beliefs[i] for i in group[unknown]], known, as_of),
        closed=closed,
    )
    return LifeHistory(
        history,
        names,
        tuple((kind, ink, variant) for kind, ink, variant in groups),
        tuple((lots[i][0], lots[i][1], lots[i][2]) for i in lots_seen),
        (),
        rows.index.to_numpy(np.int64),
        rows["outcome"].eq("running").to_numpy(dtype=bool),
        WorkingDays.of(known, as_of).share,
    )


def _lives(
    rows: pd.DataFrame, group: Ints, unit: Ints, lot: Ints, unknown: Bools, closed: Closed
) -> Lives:
    began, ended, ok = (rows[name].to_numpy(float) for name in ("began", "ended", "ok"))
    entry, age, last_ok = _in_open_days(
        OpenDays(closed), unit, rows["fitted"].to_numpy(float), began, ended, ok
    )
    failed = rows["outcome"].eq("failed").to_numpy(dtype=bool)
    return Lives.of(
        group,
        unit,
        began,
        age,
        failed,
        entry=entry,
        last_ok=np.where(failed, last_ok, np.nan),
        accident=rows["outcome"].eq("accident").to_numpy(dtype=bool),
        lot=lot,
        guess=np.where(unknown, np.cumsum(unknown) - 1, -1),
    )


def _watched(known: Records, as_of: date) -> pd.DataFrame:
    """Rows of the life table that tell of a life, their words as categories in order, with the days
    ``fitted, began, ended, ok``: when new (where not known, when watching began), watched from and
    to, and last seen good.
    """
    table = life_table(known, as_of)
    entry, age, last_ok = (table[name].to_numpy(float) for name in ("entry", "age", "last_ok"))
    running = table["removed_on"].isna().to_numpy()
    unknown, counted = np.isnan(age), table["counted"].to_numpy(dtype=bool)
    # Of what is in use something can be told from its first day on, before it teaches anything.
    told = counted | unknown | (running & (age > 0))
    today = day_number(as_of)
    watched, printer = first_watched(known, as_of), known.codes("fittings", "printer")
    days_watched = [watched[name].days if name in watched else 0.0 for name in printer.words]
    first_day = (today - np.array(days_watched, dtype=float))[printer.codes]
    fitted = np.where(unknown, first_day, _numbers(table["new_on"]))
    removed = np.nan_to_num(_numbers(table["removed_on"]), nan=today)
    ended = np.where(unknown, removed, fitted + age)
    began = np.where(unknown, first_day, fitted + entry)
    began = np.where(running, np.fmin(began, ended), began)
    kept = np.flatnonzero(told & ((ended > began) | running))
    coded = {name: known.codes("fittings", name) for name in _AS_FITTED}
    coded["variant"] = coded_variants(known)
    coded |= {name: Coded.of(table[name]) for name in ("ink", "outcome")}
    columns: dict[str, object] = {name: _in_words(one.take(kept)) for name, one in coded.items()}
    numbers = {"fitted": fitted, "began": began, "ended": ended, "counted": counted}
    numbers |= {"ok": np.where(unknown, np.nan, fitted + last_ok), "unknown": unknown}
    numbers["guessed"] = known.fittings["age_guess_days"].to_numpy()
    columns.update((name, own[kept]) for name, own in numbers.items())
    return pd.DataFrame(columns, index=table.index[kept], copy=False)


def _in_words(column: Coded) -> pd.Categorical:
    """A column of words as categories in order."""
    order = np.argsort(column.words)
    place = np.empty_like(order)
    place[order] = np.arange(len(order))
    return pd.Categorical.from_codes(place[column.codes], column.words[order])


def _numbers(days: pd.Series) -> Array:
    numbers: Array = (days.to_numpy() - np.datetime64(0, "ns")) / np.timedelta64(1, "D")
    return numbers


def _numbered(labels: pd.DataFrame) -> tuple[Ints, list[tuple[str, ...]]]:
    """Each row's place among the different labels in order, and these."""
    code, columns = np.zeros(len(labels), np.int64), []
    for column in labels.columns:
        own, names = pd.factorize(labels[column], sort=True)
        code = code * len(names) + own
        columns.append(names)
    sizes = tuple(map(len, columns))
    found = rising(code, int(np.prod(sizes)))
    words = zip(columns, np.unravel_index(found, sizes), strict=True)
    named = zip(*(names[own].tolist() for names, own in words), strict=True)
    return np.searchsorted(found, code), [tuple(map(str, name)) for name in named]


def _in_open_days(
    open_days: OpenDays, unit: Ints, fitted: Array, began: Array, ended: Array, ok: Array
) -> tuple[Array, Array, Array]:
    """Entry, age and last good age in open days; a life that had none lived half a day."""
    new = open_days.counted(unit, fitted)
    entry, age, good = (open_days.counted(unit, day) - new for day in (began, ended, ok))
    age = np.maximum(age, entry + SAME_DAY_AGE_DAYS)
    apart: Bools = good < age  # a check that no open day parts from the failure leaves it exact
    return entry, age, np.where(apart, np.maximum(good, entry), np.nan)


def _closed(known: Records, printers: tuple[str, ...]) -> Closed:
    """Closures of the whole workshop once, those of a site or a printer per printer."""
    closures = of_workshop(known.closures)
    common = (closures["site"] == "") & (closures["printer"] == "")
    rows = [
        (_EVERYWHERE, day_number(began), day_number(ended))
        for began, ended in closures.loc[common, ["began_on", "ended_on"]].dropna().to_numpy()
    ]
    apart = closures[~common]
    own = Closures.of(known.but(closures=apart)).spans if len(apart) else {}
    rows += [
        (number, float(began), float(ended))
        for number, name in enumerate(printers)
        for began, ended in own.get(name, np.empty((0, 2)))
    ]
    unit, began, ended = np.array(rows, dtype=float).reshape(-1, 3).T
    return Closed(unit.astype(np.int64), began, ended)


def _guesses(
    rows: pd.DataFrame, beliefs: list[LifeBelief], known: Records, as_of: date
) -> Guesses | None:
    """The ages each part may have had when it was first watched, before its life is looked at."""
    if rows.empty:
        return None
    watched = first_watched(known, as_of)
    found: dict[tuple[LifeBelief, FirstWatched, float], Array] = {}
    ages = np.empty((len(rows), AGES))
    guessed = rows["guessed"].to_numpy(float)
    for row, (printer, belief) in enumerate(zip(rows["printer"], beliefs, strict=True)):
        first = watched.get(str(printer), FirstWatched(0.0, np.inf))
        key = (belief, first, float(np.nan_to_num(guessed[row], nan=-1.0)))
        if key not in found:
            found[key] = _first_ages(belief, first, guessed[row])
        ages[row] = found[key]
    return Guesses(ages, np.full(ages.shape, 1 / AGES))


def _first_ages(belief: LifeBelief, first: FirstWatched, guess: float) -> Array:
    def survival(age: Array) -> Array:
        return np.asarray(np.exp(-((age / belief.typical_life) ** belief.shape)))

    return possible_ages(
        survival,
        belief.typical_life,
        0.0,
        oldest_at_first=first.oldest_at_first,
        guess_at_first=guess if guess >= 0 else None,  # 0: new then; NaN: nobody guessed
    ).ages
