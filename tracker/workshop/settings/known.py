"""The settings of a workshop, each declared once."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.language import N_, _
from tracker.workshop.settings.euro_rates import guessed_in


@dataclass(frozen=True)
class Setting:
    """A setting of the workshop: its default, its unit and what it does.

    ``in_euros``: the default is money, the trade's guess (common practice, no source).
    """

    name: str
    default: str
    kind: str  # "text", "number" or "day"
    unit: str
    english: str
    in_euros: bool = False

    def default_in(self, currency: str) -> str:
        """What holds in a workshop of that currency where nothing is set."""
        if not self.in_euros:
            return self.default
        return f"{guessed_in(currency, float(self.default)):.10g}"

    @property
    def means(self) -> str:
        """What it does, in the words of the screen."""
        return _(self.english)


_SETTINGS = (
    Setting("workshop", "", "text", "", N_("name of the workshop, for the head of the review")),
    Setting(
        "language",
        "",
        "text",
        "",
        N_("language of the program: en or es; empty: as the browser of each device asks"),
    ),
    Setting(
        "locale",
        "",
        "text",
        "",
        N_(
            "country whose habit numbers and days follow, as es_MX or en_GB; empty: as usual "
            "in the language"
        ),
    ),
    Setting(
        "time_zone",
        "",
        "text",
        "",
        N_(
            "time zone of the workshop's clocks, as Europe/Madrid, for the nights on which they "
            "are put forward or back; empty: they never are"
        ),
    ),
    Setting(
        "weekdays_worked",
        "",
        "text",
        "",
        N_(
            "weekdays on which somebody works, Monday is 1: 1 2 3 4 5; tasks are due on these "
            "alone; empty: as the log shows"
        ),
    ),
    Setting(
        "app_address",
        "",
        "text",
        "",
        N_(
            "address under which phones reach this app, for the printers' labels, e.g. "
            "http://printroom:8501"
        ),
    ),
    Setting("currency", "EUR", "text", "", N_("currency of all prices")),
    Setting(
        "labour_per_hour", "25", "number", N_("per hour"), N_("what an hour of work costs"), True
    ),
    Setting(
        "margin_per_hour",
        "20",
        "number",
        N_("per hour"),
        N_("margin lost while a printer stands"),
        True,
    ),
    Setting(
        "taken_over_share",
        "0",
        "number",
        "",
        N_("share of a standing printer's work that the other printers take over"),
    ),
    Setting(
        "courier_days",
        "",
        "number",
        N_("days"),
        N_("how fast a courier or an express order brings a part; empty: there is none"),
    ),
    Setting("courier_cost", "", "number", N_("per order"), N_("what that costs more than usual")),
    Setting(
        "fluid_per_litre",
        "25",
        "number",
        N_("per litre"),
        N_("what a litre of fluid or ink costs"),
        True,
    ),
    Setting(
        "shared_stop_minutes",
        "5",
        "number",
        N_("min"),
        N_(
            "minutes of each task that go into "
            "switching the printer off and on; tasks done in one stop need them once"
        ),
    ),
    Setting(
        "service_level", "0.95", "number", "", N_("wanted chance of not running short of a part")
    ),
    Setting(
        "risk_limit",
        "0",
        "number",
        "",
        N_(
            "accepted risk of running out of a costly part before "
            "a new one is here, as a share such as 0.05; 0: none, money alone dates the order"
        ),
    ),
    Setting("review_days", "30", "number", N_("days"), N_("days between looks at the shelf")),
    Setting(
        "holding_rate_per_year",
        "0.2",
        "number",
        N_("per year"),
        N_("yearly cost of a part on the shelf, as a share of its price"),
    ),
    Setting(
        "hours_per_day", "8", "number", N_("hours"), N_("hours a printer works on a working day")
    ),
    Setting(
        "shipping_per_order", "10", "number", N_("per order"), N_("what one delivery costs"), True
    ),
    Setting(
        "express_premium",
        "0",
        "number",
        N_("per order"),
        N_(
            "extra price of an express order, paid "
            "when a costly part dies before its spare was ordered"
        ),
    ),
    Setting(
        "log_began_on",
        "",
        "day",
        "",
        N_("day the log began; parts fitted before were seen only from then on"),
    ),
    Setting(
        "worked_through",
        "",
        "text",
        "",
        N_(
            "first and last day of stretches without an entry on "
            "which you worked all the same, as 2026-08-03/2026-08-14"
        ),
    ),
    Setting(
        "open_again",
        "",
        "text",
        "",
        N_(
            "first and last day of stretches, closed a year before, that are not closed "
            "again, as 2026-08-03/2026-08-14"
        ),
    ),
    Setting(
        "mail_server",
        "",
        "text",
        "",
        N_(
            "the workshop's own mail server for the weekly mail, e.g. mail.workshop.example; "
            "empty: no mail is sent"
        ),
    ),
    Setting(
        "mail_port",
        "587",
        "number",
        "",
        N_(
            "port of the mail server: 587 begins in the clear and is encrypted before anything "
            "is said, 465 is encrypted from the first byte"
        ),
    ),
    Setting(
        "mail_encrypted",
        "yes",
        "text",
        "",
        N_(
            "no: send without encryption, to a server in the same building only; no password is "
            "sent then"
        ),
    ),
    Setting(
        "mail_user",
        "",
        "text",
        "",
        N_(
            "name for signing in at the mail server; empty: none. The password is never kept: it "
            "is read from the environment variable TRACKER_MAIL_PASSWORD when a mail is sent"
        ),
    ),
    Setting(
        "mail_from",
        "",
        "text",
        "",
        N_("sender of the weekly mail, e.g. tracker@workshop.example"),
    ),
    Setting(
        "mail_to", "", "text", "", N_("who gets the weekly mail, addresses with commas between")
    ),
    Setting("demo", "", "text", "", N_("yes for invented demonstration data")),
)

SETTINGS: dict[str, Setting] = {setting.name: setting for setting in _SETTINGS}
