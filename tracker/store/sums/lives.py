"""Lives summed: what enters and leaves watching at which age, for the life model and for curves."""

from __future__ import annotations

from typing import Any

from sqlalchemy import (
    ColumnElement,
    Insert,
    Select,
    and_,
    case,
    func,
    insert,
    literal,
    literal_column,
    select,
)
from sqlalchemy import union_all as all_of

from tracker.store.sums.coded import (
    ACTIONS,
    LIVES,
    PERIODS,
    PRINTERS,
    SPANS,
    TICKS,
    earlier,
    later,
    total,
)

_KEYS = ("unit", "life_group", "lot", "period", "care")


def age_sums(width: int = 1) -> Select[Any]:
    """At which ages do how many lives enter, leave and fail, in every cell of the life model?

    ``unit, life_group, lot, period, care, age`` (ticks: where a band of ``width`` ticks begins; 1:
    each age by itself), ``entered, entered_at, left, left_at, failed, failed_at``: numbers of
    lives, and their ages added up. A life is cut where its printer's care or the period changes:
    it leaves one cell and enters the next.
    """
    lives, spans = LIVES.c, SPANS.c
    pieces = (
        select(
            lives.unit, lives.life_group, lives.lot, spans.period, spans.care,
            (later(lives.began, spans.begins) - lives.new_on).label("first"),
            (earlier(lives.ended, spans.ends) - lives.new_on).label("last"),
            case((and_(lives.failed == 1, lives.ended <= spans.ends), 1), else_=0).label("failed"),
        )
        .join_from(LIVES, SPANS, _overlaps())
        .cte("pieces")
    )  # fmt: skip
    piece = pieces.c
    keys = [piece[name] for name in _KEYS]

    def ends(age: ColumnElement[int], entered: int, failed: ColumnElement[int]) -> Select[Any]:
        """Pieces that begin or end in each band: few rows, before both are put together."""
        count, at = func.count(), total(age)
        none = literal(0)
        return select(
            *keys,
            _band(age, width).label("age"),
            (count if entered else none).label("entered"),
            (at if entered else none).label("entered_at"),
            (none if entered else count).label("left"),
            (none if entered else at).label("left_at"),
            total(failed).label("failed"),
            total(failed * age).label("failed_at"),
        ).group_by(*keys, _band(age, width))

    both = all_of(ends(piece.first, 1, literal(0)), ends(piece.last, 0, piece.failed)).subquery()
    by = [*(both.c[name] for name in _KEYS), both.c.age]
    amounts = ("entered", "entered_at", "left", "left_at", "failed", "failed_at")
    return select(*by, *(total(both.c[name]).label(name) for name in amounts)).group_by(*by)


def interval_sums() -> Select[Any]:
    """How many failures lie between which two distant checks? The cell of a life is that of the
    middle: ``unit, life_group, lot, period, care``; ``good`` and ``found`` in ticks; ``count``.
    """
    lives, spans = LIVES.c, SPANS.c
    # Twice the middle, so that it stays a whole number.
    twice = lives.good_on + lives.found_on
    here = and_(lives.printer == spans.printer, twice > 2 * spans.begins, twice <= 2 * spans.ends)
    by: list[ColumnElement[Any]] = [lives.unit, lives.life_group, lives.lot]
    by += [spans.period, spans.care]
    by += [lives.good_on - lives.new_on, lives.found_on - lives.new_on]
    named = [*by[:5], by[5].label("good"), by[6].label("found"), func.count().label("count")]
    found = select(*named).join_from(LIVES, SPANS, here)
    return found.where(lives.found_on.is_not(None)).group_by(*by)


def life_totals() -> Select[Any]:
    """Of every group: ``lives``, ticks ``watched``, ``failures``, ``accidents`` and the first tick,
    ``first_on``, on which any was watched.
    """
    lives = LIVES.c
    return select(
        lives.life_group,
        func.count().label("lives"),
        total(lives.left_on - lives.began).label("watched"),
        total(_worn()).label("failures"),
        total(lives.accident).label("accidents"),
        func.min(lives.began).label("first_on"),
    ).group_by(lives.life_group)


def risk_sets() -> Select[Any]:
    """How many are watched at each age at which some life ends, and how many fail there?

    ``life_group, age`` (ticks), ``at_risk`` (entered before that age, not left before it),
    ``failures``: all that Kaplan and Meier's and Nelson and Aalen's curves are made of. A life
    watched from new is at risk from the very beginning.
    """
    lives = LIVES.c
    # Who enters at an age is not yet at risk there, and who leaves still is: new at age −1.
    new = lives.began <= lives.new_on
    watched = select(
        lives.life_group,
        case((new, -1), else_=lives.began - lives.new_on).label("entry"),
        (lives.left_on - lives.new_on).label("age"),
        _worn().label("worn"),
    ).cte("watched")
    life = watched.c
    none = literal(0)
    steps = all_of(
        select(
            life.life_group, life.entry.label("age"), func.count().label("entered"),
            none.label("left"), none.label("failures"),
        ).group_by(life.life_group, life.entry),
        select(
            life.life_group, life.age, none.label("entered"),
            func.count().label("left"), total(life.worn).label("failures"),
        ).group_by(life.life_group, life.age),
    ).subquery()  # fmt: skip
    step = steps.c
    at_age = (
        select(
            step.life_group,
            step.age,
            total(step.entered).label("entered"),
            total(step.left).label("left_here"),
            total(step.failures).label("failures"),
        )
        .group_by(step.life_group, step.age)
        .subquery()
    )
    at = at_age.c
    before = func.sum(at.entered - at.left_here).over(
        partition_by=at.life_group, order_by=at.age, rows=(None, -1)
    )
    running = func.coalesce(before, 0)
    table = select(
        at.life_group, at.age, at.left_here, running.label("at_risk"), at.failures
    ).subquery()
    kept = select(table.c.life_group, table.c.age, table.c.at_risk, table.c.failures)
    return kept.where(table.c.left_here > 0)


def lives_by_age(width: int) -> Select[Any]:
    """The histogram of ages at which watching ended: ``life_group, age`` (ticks: where a band of
    ``width`` begins), ``lives, failures, accidents``.
    """
    lives = LIVES.c
    age = lives.left_on - lives.new_on
    return select(
        lives.life_group,
        _band(age, width).label("age"),
        func.count().label("lives"),
        total(_worn()).label("failures"),
        total(lives.accident).label("accidents"),
    ).group_by(lives.life_group, _band(age, width))


def spans_by_care(task: int, window_days: int) -> Insert:
    """Writes every printer's spans: each period it was there, its class of care being how often the
    task was done as planned in so many days before the period began.

    For printers without closed days, whose open days are all days.
    """
    printers, periods, actions = PRINTERS.c, PERIODS.c, ACTIONS.c
    done = actions.done_on * TICKS
    seen = and_(
        actions.printer == printers.printer, actions.task == task, actions.planned == 1,
        done >= periods.begins - window_days * TICKS, done < periods.begins,
    )  # fmt: skip
    there = and_(printers.began < periods.ends, printers.ended > periods.begins)
    by = [printers.printer, periods.begins, periods.ends, periods.period]
    counted = (
        select(*by, func.count(actions.done_on).label("care"))
        .select_from(PRINTERS.join(PERIODS, there).outerjoin(ACTIONS, seen))
        .group_by(*by)
    )
    return insert(SPANS).from_select(["printer", "begins", "ends", "period", "care"], counted)


def _overlaps() -> ColumnElement[bool]:
    lives, spans = LIVES.c, SPANS.c
    there = and_(lives.began < spans.ends, lives.ended > spans.begins)
    return and_(lives.printer == spans.printer, there)


def _worn() -> ColumnElement[int]:
    """1 for a life that wore out, found at once or between two distant checks."""
    return case((LIVES.c.found_on.is_not(None), 1), else_=LIVES.c.failed)


def _band(age: ColumnElement[int], width: int) -> ColumnElement[int]:
    """Where the band of ages begins. The width is written out: what is grouped by must read alike
    wherever it stands, and numbers sent beside a statement do not.
    """
    return age - age % literal_column(str(int(width)), age.type)
