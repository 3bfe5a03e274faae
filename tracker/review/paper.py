"""The monthly review as one HTML file that prints, opens on a phone and needs no network."""

from __future__ import annotations

from html import escape
from pathlib import Path
from typing import Any

import pandas as pd

from tracker import __version__
from tracker.decisions import wording
from tracker.records import vocabulary as vocab
from tracker.review import words
from tracker.review.month import MonthReview

_STYLE = """
@page { size: auto; margin: 14mm 14mm 16mm; }
* { box-sizing: border-box; }
body { font: 11pt/1.4 system-ui, "Segoe UI", Roboto, Helvetica, Arial, sans-serif; color: #1a1a1a;
  background: #fff; margin: 0 auto; padding: 1rem; max-width: 50rem; }
header { border-bottom: 2px solid #1a1a1a; margin-bottom: .8rem; }
header p { margin: .1rem 0 .4rem; font-size: 9.5pt; }
h1 { font-size: 1.5rem; margin: 0; } h2 { font-size: 1.15rem; margin: 1.4rem 0 .4rem;
  break-after: avoid; }
.answer { font-size: 1.1rem; font-weight: 600; margin: .6rem 0; }
.demo { border: 1px dashed #1a1a1a; padding: .3rem .6rem; }
ol { padding-left: 1.4rem; } li { margin-bottom: .5rem; break-inside: avoid; }
li b { display: block; }
table { border-collapse: collapse; width: 100%; margin: .4rem 0 .8rem; font-size: 10pt; }
tr, svg, figure, .key { break-inside: avoid; } thead { display: table-header-group; }
th, td { text-align: left; padding: .2rem .5rem .2rem 0; border-bottom: 1px solid #bbb;
  vertical-align: top; overflow-wrap: break-word; }
th { border-bottom: 1.5px solid #1a1a1a; } .n { text-align: right; white-space: nowrap; }
figure { margin: .4rem 0; } figcaption, .small { font-size: 9.5pt; color: #444; }
.bad { border-left: 5px solid #C8372D; padding: .2rem .7rem; font-weight: 600; }
svg { height: auto; max-width: 100%; }
@media print { body { padding: 0; max-width: none; font-size: 10pt; } table { font-size: 9pt; } }
@media (max-width: 40rem) { table { font-size: 9pt; } td, th { padding-right: .3rem; } }
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
        f"<title>{escape(title)} – {escape(name)}</title><style>{_STYLE}</style></head><body>",
        f"<header><h1>{escape(name)}: {escape(title[0].lower() + title[1:])}</h1>"
        f"<p>As known on {wording.day(review.as_of)}"
        f"{'' if review.whole else ' (month not over yet)'} · printhead and consumables tracker, "
        f"version {escape(__version__)}</p></header>",
        '<p class="demo">Demonstration workshop: invented data.</p>' if review.is_demo else "",
        f'<p class="answer">{escape(review.headline)}</p>',
        _to_do(review),
        _happened(review),
        _expected(review),
        _money(review),
        _routine(review),
        _ahead(review),
        _kpis(review),
        _method(review),
        "</body></html>\n",
    ]
    return "\n".join(part for part in parts if part)


def _to_do(review: MonthReview) -> str:
    if not review.actions:
        return "<h2>To do next</h2><p>Nothing beyond the usual routine.</p>"
    items = "".join(
        f"<li><b>☐ {escape(act.what)}</b>{escape(act.why)}</li>" for act in review.actions
    )
    caution = escape(vocab.CAUTIONS["deference"])
    return f'<h2>To do next</h2><ol>{items}</ol><p class="small">{caution}</p>'


def _happened(review: MonthReview) -> str:
    from tracker.review.drawings import causes_drawing

    happened = review.happened
    told = [f"<h2>What happened</h2><p>{escape(_first_up(words.failures_sentence(review)))}.</p>"]
    if (happened.causes["this_month"] > 0).any():
        told.append(
            _figure(
                causes_drawing(happened.causes),
                "Failures of the month by part and "
                "cause, the commonest first; the upright mark is a usual month.",
            )
        )
    if len(happened.failures):
        told.append(_compared("Failed, by part", happened.failures, _kind))
    if len(happened.events):
        rows = [
            (wording.day(row.removed_on, year=False), row.printer,
             vocab.part_label(row.part_kind)
             + ("" if row.position == row.part_kind else f" {row.position}"),
             wording.days(row.age) if row.age == row.age else "not known",
             row.mode or ("accident" if row.outcome == "accident" else "not noted"),
             " ".join(filter(None, (row.supplier, row.batch))), row.note)
            for row in happened.events.itertuples()
        ]  # fmt: skip
        heads = ("Day", "Printer", "Part", "Age", "Cause", "Supplier, batch", "Note")
        noted = len(heads) if any(row[-1] for row in rows) else len(heads) - 1
        told.append(_table(heads[:noted], [row[:noted] for row in rows]))
    if len(happened.parts_used):
        told.append(_compared("Parts fitted (pieces)", happened.parts_used, _kind))
    return "".join(told)


def _expected(review: MonthReview) -> str:
    from tracker.review.drawings import expected_drawing, pace_drawing

    told = [f"<h2>Against expectation</h2><p>{escape(words.unusual_sentence(review))}</p>"]
    told += [
        f'<p class="{"small" if bad.is_over else "bad"}">{escape(bad.sentence)}</p>'
        for bad in review.suspicions
    ]
    rows = review.expected
    if len(rows):
        told.append(
            _figure(
                expected_drawing(rows),
                "Failures seen beside what the model, as it "
                "stood on the day before the month, expected.",
            )
        )
        shown = rows[rows["what"].isin(["all", "part_kind", "printer"])]
        cells = [
            (words.who(row["what"], row["name"]), row["observed"],
             wording.figure(row["expected"]), f"{row['low']} to {row['high']}",
             wording.chance(row["chance"]) if row["observed"] else "–")
            for row in shown.to_dict(orient="records")
        ]  # fmt: skip
        heads = ("", "Failed", "Expected", "80 % range", "Chance of so many or more")
        told.append(_table(heads, cells, numeric=(1, 2, 3, 4)))
    told.append(f"<h2>Stoppages</h2><p>{escape(review.pace.sentence)}</p>")
    if len(review.pace.curves):
        told.append(
            _figure(
                pace_drawing(review.pace),
                "Stoppages of each printer added up since "
                "it was first watched; a line bending upwards is getting worse.",
            )
        )
    return "".join(told)


def _money(review: MonthReview) -> str:
    def label(name: str) -> str:
        return review.money_label(name)

    def say(amount: float) -> str:
        return wording.money(amount, review.currency)

    money = review.happened.money
    total = pd.DataFrame([money.sum(min_count=1)], index=["All"])
    both = pd.concat([money.rename(index=label), total])
    return (
        "<h2>Hours and money</h2>"
        + _compared("Hours stood still (working hours)", review.happened.hours, str, one_decimal)
        + _compared("Money", both, str, say)
    )


def _routine(review: MonthReview) -> str:
    told = f"<h2>Routine kept</h2><p>{escape(review.kept_sentence)}</p>"
    if review.kept.empty:
        return told
    counts = ["due", "in_time", "late", "missed"]
    by_printer = review.kept.groupby("printer", sort=False)[counts].sum()
    rows = [
        (printer, "all tasks", *(f"{row[name]:.0f}" for name in counts),
         f"{100 * row['in_time'] / row['due']:.0f} %")
        for printer, row in by_printer.iterrows()
    ]  # fmt: skip
    rows += [
        (row.printer, vocab.task_label(row.task), row.due, row.in_time, row.late, row.missed,
         f"{100 * row.share:.0f} %")
        for row in review.kept[review.kept["share"] < 1].sort_values("share").itertuples()
    ]  # fmt: skip
    heads = ("Printer", "Task", "Due", "In time", "Late", "Not done", "In time")
    return told + _table(heads, rows, numeric=(2, 3, 4, 5, 6))


def _ahead(review: MonthReview) -> str:
    if review.need.empty:
        return ""
    rows = [
        (vocab.part_label(row.part_kind), row.fitted,
         *(f"{wording.figure(getattr(row, f'mean_{m}'))} "
           f"({getattr(row, f'low_{m}')} to {getattr(row, f'high_{m}')})" for m in (1, 3, 6)))
        for row in review.need.itertuples()
    ]  # fmt: skip
    heads = ("Part", "Fitted", "1 month", "3 months", "6 months")
    return (
        "<h2>The next months</h2><p>Pieces likely to be needed, with the range that holds in "
        "8 of 10 cases.</p>" + _table(heads, rows, numeric=(1, 2, 3, 4))
    )


def _kpis(review: MonthReview) -> str:
    rows = [(k.name, k.text, f"{k.definition} ({k.standard})") for k in review.kpis]
    return "<h2>Key figures</h2>" + _table(
        ("Figure", "Value", "How it is worked out"), rows, numeric=(1,)
    )


def _method(review: MonthReview) -> str:
    return (
        '<h2>How this was worked out</h2><p class="small">'
        f"“Usual” is the mean of the {review.months_compared} months before. Hours stood still "
        "count on working days (Monday to Friday and other days with an entry), at most the set "
        "hours a day. Expected failures come from the lives known on the day before the month, at "
        "the ages the fitted parts had; parts of unknown age are left out on both sides. With "
        "many comparisons some look bad by luck: something is called unusual or suspicious only "
        "where a chance below 5 % remains after all comparisons are counted (Holm, 1979), a batch "
        "moreover only after three failures.</p>"
    )


def one_decimal(value: float) -> str:
    """A number of hours."""
    return f"{value:.1f}"


def _kind(name: str) -> str:
    return vocab.part_label(name)


def _compared(title: str, table: pd.DataFrame, label: Any, say: Any = None) -> str:
    say = say or (lambda value: f"{value:.1f}".removesuffix(".0"))
    known = not table["month_before"].isna().all()
    heads = (title, "This month", "Month before", "Usual") if known else (title, "This month")
    rows = []
    for name, row in table.iterrows():
        cells = [say(row["this_month"])]
        if known:
            cells += [say(row["month_before"]), say(row["mean_before"])]
        rows.append((label(str(name)), *cells))
    return _table(heads, rows, numeric=(1, 2, 3)) if rows else ""


def _table(heads: tuple[str, ...], rows: Any, numeric: tuple[int, ...] = ()) -> str:
    def cells(values: Any, tag: str) -> str:
        return "".join(
            f"<{tag}{' class=' + chr(34) + 'n' + chr(34) if place in numeric else ''}>"
            f"{escape(str(value))}</{tag}>"
            for place, value in enumerate(values)
        )

    body = "".join(f"<tr>{cells(row, 'td')}</tr>" for row in rows)
    return f"<table><thead><tr>{cells(heads, 'th')}</tr></thead><tbody>{body}</tbody></table>"


def _figure(svg: str, caption: str) -> str:
    return f"<figure>{svg}<figcaption>{escape(caption)}</figcaption></figure>"


def _first_up(text: str) -> str:
    return text[:1].upper() + text[1:]
