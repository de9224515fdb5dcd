"""What the child process does: look into a file and say what was found. It knows no Django."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import Any

from governance.scans.checking import documents, images, mails, pdfs, texts
from governance.scans.checking.found import Found, Unfit
from governance.scans.checking.kinds import (
    HEAD_BYTES,
    Kind,
    kind_of_head,
    refused_kind_of_head,
    refused_text_of_head,
)

MAIL_HEAD_BYTES = 256 * 1024
"""Mails come with long traces of their transport before the sender is named."""


def main(arguments: list[str]) -> dict[str, Any]:
    """The dictionary of a ``Found``, or of an ``Unfit``. The one argument is the path."""
    try:
        return asdict(_look(Path(arguments[0])))
    except Unfit as unfit:
        return {"unfit": unfit.code, "values": unfit.values}


def _look(path: Path) -> Found:
    with path.open("rb") as file:
        head = file.read(HEAD_BYTES)
    kind = kind_of_head(head)
    if kind is Kind.PDF:
        return pdfs.look(path)
    if kind is Kind.OUTLOOK:
        return mails.look_outlook(path)
    if kind is Kind.DOCX:
        return documents.look(path)
    if kind is not None:
        return images.look(path, kind)
    return _look_at_text(path, head)


def _look_at_text(path: Path, head: bytes) -> Found:
    if refused := refused_text_of_head(head):
        raise Unfit("refused-kind", found=refused)
    with path.open("rb") as file:
        is_mail = mails.is_mail(file.read(MAIL_HEAD_BYTES))
    if is_mail:
        return mails.look(path)
    try:
        return texts.look(path)
    except Unfit:
        if refused := refused_kind_of_head(head):
            raise Unfit("refused-kind", found=refused) from None
        raise
