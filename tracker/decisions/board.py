"""The workshop at a glance: which printer stands, what is in it, how long may that still last?"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import Any, Literal, NamedTuple

import pandas as pd

from tracker.decisions.failure_cost import FailureCosts
from tracker.forecast.fitted_lives import FittedLives, fit_lives
from tracker.forecast.life_history import date_of
from tracker.forecast.nozzle_checks import head_checks
from tracker.forecast.outlook import outlook
from tracker.lives.open_days import Closures
from tracker.workshop.empty_positions import empty_positions
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType, types_in
from tracker.workshop.vocabulary import ink_of

WITHIN_DAYS = 30  # ahead for the risk, back for the nozzle checks
GUESS_SHARE = 0.5  # from this share on a remaining life is mostly a guess
State = Literal["prints", "stands", "closed"]


class BoardColumn(NamedTuple):
    """What stands in one column: a part kind, of dampers those of one ink."""

    part_kind: str
    ink: str = ""


WHITE_DAMPERS, COLOUR_DAMPERS = BoardColumn("damper", "white"), BoardColumn("damper", "colour")
ALWAYS = (
    BoardColumn("head"), WHITE_DAMPERS, COLOUR_DAMPERS, BoardColumn("wiper"), BoardColumn("cap"),
)  # fmt: skip


@dataclass(frozen=True)
class BoardCell:
    """The part of a printer's column that is likeliest to fail within WITHIN_DAYS.

    ``parts`` of the column are in the printer, ``empty`` names the positions that wait for one;
    where all wait, ``position`` is "" and there is no age and no remaining life (NaN). Ages and
    remaining lives in days; ``age_low`` and ``age_high`` are the limits within which the age lies
    in 8 of 10 cases, one number where the fitting day is known. ``days_p10, days_p50, days_p90``:
    days from now by which it has failed with chance 10, 50 and 90 %. ``guess_share``: by how much
    the median follows the guess of a typical life, 1 where it doubles with it, 0 where it stays.
    ``checks``: of a head, the days of the last WITHIN_DAYS on which its nozzles were checked and
    how many were missing, the earliest first.
    """

    part_kind: str
    variant: str
    printer: str
    position: str
    parts: int
    empty: tuple[str, ...] = ()
    age_low: float = math.nan
    age_high: float = math.nan
    chance_of_failure: float = math.nan
    days_p10: float = math.nan
    days_p50: float = math.nan
    days_p90: float = math.nan
    guess_share: float = math.nan
    checks: tuple[tuple[date, int], ...] = ()

    @property
    def is_mostly_guess(self) -> bool:
        """Does the remaining life rest on the guess more than on the log?"""
        return self.guess_share > GUESS_SHARE


@dataclass(frozen=True)
class BoardRow:
    """One printer: how it stands today, ``since`` when and by what ``cause`` where that is known.

    ``at_risk``: what failures of the next WITHIN_DAYS are expected to cost, and what waits for a
    part already; currency units.
    """

    printer: str
    site: str
    state: State
    since: date | None
    cause: str
    at_risk: float
    cells: dict[BoardColumn, BoardCell]


@dataclass(frozen=True, eq=False)
class Board:
    """Every printer in use, ``columns`` that hold a part in any of them; those of ALWAYS first."""

    as_of: date
    columns: tuple[BoardColumn, ...]
    rows: tuple[BoardRow, ...]

    @cached_property
    def sites(self) -> tuple[str, ...]:
        """The sites' names, "" where a printer has none."""
        return tuple(sorted({row.site for row in self.rows}))

    @property
    def often(self) -> tuple[BoardColumn, ...]:
        """The columns looked at every day."""
        return tuple(column for column in self.columns if column in ALWAYS)

    @property
    def others(self) -> tuple[BoardColumn, ...]:
        """The columns looked at on demand."""
        return tuple(column for column in self.columns if column not in ALWAYS)

    @property
    def has_head_types(self) -> bool:
        """Do heads of several types work in these printers?"""
        heads = (row.cells.get(ALWAYS[0]) for row in self.rows)
        return len({head.variant for head in heads if head is not None}) > 1

    def likeliest(self) -> BoardCell | None:
        """The part likeliest to fail within WITHIN_DAYS; None where none is fitted."""
        cells = [cell for row in self.rows for cell in row.cells.values() if cell.position]
        return max(cells, key=lambda cell: cell.chance_of_failure, default=None)


def board(records: Records, as_of: date, *, fitted: FittedLives | None = None) -> Board:
    """How does each printer stand, and what is in it for how long yet?

    Printers that stand still come first, then those whose parts are most at risk (``at_risk``).
    A waste tank has a cell only where it is missing: it goes by its level (see ``outlook``).
    """
    known = records.known_at(as_of)
    fitted = fit_lives(records, as_of) if fitted is None else fitted
    parts = outlook(records, as_of, WITHIN_DAYS, fitted=fitted)
    waiting = empty_positions(known, as_of)
    waiting = waiting[~waiting["given_up"]]
    cells = _cells(parts, waiting, _checks(known, fitted, as_of))
    at_risk = _at_risk(known, fitted, parts, waiting)
    states = _states(known, as_of)
    rows = [
        BoardRow(
            name, str(site), *states.get(name, ("prints", None, "")), at_risk.get(name, 0.0),
            cells.get(name, {}),
        )
        for name, site in _in_use(known, as_of).items()
    ]  # fmt: skip
    rows.sort(key=lambda row: (row.state != "stands", -row.at_risk, row.printer))
    there = {column for row in rows for column in row.cells}
    kinds = [BoardColumn(kind) for kind in known.part_kinds()]
    order = dict.fromkeys((*ALWAYS, *kinds))
    return Board(as_of, tuple(column for column in order if column in there), tuple(rows))


def _in_use(known: Records, as_of: date) -> dict[str, str]:
    """The printers that are not retired, each with its site."""
    printers = known.printers.drop_duplicates("printer", keep="last")
    gone = printers["retired_on"] <= pd.Timestamp(as_of)
    kept = printers[~gone]
    return dict(zip(kept["printer"].map(str), kept["site"].map(str), strict=True))


def _states(known: Records, as_of: date) -> dict[str, tuple[State, date | None, str]]:
    """The printers that do not print: (state, since when, why)."""
    closures = Closures.of(known)
    found: dict[str, tuple[State, date | None, str]] = {}
    for printer in closures.spans:
        for began, _ in closures.spans_between(printer, as_of, as_of):
            found[printer] = ("closed", began, "")
    stops = known.stoppages
    for row in stops[stops["ended_at"].isna()].sort_values("began_at").itertuples():
        printer = str(row.printer)
        if found.get(printer, ("",))[0] != "stands":  # the first of several counts
            began_at: Any = row.began_at
            found[printer] = ("stands", began_at.date(), str(row.cause))
    return found


def _column(part_kind: str, ink: str) -> BoardColumn:
    if part_kind != "damper":
        return BoardColumn(part_kind)
    return WHITE_DAMPERS if ink == "white" else COLOUR_DAMPERS


def _cells(
    parts: pd.DataFrame, waiting: pd.DataFrame, checks: dict[int, tuple[tuple[date, int], ...]]
) -> dict[str, dict[BoardColumn, BoardCell]]:
    """By printer and column; ``parts`` of ``outlook``, likeliest to fail first."""
    empty: dict[tuple[str, BoardColumn], list[Any]] = {}
    for row in waiting.itertuples():
        ink = ink_of(str(row.part_kind), str(row.position))
        empty.setdefault((str(row.printer), _column(str(row.part_kind), ink)), []).append(row)
    running: dict[tuple[str, BoardColumn], list[Any]] = {}
    for row in parts.itertuples():
        column = _column(str(row.part_kind), str(row.ink))
        running.setdefault((str(row.printer), column), []).append(row)
    found: dict[str, dict[BoardColumn, BoardCell]] = {}
    for printer, column in dict.fromkeys((*running, *empty)):
        rows, gaps = running.get((printer, column), []), empty.get((printer, column), [])
        positions = tuple(str(gap.position) for gap in gaps)
        if rows:
            cell = _running(rows[0], len(rows), positions, checks.get(rows[0].Index, ()))
        else:
            cell = BoardCell(column.part_kind, str(gaps[0].variant), printer, "", 0, positions)
        found.setdefault(printer, {})[column] = cell
    return found


def _running(
    row: Any, parts: int, empty: tuple[str, ...], checks: tuple[tuple[date, int], ...]
) -> BoardCell:
    is_known = not pd.isna(row.age_days)
    return BoardCell(
        str(row.part_kind), str(row.variant), str(row.printer), str(row.position), parts, empty,
        age_low=float(row.age_days if is_known else row.age_p10),
        age_high=float(row.age_days if is_known else row.age_p90),
        chance_of_failure=float(row.chance_of_failure),
        days_p10=float(row.days_p10), days_p50=float(row.days_p50), days_p90=float(row.days_p90),
        guess_share=guess_share(row.median_if_guess_halved, row.median_if_guess_doubled),
        checks=checks,
    )  # fmt: skip


def guess_share(halved: float, doubled: float) -> float:
    """By how much does a figure follow the guess: 1 as much as it, 0 not at all?

    ``halved, doubled``: the figure with half and with twice the guess.

    >>> guess_share(50, 200), guess_share(100, 100), guess_share(70.7, 141.4)
    (1.0, 0.0, 0.5)
    """
    if not (math.isfinite(halved) and math.isfinite(doubled) and halved > 0 and doubled > 0):
        return 1.0  # no end in sight is nothing that a log has shown
    return round(min(1.0, abs(math.log(doubled / halved)) / math.log(4)), 6)


def _checks(
    known: Records, fitted: FittedLives, as_of: date
) -> dict[int, tuple[tuple[date, int], ...]]:
    """The nozzle checks of the last WITHIN_DAYS of each running head, by its fitting."""
    heads = fitted.running[fitted.running["part_kind"] == "head"]
    if not known.count("nozzle_checks") or heads.empty:
        return {}
    heads = heads.assign(last_ok_on=known.fittings["last_ok_on"].reindex(heads.index))
    found: dict[int, list[tuple[date, int]]] = {}
    for row in head_checks(known, heads, as_of - timedelta(days=WITHIN_DAYS)).itertuples():
        fitting: Any = row.fitting
        missing: Any = row.missing
        found.setdefault(int(fitting), []).append((date_of(row.day), int(missing)))
    return {fitting: tuple(checks) for fitting, checks in found.items()}


def _at_risk(
    known: Records, fitted: FittedLives, parts: pd.DataFrame, waiting: pd.DataFrame
) -> dict[str, float]:
    """What failures of the next WITHIN_DAYS are expected to cost, by printer.

    A position that waits for its part costs as much as one that fails for certain.
    """
    costs = FailureCosts.of(known, fitted.as_of)
    each = pd.concat(
        [
            parts[["printer", "part_kind", "variant", "chance_of_failure"]],
            waiting[["printer", "part_kind", "variant"]].assign(chance_of_failure=1.0),
        ]
    )
    if each.empty:
        return {}
    price: dict[PartType, float] = {}
    for part in dict.fromkeys(types_in(each)):
        price[part] = costs.of_kind(*part, spare_on_shelf=True).total
    amount = each["chance_of_failure"] * [price[part] for part in types_in(each)]
    by_printer = each.assign(amount=amount).groupby("printer")["amount"].sum()
    return {str(name): float(total) for name, total in by_printer.items()}
