"""One printed sheet that shows whoever pays for it whether a routine pays."""

from __future__ import annotations

from tracker.charts.routine import routine_picture
from tracker.decisions.routine.task_value import TaskValue
from tracker.language import _
from tracker.paper import blocks
from tracker.paper.blocks import Block
from tracker.paper.page import Page
from tracker.paper.svg import HALF_WIDTH, svg
from tracker.say import numbers
from tracker.say.maintenance.change import history_remarks, history_sentences
from tracker.say.maintenance.doubts import doubts
from tracker.say.maintenance.evidence import check_line, lag_line
from tracker.say.maintenance.value import costs, kind_value, picture, task_value
from tracker.say.maintenance.value import value_verdict as verdict
from tracker.say.maintenance.whole_routine.one_task import beside_alone
from tracker.workshop import vocabulary as vocab


def routine_sheet(value: TaskValue, workshop: str, *, is_demo: bool = False) -> str:
    """A self-contained HTML page: the verdict with its break-even, cost by interval, the evidence,
    what costs were assumed and what is not counted, the cautions.

    It fits on one side of A4 or Letter.
    """
    studies = value.studies
    page = Page(
        workshop=workshop,
        title=_("Does it pay? {task}", task=vocab.task_label(studies.task)),
        known=_("as known on {as_of}", as_of=numbers.day(studies.as_of)),
        is_demo=is_demo,
        one_side=True,
    )
    task = vocab.TASKS.get(studies.task)
    return page.html(
        *_answer(value),
        blocks.side_by_side(_picture(value), _counted(value)),
        blocks.heading(_("Failures per printer and year, and the evidence")),
        blocks.table(kind_value.kinds_listing(value)),
        blocks.bullets(_evidence(value)),
        _before_after(value),
        blocks.heading(_("What to know before relying on it")),
        blocks.bullets(doubts(value.leading.effect, money_too=False)),
        blocks.heading(_("Cautions")),
        blocks.cautions(task.cautions if task else ()),
    )


def _answer(value: TaskValue) -> tuple[Block, Block]:
    first, whole = task_value.break_even_sentence(value), task_value.together_sentence(value)
    then = f"{task_value.with_the_believed(value)} {whole}".strip()
    if not verdict.is_cleared(value) or verdict.is_forbidden(value):
        first, then = verdict.headline(value), verdict.grounds(value)
    return blocks.paragraph(first, "answer"), blocks.paragraph(then)


def _picture(value: TaskValue) -> Block:
    marked = picture.marked_intervals(value)
    stack = value.studies.cost_stack(*(days for group in marked.values() for days in group))
    drawn = routine_picture(
        stack, value.studies.currency, marked, value.studies.least_cost.every_days,
        not_told=value.not_told,
    )  # fmt: skip
    return blocks.figure(svg(drawn, HALF_WIDTH), picture.picture_sentence(value, stack))


def _counted(value: TaskValue) -> Block:
    """What costs were assumed, and what the answer leaves out."""
    least, alone = task_value.least_cost_lines(value), value.studies.least_cost.every_days
    return blocks.joined(
        blocks.bullets((*least, beside_alone(alone, None)) if least else ()),
        blocks.heading(_("What costs were assumed")),
        blocks.bullets(costs.cost_lines(value)),
        blocks.heading(_("How to read it, and what is not counted")),
        blocks.bullets(task_value.not_counted(value)),
    )


def _evidence(value: TaskValue) -> list[str]:
    """Of every kind the failures, the risk and its check; with days left out where it is told."""
    lines = []
    for one in value.kinds:
        lines.append(check_line(one.effect))
        if one.effect.is_told:
            lines.append(lag_line(one.effect))
    return lines


def _before_after(value: TaskValue) -> Block:
    """What happened to the leading kind when the schedule changed; of several changes the sum."""
    history = value.leading.effect.history
    sentences = history_sentences(history)
    if not sentences:
        return blocks.NOTHING
    return blocks.joined(
        blocks.heading(_("Before and after the schedule changed")),
        blocks.bullets(sentences[-1:]),
        blocks.paragraph(" ".join(history_remarks(history)), "small"),
    )
