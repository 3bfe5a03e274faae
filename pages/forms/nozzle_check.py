"""A nozzle check: how many nozzles are missing per channel."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import chain

import streamlit as st

from pages.forms import saving
from pages.forms.fields import pick_day, pick_person, pick_printer
from pages.forms.together import twice
from pages.shell import drafts, session, telling
from pages.shell.words import plain
from tracker.language import _, ngettext
from tracker.say import numbers
from tracker.say.channels import channel_label
from tracker.store import acts
from tracker.workshop import vocabulary as words
from tracker.workshop.contract import NOZZLE_CHECKS
from tracker.workshop.parts.head_channels import head_channels, in_order, printer_channels
from tracker.workshop.records import Records

BIG_STEPPERS = "big-steppers"  # the style gives their buttons a thumb's width
_USUAL = ("C", "M", "Y", "K", "W1")  # where neither the printer nor a check names any


def show(workshop: session.Workshop) -> None:
    """All good is one tap; otherwise one number per channel."""
    printer = pick_printer(workshop, "nozzle")
    if printer:
        ask(workshop, printer)


def ask(workshop: session.Workshop, printer: str) -> None:
    """The check of one printer, its channels in the printer's own order."""
    saving.nothing_unsaid()
    head, channels = _pick_head(workshop.records, printer)
    good = st.toggle(_("All nozzles fire"), value=True, key="nozzle-good")
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
                workshop.store, printer, head, day, missing, again=twice.again()
            )
            saving.saved(
                _("Nozzle check of {printer}: {total}.", printer=printer, total=_result(total)),
                batch_id,
                "nozzle-",
            )


def _pick_head(records: Records, printer: str) -> tuple[str, Sequence[str]]:
    """The head that is checked, with the channels that are looked at."""
    fitted = records.fittings
    here = fitted[
        (fitted["printer"] == printer)
        & (fitted["part_kind"] == "head")
        & fitted["removed_on"].isna()
    ]
    heads = [str(head) for head in sorted(here["position"])] or ["H1"]
    own = {
        head: channels or _USUAL
        for head, channels in head_channels(records, printer, heads).items()
    }
    if len(heads) < 2:
        return heads[0], own[heads[0]]
    head_type = str(records.printers.set_index("printer").loc[printer, "head_type"])
    label = ", ".join(filter(None, (_("Head"), plain(words.said(head_type)))))
    head = st.pills(
        label, heads, default=heads[0], required=True, format_func=plain, key="nozzle-head"
    )
    return head, _pick_channels(printer, head, own, printer_channels(records, printer))


def _pick_channels(
    printer: str, head: str, own: Mapping[str, Sequence[str]], every: Sequence[str]
) -> list[str]:
    """Those that the head prints are chosen already; any other of the printer is one tap."""
    offered = in_order(chain(every, *own.values()), every)
    chosen = st.pills(
        _("Channels that {head} prints", head=plain(head)), offered,
        selection_mode="multi", default=own[head], format_func=plain,
        key=drafts.of_place("nozzle-channels", printer, head),
    )  # fmt: skip
    if not chosen:
        saving.must_be_said("nozzle-channels", _("Choose at least one channel of the head."))
    return [channel for channel in offered if channel in chosen]


def _count(channels: Sequence[str]) -> dict[str, int]:
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
