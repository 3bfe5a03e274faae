"""What is to be done after the review: kept, changed, given to someone, ticked off."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from pages.forms.together import as_read
from pages.shell import acting, links, session, telling
from pages.shell.words import plain
from tracker.decisions.ordering.order_proposal import order_proposal
from tracker.decisions.preorder import preorder
from tracker.decisions.stock_table import stock_table
from tracker.language import _, month_name, ngettext
from tracker.review.action_list import ListedAction, people
from tracker.review.month import MonthReview
from tracker.review.proposals import OrderByDate, OrderForShelf
from tracker.say.cautions import last_word
from tracker.say.monthly.actions import (
    NOTHING_TO_DO,
    dated_reason,
    in_short,
    marks,
    orders_moved_on,
    to_do_sentence,
    worded,
)
from tracker.say.spares.answers import what_to_order
from tracker.sharing.roles import MANAGE
from tracker.store import acts

_OPEN = "review-open"  # which action is opened for changing
_SHOWN = 4  # to-dos before the others are folded away
_HELD_DAYS = 62  # so long after a month its proposals may still be written down


def show(place: session.Workshop, review: MonthReview) -> None:
    """What is open, the oldest review's first, then what is done, one's own, and the note."""
    st.header(_("To do next"), anchor=False)
    actions = worded(review)
    kept = [act for act in actions if act.row_id is not None and act.state != "done"]
    done = [act for act in actions if act.state == "done"]
    proposed = [act for act in actions if act.row_id is None and act.state != "done"]
    held = (place.as_of - review.as_of).days <= _HELD_DAYS
    rows = [*kept, *(proposed if held else [])]
    if told := to_do_sentence(review, len(kept), len(rows) - len(kept)):
        st.markdown(plain(told))
    if held:
        _orders_today(place, review, proposed)
    for act in rows[:_SHOWN]:
        _row(place, review, act)
    if more := rows[_SHOWN:]:
        label = ngettext("The last of them", "The other {count}", len(more), count=len(more))
        with st.expander(label):
            for act in more:
                _row(place, review, act)
    if proposed and held:
        _keep(place, review, proposed)
    if not actions:
        st.success(_(NOTHING_TO_DO), icon=":material/check_circle:")
    else:
        st.caption(last_word())
    if proposed and not held:
        with st.expander(_("Proposed then, not written down: {count}", count=len(proposed))):
            for act in proposed:
                st.markdown(f"- **{plain(act.what)}** {plain(act.why)}")
    if done:
        with st.expander(_("Done: {count}", count=len(done))):
            for act in done:
                _done(place, act)
    if review.note:
        st.markdown(_("**Note:** {note}", note=plain(review.note)))
    with st.expander(_("Add a to-do of your own, or a note")):
        _add(place, review)
        _note(place, review)


def _orders_today(
    place: session.Workshop, review: MonthReview, proposed: list[ListedAction]
) -> None:
    """Where orders are proposed that have moved on since: today's answer and the way to it."""
    orders = [act for act in proposed if isinstance(act.proposal, OrderByDate | OrderForShelf)]
    if not orders or review.as_of >= place.as_of:
        return
    table, dated = session.ask(stock_table), session.ask(preorder)
    lines = order_proposal(table, dated, place.as_of)
    today = what_to_order(lines, table, dated, place.currency)
    if told := orders_moved_on(orders, lines, review.as_of, today):
        text, way = st.columns([3, 1], vertical_alignment="center")
        text.markdown(plain(told))
        if way.button(_("See Spares"), key="review-spares", width="stretch"):
            links.go("spares")


def _keep(place: session.Workshop, review: MonthReview, proposed: list[ListedAction]) -> None:
    """Keep all proposals with one tap."""
    many = len(proposed)
    label = ngettext("Keep this to-do", "Keep these {count} to-dos", many, count=many)
    keep, why = st.columns([2, 3], vertical_alignment="center")
    why.caption(
        _(
            "Proposed from the figures of the month. Change what you see otherwise first: "
            "only what is kept is carried over to the next review."
        )
    )
    if acting.button(label, at=keep, type="primary", width="stretch", key="review-keep"):
        with telling.errors_in_words():
            batch = acts.keep_actions(place.store, review.month, proposed, place.as_of)
            sentence = ngettext(
                "{count} to-do of the {month} review kept.",
                "{count} to-dos of the {month} review kept.",
                many,
                count=many,
                month=month_name(review.month, year=False),
            )
            _recorded(sentence, batch)


def _row(place: session.Workshop, review: MonthReview, act: ListedAction) -> None:
    """One to-do with its buttons; opened, with fields to change it."""
    key = _key(act)
    if st.session_state.get(_OPEN) == key:
        with st.container(border=True):
            _change(place, review, act, key)
        return
    text, beside = st.columns([3, 1], vertical_alignment="center")
    lines = [f"**{plain(act.what)}**"]
    short = " · ".join(filter(None, (in_short(act), marks(act))))
    lines += [f":small[{plain(short)}]"] if short else []
    text.markdown("  \n".join(lines))
    buttons = beside.container(horizontal=True, horizontal_alignment="right")
    if acting.button(_("Done"), at=buttons, key=f"{key}-done", icon=":material/check:"):
        _act(lambda: _finish(place, review, act), _("Done: {what}", what=plain(act.what)))
    with buttons.popover(_("More")):
        for words in filter(None, (dated_reason(act), act.note)):
            st.markdown(plain(words))
        _buttons(place, review, act, key)


def _key(act: ListedAction) -> str:
    return f"review-{act.row_id}" if act.row_id is not None else f"review-{act.made_from}"


def _done(place: session.Workshop, act: ListedAction) -> None:
    """One line for what is done, with a way back."""
    text, beside = st.columns([4, 1], vertical_alignment="center")
    note = f" – *{plain(act.note)}*" if act.note else ""
    text.markdown(f"✓ ~~{plain(act.what)}~~ ({plain(marks(act))}){note}")
    if acting.button(_("Open again"), at=beside, key=f"{_key(act)}-reopen", width="stretch"):
        _act(
            lambda: acts.reopen_action(place.store, _number(act)),
            _("Open again: {what}", what=plain(act.what)),
        )


def _buttons(place: session.Workshop, review: MonthReview, act: ListedAction, key: str) -> None:
    if acting.button(_("Change"), key=f"{key}-change", width="stretch"):
        st.session_state[_OPEN] = key
        st.rerun()
    if acting.button(_("Not needed"), key=f"{key}-drop", width="stretch"):
        _act(lambda: _drop(place, review, act), _("Not needed: {what}", what=plain(act.what)))


def _change(place: session.Workshop, review: MonthReview, act: ListedAction, key: str) -> None:
    """Fields for the words, the person and a note."""
    words = {"action": act.what, "reason": act.why, "assigned_to": act.assigned_to,
             "note": act.note}  # fmt: skip
    form = as_read.opened(key, words)
    read = form.read
    with st.form(f"{key}-form", border=False):
        what = st.text_area(
            _("What is to be done"), read["action"], key=f"{form.key}-what", height=100
        )
        why = st.text_area(_("Why"), read["reason"], key=f"{form.key}-why", height=100)
        person = _person(place, read["assigned_to"], f"{form.key}-person")
        note = st.text_input(_("Note, e.g. what came of it"), read["note"], key=f"{form.key}-note")
        buttons = st.container(horizontal=True)
        save = acting.submit(_("Save"), at=buttons, type="primary", key=f"{key}-save")
        movable = act.row_id is not None and not act.carried_over
        up = movable and acting.submit(_("Move up"), at=buttons, key=f"{key}-up")
        cancel = buttons.form_submit_button(_("Cancel"), key=f"{key}-cancel")
    if cancel:
        _close()
        st.rerun()
    form.drawn()
    if form.goes(save):
        values = form.typed(
            {"action": what or "", "reason": why or "", "assigned_to": person, "note": note or ""}
        )
        _act(
            lambda: _save(place, review, act, values, form),
            _("Written down: {what}", what=plain(values["action"])),
        )
    if up:
        _act(
            lambda: acts.move_action_up(place.store, _number(act)),
            _("Moved up: {what}", what=plain(act.what)),
        )


def _save(
    place: session.Workshop,
    review: MonthReview,
    act: ListedAction,
    values: dict[str, str],
    form: as_read.Form,
) -> int | None:
    if act.row_id is not None:
        with form.saving():
            batch = acts.edit_action(place.store, act.row_id, values, as_read=form.read)
        form.close()
        return batch
    new = acts.NewAction(
        values["action"], values["reason"], values["assigned_to"], values["note"], act.made_from
    )
    return _write(place, review, new)


def _finish(place: session.Workshop, review: MonthReview, act: ListedAction) -> int | None:
    if act.row_id is not None:
        return acts.finish_action(place.store, act.row_id, place.as_of)
    done = acts.NewAction(
        act.what, act.why, assigned_to=session.who(), made_from=act.made_from, state="done"
    )
    return _write(place, review, done)


def _drop(place: session.Workshop, review: MonthReview, act: ListedAction) -> int | None:
    if act.row_id is not None:
        return acts.drop_action(place.store, act.row_id, place.as_of, review.month)
    dropped = acts.NewAction(act.what, act.why, made_from=act.made_from, state="dropped")
    return _write(place, review, dropped)


def _write(place: session.Workshop, review: MonthReview, new: acts.NewAction) -> int | None:
    return acts.write_action(place.store, review.month, new, place.as_of)


def _add(place: session.Workshop, review: MonthReview) -> None:
    """A to-do that no figure gave; what was typed stays when it is refused."""
    month = f"{review.month:%Y-%m}"
    with st.form(f"review-add-{month}", border=False):
        what = st.text_input(_("What is to be done"), key=f"review-add-what-{month}")
        why = st.text_input(_("Why"), key=f"review-add-why-{month}")
        person = _person(place, "", f"review-add-person-{month}")
        add = acting.submit(_("Add this to-do"), width="stretch", key="review-add-go")
    if add:
        _act(
            lambda: _write(place, review, acts.NewAction(what or "", why or "", person)),
            _("Written down: {what}", what=plain(what or "")),
            clear=(f"review-add-what-{month}", f"review-add-why-{month}"),
        )


def _person(place: session.Workshop, now: str, key: str) -> str:
    """Who does it: a name used before, or any other."""
    names = list(dict.fromkeys(filter(None, (now, session.who(), *people(place.records)))))
    chosen = st.selectbox(
        _("Who does it"),
        names,
        index=names.index(now) if now else None,
        accept_new_options=True,
        placeholder=_("Nobody yet: pick or type a name"),
        key=key,
    )
    return (chosen or "").strip()


def _act(act: Callable[[], int | None], sentence: str, clear: tuple[str, ...] = ()) -> None:
    """Does it and tells it with a way back; a refusal leaves everything as it was typed."""
    with telling.errors_in_words():
        batch = act()
        _recorded(sentence, batch, clear)


def _recorded(sentence: str, batch: int | None, clear: tuple[str, ...] = ()) -> None:
    _close()
    for key in clear:
        st.session_state.pop(key, None)
    telling.recorded(sentence.rstrip(".") + ".", batch)


def _close() -> None:
    st.session_state.pop(_OPEN, None)


def _number(act: ListedAction) -> int:
    assert act.row_id is not None, "only a written action can be changed"
    return act.row_id


def _note(place: session.Workshop, review: MonthReview) -> None:
    """A free note beside the month."""
    form = as_read.opened(f"review-note-{review.month:%Y-%m}", {"note": review.note})
    text = st.text_area(
        _("What else should be remembered of this month"),
        form.read["note"],
        key=f"{form.key}-text",
        height=120,
        placeholder=_("Who was away, what was unusual, what was decided …"),
    )
    form.drawn()
    typed = (text or "").strip()
    same = typed == form.read["note"].strip()
    if form.goes(
        acting.button(_("Save the note"), role=MANAGE, key="review-note-save", disabled=same)
    ):
        typed = form.typed({"note": typed})["note"]
        _act(
            lambda: _save_note(place, review, form, typed),
            _("Note of {month} saved.", month=month_name(review.month))
            if typed
            else _("Note of {month} taken out.", month=month_name(review.month)),
        )


def _save_note(
    place: session.Workshop, review: MonthReview, form: as_read.Form, typed: str
) -> int | None:
    with form.saving():
        batch = acts.write_note(
            place.store, review.month, typed, place.as_of, as_read=form.read["note"]
        )
    form.close()
    return batch
