"""The workshop on screen: which database, as this device may use it, and what is asked of it."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from hashlib import sha256
from inspect import getsourcefile
from pathlib import Path
from typing import Any, TypeVar

import streamlit as st

from pages.shell import device, entry
from tracker.errors import TrackerError
from tracker.language import N_, _, language_of, locale_for, voice
from tracker.language import speaking as say_in
from tracker.say import numbers
from tracker.store.connections import default_url, demo_url, own_exists
from tracker.store.database import Store, Version, open_store
from tracker.workshop.records import Records
from tracker.workshop.remembered.answers import Answers
from tracker.workshop.remembered.fingerprint import fingerprint

ROOT = Path(__file__).resolve().parents[2]
Answer = TypeVar("Answer")
_SEEN = "seen-generation"  # by address: the generation that this screen showed last


@dataclass(frozen=True)
class Workshop:
    """The workshop on screen: its store, what is written down, and the day it is looked at.

    ``version`` says which state that is. The store takes no change that was begun on this screen
    before a restore.
    """

    store: Store
    url: str
    version: Version
    records: Records
    as_of: date
    is_demo: bool

    @property
    def name(self) -> str:
        """A short name of the database for what a device keeps: no address, no password."""
        return sha256(self.url.encode()).hexdigest()[:12]

    @property
    def shown(self) -> tuple[str, int]:
        """Which workshop this is, in which generation: numbers of records mean others elsewhere."""
        return self.url, self.version.generation

    @property
    def currency(self) -> str:
        """The currency of all prices, as set by the workshop."""
        return self.records.setting("currency")

    def money(self, amount: float) -> str:
        """An amount in the workshop's currency."""
        return numbers.money(amount, self.currency)

    def evidence(
        self,
        part_kind: str,
        failures: float,
        figures: tuple[float, float, float],
        unit: str,
        *,
        which: str,
    ) -> str:
        """How much stands behind a figure of that kind, and how it moves with the guess: as it is,
        with the typical life guessed half and twice as long. ``which`` failures were counted."""
        guessed = self.records.part_facts(part_kind).is_life_guessed
        return numbers.evidence(failures, *figures, unit, which=which, guessed=guessed)


@st.cache_resource(show_spinner=False)
def _open(url: str) -> Store:
    return open_store(url)


@st.cache_resource(show_spinner=False)
def _open_demo(url: str) -> Store:
    """The demo workshop in its own file, filled from the sample spreadsheets when it is new."""
    store = open_store(url)
    if store.records().is_empty:
        from tracker.intake.exchange import read_folder

        filling = store.by(lambda: "demo", now)
        filling.load(read_folder(ROOT / "sample_data"), N_("demo workshop"))
    return store


def open_own() -> None:
    """Open the workshop's own database, made empty where there is none."""
    _open(default_url())


def today() -> date:
    """Today; tests set TRACKER_TODAY so that nothing depends on the calendar."""
    fixed = os.environ.get("TRACKER_TODAY")
    return date.fromisoformat(fixed) if fixed else date.today()


def now() -> datetime:
    """This moment, on the day of ``today``."""
    return datetime.combine(today(), datetime.now().time().replace(microsecond=0))


def workshop() -> Workshop:
    """The workshop on screen: one's own once started, the demo until then."""
    demo = st.session_state.get("demo")
    if demo is None:
        demo = os.environ.get("TRACKER_DEMO") == "yes" or not own_exists()
        st.session_state["demo"] = demo
    url = demo_url() if demo else default_url()
    store = (_open_demo(url) if demo else _open(url)).handed_to(entry.permit()).by(who, now)
    version, records = store.state()
    day = (records.last_day() or today()) if records.is_demo else today()
    return Workshop(store.as_seen(_seen(url, version)), url, version, records, day, records.is_demo)


@st.cache_resource(show_spinner=False)
def _answers() -> Answers:
    return Answers()


def ask(function: Callable[..., Answer], *arguments: Any, as_of: date | None = None) -> Answer:
    """``function(records, as_of, *arguments)``, remembered until a record changes that it hangs on.

    An answer may hold words, so each language has its own. Nothing but the records, the day and
    the arguments may decide it. ``as_of``: an earlier day than the workshop's, to look back to.

    The answer is shared between sessions: read it, do not change it.
    """
    place = workshop()
    day = as_of or place.as_of
    # The file too: pages are scripts, whose functions all say that they are of __main__.
    name = getsourcefile(function), function.__qualname__
    return _answers().ask(
        (name, voice(), place.url, day, fingerprint(arguments)),
        place.records,
        lambda records: function(records, day, *arguments),
        today=place.as_of,
        meanwhile=lambda: st.spinner(_("Working it out …")),
    )


def _browser_asks() -> str:
    asked = st.context.locale
    return asked if isinstance(asked, str) else ""  # without a browser there is none


def speaking_to_a_stranger() -> AbstractContextManager[None]:
    """In the language of this device's browser: nothing of the workshop is read yet."""
    browser = _browser_asks()
    return say_in(language_of(browser), locale_for(language_of(browser), browser))


@contextmanager
def speaking() -> Iterator[None]:
    """This run in the workshop's language and locale, else as this device's browser asks."""
    browser = _browser_asks()
    try:
        records = workshop().records
        language, locale = records.setting("language"), records.setting("locale")
    except TrackerError:  # shown by the page, in the browser's language
        language = locale = ""
    language = language or language_of(browser)
    with say_in(language, locale or locale_for(language, browser)):
        yield


def restored_here() -> None:
    """What is there now was chosen on this screen: what is begun on it from here on is taken."""
    keep_in_mind(*workshop().shown)


def keep_in_mind(url: str, generation: int) -> None:
    """This screen has shown that generation of the workshop at that address."""
    st.session_state.setdefault(_SEEN, {})[url] = generation


def who() -> str:
    """The name of the person at this device: given when it was paired, else asked for once on the
    log page.
    """
    if paired := entry.person():
        return paired.name
    said = str(device.recall("who", ""))
    return "" if entry.is_somebody_elses(said) else said


def _seen(url: str, version: Version) -> int:
    seen: int = st.session_state.get(_SEEN, {}).get(url, version.generation)
    return seen


def is_another_state(place: Workshop) -> bool:
    """Was another state restored since this screen showed that workshop?"""
    return _seen(place.url, place.version) != place.version.generation
