"""Commands that make something to read, print or send."""

from __future__ import annotations

from typing import Any

from tracker.commands import answers
from tracker.commands.handouts import calendar_file, labels, paper_log, weekly_mail
from tracker.commands.parser import shared, typed
from tracker.language import _


def add(commands: Any) -> None:
    """The parser of each of these commands."""
    for command in (_review, _paper_log, _labels, _calendar, _mail):
        command(commands)


def _review(commands: Any) -> None:
    review = shared.answer(commands, "review", answers.review, _("the monthly review"))
    review.add_argument(
        "--month", type=typed.month, help=_("month, e.g. 2026-10 (default: the last)")
    )
    review.add_argument(
        "--out", metavar="FILE.html", help=_("write the review as one HTML page to print")
    )
    review.add_argument(
        "--appendices", action="store_true", help=_("with --out: every figure after the page")
    )


def _paper_log(commands: Any) -> None:
    log = shared.answer(
        commands, "paper-log", paper_log.paper_log, _("a page to write on beside each printer")
    )
    log.add_argument(
        "--month", type=typed.month, help=_("month, e.g. 2026-11 (default: that of the day)")
    )
    log.add_argument("--printer", help=_("this printer's page alone"))
    log.add_argument("--out", metavar="FILE.html", help=_("write the pages to print, A4"))
    log.add_argument(
        "--sheet", metavar="FILE", help=_("write the empty sheet to type them into, .csv or .xlsx")
    )


def _labels(commands: Any) -> None:
    sheet = shared.answer(commands, "labels", labels.labels, _("labels to stick on the printers"))
    sheet.add_argument(
        "--address",
        metavar="URL",
        help=_(
            "address of the app for phones, e.g. http://printroom:8501 (default: the workshop's "
            "setting)"
        ),
    )
    sheet.add_argument("--out", metavar="FILE.html", required=True, help=_("write the labels"))


def _calendar(commands: Any) -> None:
    dates = shared.answer(
        commands, "calendar", calendar_file.calendar, _("due tasks and order dates for a calendar")
    )
    dates.add_argument(
        "--days", type=typed.days_ahead, default=60, help=_("days to look ahead (default 60)")
    )
    dates.add_argument(
        "--out", metavar="FILE.ics", required=True, help=_("write the calendar file")
    )
    dates.add_argument(
        "--keep",
        action="store_true",
        help=_("stay, and write the file anew after each change of the database and each midnight"),
    )


def _mail(commands: Any) -> None:
    weekly = shared.answer(
        commands, "mail", weekly_mail.mail, _("send the week's tasks, orders and news")
    )
    weekly.add_argument("--dry-run", action="store_true", help=_("show the mail and send nothing"))
