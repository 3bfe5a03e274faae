"""What may whoever has the store open write? Nothing is refused to whoever has the files."""

from __future__ import annotations

from typing import Protocol

from tracker.store.batch import Batch


class Permit(Protocol):
    """What somebody may do; each refusal is NotAllowed with one sentence.

    ``name`` stands in the change log, whatever name a caller gives; "" takes the caller's.
    """

    @property
    def name(self) -> str: ...

    def begin(self) -> None:
        """Before anything is written at all."""

    def judge(self, batch: Batch) -> None:
        """Once it is known what would be written."""

    def replace_all(self) -> None:
        """Before the whole database is put in another's place, as a restore does."""


class Unlimited:
    """Whoever has the files has them whole: the command line, and the workshop's own computer."""

    name = ""

    def begin(self) -> None:
        """Anything may be written."""

    def judge(self, batch: Batch) -> None:
        """Nothing is refused."""

    def replace_all(self) -> None:
        """Neither is a restore."""


UNLIMITED = Unlimited()
