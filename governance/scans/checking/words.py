"""The sentences of the check: what was found, what is accepted, what to do."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

__all__ = ["RefusedFile", "problem_in_words", "remark_in_words"]


class RefusedFile(ValueError):  # the name by which pages know it
    """A file that is not received. problem: one or two sentences for the person who sent it."""

    def __init__(self, problem: str, code: str = "") -> None:
        super().__init__(problem)
        self.problem = problem
        self.code = code


ACCEPTED = gettext_lazy("PDF, JPEG, PNG, TIFF, HEIC, e-mail (.eml or .msg), Word (.docx) and plain text")

_REFUSED_KINDS = {
    "program": gettext_lazy("a program"),
    "html": gettext_lazy("a web page (HTML)"),
    "svg": gettext_lazy("an SVG drawing"),
    "xml": gettext_lazy("an XML file"),
    "gif": gettext_lazy("a GIF image"),
    "bmp": gettext_lazy("a BMP image"),
    "webp": gettext_lazy("a WebP image"),
    "avif": gettext_lazy("an AVIF image"),
    "icon": gettext_lazy("an icon"),
    "jpeg2000": gettext_lazy("a JPEG 2000 image"),
    "jpegxl": gettext_lazy("a JPEG XL image"),
    "photoshop": gettext_lazy("a Photoshop image"),
    "djvu": gettext_lazy("a DjVu document"),
    "rtf": gettext_lazy("an RTF document"),
    "postscript": gettext_lazy("a PostScript file"),
    "doc": gettext_lazy("an older Word document (.doc)"),
    "xls": gettext_lazy("an older Excel workbook (.xls)"),
    "ppt": gettext_lazy("an older PowerPoint file (.ppt)"),
    "compound": gettext_lazy("a compound file that is no mail"),
    "xlsx": gettext_lazy("an Excel workbook (.xlsx)"),
    "pptx": gettext_lazy("a PowerPoint file (.pptx)"),
    "opendocument": gettext_lazy("an OpenDocument file"),
    "epub": gettext_lazy("an EPUB book"),
    "zip": gettext_lazy("a ZIP archive"),
    "archive": gettext_lazy("a packed archive"),
    "database": gettext_lazy("a database file"),
    "recording": gettext_lazy("a sound or video recording"),
}

_NAMED = {
    "pdf": gettext_lazy("PDF"),
    "jpeg": gettext_lazy("JPEG image"),
    "png": gettext_lazy("PNG image"),
    "tiff": gettext_lazy("TIFF image"),
    "heic": gettext_lazy("HEIC image"),
    "mail": gettext_lazy("mail"),
    "outlook": gettext_lazy("Outlook mail (.msg)"),
    "compound": gettext_lazy("mail or Office document"),
    "docx": gettext_lazy("Word document"),
    "zip": gettext_lazy("Word document or ZIP archive"),
    "office": gettext_lazy("Office document"),
}

_CARRIED = {
    "scripts": gettext_lazy("scripts"),
    "files": gettext_lazy("attached files"),
    "media": gettext_lazy("sound or video"),
    "programs": gettext_lazy("an order to start a program"),
    "sending": gettext_lazy("a form that sends what is typed"),
    "other-files": gettext_lazy("a link to a file beside it"),
}

_UNPACK = gettext_lazy("Unpack it and send the files in it.")
_NAME_ANOTHER = gettext_lazy("Send the document that is meant.")
_AS_IMAGE = gettext_lazy("Save it as JPEG or PNG, and send that.")
_TO_DO = {
    **dict.fromkeys(("archive", "zip"), _UNPACK),
    **dict.fromkeys(("program", "recording", "database"), _NAME_ANOTHER),
    **dict.fromkeys(("gif", "bmp", "webp", "avif", "icon", "jpeg2000", "jpegxl", "photoshop"), _AS_IMAGE),
}
"""What to do instead; with all others: save as PDF."""

_PROBLEMS = {
    "empty": gettext_lazy("The file is empty (0 bytes). Look whether the original opens, and send it again."),
    "too-large": gettext_lazy("The file is larger than %(most_mb)s MB, the most that is received. Save it smaller, or "
                              "split it into several files."),
    "refused-kind": gettext_lazy("This is %(found)s. Received are %(accepted)s. %(to_do)s"),
    "unknown": gettext_lazy("What kind of file this is could not be told from its content. Received are %(accepted)s. "
                            "Save it as one of these, and send that."),
    "cut-off": gettext_lazy("The %(kind)s ends in the middle: its end is missing. Send it again from the original."),
    "damaged": gettext_lazy("The %(kind)s is damaged and cannot be opened. Look whether the original opens, and send "
                            "it again."),
    "damaged-page": gettext_lazy("The PDF is damaged: its page %(page)s cannot be opened. Look whether the original "
                                 "opens, and send it again."),
    "damaged-image": gettext_lazy("The %(kind)s is damaged or ends in the middle. Look whether the original opens, and "
                                  "send it again."),
    "password": gettext_lazy("The %(kind)s asks for a password. Save a copy without the password, and send that."),
    "no-pages": gettext_lazy("The %(kind)s has no pages. Look whether the original opens, and send it again."),
    "too-many-pages": gettext_lazy("The file has %(pages)s pages; at most %(most)s are received. Split it into "
                                   "several files."),
    "image-too-large": gettext_lazy("The image has %(width)s × %(height)s pixels, more than the %(most)s million that "
                                    "are opened. Scan it again at a lower resolution, or in parts."),
    "opens-too-large": gettext_lazy("The document opens to %(opened_mb)s MB or more, past the %(most_mb)s MB that are "
                                    "opened. Save it as PDF, and send that."),
    "time": gettext_lazy("The file took too long to look through. Save it as a new PDF, for instance by printing it "
                         "into one, and send that."),
    "memory": gettext_lazy("The file needs too much memory to be opened. Save it as a new PDF with a lower resolution, "
                           "and send that."),
    "crash": gettext_lazy("The file could not be taken apart: it is damaged, or made in an unusual way. Save it as a "
                          "new PDF, for instance by printing it into one, and send that."),
}  # fmt: skip

_REMARKS = {
    "pdf-forbids": gettext_lazy("The PDF opens without a password, and asks readers not to print or change it."),
    "pdf-carries": gettext_lazy("The PDF carries %(what)s. Nothing of it is run here; mind it when you open the "
                                "downloaded file."),
    "pdf-not-all-looked-at": gettext_lazy("The PDF has more than %(most)s objects; not all were looked through for "
                                          "scripts."),
    "pdf-not-looked-at": gettext_lazy("The PDF is built in an unusual way: its pages open, but it could not be looked "
                                      "through for scripts. Mind it when you open the downloaded file."),
    "docx-macros": gettext_lazy("The document carries macros. Nothing of them is run here; mind them when you open the "
                                "downloaded file."),
    "text-encoding": gettext_lazy("The text does not say how its letters are encoded; letters with accents may be "
                                  "shown wrongly."),
}  # fmt: skip


def problem_in_words(code: str, values: Mapping[str, Any]) -> str:
    """The sentence of a problem."""
    filled: dict[str, Any] = {"accepted": ACCEPTED} | dict(values)
    if code == "refused-kind":
        filled["to_do"] = _TO_DO.get(values["found"], _("Save it as PDF, and send that."))
        filled["found"] = _REFUSED_KINDS[values["found"]]
    if "kind" in values:
        filled["kind"] = _NAMED[values["kind"]]
    if code == "image-too-large":
        filled["most"] = values["most"] // 1_000_000
    return str(_PROBLEMS[code]) % filled


def remark_in_words(code: str, values: Mapping[str, Any]) -> str:
    """The sentence of a remark."""
    if code == "mail-attached":
        return _attached(values["count"], values["names"])
    filled = dict(values)
    if code == "pdf-carries":
        filled["what"] = ", ".join(str(_CARRIED[one]) for one in values["what"])
    return str(_REMARKS[code]) % filled


def _attached(count: int, names: list[str]) -> str:
    sentence = ngettext(
        "The mail carries %(count)s attached file: %(names)s. Send it by itself if it is to be read here.",
        "The mail carries %(count)s attached files: %(names)s. Send them by themselves if they are to be read here.",
        count,
    )
    return sentence % {"count": count, "names": ", ".join(names) or _("without a name")}
