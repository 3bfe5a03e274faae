"""The load command: files of any form into the database, asked about, told in words, or refused."""

from __future__ import annotations

import argparse
import difflib
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from tracker.commands.printing import as_json, show
from tracker.commands.sources import answers_to_questions, by_command, database_url
from tracker.commands.unknown_ages import with_ages
from tracker.errors import LoadRefused, RecordError, UsageError
from tracker.intake.pieces import Intake
from tracker.intake.questions import DATES, NUMBERS, Answers, Question
from tracker.language import _
from tracker.say.entering.clock import doubt_in_words
from tracker.say.phrases import listed
from tracker.workshop.checks import failed_before_log
from tracker.workshop.clocks.doubt import clock_doubt
from tracker.workshop.records import Records
from tracker.workshop.refusal import Refusal

if TYPE_CHECKING:
    from tracker.store.loading import FirstDays


def load(options: argparse.Namespace) -> int:
    """Load files into the database, all of them or nothing; tell what is doubtful."""
    from tracker.store.database import open_store

    paths = [Path(path) for path in options.paths]
    known, remembered = _known(options)
    doubt = clock_doubt(known, date.today())
    if doubt is not None and doubt.kind == "before":  # a file after a long silence ends it
        print(doubt_in_words(doubt), file=sys.stderr)
    answers = answers_to_questions(options)
    intake = _read(paths, known, answers, remembered)
    while intake.questions and sys.stdin is not None and sys.stdin.isatty():
        for question in intake.questions:
            answers[question.key] = _asked(question)
        intake = _read(paths, known, answers, remembered)
    _refuse_idle_answers(answers_to_questions(options), intake, paths, known)
    if intake.records is None:
        _write_mistakes(options, intake)
        if options.json:
            as_json(_open_in_words(intake))
        raise _not_loaded(options, intake, intake.refusals)
    if not options.json:
        _tell(intake)
    records, unknown = with_ages(intake.records, options.age or ())
    store = open_store(database_url(options))
    try:
        report = by_command(store).load(
            records,
            _name_of(paths),
            on_conflict="file_wins" if options.file_wins else "refuse",
            agreed=_agreed(options, known, records),
        )
    except LoadRefused as refused:
        placed = intake.placed(refused.refusals)
        _write_mistakes(options, intake, placed)
        raise _not_loaded(options, intake, placed) from None
    store.remember_answers(intake.to_remember)
    _write_mistakes(options, intake)
    tables = {
        name: {
            "added": report.added.get(name, 0),
            "completed": report.completed.get(name, 0),
            "unchanged": report.unchanged.get(name, 0),
            "corrected": report.corrected.get(name, 0),
        }
        for name in report.added
    }
    doubtful = [*unknown, *intake.notices]
    if left_out := failed_before_log(store.records()):
        doubtful.append(left_out.notice())
    if options.json:
        notes = [*report.notes, *doubtful]
        return as_json({"tables": tables, "batch": report.batch, "notices": notes})
    rows = [{"table": name, **counts} for name, counts in tables.items() if any(counts.values())]
    show(report.sentence() if rows else _("Nothing to load: the files hold no rows."), rows)
    for notice in doubtful:
        print(_("Note: {notice}", notice=notice))
    return 0


def _known(options: argparse.Namespace) -> tuple[Records, Answers]:
    """What the database holds already, and what was answered before; a new one is not made yet."""
    from tracker.store.connections import sqlite_file
    from tracker.store.database import open_store

    file = sqlite_file(database_url(options))
    if file is not None and not file.exists():
        return Records(), {}
    store = open_store(database_url(options))
    return store.records(), store.remembered_answers()


def _agreed(options: argparse.Namespace, known: Records, loaded: Records) -> FirstDays:
    """Earlier first days that the files show, as far as the person agrees to them."""
    from tracker.store.loading import FirstDays, earlier_first_days

    shown = earlier_first_days(known, loaded)
    if options.earlier_days:
        return shown
    if sys.stdin is None or not sys.stdin.isatty():
        return FirstDays()
    printers = {
        name: day
        for name, day in shown.printers.items()
        if _yes(
            _(
                "The files have parts of {name} since {day}. Did it stand there by then?",
                name=name,
                day=day,
            )
        )
    }
    log = shown.log and _yes(
        _(
            "The files have entries since {log}. Was every failure since then written down?",
            log=shown.log,
        )
    )
    return FirstDays(printers, shown.log if log else None)


def _yes(question: str) -> bool:
    """On standard error, for standard output may be one JSON object; an empty line is no."""
    print(_("{question} (yes or no) ", question=question), end="", file=sys.stderr, flush=True)
    return sys.stdin.readline().strip().casefold() in ("y", "yes", "s", "sí", "si")


def _read(paths: Sequence[Path], known: Records, answers: Answers, remembered: Answers) -> Intake:
    from tracker.intake.exchange import bytes_of, examine_folder, is_contract_folder, sheet_files
    from tracker.intake.reading import read_files

    today = date.today()
    if len(paths) == 1 and paths[0].is_dir() and is_contract_folder(paths[0]):
        return examine_folder(paths[0], answers, today, known=known)
    named: list[Path] = []
    for path in paths:
        if not path.exists():
            raise UsageError(
                _(
                    "There is no file or folder {path}; name one that is there.",
                    path=repr(str(path)),
                )
            )
        found = sheet_files(path) if path.is_dir() else [path]
        if not found:
            raise UsageError(
                _("{name} holds no CSV or XLSX file; name the folder with them.", name=path.name)
            )
        named += found
    files, unread = bytes_of(named)
    if unread:
        raise LoadRefused(unread)
    return read_files(files, known, answers, remembered=remembered, today=today)


def _name_of(paths: Sequence[Path]) -> str:
    if len(paths) == 1 and paths[0].is_dir():
        return _("folder {name}", name=paths[0].resolve().name)
    return ", ".join(path.name for path in paths)


def _asked(question: Question) -> str:
    """One question at the terminal, put again until it is answered; its number will do.

    On standard error, for standard output may be one JSON object.
    """
    where = f"{question.source}: " if question.source else ""
    lines = [f"{where}{question.what}", *(f"  {shown}" for shown in question.examples)]
    lines += [
        f"  {at} "
        + (_("{choice} (likely)", choice=_(choice)) if choice == question.suggested else _(choice))
        for at, choice in enumerate(question.choices, start=1)
    ]
    print("\n".join(lines), file=sys.stderr)
    while True:
        print(_("Number or answer: "), end="", file=sys.stderr, flush=True)
        line = sys.stdin.readline()
        if not line:
            raise UsageError(
                _(
                    "{source}: {what} Nothing was answered.",
                    source=question.source,
                    what=question.what,
                )
            )
        typed = line.strip() or question.suggested
        if typed.isdigit() and 1 <= int(typed) <= len(question.choices):
            return question.choices[int(typed) - 1]
        try:
            if typed and (answer := question.answered({question.key: typed})):
                return answer
        except UsageError as problem:
            print(problem, file=sys.stderr)


def _tell(intake: Intake) -> None:
    """What the files were taken for, in words, before anything is kept."""
    from tracker.say.intake import intake_in_words

    for line in intake_in_words(intake):
        print(line)


def _open_in_words(intake: Intake) -> dict[str, object]:
    """What keeps the files from being loaded: questions and tables with the keys that
    ``--answer`` takes, and refusals."""
    from tracker.say.intake import taken_for

    return {
        "questions": [
            {
                "key": question.key,
                "question": question.sentence(),
                "answers": list(question.choices),
                "likely": question.suggested or None,
            }
            for question in intake.questions
        ],
        "tables": [
            {
                "key": f"{piece.key}|is",
                "taken_for": taken_for(piece),
                "answers": list(piece.choices),
                "columns": [{"key": role.key, "answers": list(role.choices)}
                            for role in piece.roles],
            }
            for piece in intake.pieces
        ],
        "refusals": [refusal.sentence() for refusal in intake.refusals],
    }  # fmt: skip


def _refuse_idle_answers(
    given: Answers, intake: Intake, paths: Sequence[Path], known: Records
) -> None:
    """Refuses an answer to what these files do not ask: a slip in its key would go unseen.

    A question that is answered is asked no more, so where a key is none of the files' tables the
    files are read again, with as many of the answers as were asked for so far.

    Raises UsageError with the keys that are most like it.
    """
    keys = _keys_of(intake)
    told: dict[str, str] = {}
    while given.keys() - keys:
        again = _read(paths, known, told, {})
        keys |= _keys_of(again)
        more = {key: given[key] for key in given.keys() & keys if key not in told}
        if not more:
            break
        told |= more
    for key in given:
        if key not in keys:
            likely = difflib.get_close_matches(key, sorted(keys), n=3, cutoff=0.4)
            raise UsageError(
                _(
                    "Nothing in these files is asked under {key}; the nearest keys are {keys}.",
                    key=repr(key),
                    keys=listed([repr(one) for one in likely or sorted(keys)[:3]]),
                )
            )


def _keys_of(intake: Intake) -> set[str]:
    """What an answer may be filed under: the questions, the tables and their columns."""
    keys = {DATES, NUMBERS}
    for question in intake.questions:
        shared = {question.column} if question.topic in (DATES, NUMBERS) else set()
        keys |= {question.key, question.own, *shared}
    for piece in intake.pieces:
        keys |= {f"{piece.key}|is", *(role.key for role in piece.roles)}
        keys |= {f"{piece.source}:{topic}" for topic in (DATES, NUMBERS)}
        for reading in piece.readings:
            keys |= {f"{reading.source}:{name}" for name in reading.mapping.values() if name}
            keys |= {name for name in reading.mapping.values() if name}
    return keys


def _write_mistakes(
    options: argparse.Namespace, intake: Intake, also: Sequence[Refusal] = ()
) -> None:
    from tracker.intake.mistakes import mistakes_csv

    if options.mistakes:
        Path(options.mistakes).write_text(mistakes_csv(intake, also), encoding="utf-8")


def _not_loaded(
    options: argparse.Namespace, intake: Intake, refusals: Sequence[Refusal]
) -> RecordError:
    """The refusal in one line: how many, the first few, how to answer, where the rest stands."""
    text = str(LoadRefused(refusals, intake.questions))
    if intake.questions:
        first = intake.questions[0]
        choice = first.suggested or first.choices[0]
        text += " " + _(
            'Answer at a terminal, or with --answer "{key}={choice}".',
            key=first.key,
            choice=choice,
        )
    if options.mistakes:
        text += " " + _(
            "All {count} mistakes are in {mistakes}.",
            count=len(refusals),
            mistakes=options.mistakes,
        )
    elif len(refusals) > 3:
        text += " " + _("To have them all as a file: --mistakes FILE.csv.")
    return RecordError(text)
