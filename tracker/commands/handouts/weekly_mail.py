"""The weekly mail, sent by the workshop's own mail server or only shown."""

from __future__ import annotations

import argparse
import os
import smtplib
import ssl
from dataclasses import dataclass, field
from datetime import datetime
from email.errors import MessageError
from email.headerregistry import Address
from email.message import EmailMessage
from email.utils import format_datetime, make_msgid

from tracker.commands.printing import as_json, show
from tracker.commands.sources import records_and_day
from tracker.errors import UsageError
from tracker.language import _
from tracker.say import numbers
from tracker.workshop.records import Records

PASSWORD = "TRACKER_MAIL_PASSWORD"  # the name of the environment variable that holds it
_ENCRYPTED_AT_ONCE = 465  # RFC 8314, section 3.3
_PATIENCE_SECONDS = 30


def mail(options: argparse.Namespace) -> int:
    """Send this week's mail; with ``--dry-run`` show it and send nothing."""
    from tracker.say.reminders.weekly import weekly_mail

    records, as_of = records_and_day(options)
    server = None if options.dry_run else MailServer.of(records)
    written = weekly_mail(records, as_of)
    receivers = list(server.receivers) if server else []
    if server:
        server.send(written.subject, written.text)
    if options.json:
        return as_json(
            {"as_of": as_of, "subject": written.subject, "text": written.text,
             "sent_to": receivers}
        )  # fmt: skip
    if server:
        return show(
            _(
                "Sent to {receivers}.",
                receivers=numbers.count(len(receivers), "address", "addresses"),
            ),
            [],
        )
    return show(
        _("Not sent. Subject: {subject}\n\n{text}", subject=written.subject, text=written.text), []
    )


@dataclass(frozen=True)
class MailServer:
    """Where the workshop's mail goes out, from whom and to whom."""

    host: str
    port: int
    sender: str
    receivers: tuple[str, ...]
    user: str = ""
    password: str = field(default="", repr=False)
    encrypted: bool = True

    @classmethod
    def of(cls, records: Records) -> MailServer:
        """As set by the workshop; the password from the environment, where a user is set.

        Raises UsageError with the setting that is missing or cannot be.
        """
        asked = ("mail_server", "mail_from", "mail_to")
        empty = [name for name in asked if not records.setting(name).strip()]
        if "mail_server" in empty:
            raise UsageError(
                _(
                    "No mail is sent, for no mail server is set; set mail_server, mail_from "
                    "and mail_to under Records, Settings, or look at the mail with --dry-run."
                )
            )
        if empty:
            raise UsageError(
                _("{setting}: is not set; set it under Records, Settings.", setting=empty[0])
            )
        encrypted = records.setting("mail_encrypted").strip().casefold()
        if encrypted not in ("", "yes", "no"):
            raise UsageError(
                _(
                    "mail_encrypted: {encrypted} is neither yes nor no; write one.",
                    encrypted=repr(encrypted),
                )
            )
        user = records.setting("mail_user").strip()
        password = os.environ.get(PASSWORD, "") if user else ""
        if user and encrypted == "no":
            raise UsageError(
                _(
                    "mail_encrypted: no password is sent without encryption; set it to yes, or "
                    "clear mail_user."
                )
            )
        if user and not password:
            raise UsageError(
                _(
                    "mail_user: {user} needs a password; put it into the environment "
                    "variable {password}.",
                    user=repr(user),
                    password=PASSWORD,
                )
            )
        told = [text.strip() for text in records.setting("mail_to").split(",") if text.strip()]
        return cls(
            host=records.setting("mail_server").strip(),
            port=int(records.number("mail_port")),
            sender=_address("mail_from", records.setting("mail_from").strip()),
            receivers=tuple(_address("mail_to", one) for one in told),
            user=user,
            password=password,
            encrypted=encrypted != "no",
        )

    def send(self, subject: str, text: str) -> None:
        """Hand one plain text mail over.

        Raises UsageError with what the server refused.
        """
        message = EmailMessage()
        message["From"], message["To"] = self.sender, ", ".join(self.receivers)
        message["Subject"] = subject
        message["Date"] = format_datetime(datetime.now().astimezone())
        message["Message-ID"] = make_msgid(domain=self.sender.rpartition("@")[2])
        message.set_content(text)
        try:
            with self._connected() as server:
                if self.user:
                    server.login(self.user, self.password)
                refused = server.send_message(message)
        except ssl.SSLError as problem:
            raise UsageError(
                _(
                    "mail_server: {host} cannot show that it is {host} ({reason}); its "
                    "certificate must be valid for that name.",
                    host=self.host,
                    reason=problem.reason or problem,
                )
            ) from None
        except smtplib.SMTPNotSupportedError as problem:
            raise UsageError(
                _(
                    "mail_server: {host}, port {port}: {problem}; nothing was sent. Ask for "
                    "a port with encryption, usually 587 or 465.",
                    host=self.host,
                    port=self.port,
                    problem=_one_line(problem),
                )
            ) from None
        except smtplib.SMTPAuthenticationError:
            raise UsageError(
                _(
                    "mail_user: {host} does not take {user} with the password in {password}; "
                    "correct one of them.",
                    host=self.host,
                    user=repr(self.user),
                    password=PASSWORD,
                )
            ) from None
        except (smtplib.SMTPException, OSError) as problem:
            raise UsageError(
                _(
                    "mail_server: {host}, port {port}: {problem}; nothing was sent. Check "
                    "server, port and addresses under Records, Settings.",
                    host=self.host,
                    port=self.port,
                    problem=_one_line(problem),
                )
            ) from None
        if refused:
            raise UsageError(
                _(
                    "mail_to: {host} did not take {refused}; the others have it.",
                    host=self.host,
                    refused=", ".join(refused),
                )
            )

    def _connected(self) -> smtplib.SMTP:
        """A connection on which a password may be sent, unless the workshop said otherwise."""
        if not self.encrypted:
            return smtplib.SMTP(self.host, self.port, timeout=_PATIENCE_SECONDS)
        context = ssl.create_default_context()
        if self.port == _ENCRYPTED_AT_ONCE:
            return smtplib.SMTP_SSL(
                self.host, self.port, timeout=_PATIENCE_SECONDS, context=context
            )
        server = smtplib.SMTP(self.host, self.port, timeout=_PATIENCE_SECONDS)
        try:
            server.starttls(context=context)
        except BaseException:
            server.close()
            raise
        return server


def _address(setting: str, text: str) -> str:
    try:
        found = Address(addr_spec=text)
    except (MessageError, ValueError, IndexError):
        found = None
    if found is None or not found.username or not found.domain or any(map(str.isspace, text)):
        raise UsageError(
            _(
                "{setting}: {text} is no mail address; write it as tracker@workshop.example.",
                setting=setting,
                text=repr(text),
            )
        )
    return text


def _one_line(problem: Exception) -> str:
    if isinstance(problem, smtplib.SMTPResponseException):
        told = problem.smtp_error
        said = told.decode("utf-8", "replace") if isinstance(told, bytes) else str(told)
        return f"{problem.smtp_code} {' '.join(said.split())}"
    if isinstance(problem, OSError) and problem.strerror:
        return problem.strerror
    return " ".join(str(problem).split()).rstrip(".")
