"""The command line: the same answers as the app, as text or as one JSON object. In order:

`parser` (what can be asked), `asked_language`, `sources` (which records, which day), `typed_words`,
`answers`, `routine`, `whole_routine`, `experiment`, `spares`, `handouts/` (papers, calendar, mail),
`upkeep` (one function per command), `loading` and `unknown_ages` (what loading asks), `printing`,
`serving/` (opens the app and says who shares it).
"""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Sequence

from tracker.errors import TrackerError
from tracker.language import _, adopt, speaking


def main(arguments: Sequence[str]) -> int:
    """Run one command and return the exit code: 0 done, 1 findings, 2 wrong input, 70 a mistake of
    the program.

    What went wrong is one line on standard error that says how to mend it.
    """
    from tracker.defects import EXIT_CODE, defect_sentence, note_defect, quiet_libraries

    quiet_libraries()
    try:
        from tracker.commands.asked_language import asked_language
        from tracker.store.safety.turns import telling

        with speaking(asked_language(arguments)), telling(_tell):
            return _run(arguments)
    except KeyboardInterrupt:
        return 130
    except Exception as problem:
        noted = note_defect(problem, "command")
        with contextlib.suppress(OSError):
            print(defect_sentence(problem, noted=noted), file=sys.stderr)
        return EXIT_CODE


def _tell(sentence: str) -> None:
    print(sentence, file=sys.stderr, flush=True)


def _run(arguments: Sequence[str]) -> int:
    from tracker.commands.asked_language import spoken
    from tracker.commands.parser import parse

    try:
        options = parse(arguments)
        adopt(spoken(options))
        return int(options.run(options) or 0)
    except TrackerError as problem:
        print("; ".join(str(problem).splitlines()), file=sys.stderr)
        return 2
    except BrokenPipeError:
        return 0
    except OSError as problem:
        told = _(
            "{reason}; name a place that can be read and written.",
            reason=problem.strerror or str(problem),
        )
        print(f"{problem.filename}: {told}" if problem.filename else told, file=sys.stderr)
        return 2
