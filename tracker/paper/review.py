"""The monthly review as one HTML file that prints, opens on a phone and needs no network."""

from __future__ import annotations

from pathlib import Path

from tracker import __version__
from tracker.paper import review_sections as sections
from tracker.paper.blocks import paragraph, shown, table
from tracker.paper.review_actions import to_do
from tracker.review.month import MonthReview
from tracker.review.printer_trend import LEAST_MISSING
from tracker.say import numbers
from tracker.say.review_tables import Listing

_STYLE = """
@page { size: auto; margin: 14mm 14mm 16mm; }
* { box-sizing: border-box; }
body { font: 11pt/1.4 system-ui, "Segoe UI", Roboto, Helvetica, Arial, sans-serif; color: #1a1a1a;
  background: #fff; margin: 0 auto; padding: 1rem; max-width: 50rem; }
header { border-bottom: 2px solid #1a1a1a; margin-bottom: .8rem; }
header p { margin: .1rem 0 .4rem; font-size: 9.5pt; }
h1 { font-size: 1.5rem; margin: 0; } h2 { font-size: 1.15rem; margin: 1.4rem 0 .4rem;
  break-after: avoid; } h3 { font-size: 1rem; margin: .9rem 0 .3rem; break-after: avoid; }
.lead, h2 + p, h3 + p { break-after: avoid; }
table + .small, .small + .small { break-before: avoid; }
p { orphans: 3; widows: 3; }
.answer { font-size: 1.1rem; font-weight: 600; margin: .6rem 0; }
.demo { border: 1px dashed #1a1a1a; padding: .3rem .6rem; }
ol, ul { padding-left: 1.4rem; } li { margin-bottom: .5rem; break-inside: avoid; }
li b { display: block; }
table { border-collapse: collapse; width: 100%; margin: .4rem 0 .8rem; font-size: 10pt; }
tr, svg, figure, .keep { break-inside: avoid; } thead { display: table-header-group; }
th, td { text-align: left; padding: .2rem .5rem .2rem 0; border-bottom: 1px solid #bbb;
  vertical-align: top; overflow-wrap: break-word; }
th { border-bottom: 1.5px solid #1a1a1a; }
.n { text-align: right; padding-left: .3rem; } td.n { white-space: nowrap; }
figure { margin: .4rem 0; } .pair { display: flex; flex-wrap: wrap; gap: 0 1rem;
  break-inside: avoid; } .pair figure { flex: 1 1 18rem;
  max-width: 26rem; }
 figcaption, .small { font-size: 9.5pt; color: #444; }
.bad { border-left: 5px solid #C8372D; padding: .2rem .7rem; font-weight: 600; }
svg { height: auto; max-width: 34rem; }
@media print { body { padding: 0; max-width: none; font-size: 10pt; } table { font-size: 9pt; } }
@media (max-width: 40rem) { table { font-size: 9pt; display: block; overflow-x: auto; }
  td, th { padding-right: .3rem; } }
"""


def write_paper(review: MonthReview, path: str | Path) -> Path:
    """Write the review as one HTML file and give its path back."""
    target = Path(path)
    target.write_text(paper_html(review), encoding="utf-8", newline="\n")
    return target


def paper_html(review: MonthReview) -> str:
    """The review as one self-contained HTML page; the same review gives the same bytes."""
    name = review.workshop or "Workshop"
    title = f"Review of {review.month:%B %Y}"
    parts = [
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{shown(title)} – {shown(name)}</title>",
        f"<style>{_STYLE}{_printed_footer(review)}</style></head><body>",
        f"<header><h1>{shown(name)}: {shown(title[0].lower() + title[1:])}</h1>"
        f"<p>{shown(f'As known on {numbers.day(review.as_of)}')}"
        f"{'' if review.whole else ' (month not over yet)'} · printhead and consumables tracker, "
        f"version {shown(__version__)}</p></header>",
        '<p class="demo">Demonstration workshop: invented data.</p>' if review.is_demo else "",
        f'<p class="answer">{shown(review.headline)}</p>',
        to_do(review),
        sections.happened(review),
        sections.against_expectation(review),
        sections.money(review),
        sections.routine(review),
        sections.getting_worse(review),
        sections.ahead(review),
        _kpis(review),
        _method(review),
        _corrected(review),
        "</body></html>\n",
    ]
    return "\n".join(part for part in parts if part)


def _kpis(review: MonthReview) -> str:
    rows = tuple((kpi.name, kpi.text, f"{kpi.definition} ({kpi.standard})") for kpi in review.kpis)
    listing = Listing(("Figure", "Value", "How it is worked out"), rows)
    return f"<h2>Key figures</h2>{table(listing)}"


def _method(review: MonthReview) -> str:
    months = numbers.count(review.months_compared, "month")
    usual = f"“Usual” is the mean of the {months} before. " if review.months_compared else ""
    return "<h2>How this was worked out</h2>" + paragraph(
        f"{usual}Hours stood still count on working days (Monday to Friday and other days with an "
        "entry), at most the set hours a day. Expected failures come from the lives known on the "
        "day before the month, at the ages the fitted parts had; parts of unknown age are left "
        "out on both sides. With many comparisons some look bad by luck: something is called "
        "unusual or suspicious only where a chance below 5 % remains after all comparisons are "
        "counted (Holm, 1979), a batch moreover only after three failures. The table has the "
        "batches with three or more parts in the printers in the month; whether a batch is "
        "suspicious is judged over the whole log. A printer is called getting worse where its "
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
        "the luck of a single month.",
        "small",
    )


def _corrected(review: MonthReview) -> str:
    if not review.corrected:
        return ""
    return "<h2>Corrected since</h2>" + paragraph(review.corrected)


def _printed_footer(review: MonthReview) -> str:
    """The line at the foot of every printed page; characters outside words as CSS escapes."""
    name = review.workshop or "Workshop"
    line = (
        f"{name} · {review.month:%B %Y} · as known on {numbers.day(review.as_of)} · "
        f"version {__version__}"
    )
    safe = "".join(char if char.isalnum() else f"\\{ord(char):06x}" for char in line)
    return (
        f'@page {{ @bottom-left {{ content: "{safe}"; font: 8pt sans-serif; }} '
        '@bottom-right { content: counter(page) " of " counter(pages); font: 8pt sans-serif; } }'
    )
