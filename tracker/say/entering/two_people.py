"""Two people at one record: who was first, what stands there, and which is to stay."""

from __future__ import annotations

from datetime import date, datetime

from tracker.intake.cells.settings import setting_label
from tracker.language import N_, _
from tracker.say import numbers
from tracker.say.entering.record_words import cell_words, column_label, ever_said, in_words
from tracker.store.acts import Earlier
from tracker.store.meanwhile.as_read import Disagreement
from tracker.workshop.contract import TABLE_BY_NAME
from tracker.workshop.refusal import written
from tracker.workshop.vocabulary import part_name


def moment(when: datetime, now: datetime) -> str:
    """When something was written down, as people say it: ``a minute ago``, ``at 10:42``."""
    minutes = (now - when).total_seconds() / 60
    if 0 <= minutes < 1:
        return _("a moment ago")
    if 1 <= minutes < 2:
        return _("a minute ago")
    if 0 <= minutes < 60:
        return _("{minutes} minutes ago", minutes=f"{minutes:.0f}")
    if when.date() == now.date():
        return _("at {time}", time=f"{when:%H:%M}")
    return _("on {day} at {time}", day=numbers.day(when.date()), time=f"{when:%H:%M}")


def logged_already(found: Earlier, me: str, now: datetime) -> str:
    """Who wrote the same down before, and when."""
    by = found.author
    if found.other_day:
        return _changed_lately(found, now)
    if by is None:
        return _("This is in the records already.")
    when, what = moment(by.when, now), in_words(by.what)
    if any(by.what.startswith(said.split("{")[0]) for said in ever_said(N_("Loaded {source}"))):
        return _(
            "This is in the records already; it came with “{what}” {when}.", what=what, when=when
        )
    if by.who == me:
        return (
            _("You logged this {when}: {what}.", when=when, what=what)
            if me
            else _("This was logged {when}: {what}.", when=when, what=what)
        )
    if not by.who:
        return _("Somebody logged this {when}: {what}.", when=when, what=what)
    return _("{who} logged this {when}: {what}.", who=by.who, when=when, what=what)


def _changed_lately(found: Earlier, now: datetime) -> str:
    """A part change a few days before the one that is told now: is it another one?"""
    by, values = found.author, found.values
    who = [] if by is None else [text for text in (by.who, moment(by.when, now)) if text]
    day = values["removed_on"]
    assert isinstance(day, date)
    return _(
        "{part} of {printer} was changed on {day} already{who}. Was it changed a second time?",
        part=part_name(str(values["part_kind"]), str(values["position"])),
        printer=values["printer"],
        day=numbers.day(day),
        who=f" ({', '.join(who)})" if who else "",
    )


def recorded(found: Earlier) -> str:
    """What is recorded: the filled fields of the record."""
    table = TABLE_BY_NAME[found.table]
    cells = ((column, written(found.values[column.name])) for column in table.columns)
    return " · ".join(
        f"{column_label(column.name)}: {cell_words(column, text)}" for column, text in cells if text
    )


def which_stays(one: Disagreement, now: datetime) -> str:
    """The question about a field that two people changed differently."""
    by = one.author
    told = {
        "who": (by.who if by else "") or _("Somebody"),
        "when": moment(by.when, now) if by else _("meanwhile"),
        "field": setting_label(one.record) if one.table == "settings" else column_label(one.column),
    }
    theirs, mine = _cell(one, one.theirs), _cell(one, one.mine)
    if not theirs:
        return _(
            "{who} emptied “{field}” {when}; you wrote “{mine}”. Which is to stay?",
            mine=mine,
            **told,
        )
    if not mine:
        return _(
            "{who} wrote “{theirs}” under “{field}” {when}; you emptied it. Which is to stay?",
            theirs=theirs,
            **told,
        )
    return _(
        "{who} wrote “{theirs}” under “{field}” {when}; you wrote “{mine}”. Which is to stay?",
        theirs=theirs,
        mine=mine,
        **told,
    )


def keep_theirs(one: Disagreement) -> str:
    """The answer that leaves the field as it is now."""
    theirs = _cell(one, one.theirs)
    return _("Keep “{theirs}”", theirs=theirs) if theirs else _("Keep it empty")


def take_mine(one: Disagreement) -> str:
    """The answer that writes what was typed here."""
    mine = _cell(one, one.mine)
    return _("Write “{mine}”", mine=mine) if mine else _("Empty it")


def _cell(one: Disagreement, value: object) -> str:
    column = TABLE_BY_NAME[one.table].column(one.column)
    text = written(value)
    return cell_words(column, text) if text else ""
