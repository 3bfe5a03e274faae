"""The evidence behind a part's life: curves, causes, families, scale, starting guess, the lives."""

from __future__ import annotations

import numpy as np
import pandas as pd
import streamlit as st

from pages import frame
from pages.forms.together import as_read
from pages.sections import glossary, paging
from pages.sections.data_table import data_table
from pages.sections.folded import folded
from pages.sections.records import part_in_use
from pages.shell import acting, session, telling
from pages.shell.words import marked, plain
from tracker.charts.lives.survival import causes_picture, plot_of_chances, survival_picture
from tracker.errors import NotEnoughData
from tracker.forecast.life_scale import scale_finding
from tracker.forecast.life_summary import LifeSummary
from tracker.language import _
from tracker.lives.life_table import ages
from tracker.models.curves.causes import cumulative_incidence
from tracker.models.curves.survival_curve import survival_curve
from tracker.models.fit.fitting import fit_life
from tracker.models.fit.plot import probability_plot
from tracker.say import numbers
from tracker.say.lives.summary import (
    between_checks,
    curve_sentence,
    curve_table,
    days_or_area,
    failure_modes,
    families_table,
    starting_guess,
    why_no_curve,
)
from tracker.say.phrases import first_up
from tracker.sharing.roles import MANAGE


def show_curve(kind: str, lives: pd.DataFrame, summary: LifeSummary) -> None:
    """How long they last: the figures, the survival curve over the lives, how they end."""
    _figures(summary)
    _curve(kind, lives, summary)
    folded(_("How they end: wear or accident"), lambda: _causes(kind, lives), key=f"causes-{kind}")


def _figures(summary: LifeSummary) -> None:
    first, second, third = st.columns(3)
    first.metric(_("One in ten has failed by (B10)"), numbers.days(summary.b10_days))
    first.caption(_limits(numbers.day_range(summary.b10_lower, summary.b10_upper)))
    second.metric(_("Half have failed by (median)"), numbers.days(summary.median_days))
    second.caption(_limits(numbers.day_range(summary.median_lower, summary.median_upper)))
    third.metric(_("Shape (1 = age tells nothing)"), numbers.figure(summary.shape))
    shape = _(
        "{low} to {high}",
        low=numbers.figure(summary.shape_lower),
        high=numbers.figure(summary.shape_upper),
    )
    third.caption(_limits(shape))
    glossary.on_tap(_("B10 life, median, shape, 95 % limits"), key="figures")


def _limits(between: str) -> str:
    return marked(_("95 % limits: {between}", between=between))


def _curve(kind: str, lives: pd.DataFrame, summary: LifeSummary) -> None:
    counted = lives[lives["counted"].astype(bool)]
    if counted.empty:
        return
    arrays = ages(lives)
    curve = survival_curve(arrays.age, arrays.failed, arrays.entry, arrays.last_ok)
    smooth = None
    if summary.basis == "lives":
        fit = fit_life(arrays.age, arrays.failed, arrays.entry, arrays.last_ok)
        grid = np.linspace(0, float(arrays.age.max()), 80)
        smooth = pd.DataFrame({"survival": fit.survival(grid)}, index=grid)
    frame.chart(
        survival_picture(kind, curve, counted, smooth, "days"),
        _("Survival curve of {label} with every life under it", label=summary.label),
        f"curve-{kind}",
    )
    st.caption(marked(curve_sentence(curve, summary.failures, summary.lives)))
    with st.expander(_("The curve as a table")):
        data_table(
            curve_table(curve),
            key=f"curve-table-{kind}",
            alt=_("Share still working by age with its limits"),
        )
        if curve.between_checks:
            st.markdown(marked(between_checks(curve.between_checks)))
    if curve.note:
        st.warning(plain(curve.note), icon=":material/warning:")


def show_more(
    place: session.Workshop, kind: str, lives: pd.DataFrame, summary: LifeSummary
) -> None:
    """How sure is that: probability plot, families, days or area, guess, every life."""
    thin = place.evidence(
        kind, summary.failures, summary.median_by_guess, "days", which=numbers.OF_KIND
    )
    st.markdown(marked(f"{first_up(thin)}."))
    with st.expander(_("Your starting guess, and how much it counts")):
        _guess(place, kind, summary)
    folded(
        _("Does the curve fit? Probability plot and other life families"),
        lambda: _fit(kind, lives, summary),
        key=f"fit-{kind}",
    )
    folded(
        _("Days or printed area: which tells more?"),
        lambda: st.markdown(plain(days_or_area(session.ask(scale_finding, kind)))),
        key=f"scale-{kind}",
    )
    folded(
        _("Every life, counted or not ({count})", count=len(lives)),
        lambda: _table(lives),
        key=f"every-{kind}",
    )


def _causes(kind: str, lives: pd.DataFrame) -> None:
    watched = lives[lives["counted"].astype(bool)]
    cause = watched["outcome"].where(watched["outcome"].isin(("failed", "accident")), "")
    if not (cause != "").any():
        st.info(_("None has failed or met an accident so far."), icon=":material/foggy:")
        return
    table = cumulative_incidence(watched["age"], cause.to_numpy(), watched["entry"])
    frame.chart(
        causes_picture(table, "days"), _("Chance of ending by each cause"), f"causes-{kind}"
    )
    modes = watched.loc[cause != "", "mode"].value_counts()
    st.markdown(plain(failure_modes(modes)))
    st.caption(_("Wear and accident compete; each curve allows for the other (Aalen–Johansen)."))
    glossary.on_tap(_("wear, accident, Aalen–Johansen"), key="causes")


def _fit(kind: str, lives: pd.DataFrame, summary: LifeSummary) -> None:
    if summary.basis != "lives":
        st.info(
            plain(why_no_curve(summary.failures, summary.lives, summary.failures_left_out)),
            icon=":material/foggy:",
        )
        return
    arrays = ages(lives)
    try:
        plot = probability_plot(arrays.age, arrays.failed, arrays.entry, arrays.last_ok)
    except NotEnoughData as problem:
        st.info(plain(str(problem)), icon=":material/foggy:")
        return
    frame.chart(
        plot_of_chances(kind, plot.points, plot.line, plot.y_ticks, "days"),
        _("Failures along the fitted Weibull curve"),
        f"plot-{kind}",
    )
    st.caption(plain(plot.note) or _("Points near the line within the band: the curve fits."))
    shown = families_table(pd.DataFrame(summary.families))
    data_table(shown, key=f"families-{kind}")
    st.caption(_("A difference in AICc below 2 says nothing; the smaller fits better."))
    glossary.on_tap(_("AICc, B10 life, mean life, probability plot, Weibull curve"), key="families")


def _guess(place: session.Workshop, kind: str, summary: LifeSummary) -> None:
    facts = place.records.part_facts(kind)
    guessed = facts.is_life_guessed
    typical_life = part_in_use.typical_life(facts)
    st.markdown(marked(starting_guess(typical_life, facts.belief_failures, summary, guessed)))
    rows = place.records.parts
    rows = rows[rows["part_kind"] == kind]
    form = as_read.opened(f"belief-{kind}", _written(rows))
    life, worth = st.columns(2)
    typical = life.number_input(
        _("Typical life (days)"),
        min_value=1.0,
        max_value=20000.0,
        step=10.0,
        value=float(form.read["typical_life_days"] or facts.typical_life_days),
        key=f"{form.key}-life",
    )
    counts = worth.number_input(
        _("Counts as so many failures"),
        min_value=0.1,
        max_value=100.0,
        step=0.5,
        value=max(0.1, float(form.read["belief_failures"] or facts.belief_failures)),
        key=f"{form.key}-worth",
    )
    if facts.typical_life_white_days != facts.typical_life_days:
        st.caption(_("What you save holds for both inks."))
    form.drawn()
    if form.goes(
        acting.button(
            _("Save my starting guess"), role=MANAGE, key=f"belief-save-{kind}", width="stretch"
        )
    ):
        values = form.typed({"typical_life_days": typical, "belief_failures": counts})
        with telling.errors_in_words():
            with form.saving():
                if len(rows):
                    done = place.store.correct(
                        "parts", int(str(rows.index[-1])), values, as_read=form.read
                    )
                else:
                    values |= {"part_kind": kind, "replaced_with": facts.replaced_with}
                    done = place.store.add("parts", values)
            form.saved(
                _("Starting guess for {label} saved.", label=facts.label.lower()), done.batch
            )


def _written(rows: pd.DataFrame) -> dict[str, float | None]:
    """The belief in the catalogue's line of a kind; None where the trade's guess holds."""
    names = ("typical_life_days", "belief_failures")
    last = [float(rows[name].iloc[-1]) if len(rows) else float("nan") for name in names]
    return {name: None if pd.isna(it) else it for name, it in zip(names, last, strict=True)}


def _table(lives: pd.DataFrame) -> None:
    shown = pd.DataFrame(
        {
            _("Printer"): lives["printer"],
            _("Position"): lives["position"],
            _("Age (days)"): lives["age"],
            _("End"): lives["outcome"].map(_),
            _("Failure mode"): lives["mode"].map(_),
            _("Fitted"): lives["fitted_on"],
            _("Removed"): lives["removed_on"],
            _("Watched from (days)"): lives["entry"],
            _("Supplier"): lives["supplier"],
            _("Lot"): lives["batch"],
            _("Counted"): lives["counted"].map({True: _("yes"), False: _("no")}),
            _("Why not"): lives["why_not"],
        }
    )
    shown = paging.page_of(shown, "lives", per_page=50)
    data_table(shown, key="lives-table")
