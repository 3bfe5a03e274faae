"""The paper log: pages to print and write on, and the sheet to type them into."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path

from tracker.commands.printing import as_json, show
from tracker.commands.sources import records_and_day
from tracker.errors import UsageError
from tracker.language import _
from tracker.say import numbers

SHEETS = (".csv", ".xlsx")


def paper_log(options: argparse.Namespace) -> int:
    """Write the printed pages, the sheet they are typed into, or both."""
    from tracker.decisions.printer_month import printer_months

    if not (options.out or options.sheet or options.json):
        raise UsageError(
            _("Say what to write: --out FILE.html to print, --sheet FILE.xlsx to type.")
        )
    kind = Path(options.sheet).suffix.casefold() if options.sheet else ""
    if options.sheet and kind not in SHEETS:
        raise UsageError(
            _("--sheet {sheet}: name a file that ends in .csv or .xlsx.", sheet=options.sheet)
        )
    records, as_of = records_and_day(options)
    month = (options.month or as_of).replace(day=1)
    months = printer_months(records, as_of, month, options.printer or "")
    written = []
    if options.sheet:
        from tracker.paper.log_grid import log_csv, log_workbook

        data = log_csv(months) if kind == ".csv" else log_workbook(months)
        Path(options.sheet).write_bytes(data)
        written.append(_("the sheet to type it into to {sheet}", sheet=options.sheet))
    if options.out:
        from tracker.paper.log_sheet import log_sheets

        workshop = records.setting("workshop")
        pages = log_sheets(months, workshop, as_of, is_demo=records.is_demo)
        Path(options.out).write_text(pages, encoding="utf-8", newline="\n")
        written.insert(0, _("the page to print to {out}", out=options.out))
    if options.json:
        rows = [{"printer": one.printer, "tasks": _tasks(one.due)} for one in months]
        return as_json(
            {
                "as_of": as_of,
                "month": f"{month:%Y-%m}",
                "printers": rows,
                "file": options.out,
                "sheet": options.sheet,
            }
        )
    counted = numbers.count(len(months), "printer", "printers")
    return show(
        _(
            "Paper log, {month}, {counted}: {written}.",
            month=f"{month:%Y-%m}",
            counted=counted,
            written="; ".join(written),
        ),
        [],
    )


def _tasks(due: dict[str, frozenset[date]]) -> list[dict[str, object]]:
    return [{"task": task, "due": sorted(days)} for task, days in due.items()]
