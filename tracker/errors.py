"""The error tree: what a page or the command line catches and shows.

TrackerError
├── RecordError(ValueError)      a record that cannot be true, or input that cannot be read
│   └── LoadRefused              a file or folder refused as a whole; carries every refusal
├── NotEnoughData(ValueError)    the records cannot answer the question yet
├── ModelError(ValueError)       numbers that no model can take (negative ages, entry after exit)
├── StoreError                   the database cannot be opened, is newer, locked or damaged
└── UsageError(ValueError)       a question that was asked wrongly (unknown part kind, bad date)

Every text says what is wrong, where, the value received, and how to mend it.
"""

from __future__ import annotations


class TrackerError(Exception):
    """Any problem whose text is meant for the person at the screen."""


class RecordError(TrackerError, ValueError):
    """A record that cannot be true, or input that cannot be read."""


class NotEnoughData(TrackerError, ValueError):
    """The records cannot answer this question yet; the text says what is missing."""


class ModelError(TrackerError, ValueError):
    """Numbers that no life model can take, such as a negative age."""


class StoreError(TrackerError):
    """The database cannot be opened, is newer than the program, locked or damaged."""


class UsageError(TrackerError, ValueError):
    """A question that was asked wrongly, such as an unknown part kind."""
