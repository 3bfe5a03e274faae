"""A nozzle check: how many nozzles are missing per channel."""

from __future__ import annotations

import streamlit as st

from pages.forms import saving
from pages.forms.fields import pick_day, pick_person, pick_printer
from pages.forms.together import twice
from pages.shell import session, telling
from pages.shell.words import plain
from tracker.language import _, ngettext
from tracker.say import numbers
from tracker.say.channels import channel_label
from tracker.store import acts
from tracker.workshop import vocabulary as words
from tracker.workshop.contract import NOZZLE_CHECKS
from tracker.workshop.records import Records

BIG_STEPPERS = "big-steppers"  # the style gives their buttons a thumb's width


def show(workshop: session.Workshop) -> None:
    """All good is one tap; otherwise one number per channel."""
    printer = pick_printer(workshop, "nozzle")
    if printer:
        ask(workshop, printer)


def ask(workshop: session.Workshop, printer: str) -> None:
    """The check of one printer, its channels in the printer's own order."""
    saving.nothing_unsaid()
    head = _pick_head(workshop.records, printer)
    good = st.toggle(_("All nozzles fire"), value=True, key="nozzle-good")
    channels = channels_of(workshop.records, printer)
    missing = dict.fromkeys(channels, 0) if good else _count(channels)
    with st.expander(_("Details: day, name")):
        day = pick_day(workshop, _("Day"), "nozzle-day")
        pick_person()
    total = sum(missing.values())
    with telling.errors_in_words():
        counts = {
            _("{channel} missing", channel=channel_label(channel)): count
            for channel, count in missing.items()
        }
        said = {"Printer": printer, "Head": head, "Day": day, **counts}
        least = dict.fromkeys(counts, 0)
        label = _("Log: {total} on {printer}", total=_result(total), printer=plain(printer))
        if not (good or total):  # one button all the same: a number typed may be on its way
            label = _("Log the nozzle check of {printer}", printer=plain(printer))
            none = _("Write the missing nozzles of at least one channel, or say that all fire.")
            saving.must_be_said("nozzle-none", none)
        if saving.tapped(
            workshop, "nozzle-save", label, said, printers=[printer], at_least=least,
            counts=NOZZLE_CHECKS.column("missing_nozzles"),
        ):  # fmt: skip
            batch_id = acts.log_nozzle_check(
                workshop.store, printer, head, day, missing, again=twice.again(),
                who=session.who(), now=session.now(),
            )  # fmt: skip
            saving.saved(
                _("Nozzle check of {printer}: {total}.", printer=printer, total=_result(total)),
                batch_id,
                "nozzle-",
            )


def channels_of(records: Records, printer: str) -> list[str]:
    """The channels in the order in which they were written down for that printer."""
    row = records.printers.set_index("printer").loc[printer]
    return str(row["channels"]).split() or ["C", "M", "Y", "K", "W1"]


def _pick_head(records: Records, printer: str) -> str:
    fitted = records.fittings
    here = fitted[
        (fitted["printer"] == printer)
        & (fitted["part_kind"] == "head")
        & fitted["removed_on"].isna()
    ]
    heads = sorted(here["position"]) or ["H1"]
    if len(heads) < 2:
        return str(heads[0])
    head_type = str(records.printers.set_index("printer").loc[printer, "head_type"])
    label = ", ".join(filter(None, (_("Head"), plain(words.said(head_type)))))
    chosen = st.pills(
        label, heads, default=heads[0], required=True, format_func=plain, key="nozzle-head"
    )
    return chosen or str(heads[0])


def _count(channels: list[str]) -> dict[str, int]:
    """How many are missing of each; in a row that wraps, for columns under each other on a phone
    would put the channels out of their order."""
    with st.container(horizontal=True, key=BIG_STEPPERS):
        return {
            channel: int(
                st.number_input(
                    _("{channel} missing", channel=plain(channel_label(channel))),
                    value=0,
                    step=1,
                    key=f"nozzle-{channel}",
                    width=150,
                )
            )
            for channel in channels
        }


def _result(total: int) -> str:
    if not total:
        return _("all nozzles fire")
    return ngettext(
        "{count} nozzle missing",
        "{count} nozzles missing",
        total,
        count=numbers.decimal(total),
    )
