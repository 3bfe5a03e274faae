"""Which places of a printer a row of part changes means, asked where nothing says which."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

import pandas as pd

from tracker.intake.cells.months import bare
from tracker.intake.layout.changes import split_places, with_each_place
from tracker.intake.layout.known import Known
from tracker.intake.layout.words import WHOLE_SET
from tracker.intake.questions import COLUMNS, Question
from tracker.intake.talk import Talk
from tracker.intake.together.labelled import Places, Typed
from tracker.language import N_, _
from tracker.workshop.vocabulary import part_label

_MEANS_ALL = re.compile(rf"(?<![^ ]){WHOLE_SET}(?![^ ])")
_WHOLE_SET = "set"  # stands for a position where the wording means all of them
_ALL = N_("the whole set")
_SETS = ("C M Y K W", "C M Y K W1 W2", "C M Y K W1 W2 W3 W4", "W")


@dataclass
class PartPlaces:
    """The places of the workshop's parts, and what was asked of them.

    ``places``: where each row stands; what was taken for granted is added to ``notices``.
    """

    known: Known
    talk: Talk
    places: Places
    notices: list[str]
    answers: dict[str, str] = field(default_factory=dict)  # so that each is asked once

    def spread(self, one: Typed, frame: pd.DataFrame) -> pd.DataFrame:
        """A row for each position that is meant; where nothing says which, it is asked."""
        sets: dict[tuple[str, str], str] = {}

        def places_of(printer: str, kind: str, text: str) -> Sequence[str]:
            there: Sequence[str] = self.known.positions(printer, kind)
            named = split_places(text)
            if not text.strip() or text == _WHOLE_SET:
                if len(there) == 1:
                    return there
                if not there:
                    return self._asked_places(one, kind, printer)
                if not text.strip():
                    return self._set_or_one(one, kind, printer, there)
                sets[printer, kind] = " ".join(there)
                return there
            spread = []
            for place in named:
                alike = [other for other in there if other[:1] == "W"] if place == "W" else []
                exact = [other for other in there if other.casefold() == place.casefold()]
                spread += exact or alike or [place]
            return spread

        result = with_each_place(self._with_sets(frame), places_of)
        for (printer, kind), positions in sets.items():
            self.notices.append(
                _(
                    "{name}: {part}s of {printer} without a place were taken for all of them "
                    "({positions}).",
                    name=one.draft.name,
                    part=part_label(kind).lower(),
                    printer=printer,
                    positions=positions,
                )
            )
        return result

    def _with_sets(self, frame: pd.DataFrame) -> pd.DataFrame:
        """The rows whose wording means all places of a part ("Dampers changed", "set") say so."""

        def means_all(label: int, position: str) -> bool:
            if position.strip():
                return _MEANS_ALL.fullmatch(bare(position)) is not None
            place = self.places[label]
            reading = place.reading
            if reading is None:
                return False
            cell = reading.raw.cell_of(place.label, "part_kind", reading.mapping)
            return cell is not None and _MEANS_ALL.search(bare(cell.text)) is not None

        labels = zip(frame.index.tolist(), frame["position"].tolist(), strict=True)
        return frame.assign(
            position=[_WHOLE_SET if means_all(*label) else label[1] for label in labels]
        )

    def _set_or_one(
        self, one: Typed, kind: str, printer: str, there: Sequence[str]
    ) -> Sequence[str]:
        """A part named once where several sit: asked once for the file."""
        question = Question(
            "position",
            _(
                "one {part} stands without its place, and a printer has several. The whole set "
                "or one?",
                part=part_label(kind).lower(),
            ),
            (_ALL, *there),
            (_("in {printer}: {there}", printer=printer, there=" ".join(there)),),
            COLUMNS,
            one.draft.piece.source,
            filed=f"{one.draft.piece.source}|set|{kind}",
        )
        answer = self.answers.get(question.key)
        if answer is None:
            answer = self.answers[question.key] = self.talk.ask(question, f"set|{kind}") or ""
        if not answer:
            return [""]
        return there if answer == _ALL else [answer]

    def _asked_places(self, one: Typed, kind: str, printer: str) -> Sequence[str]:
        question = Question(
            "position",
            _(
                "which places are meant where {part}s stand without one?",
                part=part_label(kind).lower(),
            ),
            (*_SETS, *(f"{ink}" for ink in ("C", "M", "Y", "K")), kind),
            (_("in {printer}", printer=printer),),
            COLUMNS,
            one.draft.piece.source,
            filed=f"{one.draft.piece.source}|places|{kind}",
        )
        answer = self.talk.ask(question, f"places|{kind}")
        return answer.split() if answer else [""]
