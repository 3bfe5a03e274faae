"""The review as one page: prints, opens on a phone and needs no network."""

from __future__ import annotations

from pathlib import Path

from tracker.language import _, month_name
from tracker.paper import blocks
from tracker.paper import review_sections as sections
from tracker.paper.blocks import Block
from tracker.paper.page import Page
from tracker.review.month import MonthReview
from tracker.review.printer_trend import LEAST_MISSING
from tracker.say import numbers
from tracker.say.listing import Listing
from tracker.say.monthly.findings import corrections_sentence, key_figures
from tracker.say.monthly.sentences import headline


def write_paper(review: MonthReview, path: str | Path) -> Path:
    """Write the review as one HTML file and give its path back."""
    target = Path(path)
    target.write_text(paper_html(review), encoding="utf-8", newline="\n")
    return target


def paper_html(review: MonthReview) -> str:
    """The review as one self-contained HTML page; the same review gives the same bytes."""
    known = _("as known on {as_of}", as_of=numbers.day(review.as_of))
    page = Page(
        workshop=review.workshop,
        title=_("Review of {month}", month=month_name(review.month)),
        known=known if review.whole else _("{known} (month not over yet)", known=known),
        is_demo=review.is_demo,
    )
    return page.html(
        blocks.paragraph(headline(review), "answer"),
        sections.to_do(review),
        sections.happened(review),
        sections.against_expectation(review),
        sections.money(review),
        sections.routine(review),
        sections.getting_worse(review),
        sections.ahead(review),
        _key_figures(review),
        _method(review),
        _corrected(review),
    )


def _key_figures(review: MonthReview) -> Block:
    rows = tuple(
        (figure.name, figure.text, f"{figure.definition} ({figure.standard})")
        for figure in key_figures(review.key_figures)
    )
    listing = Listing((_("Figure"), _("Value"), _("How it is worked out")), rows)
    return blocks.joined(blocks.heading(_("Key figures")), blocks.table(listing))


def _method(review: MonthReview) -> Block:
    months = numbers.count(review.months_compared, "month", "months")
    usual = (
        _("“Usual” is the mean of the {months} before. ", months=months)
        if review.months_compared
        else ""
    )
    method = (
        f"{usual}Hours stood still count on working days (Monday to Friday and other days with an "
        "entry), at most the set hours a day. Expected failures come from one model of all lives "
        "as it stood on the day before the month, for the parts, ages, printers and lots that "
        "were then in use; parts of unknown age count by the ages they may have, and left out on "
        "both sides is what the model had not met before. With many comparisons some look bad by "
        "luck: something is called unusual or suspicious only where a chance below 5 % remains "
        "after all comparisons are counted (Holm, 1979), a batch moreover only after three "
        "failures. The table has the batches with three or more parts in the printers in the "
        "month; whether a batch is suspicious is judged over the whole log, by the same model "
        "learned without it, at the ages, printers and times its parts really had. A printer is "
        "called harder on its parts where they fail 1.25 times as often or more at the same age, "
        "time and routine and the 95 % limits leave out no difference. That lives have changed "
        "is said where the model gives a chance above 80 % that "
        "the risk at the same age rose or fell by a quarter or more, and where the 95 % limits of "
        "the lives leave out no change. A printer is called getting worse where its "
        "events of the last twelve months crowd towards the end (Laplace’s test, widened for "
        "bursts, at 1 % a month for all printers together), leaving out its first four months "
        "with new parts; once eighteen months were watched, the last half year must also have had "
        "more events than the same days a year before, by more than chance explains (5 %), for a "
        "season rises for half a year as well; a drop-out is a day on which a nozzle check finds "
        f"a channel with {LEAST_MISSING} or more missing nozzles that had fewer at its check "
        "before. What skipping cost compares the risk under the actions done with that under "
        "those done and skipped together, over one month, for the tasks and parts where the log "
        "shows an effect "
        "(90 % limits leave out none); its range carries what is not known about the effect, not "
        "the luck of a single month."
    )
    return blocks.joined(
        blocks.heading(_("How this was worked out")), blocks.paragraph(method, "small")
    )


def _corrected(review: MonthReview) -> Block:
    corrected = corrections_sentence(review.corrections)
    if not corrected:
        return blocks.NOTHING
    return blocks.joined(blocks.heading(_("Corrected since")), blocks.paragraph(corrected))
