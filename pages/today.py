"""What needs doing today: tasks due, orders to place, parts to watch."""

from __future__ import annotations

from datetime import date
from typing import Any

import pandas as pd
import streamlit as st

from pages import frame
from pages.sections.maintenance import closed_days
from pages.sections.start import steps
from pages.sections.today import first_forecast
from pages.sections.today.downtime import lately_empty, show_empty, show_standing, standing
from tracker.decisions.due import due_list
from tracker.decisions.ordering.order_proposal import order_proposal
from tracker.decisions.ordering.orders import open_orders
from tracker.decisions.preorder import preorder
from tracker.decisions.routine.first_question import first_value
from tracker.decisions.stock_table import stock_table
from tracker.decisions.warranty import warranty_ending
from tracker.forecast.drift import drift
from tracker.forecast.outlook import outlook
from tracker.review.action_list import open_actions
from tracker.say import numbers, part_types
from tracker.say.ages import age_assumed
from tracker.say.cautions import cautions_in_short
from tracker.say.drift import drift_line
from tracker.say.maintenance.due import on_trial, shutdown_in_short
from tracker.say.maintenance.experiment import reminders
from tracker.say.maintenance.value_verdict import answer_in_short
from tracker.say.monthly.actions import open_sentence
from tracker.say.nozzles import checks_say
from tracker.say.spares.orders import overdue, reasons
from tracker.say.spares.stock import count_first
from tracker.say.warranty import reminder
from tracker.store import acts
from tracker.workshop import vocabulary as words
from tracker.workshop.experiments import experiments
from tracker.workshop.records import Records

WATCH_DAYS = 14
WATCH_FROM = 0.15  # a part is worth an eye from this chance of failing within WATCH_DAYS
SHOWN = 8


def show(place: frame.Workshop) -> None:
    """The answer in one sentence, then the lists behind it, the most urgent first."""
    due = frame.ask(due_list)
    due = due[due["days_late"] >= 0] if len(due) else due
    orders = _orders(place)
    parts = frame.ask(outlook, WATCH_DAYS)
    watch = parts[parts["chance_of_failure"] >= WATCH_FROM] if len(parts) else parts
    empty = lately_empty(place)
    stopped = standing(place.records)["printer"].nunique()  # one may stand for two reasons
    counts = [
        numbers.count(len(due), "task") + " due",
        numbers.count(len(orders), "order") + " to place",
        numbers.count(len(watch) + len(empty), "part") + " to watch",
    ]
    if stopped:
        noun = "printer stands" if stopped == 1 else "printers stand"
        counts.insert(0, f"{stopped} {noun} still")
    frame.headline("Today", f"{numbers.day(place.as_of)}: {', '.join(counts)}.")
    first_forecast.show(place)
    closed_days.ask(place)
    show_standing(place)
    if st.button("Log something", type="primary", width="stretch", key="today-log"):
        st.switch_page(frame.ROOT / "pages" / "log.py")
    _open_actions(place)
    _experiments(place)
    if orders:
        st.header("Order now", anchor=False)
        if uncounted := count_first(frame.ask(stock_table)):
            st.markdown(f"**{uncounted}**")
        st.markdown("\n".join(f"- {what}" for what, _ in orders[:SHOWN]))
        with st.expander("Why, and what waiting costs"):
            for what, why in orders[:SHOWN]:
                st.markdown(f"{what}  \n{why}")
        if st.button("See all spares and orders", key="today-spares"):
            st.switch_page(frame.ROOT / "pages" / "spares.py")
    late = overdue(frame.ask(_open_now))
    if late:
        st.header("Orders that should be here", anchor=False)
        for sentence in late:
            st.markdown(f"- {sentence}")
        if st.button("Say what arrived", key="today-arrived"):
            st.switch_page(frame.ROOT / "pages" / "spares.py")
    ending = frame.ask(warranty_ending)
    if len(ending):
        st.header("Warranty ends soon", anchor=False)
        for row in ending.head(SHOWN).itertuples():
            st.markdown(f"- {reminder(row)}")
        if st.button("Write down the claim", key="today-claims"):
            st.switch_page(frame.ROOT / "pages" / "spares.py")
    st.header("Tasks due", anchor=False)
    _tasks(place, due)
    st.header("Parts to watch", anchor=False)
    show_empty(place, empty)
    _changed_lives()
    _watch(watch, parts)
    _does_it_pay(place)


def _does_it_pay(place: frame.Workshop) -> None:
    """On tap: is the routine worth its minutes? A list of today's work does not wait for it."""
    if place.records.maintenance.empty:
        return
    asked = st.toggle("Does the routine pay?", key="today-pays")
    if not asked:
        return
    said = answer_in_short(frame.ask(first_value))
    st.markdown(frame.words(said or "Not told here yet; the page Maintenance says more."))
    if st.button("See what it rests on", key="today-maintenance"):
        st.session_state["maintenance-view"] = "Does it pay?"
        st.switch_page(frame.ROOT / "pages" / "maintenance.py")


def _changed_lives() -> None:
    """One line where parts no longer last as long as they did, or last longer."""
    changed = frame.ask(drift)
    if not changed:
        return
    line = st.container(horizontal=True, vertical_alignment="center")
    line.markdown(drift_line(changed))
    if line.button("What changed then", key="today-drift"):
        st.switch_page(frame.ROOT / "pages" / "lives.py")


def _open_actions(place: frame.Workshop) -> None:
    """One line on what the reviews gave to do and is not done yet."""
    still_open = open_sentence(open_actions(place.records, place.as_of))
    if not still_open:
        return
    line = st.container(horizontal=True, vertical_alignment="center")
    line.markdown(still_open)
    if line.button("See the actions", key="today-actions"):
        st.session_state["review-wanted"] = place.records.actions["month"].max().date()
        st.switch_page(frame.ROOT / "pages" / "review.py")


def _experiments(place: frame.Workshop) -> None:
    """One line for each experiment that can be read now."""
    for number, said in enumerate(reminders(experiments(place.records), place.as_of)):
        line = st.container(horizontal=True, vertical_alignment="center")
        line.markdown(numbers.unbroken(said))
        if line.button("Read it", key=f"today-experiment-{number}"):
            st.session_state["maintenance-view"] = "Try it out"
            st.switch_page(frame.ROOT / "pages" / "maintenance.py")


def _open_now(records: Records, as_of: date) -> pd.DataFrame:
    return open_orders(records.known_at(as_of), as_of)


def _orders(place: frame.Workshop) -> list[tuple[str, str]]:
    """What to order and for how much, the dearest first, each with its reason."""
    table, heads = frame.ask(stock_table), frame.ask(preorder)
    lines = order_proposal(table, heads, place.as_of)
    return [
        (
            numbers.unbroken(
                f"**{row.pieces:.0f} × {part_types.within(row)}** – about {place.money(row.cost)}"
            ),
            numbers.unbroken(reason),
        )
        for row, reason in zip(
            lines.itertuples(), reasons(lines, table, heads, place.currency), strict=True
        )
    ]


def _tasks(place: frame.Workshop, due: pd.DataFrame) -> None:
    printers = frame.steady("today-printers", due["printer"])
    if due.empty and not printers:
        if place.records.routines.empty:
            frame.empty_state(
                "No routine yet: say which task is due how often, and this list fills."
            )
            if st.button("Set up the routine", key="today-routine"):
                st.session_state["records-wanted"] = "Settings"
                st.session_state["settings-of"] = "Routines"
                st.switch_page(frame.ROOT / "pages" / "records.py")
        else:
            st.success("Nothing is due.", icon=":material/check_circle:")
        return
    everyone = (key for names in due["cautions"] for key in names)
    frame.cautions(everyone, label="The cautions in full")
    for printer in printers[:SHOWN]:
        with st.container(border=True):
            _printer_card(place, printer, due[due["printer"] == printer])
    if len(printers) > SHOWN:
        more = numbers.count(len(printers) - SHOWN, "more printer")
        if st.button(f"See {more} with tasks due", key="today-due"):
            st.session_state["maintenance-view"] = "Due"
            st.switch_page(frame.ROOT / "pages" / "maintenance.py")


def _printer_card(place: frame.Workshop, printer: str, rows: pd.DataFrame) -> None:
    """One printer's tasks; what was done stays in its line, so that nothing moves under a tap."""
    tasks = frame.steady(f"today-{printer}", rows["task"])
    late = rows["days_late"].max() if len(rows) else 0
    lateness = f", up to {numbers.days(late)} late" if late >= 1 else ""
    count = f"{numbers.count(len(rows), 'task')} due" if len(rows) else "all done"
    st.markdown(f"**{printer}** – {count}{lateness}")
    by_task = {row.task: row for row in rows.itertuples()}
    for task in tasks:
        row = by_task.get(task)
        if row is None:
            label = f"✓ {words.task_label(task)}"
            st.button(label, key=f"was-{printer}-{task}", width="stretch", disabled=True)
            continue
        late_text = f" · {numbers.days(row.days_late)} late" if row.days_late >= 1 else ""
        minutes = f" · {row.minutes:.0f} min" if row.minutes == row.minutes else ""
        why = f" · {shutdown_in_short(row.shutdown)}" if row.shutdown else ""
        trial = f" · every {row.every_days:g} days {on_trial(row.phase)}" if row.phase else ""
        label = f"Done: {row.label}{minutes}{late_text}{why}{trial}"
        if row.cautions:
            st.caption(f"⚠️ {cautions_in_short(row.cautions)}")
        if st.button(label, key=f"done-{printer}-{task}", width="stretch"):
            _done(place, printer, (task,))
    # Last, so that the cautions of every task stand before it.
    everything = f"All done on {printer}"
    if len(tasks) > 1 and st.button(
        everything, key=f"done-{printer}", width="stretch", disabled=len(rows) < 2
    ):
        _done(place, printer, tuple(rows["task"]))


def _done(place: frame.Workshop, printer: str, tasks: tuple[str, ...]) -> None:
    with frame.errors_in_words():
        batch = acts.log_tasks(
            place.store, printer, tasks, place.as_of, who=frame.who(), now=frame.now()
        )
        frame.recorded(f"{', '.join(map(words.task_label, tasks))} on {printer}.", batch)


def _watch(watch: pd.DataFrame, parts: pd.DataFrame) -> None:
    if parts.empty:
        frame.empty_state("No part is fitted yet.", button="Log the first part", page="log")
    elif watch.empty:
        st.success(
            f"No part has {numbers.chance(WATCH_FROM)} or more chance of failing within "
            f"{WATCH_DAYS} days.", icon=":material/check_circle:",
        )  # fmt: skip
    for row in watch.head(SHOWN).itertuples():
        said = (
            f"{numbers.chance(row.chance_of_failure)} chance of failing within {WATCH_DAYS} days "
            f"(80 % sure: {numbers.chance(row.chance_low)} to "
            f"{numbers.chance(row.chance_high)}); "
            f"{_evidence(place, row)}"
            f"{f'. {checks}' if (checks := checks_say(row, WATCH_DAYS)) else ''}"
            f"{f'; {assumed}' if (assumed := age_assumed(row)) else ''}"
        )
        st.markdown(f"- **{part_types.placed(row)}** – {numbers.unbroken(said)}")
    if len(watch) > SHOWN and st.button(
        f"See {numbers.count(len(watch) - SHOWN, 'more part')} to watch", key="today-lives"
    ):
        kind = watch.iloc[SHOWN]["part_kind"]
        st.session_state["lives-kind"] = kind
        st.switch_page(frame.ROOT / "pages" / "lives.py")


def _evidence(place: frame.Workshop, row: Any) -> str:
    lasts = (row.days_p50, row.median_if_guess_halved, row.median_if_guess_doubled)
    said = place.evidence(row.part_kind, row.failures, lasts, "days")
    return f"as likely as not it lasts {numbers.days(row.days_p50)} more; {said}"


place = frame.workshop()
if place.records.printers.empty:
    steps.show(place, "today")
else:
    show(place)
