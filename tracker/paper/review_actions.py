"""What is to be done, for the printed review: with boxes to tick, whose it is, and the note."""

from __future__ import annotations

from collections.abc import Iterable

from tracker.paper.blocks import shown
from tracker.review.action_list import ListedAction
from tracker.review.month import MonthReview
from tracker.workshop import vocabulary as vocab

_BARE = '<ul style="list-style: none; padding: 0">'


def to_do(review: MonthReview) -> str:
    """What earlier reviews left, what this one gives to do, and what was noted beside it."""
    over = [act for act in review.actions if act.carried_over]
    own = [act for act in review.actions if not act.carried_over]
    told = ["<h2>To do next</h2>"]
    if over:
        told.append(f"<h3>Carried over from earlier reviews</h3>{_BARE}{_items(over)}</ul>")
        told.append(f"<h3>From this review</h3>{'' if own else '<p>Nothing new.</p>'}")
    if own:
        told.append(f"<ol>{_items(own)}</ol>")
    if not review.actions:
        told.append("<p>Nothing beyond the usual routine.</p>")
    else:
        told.append(f'<p class="small">{shown(vocab.CAUTIONS["deference"])}</p>')
    if review.note:
        lines = "<br>".join(map(shown, review.note.splitlines()))
        told.append(f'<div class="keep"><h3>Note</h3><p>{lines}</p></div>')
    return "".join(told)


def _items(actions: Iterable[ListedAction]) -> str:
    return "".join(map(_item, actions))


def _item(act: ListedAction) -> str:
    marks = f' <span class="small">({shown(act.marks)})</span>' if act.marks else ""
    note = f" – {shown(act.note)}" if act.note else ""
    why = "" if act.state == "done" else shown(act.reason)
    return f"<li><b>{act.box} {shown(act.what)}{marks}</b>{why}{note}</li>"
