"""What every page shares: the open workshop, cached answers, the demo notice, the same words."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from hashlib import sha256
from inspect import getsourcefile
from pathlib import Path
from typing import Any, TypeVar

import streamlit as st

from pages.shell import acting, device, drafts, entry, taking_back
from pages.shell.style import STYLE
from pages.shell.words import marked, plain
from tracker.charts.picture import Picture
from tracker.defects import defect_sentence, note_defect
from tracker.errors import TrackerError, UnusualFigure
from tracker.language import N_, _, language_of, locale_for, voice
from tracker.language import speaking as say_in
from tracker.say import numbers
from tracker.say.cautions import cautions_in_full, cautions_in_short, last_word
from tracker.say.entering.record_words import in_words
from tracker.store.acts import LoggedAlready
from tracker.store.connections import default_url, demo_url, own_exists
from tracker.store.database import Store, Version, open_store
from tracker.workshop.checks import unusual
from tracker.workshop.declarations import Column
from tracker.workshop.records import Records
from tracker.workshop.refusal import written
from tracker.workshop.remembered.answers import Answers
from tracker.workshop.remembered.fingerprint import fingerprint

ROOT = Path(__file__).resolve().parent.parent
Answer = TypeVar("Answer")
BEGIN = N_("Start my workshop")  # where not one printer is written down
_LOGGED_ALREADY = "logged-already"  # what somebody else was first to log, asked about until then
_SEEN = "seen-generation"  # by address: the generation that this screen showed last
_SHOWING = "showing-generation"  # the address and generation that this run began with


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
        self, part_kind: str, failures: float, figures: tuple[float, float, float], unit: str
    ) -> str:
        """How much stands behind a figure of that kind, and how it moves with the guess: as it is,
        with the typical life guessed half and twice as long."""
        guessed = "typical_life_days" in self.records.part_facts(part_kind).guessed
        return numbers.evidence(failures, *figures, unit, guessed=guessed)


@st.cache_resource(show_spinner=False)
def _open(url: str) -> Store:
    return open_store(url)


@st.cache_resource(show_spinner=False)
def _open_demo(url: str) -> Store:
    """The demo workshop in its own file, filled from the sample spreadsheets when it is new."""
    store = open_store(url)
    if store.records().is_empty:
        from tracker.intake.exchange import read_folder

        store.load(read_folder(ROOT / "sample_data"), N_("demo workshop"), who="demo", now=now())
    return store


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
    store = (_open_demo(url) if demo else _open(url)).handed_to(entry.permit())
    version, records = store.state()
    day = (records.last_day() or today()) if records.is_demo else today()
    seen = st.session_state.get(_SEEN, {}).get(url, version.generation)
    return Workshop(store.as_seen(seen), url, version, records, day, records.is_demo)


def start_own() -> None:
    """Leave the demo and open the workshop's own, empty database."""
    entry.permit().replace_all()  # a database is made that everybody sees from then on
    _open(default_url())
    st.session_state["demo"] = False
    forget_recorded()


def show_demo() -> None:
    """Look at the demo workshop; one's own records stay as they are."""
    st.session_state["demo"] = True
    forget_recorded()


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


def begin(page: str) -> None:
    """The frame around a page: style, the demo notice, what was just recorded."""
    st.html(STYLE)
    st.session_state["page-opened"] = st.session_state.get("page") != page
    st.session_state["page"] = page
    # Places of their own, filled or not: where a notice came and went between the others, all that
    # follows would be another element in the browser, and a tap on one being replaced is lost.
    demo, told = st.container(), st.container()
    with demo, errors_in_words():
        place = workshop()
        st.session_state[_SHOWING] = place.shown  # as it begins: more may happen before its end
        drafts.restore(place.name, today())
        drafts.keep(today(), tapped=True)
        if place.is_demo:
            with st.container(
                horizontal=True, vertical_alignment="center", border=True, key="demo-notice"
            ):
                st.markdown(_("**Demo workshop – invented data**"))
                with st.container(key="demo-day", width="content"):  # a phone has no room for it
                    st.markdown(_("as of {as_of}", as_of=numbers.day(place.as_of)))
                if entry.may_manage() and st.button(_("Start my own workshop"), key="start-own"):
                    start_own()
                    st.switch_page(ROOT / "pages" / "start.py")
        acting.begin(may_write=place.store.may_write)
        if not place.store.may_write:
            st.info(
                _(
                    "These records may only be read: the database file or its folder may not be "
                    "written to."
                ),
                icon=":material/lock:",
            )
    device.attend("begins")
    with told:
        _tell_restored()
        _show_recorded()
        if not device.keeps_the_draft():
            st.warning(
                _(
                    "More is half filled in than this device keeps: save it before you close or "
                    "reload the page."
                ),
                icon=":material/save:",
            )


def just_opened() -> bool:
    """Was another page on screen before this run?"""
    return bool(st.session_state.get("page-opened"))


@contextmanager
def errors_in_words(*, days: bool = False) -> Iterator[None]:
    """A section of a page that fails alone: what follows it is drawn all the same.

    What somebody logged already becomes a question, where ``about_to_log`` said what it is.
    A refusal is shown as its sentence, a figure that may be a slip with a button that says it is
    meant; anything else is a mistake of the program and is said so, its trace in the log file.
    ``days``: as people say them, where a refusal tells of records instead of what was typed.
    """
    try:
        yield
    except LoggedAlready as problem:
        what = st.session_state.pop("about-to-log", None)
        if what is not None:
            st.session_state[_LOGGED_ALREADY] = (what, problem, workshop().shown)
            st.rerun()
        st.error(_told(problem, days=days), icon=":material/front_hand:")
    except UnusualFigure as problem:
        st.warning(_told(problem, days=days), icon=":material/help:")
        key = f"meant-{problem.key}"
        st.button(_("Yes, it is so"), key=key, on_click=_mean, args=(problem.key,))
    except TrackerError as problem:
        st.error(_told(problem, days=days), icon=":material/front_hand:")
    except Exception as problem:
        noted = note_defect(problem, "page")
        st.error(defect_sentence(problem, noted=noted), icon=":material/bug_report:")


def _mean(key: str) -> None:
    st.session_state["meant"] = {*st.session_state.get("meant", ()), key}


def must_be_meant(column: Column, number: float, field: str = "") -> None:
    """Raises UnusualFigure for a number that may be a slip, until a person said that it is so."""
    key = f"{column.name}-{number:g}"
    if (odd := unusual(column, number)) and key not in st.session_state.get("meant", ()):
        where = field or _(column.name.replace("_", " "))
        raise UnusualFigure(
            _(
                "{where}: {number} {odd}. Correct it; or say that it is so and log it again.",
                where=where,
                number=written(number),
                odd=odd,
            ),
            key,
        )


def _told(problem: TrackerError, *, days: bool = False) -> str:
    return plain(in_words(str(problem), _records_to_name(), days=days))


def _records_to_name() -> Records | None:
    """The records that a refusal may speak of; None where they cannot be read."""
    try:
        return workshop().records
    except TrackerError:
        return None


def recorded(sentence: str, batch: int | None, *, page: str = "") -> None:
    """Tell on the next run what was recorded, with a way back, and run again: this page, or the
    one named."""
    shown = workshop().shown
    st.session_state["recorded"] = (sentence, batch, shown)
    st.session_state["toast"] = sentence
    st.session_state.pop("about-to-log", None)
    if page:
        st.switch_page(ROOT / "pages" / f"{page}.py")
    st.rerun()


def about_to_log(what: tuple[Any, ...]) -> None:
    """Remember what is being logged, so that it can be asked about where somebody was first."""
    st.session_state.pop(_LOGGED_ALREADY, None)
    st.session_state["about-to-log"] = what


def logged_already() -> tuple[tuple[Any, ...], LoggedAlready] | None:
    """What this screen wanted to log and somebody had logged already; None where nothing waits."""
    kept = st.session_state.get(_LOGGED_ALREADY)
    return None if kept is None or kept[2] != workshop().shown else (kept[0], kept[1])


def forget_question() -> None:
    """What was logged already is left at that."""
    st.session_state.pop(_LOGGED_ALREADY, None)


def on_screen(name: str, now: Answer) -> Answer:
    """What stood under that name when the tap of this run was made; ``now`` is what stands next."""
    shown: dict[str, Any] = st.session_state.setdefault("on-screen", {})
    before: Answer = shown.get(name, now)
    shown[name] = now
    return before


def _tell_restored() -> None:
    """That another state is on screen than a moment ago; what was begun on that one is refused."""
    with errors_in_words():
        place = workshop()
        seen = st.session_state.get(_SEEN, {}).get(place.url, place.version.generation)
        if seen != place.version.generation:
            st.warning(
                _(
                    "Another state of these records was restored since you looked at them. What "
                    "you see now is that state; what you began before was not written."
                ),
                icon=":material/history:",
            )


def restored_here() -> None:
    """What is there now was chosen on this screen: what is begun on it from here on is taken."""
    _keep_in_mind(*workshop().shown)


def _keep_in_mind(url: str, generation: int) -> None:
    st.session_state.setdefault(_SEEN, {})[url] = generation


def _show_recorded() -> None:
    """What was recorded, in sight of whoever tapped far down the page too, and the way back."""
    if "recorded" not in st.session_state:
        return
    sentence, batch, shown = st.session_state["recorded"]
    if shown != workshop().shown:  # another workshop, or this one restored: the same numbers
        forget_recorded()
        return
    if st.session_state.pop("toast", None):
        back = "" if batch is None else "  \n" + _("Undo stands at the top of the page.")
        st.toast(plain(sentence) + back, icon=":material/check_circle:", duration="long")
    text, undo = st.columns([4, 1], vertical_alignment="center")
    text.success(plain(sentence), icon=":material/check_circle:")
    with errors_in_words():
        if batch is not None and taking_back.wanted(
            workshop().store, shown, batch, at=undo, key="undo-last"
        ):
            workshop().store.undo(batch, who=who(), now=now())
            recorded(_("Taken back: {sentence}", sentence=sentence), None)
    if batch is None:
        del st.session_state["recorded"]


def end() -> None:
    """After a page: what this device is to keep, and which state of the workshop it has shown."""
    with errors_in_words():
        drafts.keep(today())
        _keep_in_mind(*st.session_state.pop(_SHOWING, workshop().shown))
    device.attend("ends")


def forget_recorded() -> None:
    """Drop the notice of what was recorded, once something else is going on."""
    for name in ("recorded", "toast", "about-to-log", _LOGGED_ALREADY):
        st.session_state.pop(name, None)


def steady(name: str, things: Iterable[str]) -> list[str]:
    """Things in the order first seen in this session, those no longer there in their place.

    A list that sorts itself anew after each tap puts another line under the finger.
    """
    place = workshop()
    seen: dict[tuple[object, ...], list[str]] = st.session_state.setdefault("steady", {})
    kept = seen.setdefault((name, *place.shown, place.as_of), [])
    kept += [thing for thing in dict.fromkeys(things) if thing not in kept]
    return kept


def who() -> str:
    """The name of the person at this device: given when it was paired, else asked for once on the
    log page.
    """
    if paired := entry.person():
        return paired.name
    said = str(device.recall("who", ""))
    return "" if entry.is_somebody_elses(said) else said


def headline(title: str, told: str) -> None:
    """The page's question as its title and the answer, in words, right under it."""
    heading(title)(told)


def heading(title: str) -> Callable[[str], None]:
    """The page's title at once, and what writes the answer under it, in words, when it is worked
    out.
    """
    st.title(title, anchor=False)
    place = st.empty()

    def tell(told: str) -> None:
        place.markdown(f"#### {marked(told)}")

    return tell


def answer(told: str, *, link: str = "") -> None:
    """The answer to a question of a page, in words: below what it hangs on, above its grounds.

    ``link``: a way on that stands behind it, in Markdown of our own.
    """
    st.markdown(f"#### {marked(told)} {link}".rstrip())


def empty_state(sentence: str, *, button: str = "", page: str = "") -> None:
    """What to do next where there is nothing to show yet."""
    st.info(sentence, icon=":material/arrow_forward:")
    if button and st.button(button, type="primary", key=f"go-{page}"):
        st.switch_page(ROOT / "pages" / f"{page}.py")


def first_part(place: Workshop) -> dict[str, str]:
    """The button of an empty state where no part is written down: the next step there."""
    if place.records.printers.empty:
        return {"button": _(BEGIN), "page": "start"}
    return {"button": _("Log the first part"), "page": "log"}


def cautions(keys: Iterable[str], *, label: str = "") -> None:
    """Before the button of work that can hurt someone: in short, in full on tap, the last word.

    Once per page; ``label`` stands instead of the short form where that is beside each task.
    """
    keys = list(dict.fromkeys(keys))
    if not keys:
        return
    with st.popover(label or cautions_in_short(keys), icon=":material/warning:", width="stretch"):
        st.warning("  \n".join(cautions_in_full(keys)), icon=":material/warning:")
    st.caption(last_word())


def chart(picture: Any, alt: str, key: str) -> None:
    """A picture (or plotly figure) that neither hides its legend nor traps a finger on a phone."""
    from tracker.charts.screen import drawn_as, on_screen

    figure = on_screen(picture) if isinstance(picture, Picture) else picture
    figure.update_layout(dragmode=False)
    st.plotly_chart(figure, width="stretch", key=key, alt=alt, config=drawn_as())
