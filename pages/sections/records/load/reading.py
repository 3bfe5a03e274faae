"""The files as read with what was said so far: each content and each answer read once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import streamlit as st

from pages.sections.records.load import mended
from pages.sections.records.load.agreed import Agreed
from pages.shell import session
from tracker.errors import LoadRefused
from tracker.intake.pieces import File, Intake
from tracker.intake.reading import read_files
from tracker.language import voice
from tracker.store.loading import OnConflict
from tracker.workshop.refusal import Refusal

_READ = "load-read"  # the latest readings: one for each answer of a flow, and a few to spare
_KEPT = 6
_REFUSED = "load-store-refused"  # what the store said to the latest of them
Key = tuple[object, ...]


@dataclass(frozen=True)
class Reader:
    """The files on screen, beside the workshop's records; asked again it answers at once."""

    workshop: session.Workshop
    files: Sequence[File]

    def read(self, answers: Mapping[str, str]) -> Intake:
        """What the files say with these answers and with what was mended."""
        key = self.key(answers)
        kept: dict[Key, Intake] = st.session_state.setdefault(_READ, {})
        intake = kept.pop(key, None)
        if intake is None:
            intake = read_files(
                self.files, self.workshop.records, answers, mended.mends(self.files),
                remembered=self.workshop.store.remembered_answers(), today=session.now().date(),
            )  # fmt: skip
        kept[key] = intake  # last in, last out
        while len(kept) > _KEPT:
            del kept[next(iter(kept))]
        return intake

    def key(self, answers: Mapping[str, str]) -> Key:
        """All that a reading hangs on."""
        return (
            voice().language,
            self.workshop.url,
            self.workshop.version,
            session.now().date(),
            tuple(self.files),
            tuple(sorted(answers.items())),
            mended.fingerprint(self.files),
        )

    def refused_by_store(
        self, answers: Mapping[str, str], intake: Intake, agreed: Agreed, on_conflict: OnConflict
    ) -> tuple[Refusal, ...]:
        """What the workshop's records have against these rows, before anything is loaded."""
        key = (self.key(answers), agreed.fingerprint(), on_conflict)
        kept: dict[Key, tuple[Refusal, ...]] = st.session_state.setdefault(_REFUSED, {})
        refusals = kept.pop(key, None)
        if refusals is None:
            refusals = ()
            try:
                self.workshop.store.preview_load(
                    agreed.records, "", on_conflict=on_conflict, agreed=agreed.first_days
                )
            except LoadRefused as problem:
                refusals = intake.placed(problem.refusals)
        kept[key] = refusals
        while len(kept) > _KEPT:
            del kept[next(iter(kept))]
        return refusals


def forget() -> None:
    """Drop the readings of files that are done with."""
    for name in (_READ, _REFUSED):
        st.session_state.pop(name, None)
