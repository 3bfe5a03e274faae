"""What a link into the log chose already: the form, the printer, the part or task.

A link counts once: what a person picks afterwards is theirs, so the address is emptied.
"""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from pages.forms.fields import choose_printer, printers_at_work
from pages.shell import drafts, links, session
from pages.shell.words import plain
from tracker.say.printer_page import links as say_links
from tracker.workshop import vocabulary as words

_NAMES = ("printer", "what", "part", "position", "task")


def choose(workshop: session.Workshop, forms: Sequence[str]) -> None:
    """Choose in the forms what the address names; tell what it names in vain."""
    named = {name: wanted for name in _NAMES if (wanted := links.wanted(name))}
    for name in named:
        del st.query_params[name]
    problems = []
    if what := named.get("what"):
        if what in forms:
            drafts.put("log-what", what)
        else:
            problems.append(say_links.no_such_form(what, forms))
    if printer := named.get("printer"):
        if printer in printers_at_work(workshop):
            choose_printer(printer)
            _choose_work(workshop, printer, named)
        else:
            problems.append(say_links.not_at_work(printer))
    for problem in problems:
        st.warning(plain(problem), icon=":material/link_off:")


def _choose_work(workshop: session.Workshop, printer: str, named: dict[str, str]) -> None:
    """The part in that printer, and a task; what is not there is left to be picked."""
    rows = workshop.records.fittings
    rows = rows[(rows["printer"] == printer) & (rows["part_kind"] == named.get("part", ""))]
    if len(rows):
        kind = named["part"]
        drafts.put("part-kind", kind)
        if named.get("position", "") in set(rows["position"]) and rows["position"].nunique() > 1:
            drafts.put(f"part-position-{kind}", named["position"])
    own = {
        *words.TASKS,
        *workshop.records.routines["task"],
        *workshop.records.codes("maintenance", "task").occurring(),
    }
    if named.get("task", "") in own:
        drafts.put("task-names", [named["task"]])
