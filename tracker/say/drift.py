"""In words: since when lives are longer or shorter, and what else changed then."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from tracker.forecast.drift import Drift, Event, LogChange
from tracker.language import N_, _, month_name
from tracker.lives.lots_in_use import LOTS
from tracker.say import numbers
from tracker.say.phrases import listed
from tracker.workshop import vocabulary as words

_MOST = 2  # of one sort told by name
_TIMES = 2.0  # from there on “times as long” is plainer than a share
# In the order told: what people decide first, what comes and goes by itself last.
_EVENTS: tuple[Event, ...] = (
    "routine_begun", "routine_ended", "printer_joined", "printer_left", "supplier",
    "ink_lot", "closed", "film_lot", "powder_lot",
)  # fmt: skip
_OPENED = {
    "ink_lot": N_("ink lot {name} was opened ({on})"),
    "film_lot": N_("film lot {name} was opened ({on})"),
    "powder_lot": N_("powder lot {name} was opened ({on})"),
}
_SEVERAL_OPENED = {
    "ink_lot": N_("ink lots {listed} were opened"),
    "film_lot": N_("film lots {listed} were opened"),
    "powder_lot": N_("powder lots {listed} were opened"),
}


def drift_sentence(found: Drift) -> str:
    """The change with its limits, and what else changed at that time."""
    then = changes_words(found.at_that_time)
    if not then:
        return f"{_since(found)}."
    return _(
        "{found}; at that time: {then}. What changed then need not be the cause.",
        found=_since(found),
        then=then,
    )


def drift_line(found: Drift) -> str:
    """The change alone, in one line: the same wherever lives are told to have changed."""
    return f"{since_words(found)}."


def drift_in_review(found: Drift, as_of: date) -> str:
    """The change beside the figures of a month known on ``as_of``, and on which day it was seen."""
    if found.as_of == as_of:
        return _(
            "{found}; what is normal for a month counts on lives as they were when it began.",
            found=since_words(found),
        )
    return _(
        "{found}, as known on {day}; what is normal for a month counts on lives as they were when "
        "it began.",
        found=since_words(found),
        day=numbers.day(found.as_of),
    )


def since_words(found: Drift) -> str:
    """Since when parts last longer or shorter, without the limits."""
    month = found.changed_since + timedelta(days=15)  # the month whose first day is nearest
    return _(
        "Since about {month} parts last {factor}",
        month=month_name(month),
        factor=factor_words(found.factor),
    )


def _since(found: Drift) -> str:
    low, high = numbers.figure(found.lower), numbers.figure(found.upper)
    return _(
        "{found} (95 %: {low} to {high} times as long)",
        found=since_words(found),
        low=low,
        high=high,
    )


def factor_words(factor: float) -> str:
    """How long lives are against what they were.

    >>> factor_words(0.52), factor_words(0.7), factor_words(1.9), factor_words(1.4)
    ('half as long as before', '30 % less long than before', 'twice as long as before', \
'40 % longer than before')
    """
    for plain, told in (
        (1 / 3, N_("a third as long as before")),
        (0.5, N_("half as long as before")),
        (2.0, N_("twice as long as before")),
        (3.0, N_("three times as long as before")),
    ):
        if abs(factor / plain - 1) < 0.08:
            return _(told)
    changed = numbers.percent(abs(factor - 1))
    if factor < 1:
        return _("{share} less long than before", share=changed)
    if factor < _TIMES:
        return _("{share} longer than before", share=changed)
    return _("{factor} times as long as before", factor=numbers.figure(factor))


def changes_words(changes: Sequence[LogChange]) -> str:
    """What changed, sort by sort, at most two of each by name; "" where nothing did."""
    told = []
    for event in _EVENTS:
        own = [change for change in changes if change.what == event]
        more = len(own) - _MOST
        if event in LOTS and len(own) > 1:
            named = [f"{lot.name} ({numbers.day(lot.on)})" for lot in own[:_MOST]]
            named += [_("{more} more", more=more)] if more > 0 else []
            told.append(_(_SEVERAL_OPENED[event], listed=listed(named)))
            continue
        told += [_worded(change) for change in own[:_MOST]]
        if more > 0:
            told.append(_further(event, more))
    return "; ".join(told)


def _further(event: Event, more: int) -> str:
    """How many changes of a sort are not told by name."""
    if event in ("routine_begun", "routine_ended"):
        return numbers.count(more, "further routine", "further routines")
    if event in ("printer_joined", "printer_left"):
        return numbers.count(more, "further printer", "further printers")
    if event == "supplier":
        return numbers.count(more, "further new supplier", "further new suppliers")
    if event == "closed":
        return numbers.count(more, "further closure", "further closures")
    return numbers.count(more, "further lot", "further lots")


def _worded(change: LogChange) -> str:
    on = numbers.day(change.on)
    if change.what in LOTS:
        return _(_OPENED[change.what], name=change.name, on=on)
    if change.what == "closed":
        when = f"{on}, {change.name}" if change.name else on
        if change.of:
            return _("a closure of {of} began ({when})", of=change.of, when=when)
        return _("a closure began ({when})", when=when)
    if change.what in ("routine_begun", "routine_ended"):
        text = {
            (True, True): N_("a routine for “{task}” on {of} began ({on})"),
            (True, False): N_("a routine for “{task}” began ({on})"),
            (False, True): N_("a routine for “{task}” on {of} ended ({on})"),
            (False, False): N_("a routine for “{task}” ended ({on})"),
        }[change.what == "routine_begun", bool(change.of)]
        return _(text, task=words.task_label(change.name), of=change.of, on=on)
    if change.what == "supplier":
        kind = words.part_label(change.of).lower()
        return _(
            "the first {kind} from {name} was fitted ({on})", kind=kind, name=change.name, on=on
        )
    if change.what == "printer_joined":
        return _("{name} joined ({on})", name=change.name, on=on)
    return _("{name} left ({on})", name=change.name, on=on)
