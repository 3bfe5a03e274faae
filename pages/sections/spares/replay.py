"""Would this advice have paid so far? The workshop's own history played again, when asked for."""

from __future__ import annotations

from datetime import date

import pandas as pd
import streamlit as st

from pages import frame
from pages.sections.data_table import data_table
from pages.shell import session
from pages.shell.words import marked, plain
from tracker.language import _
from tracker.replay.findings import POLICIES, WARM_UP_DAYS
from tracker.replay.history import Replay, replay
from tracker.say import numbers, part_types
from tracker.say.replay import (
    advice_sentence,
    forecast_sentence,
    gain_meaning,
    playing,
    service_sentence,
)


def show(place: session.Workshop) -> None:
    """The question and a button, for the answer takes its time; then the answer."""
    wanted = f"replay-{place.url}"
    if not st.session_state.get(wanted):
        st.markdown(
            _(
                "Play your own history again: what was really needed, with orders placed as "
                "this page would have said on the day, against always one on the shelf and "
                "against ordering when something breaks."
            )
        )
        if not st.button(_("Play it again (takes a while)"), key="replay-start"):
            return
        st.session_state[wanted] = True
        st.rerun()
    _answer(place, _played(place))


def _played(place: session.Workshop) -> Replay:
    """The replay, with the month it has come to while it goes on; kept until a record changes."""
    asked = (place.url, place.version, place.as_of)
    kept: tuple[object, Replay] | None = st.session_state.get("replay-found")
    if kept is not None and kept[0] == asked:
        return kept[1]
    bar = st.progress(0.0, text=_("Playing your history again …"))

    def show_month(share: float, day: date) -> None:
        bar.progress(share, text=playing(day))

    found = replay(place.records, place.as_of, show_month)
    bar.empty()
    st.session_state["replay-found"] = (asked, found)
    return found


def _answer(place: session.Workshop, found: Replay) -> None:
    advice = found.advice
    if not advice.policies:
        st.info(marked(advice_sentence(advice)), icon=":material/hourglass_empty:")
    else:
        sentence = advice_sentence(advice)
        st.markdown(f"**{plain(sentence)}**")
        from tracker.charts.replay import replay_picture

        frame.chart(
            replay_picture(advice.policies, place.currency), alt=sentence, key="replay-chart"
        )
        st.caption(
            _(
                "Shorter is better. Counted from {scored_from}, after {warm_up_days} in "
                "which every way began with an empty shelf. Lost margin while a printer "
                "stands, money tied up, pieces too old, and what is left at the end at its "
                "full price; pieces that were used cost all three the same. Deliveries are "
                "drawn from your own delivery times, the same for all three.",
                scored_from=numbers.day(advice.scored_from),
                warm_up_days=numbers.days(WARM_UP_DAYS),
            )
        )
        st.markdown(plain(service_sentence(advice.service)))
        with st.expander(_("Each part kind")):
            data_table(_by_kind(place, found), key="replay-kinds")
    st.markdown(plain(forecast_sentence(found.forecasts)))
    st.caption(
        _(
            "{forecasts} Ranges told in a log's first months lean on the catalogue's typical "
            "lives.",
            forecasts=plain(gain_meaning(found.forecasts)),
        )
    )


def _by_kind(place: session.Workshop, found: Replay) -> pd.DataFrame:
    """One row per part kind: needed, and money with days stood still for each way of ordering."""
    rows = found.advice.by_kind
    titles = dict(
        zip(POLICIES, (_("As advised"), _("Always one"), _("When it breaks")), strict=True)
    )
    table = []
    for (kind, variant), own in rows.groupby(["part_kind", "variant"], sort=False):
        line = {
            _("Part"): part_types.label(str(kind), str(variant)),
            _("Needed"): int(own["needs"].iloc[0]),
        }
        for row in own.itertuples():
            stood = numbers.count(round(row.downtime_days), "day", "days")
            line[titles[row.policy]] = _(
                "{money}, {stood} stood", money=place.money(row.money), stood=stood
            )
        table.append(line)
    return pd.DataFrame(table)
