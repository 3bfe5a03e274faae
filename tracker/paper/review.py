"""The review on paper: one page for the meeting, and appendices with every figure on demand."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from tracker.charts.expectation import expectation_picture
from tracker.language import _, month_name
from tracker.paper import blocks
from tracker.paper import review_appendices as appendices
from tracker.paper.blocks import Block, Item
from tracker.paper.page import Page
from tracker.paper.svg import HALF_WIDTH, svg
from tracker.review.action_list import ListedAction
from tracker.review.month import MonthReview
from tracker.say import numbers
from tracker.say.monthly import answer, tables
from tracker.say.monthly import sentences as said
from tracker.say.monthly.actions import (
    MORE_TO_DO,
    NOTHING_TO_DO,
    box,
    in_short,
    marks,
    open_first,
    worded,
)
from tracker.say.monthly.corrections import corrections_sentence
from tracker.say.phrases import shortened

# So that the page stays one sheet of A4, whatever the workshop wrote and however large it is.
MOST_LINES = 6
MOST_TO_DO = 6
ROOM_FOR_PROPOSED = 3  # of these, so that what people wrote down does not hide what costs most
MOST_FAILURES = 5
_LONGEST_LINE, _LONGEST_LEAD, _LONGEST_NOTE = 180, 90, 240


def write_paper(review: MonthReview, path: str | Path, *, with_appendices: bool = False) -> Path:
    """Write the review as one HTML file and give its path back."""
    target = Path(path)
    page = paper_html(review, with_appendices=with_appendices)
    target.write_text(page, encoding="utf-8", newline="\n")
    return target


def paper_html(review: MonthReview, *, with_appendices: bool = False) -> str:
    """The review as one self-contained HTML page; the same review gives the same bytes.

    Alone it is one sheet for the meeting; ``with_appendices`` every figure follows on sheets of
    its own.
    """
    known = _("as known on {as_of}", as_of=numbers.day(review.as_of))
    page = Page(
        workshop=review.workshop,
        title=_("Review of {month}", month=month_name(review.month)),
        known=known if review.whole else _("{known} (month not over yet)", known=known),
        is_demo=review.is_demo,
        one_side=True,
    )
    return page.html(
        blocks.paragraph(answer.headline(review), "answer"),
        blocks.bullets(shortened(line, _LONGEST_LINE) for line in _lines(review)),
        blocks.side_by_side(_expected(review), _failed(review), kind="wide"),
        _to_do(review),
        _note(review),
        blocks.appendices(*appendices.every_section(review)) if with_appendices else _rest(),
    )


def _lines(review: MonthReview) -> tuple[str, ...]:
    corrected = corrections_sentence(review.corrections)
    return tuple(filter(None, (*answer.in_short(review)[:MOST_LINES], corrected)))


def _expected(review: MonthReview) -> Block:
    if review.expected.empty:
        return blocks.NOTHING
    picture = expectation_picture(review.expected, month_name(review.month))
    return blocks.figure(
        svg(picture, HALF_WIDTH),
        _("Failures by part. {normal_lead}", normal_lead=_(said.NORMAL_LEAD)),
    )


def _failed(review: MonthReview) -> Block:
    month = review.happened
    return blocks.joined(
        blocks.table(tables.failures_in_short(month.events), MOST_FAILURES),
        blocks.table(tables.money(month.money, review.currency)),
    )


def _to_do(review: MonthReview) -> Block:
    """What is open, each with a box to tick; what is done is only counted."""
    actions = open_first(worded(review))
    shown = _most_telling(actions)
    more = len(actions) - len(shown)
    return blocks.joined(
        blocks.heading(_("To do next")),
        blocks.bullets(_items(shown), "bare"),
        blocks.paragraph(_(MORE_TO_DO, more=more) if more > 0 else "", "small"),
        blocks.cautions(()) if actions else blocks.paragraph(_(NOTHING_TO_DO)),
    )


def _most_telling(actions: Sequence[ListedAction]) -> list[ListedAction]:
    """Those that the sheet has room for, in their order: proposals, the dearest first, have a share
    of it, and what is done has what is left.
    """
    of_state: dict[str, list[int]] = {"open": [], "proposed": [], "done": []}
    for number, act in enumerate(actions):
        of_state[act.state].append(number)
    written, proposed = of_state["open"], of_state["proposed"]
    share = MOST_TO_DO - min(ROOM_FOR_PROPOSED, len(proposed))
    ranked = (*written[:share], *proposed, *written[share:], *of_state["done"])
    return [actions[number] for number in sorted(ranked[:MOST_TO_DO])]


def _items(actions: Iterable[ListedAction]) -> Iterable[Item]:
    for act in actions:
        why = "" if act.state == "done" else in_short(act)
        yield Item(f"{box(act)} {shortened(act.what, _LONGEST_LEAD)}", why, marks(act))


def _note(review: MonthReview) -> Block:
    if not review.note:
        return blocks.NOTHING
    note = shortened(" ".join(review.note.split()), _LONGEST_NOTE)
    return blocks.kept_together(blocks.heading(_("Note")), blocks.paragraph(note))


def _rest() -> Block:
    return blocks.paragraph(
        _(
            "Every figure with its range and how it was worked out stands in the appendices, "
            "which are printed on demand."
        ),
        "small",
    )
