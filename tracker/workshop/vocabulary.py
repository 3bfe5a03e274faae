"""The words of the trade in one place: part kinds, tasks, reasons, settings, cautions.

Lives, prices, lead times and intervals here are starting guesses: common practice, no source.
They vary by a factor of three and more between machines, and a workshop replaces them. Terms
follow EN 13306 (maintenance) and IEC 60050-192 (dependability) where the trade has no word.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import KW_ONLY, dataclass
from functools import cache

from tracker.language import LANGUAGES, N_, _, speaking


@dataclass(frozen=True)
class PartKind:
    """A kind of part with the trade's starting guesses (common practice, no source).

    ``costly`` parts get an order-by date of their own, whatever was paid for them; ``wears`` is
    False where a level decides, not a life: a full waste tank is emptied or changed and has not
    failed. Sediment of white ink shortens lives, so ``typical_life_white_days`` holds in white
    positions where it is given.
    """

    name: str
    english: str
    _: KW_ONLY
    typical_life_days: float
    hours_to_change: float
    unit_cost: float
    pack_size: int
    lead_days: float
    lead_days_late: float
    shelf_life_days: float
    warranty_days: float
    typical_life_white_days: float | None = None
    belief_failures: float = 1.0  # how many failures the guessed life counts for
    recovery_minutes: float = 0.0
    refill_ml: float = 0.0
    spoiled_per_failure: float = 0.0
    per_channel: bool = False
    replaced_with: str = ""
    failure_modes: tuple[str, ...] = ()
    costly: bool = False
    wears: bool = True

    @property
    def label(self) -> str:
        """The kind in the words of the screen."""
        return _(self.english)


_PART_KINDS = (
    PartKind(
        "head", N_("Printhead"),
        typical_life_days=365, hours_to_change=3, unit_cost=600, pack_size=1,
        recovery_minutes=60, refill_ml=150, spoiled_per_failure=30,
        lead_days=20, lead_days_late=45, shelf_life_days=540, warranty_days=90,
        failure_modes=(
            N_("nozzles blocked"), N_("head strike"), N_("electrical"),
            N_("ink behind nozzle plate"),
        ),
        costly=True,
    ),
    PartKind(
        "damper", N_("Damper"), per_channel=True,
        typical_life_days=150, typical_life_white_days=90, hours_to_change=0.5, unit_cost=9,
        pack_size=10,
        recovery_minutes=20, refill_ml=30, spoiled_per_failure=10,
        lead_days=10, lead_days_late=18, shelf_life_days=540, warranty_days=0,
        failure_modes=(N_("filter full"), N_("air leak"), N_("cracked nipple")),
        replaced_with="head",
    ),
    PartKind(
        "wiper", N_("Wiper blade"),
        typical_life_days=120, hours_to_change=0.3, unit_cost=9, pack_size=5,
        recovery_minutes=10, spoiled_per_failure=5,
        lead_days=10, lead_days_late=18, shelf_life_days=540, warranty_days=0,
        failure_modes=(N_("hardened edge"), N_("cut edge"), N_("gummy residue")),
    ),
    PartKind(
        "cap", N_("Capping station"),
        typical_life_days=240, hours_to_change=0.75, unit_cost=45, pack_size=1,
        recovery_minutes=20, refill_ml=20, spoiled_per_failure=10,
        lead_days=12, lead_days_late=24, shelf_life_days=540, warranty_days=0,
        failure_modes=(N_("seal hard"), N_("seal cut"), N_("no vacuum")),
    ),
    PartKind(
        "pump", N_("Ink pump"),
        typical_life_days=450, hours_to_change=1, unit_cost=55, pack_size=1,
        recovery_minutes=20, spoiled_per_failure=10,
        lead_days=15, lead_days_late=28, shelf_life_days=1800, warranty_days=0,
        failure_modes=(N_("worn tube"), N_("weak suction")),
    ),
    PartKind(
        "line", N_("Ink line"), per_channel=True,
        typical_life_days=540, hours_to_change=1, unit_cost=20, pack_size=1,
        recovery_minutes=30, refill_ml=60, spoiled_per_failure=10,
        lead_days=10, lead_days_late=18, shelf_life_days=1800, warranty_days=0,
        failure_modes=(N_("sediment"), N_("air"), N_("brittle at fitting")),
    ),
    PartKind(
        "ink_filter", N_("Ink filter"), per_channel=True,
        typical_life_days=240, typical_life_white_days=150, hours_to_change=0.5, unit_cost=7,
        pack_size=6, lead_days=10, lead_days_late=18, shelf_life_days=1800, warranty_days=0,
        failure_modes=(N_("clogged"), N_("leaks")),
    ),
    PartKind(
        "stirrer", N_("White-ink stirrer"),
        typical_life_days=600, hours_to_change=1, unit_cost=40, pack_size=1,
        lead_days=15, lead_days_late=28, shelf_life_days=3650, warranty_days=90,
        failure_modes=(N_("motor stopped"), N_("blade stuck"), N_("shaft leaks")),
    ),
    PartKind(
        "circulation_pump", N_("Circulation pump"),
        typical_life_days=480, hours_to_change=1.5, unit_cost=75, pack_size=1,
        lead_days=15, lead_days_late=30, shelf_life_days=1800, warranty_days=90,
        failure_modes=(N_("weak flow"), N_("stopped"), N_("leaks")),
    ),
    PartKind(
        "encoder", N_("Encoder strip"),
        typical_life_days=720, hours_to_change=0.5, unit_cost=18, pack_size=1,
        spoiled_per_failure=5,
        lead_days=12, lead_days_late=24, shelf_life_days=3650, warranty_days=0,
        failure_modes=(N_("scratched"), N_("stained")),
    ),
    PartKind(
        "roller", N_("Feed roller"),
        typical_life_days=720, hours_to_change=1, unit_cost=30, pack_size=1,
        spoiled_per_failure=5,
        lead_days=12, lead_days_late=24, shelf_life_days=3650, warranty_days=0,
        failure_modes=(N_("slips"), N_("worn")),
    ),
    PartKind(
        "waste_tank", N_("Waste tank"),
        typical_life_days=180, hours_to_change=0.2, unit_cost=18, pack_size=1,
        lead_days=6, lead_days_late=12, shelf_life_days=3650, warranty_days=0,
        wears=False,
    ),
    PartKind(
        "waste_pad", N_("Waste pad"),
        typical_life_days=240, hours_to_change=0.5, unit_cost=12, pack_size=1,
        lead_days=8, lead_days_late=15, shelf_life_days=3650, warranty_days=0,
        wears=False,
    ),
)  # fmt: skip

PART_KINDS: dict[str, PartKind] = {kind.name: kind for kind in _PART_KINDS}
BUILT_IN_PART_KINDS: tuple[str, ...] = tuple(PART_KINDS)

# A kind the workshop added without telling more about it.
UNKNOWN_PART_KIND = PartKind(
    "", "",
    typical_life_days=365, hours_to_change=1, unit_cost=30, pack_size=1,
    lead_days=14, lead_days_late=28, shelf_life_days=720, warranty_days=0,
)  # fmt: skip


def part_label(kind: str) -> str:
    """The kind in the words of the screen: ``"waste_tank"`` → ``"Waste tank"``.

    >>> part_label("UV lamp")
    'UV lamp'
    """
    known = PART_KINDS.get(kind)
    own = kind.replace("_", " ")
    return known.label if known else own[:1].upper() + own[1:]


def said(word: str) -> str:
    """A word of the contract or of a list of ours in the language in use; own words as they are.

    >>> said("nozzles blocked"), said("Trolley hit it")
    ('nozzles blocked', 'Trolley hit it')
    """
    return _(word)


def wears(kind: str) -> bool:
    """False where a level decides when a part is changed, not its life."""
    known = PART_KINDS.get(kind)
    return known.wears if known else True


def part_name(kind: str, position: str, *, variant: str = "") -> str:
    """One part by its kind, place and type, the place left out where it only repeats the kind.

    >>> part_name("damper", "W1"), part_name("wiper", "wiper")
    ('Damper W1', 'Wiper blade')
    >>> part_name("head", "H1", variant="six-channel head")
    'Printhead H1 (six-channel head)'
    >>> part_name("UV lamp", "lamp")
    'UV lamp'
    """
    label = part_label(kind)
    repeats = f" {label}".casefold().endswith(f" {position}".casefold())
    name = label if not position or position == kind or repeats else f"{label} {position}"
    return f"{name} ({type_beside(kind, variant)})" if variant else name


def type_beside(kind: str, variant: str) -> str:
    """A type as it stands in brackets behind its kind, whose name it does not say again.

    >>> type_beside("head", "six-channel head"), type_beside("damper", "Damper with filter")
    ('six-channel head', 'with filter')
    """
    told = _(variant)
    name = f"{part_label(kind)} ".casefold()
    return told[len(name) :] if told.casefold().startswith(name) else told


@dataclass(frozen=True)
class Task:
    """A maintenance task with the trade's usual interval (common practice, no source).

    ``every_days`` is None for tasks done only when needed. ``cautions`` names keys of CAUTIONS.
    ``likely_helps`` lists part kinds whose life the trade expects the task to lengthen.
    ``counts_as``: the lighter task that it stands in for as well; ``protects_people``: left undone
    it can hurt someone, so that it is no question of money.
    """

    name: str
    english: str
    _: KW_ONLY
    every_days: float | None
    minutes: float
    fluid_ml: float
    cautions: tuple[str, ...] = ()
    likely_helps: tuple[str, ...] = ()
    counts_as: str = ""
    protects_people: bool = False

    @property
    def label(self) -> str:
        """The task in the words of the screen."""
        return _(self.english)

    @property
    def needs_a_stop(self) -> bool:
        """True where the printer is switched off for it; such tasks share one stop."""
        return "carriage" in self.cautions


_TASKS = (
    Task(
        "stir_ink", N_("Stir or shake the white ink"),
        every_days=1, minutes=4, fluid_ml=0,
        cautions=("chemicals",), likely_helps=("head", "damper"),
    ),
    Task(
        "nozzle_check", N_("Nozzle check"),
        every_days=1, minutes=3, fluid_ml=0,
    ),
    Task(
        "head_clean", N_("Normal head clean"),
        every_days=None, minutes=4, fluid_ml=5,
        cautions=("chemicals", "waste"), likely_helps=("head",),
    ),
    Task(
        "strong_clean", N_("Strong head clean"),
        every_days=None, minutes=10, fluid_ml=40,
        cautions=("chemicals", "waste"), counts_as="head_clean",
    ),
    Task(
        "shake_dampers", N_("Shake dampers, draw off air"),
        every_days=15, minutes=25, fluid_ml=10,
        cautions=("carriage", "chemicals", "waste"), likely_helps=("damper", "head"),
    ),
    Task(
        "clean_wiper_cap", N_("Clean wiper blade and cap edge"),
        every_days=3, minutes=8, fluid_ml=5,
        cautions=("carriage", "chemicals"), likely_helps=("wiper", "cap", "head"),
    ),
    Task(
        "flush_in_place", N_("Flush the head in place"),
        every_days=30, minutes=40, fluid_ml=30,
        cautions=("carriage", "nozzle_plate", "chemicals", "waste"), likely_helps=("head",),
    ),
    Task(
        "flush_removed", N_("Flush the head taken out"),
        every_days=None, minutes=105, fluid_ml=60,
        cautions=("carriage", "ribbon", "nozzle_plate", "chemicals", "waste"),
        counts_as="flush_in_place",
    ),
    Task(
        "empty_waste", N_("Empty the waste tank"),
        every_days=7, minutes=8, fluid_ml=0,
        cautions=("chemicals", "waste"), protects_people=True,
    ),
    Task(
        "wipe_encoder", N_("Wipe the encoder strip"),
        every_days=30, minutes=5, fluid_ml=1,
        cautions=("carriage",), likely_helps=("encoder",),
    ),
    Task(
        "clean_rollers", N_("Clean the feed rollers"),
        every_days=30, minutes=10, fluid_ml=10,
        cautions=("carriage", "flammable"), likely_helps=("roller",),
    ),
    Task(
        "humidify", N_("Humidify the room"),
        every_days=1, minutes=2, fluid_ml=0,
        likely_helps=("head", "cap"),
    ),
    Task(
        "keep_tank_third", N_("Keep the tank at least a third full"),
        every_days=1, minutes=2, fluid_ml=0,
        cautions=("chemicals",), likely_helps=("damper", "head"),
    ),
    Task(
        "flush_before_shutdown", N_("Flush before a shutdown"),
        every_days=None, minutes=45, fluid_ml=40,
        cautions=("carriage", "nozzle_plate", "chemicals", "waste"), likely_helps=("head",),
        counts_as="flush_in_place",
    ),
)  # fmt: skip

TASKS: dict[str, Task] = {task.name: task for task in _TASKS}
BUILT_IN_TASKS: tuple[str, ...] = tuple(TASKS)


def task_label(task: str) -> str:
    """The task in the words of the screen."""
    known = TASKS.get(task)
    return known.label if known else task.replace("_", " ").capitalize()


@cache
def part_labels(kind: str) -> tuple[str, ...]:
    """What a part kind is called in each language: a sheet may be of another than the reader's."""
    return tuple(dict.fromkeys(in_each_language(part_label, kind)))


@cache
def task_labels(task: str) -> tuple[str, ...]:
    """What a task is called in each language."""
    return tuple(dict.fromkeys(in_each_language(task_label, task)))


@cache
def failure_modes(kind: str) -> dict[str, str]:
    """The failure modes of a kind, by what each is called in each language, in small letters."""
    modes = PART_KINDS[kind].failure_modes if kind in PART_KINDS else ()
    return {word.casefold(): mode for mode in modes for word in in_each_language(said, mode)}


def in_each_language(label: Callable[[str], str], word: str) -> Iterator[str]:
    for language in LANGUAGES:
        with speaking(language):
            yield label(word)


REMOVAL_REASONS = (
    N_("failed"),
    N_("accident"),
    N_("planned"),
    N_("with_other"),
    N_("retired"),
    N_("unknown"),
)
UNTOLD = ("", "unknown")  # nobody wrote down why
REMOVAL_REASON_LABELS = {
    "failed": N_("It failed, or printed too poorly"),
    "accident": N_("Accident (head strike, mishandling, power)"),
    "planned": N_("Planned, still working"),
    "with_other": N_("Went out with another part"),
    "retired": N_("Printer retired"),
    "unknown": N_("Not known"),
}


def removal_reason_label(reason: str) -> str:
    """Why a part came out, in the words of the screen."""
    return _(REMOVAL_REASON_LABELS[reason])


OUTCOMES = (*REMOVAL_REASONS, "running")

MAINTENANCE_REASONS = (N_("planned"), N_("symptom"))
# In the note of an entry that somebody was asked about and that was planned: not asked again.
CONFIRMED_PLANNED = N_("Planned, confirmed")
DEMANDED = ("yes", "no")
# Which of two, where a clock that is put back shows a time twice.
FIRST_PASS, SECOND_PASS = N_("first"), N_("second")
CLAIM_STATES = (N_("sent"), N_("credited"), N_("refused"))
STOCK_REASONS = (N_("received"), N_("used"), N_("counted"), N_("scrapped"))

CAUTIONS = {
    "carriage": N_(
        "Switch off and pull the plug before moving the carriage by hand or reaching inside."
    ),
    "ribbon": N_(
        "Never unplug a ribbon cable under power; let wetted contacts dry fully before power "
        "returns."
    ),
    "chemicals": N_(
        "Gloves and eye protection with ink and cleaning fluid; air the room; read the fluid's "
        "safety data sheet; no fluid near heat."
    ),
    "flammable": N_("Alcohol is flammable: keep it away from heat, sparks and the curing oven."),
    "nozzle_plate": N_("Never touch or scrape the nozzle plate; press fluid gently."),
    "waste": N_("Waste ink and fluid go where the local rules say, not down the drain."),
    "mains": N_("Mains, power supplies and heated curing equipment: qualified people only."),
    "heat": N_(
        "Curing ovens, presses and powder shakers stay hot after they are switched off: let them "
        "cool before reaching in."
    ),
    "fumes": N_(
        "Adhesive powder and the fumes of curing belong in no lung: extraction on, a mask for "
        "powder, no sparks near powder dust."
    ),
    "deference": N_(
        "Local codes and the maker's instructions come before anything this tool says; what you "
        "are not trained for belongs to qualified people. Under warranty, ask the supplier first."
    ),
}


# Readings a person may write for a kind, task or reason; the value is the contract's word.
SYNONYMS: dict[str, str] = {
    "printhead": "head", "print head": "head", "dampers": "damper", "wiper blade": "wiper",
    "blade": "wiper", "capping station": "cap", "cap top": "cap", "capping": "cap",
    "ink pump": "pump", "ink line": "line", "tube": "line", "encoder strip": "encoder",
    "feed roller": "roller", "waste": "waste_tank", "waste tank": "waste_tank",
    "absorber": "waste_pad", "waste pad": "waste_pad", "pad": "waste_pad",
    "ink filter": "ink_filter", "filter": "ink_filter", "inline filter": "ink_filter",
    "white ink stirrer": "stirrer", "white-ink stirrer": "stirrer",
    "circulation pump": "circulation_pump", "white ink pump": "circulation_pump",
    "failure": "failed", "broken": "failed", "dead": "failed", "worn": "failed",
    "head strike": "accident", "strike": "accident",
    "preventive": "planned", "routine": "planned", "schedule": "planned", "scheduled": "planned",
    "with other": "with_other", "with head": "with_other", "together": "with_other",
    "printer retired": "retired", "not known": "unknown", "?": "unknown",
    "problem": "symptom", "corrective": "symptom", "unplanned": "symptom",
    "purchase": "received", "delivery": "received", "count": "counted", "inventory": "counted",
    "thrown away": "scrapped", "expired": "scrapped",
}  # fmt: skip


def ink_of(part_kind: str, position: str) -> str:
    """``"white"``, ``"colour"`` or ``""``: which ink a position carries.

    A channel named W or W1, W2, … is white. Only parts fitted per channel have an ink.
    """
    kind = PART_KINDS.get(part_kind)
    if kind is None or not kind.per_channel:
        return ""
    channel = position.strip().upper()
    return "white" if channel[:1] == "W" and (channel[1:].isdigit() or channel == "W") else "colour"
