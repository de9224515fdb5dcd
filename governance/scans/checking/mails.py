"""Mails: the text form of RFC 5322, and the compound files of Outlook. Runs in the child process."""

from __future__ import annotations

import re
from email import policy
from email.errors import CloseBoundaryNotFoundDefect, StartBoundaryNotFoundDefect
from email.message import EmailMessage
from email.parser import BytesParser
from pathlib import Path
from typing import Any

from governance.scans.checking.found import Found, Unfit
from governance.scans.checking.kinds import Kind

_FIELD = re.compile(rb"[!-9;-~]+[ \t]*:")
"""RFC 5322, 2.2: a name of printable characters but the colon, then a colon."""

_ORIGIN = (b"from", b"sender")
_TRACES = (b"date", b"message-id", b"received", b"mime-version")

MOST_NAMES = 20


def is_mail(head: bytes) -> bool:
    """Whether a text begins as a mail: header fields, with a sender and a date or another trace of transport."""
    names = set()
    lines = head.removeprefix(b"\xef\xbb\xbf").splitlines()
    if lines and lines[0].startswith(b"From "):  # as mailboxes begin each of their mails
        lines = lines[1:]
    for number, line in enumerate(lines):
        if not line:
            break
        if line[:1] in b" \t" and number:
            continue
        found = _FIELD.match(line)
        if not found:
            return False
        names.add(found[0].rstrip(b": \t").lower())
    return any(name in names for name in _ORIGIN) and any(name in names for name in _TRACES)


def look(path: Path) -> Found:
    """A mail in text form.

    Raises:
        Unfit: one of its parts has no end.
    """
    with path.open("rb") as file:
        mail = BytesParser(policy=policy.default).parse(file)
    found = Found(Kind.MAIL)
    names: list[str] = []
    for part in mail.walk():
        if any(isinstance(one, CloseBoundaryNotFoundDefect | StartBoundaryNotFoundDefect) for one in part.defects):
            raise Unfit("cut-off", kind="mail")
        if isinstance(part, EmailMessage) and part.is_attachment():
            names.append(part.get_filename() or "")
    _note_attached(found, names)
    return found


def _note_attached(found: Found, names: list[str]) -> None:
    if names:
        found.note("mail-attached", count=len(names), names=[name for name in names if name][:MOST_NAMES])


def look_outlook(path: Path) -> Found:
    """A mail as Outlook saves it, or a refusal that names what else the compound file is.

    Raises:
        Unfit: it is damaged, or no mail.
    """
    import olefile  # late, as all libraries here: each check starts a process, and most files are no mails

    kind = "compound"
    try:
        with olefile.OleFileIO(path) as compound:
            _refuse_other(compound)
            kind = "outlook"
            _refuse_missing_parts(compound)
        names = _read(path)
    except (Unfit, MemoryError):
        raise
    except Exception as error:  # the libraries raise whatever their arithmetic comes upon
        raise Unfit("damaged", kind=kind) from error
    found = Found(Kind.OUTLOOK)
    _note_attached(found, names)
    return found


def _read(path: Path) -> list[str]:
    """Names of the attached files, once what people read in the mail has been read."""
    from oxmsg import Message

    message = Message.load(str(path))
    _ = message.subject, message.sender, message.body
    return [attached.file_name or "" for attached in message.attachments]


_STREAMS = {"WordDocument": "doc", "Workbook": "xls", "Book": "xls", "PowerPoint Document": "ppt"}


def _refuse_other(compound: Any) -> None:
    if compound.exists("__properties_version1.0"):
        return
    if compound.exists("EncryptedPackage"):
        raise Unfit("password", kind="office")
    for stream, word in _STREAMS.items():
        if compound.exists(stream):
            raise Unfit("refused-kind", found=word)
    if compound.parsing_issues:
        raise Unfit("damaged", kind="compound")
    raise Unfit("refused-kind", found="compound")


def _refuse_missing_parts(compound: Any) -> None:
    """Every stream must be as long as the list of them says."""
    for stream in compound.listdir():
        if len(compound.openstream(stream).read()) != compound.get_size(stream):
            raise Unfit("damaged", kind="outlook")
