"""What stands still or stands empty now: printers that stopped, places without a part."""

from __future__ import annotations

from datetime import datetime

import pandas as pd
import streamlit as st

from pages import frame
from pages.forms.part_fields import empty_in
from pages.forms.saving import latest_day
from pages.forms.together import twice
from pages.sections.today.rows import line
from pages.shell import links, session, sites, telling
from pages.shell.time_zone import zone_name
from pages.shell.words import plain
from tracker.errors import RecordError
from tracker.language import N_, _
from tracker.say import numbers, part_types
from tracker.store import acts
from tracker.workshop.clocks.changes import true_time, with_pass, zone_named
from tracker.workshop.empty_positions import waiting_positions
from tracker.workshop.parts.after_stop import NONE, part_after_stop
from tracker.workshop.records import Records
from tracker.workshop.variants import pooled_variants

_SHOWN = 8
_EMPTY_SHOWN = 3


def standing(place: session.Workshop) -> pd.DataFrame:
    """Stoppages at the chosen site that are not over, the longest first."""
    rows = sites.of_site(place, place.records.stoppages)
    return rows[rows["ended_at"].isna()].sort_values("began_at")


def show_standing(workshop: session.Workshop) -> None:
    """Each printer that stands still, with the button for when it runs again."""
    rows = standing(workshop)
    for row_id, row in rows.head(_SHOWN).iterrows():
        began = numbers.moment(row.began_at)
        cause = row.cause or _part_in(workshop.records, row.printer, row.part_kind)
        said = _(
            "**{printer}** stands still since {began}",
            printer=plain(row.printer),
            began=plain(began),
        )
        said += f" – {plain(cause)}" if cause else ""
        key = _key(int(str(row_id)))
        _runs_again(
            workshop, int(str(row_id)), tapped=line(said, _("It runs again"), key, writes=True)
        )
    before = frame.on_screen("standing", rows.index.tolist())
    for gone in twice.late("runs", before, _key, rows.index.tolist()):
        _runs_again(workshop, gone, tapped=twice.was_tapped(_key(gone)))
    if len(rows) > _SHOWN:
        st.caption(_("And {count} more, first on the board below.", count=len(rows) - _SHOWN))


def _part_in(records: Records, printer: str, part_kind: str) -> str:
    """A kind with the types of it that are, or were, in that printer; "" for no kind."""
    if not part_kind:
        return ""
    fittings = records.fittings
    mine = (fittings["printer"] == printer) & (fittings["part_kind"] == part_kind)
    return part_types.of_all(part_kind, sorted(set(pooled_variants(records)[mine])))


def _key(row_id: int) -> str:
    return f"runs-{row_id}"


def _runs_again(workshop: session.Workshop, row_id: int, *, tapped: bool) -> None:
    with telling.errors_in_words():
        if twice.goes(("runs", _key(row_id)), tapped, _key(row_id)):
            _end(workshop, row_id, workshop.records.stoppages.loc[row_id])


def _end(workshop: session.Workshop, row_id: int, row: pd.Series) -> None:
    if part_after_stop(workshop.records, row, empty_in(workshop, row.printer)) != NONE:
        telling.forget_recorded()
        links.go_log(row.printer, N_("Stoppage"))  # which asks for the part that was changed
    ended = datetime.combine(latest_day(workshop), session.now().time().replace(second=0))
    zone = zone_name(workshop.records)
    began, clock = with_pass(row.began_at, row.began_pass), zone_named(zone)
    if true_time(ended, clock) <= true_time(began, clock):
        raise RecordError(
            _(
                "It is {ended}, which is not after {printer} stopped ({began_at}); write the "
                "time on the page Log, Stoppage.",
                ended=numbers.moment(ended),
                printer=row.printer,
                began_at=numbers.moment(row.began_at),
            )
        )
    batch = acts.end_stoppage(workshop.store, row_id, ended, time_zone=zone)
    telling.recorded(
        _("{printer} runs again since {ended}.", printer=row.printer, ended=f"{ended:%H:%M}"), batch
    )


def waiting(place: session.Workshop) -> pd.DataFrame:
    """Positions at the chosen site that wait for a part."""
    return sites.of_site(place, session.ask(waiting_positions))


def show_empty(workshop: session.Workshop) -> None:
    """Each position that waits for a part, with the way to log the one put in."""
    rows = waiting(workshop)
    for row in rows.head(_EMPTY_SHOWN).itertuples():
        key = f"fill-{row.printer}-{row.part_kind}-{row.position}"
        if line(f"{plain(part_types.stands_empty(row))}.", _("Log the new part"), key):
            part = {"part": str(row.part_kind), "position": str(row.position)}
            links.go_log(str(row.printer), "Part change", **part)
    if len(rows) > _EMPTY_SHOWN:
        more = numbers.count(len(rows) - _EMPTY_SHOWN, "more position", "more positions")
        st.caption(_("And {more} without a part; the board marks each.", more=more))
