"""The label of a scientific exchange, held against the five conditions of CITES Article VII, paragraph 6. Pure.

Source of the conditions: Article VII(6), quoted in Resolution Conf. 11.15 (Rev. CoP12), cites.org: the articles on
trade do not apply to the "non-commercial loan, donation or exchange between scientists or scientific institutions
registered by a Management Authority of their State, of herbarium specimens, other preserved, dried or embedded museums
specimens, and live plant material which carry a label issued or approved by a Management Authority". The resolution
adds: legally acquired. What nobody looked at is not told, never met: only five times yes lets a label count.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Final, Protocol

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from governance.engine.uses import Tri
from governance.jurisdictions.codes import is_country
from governance.jurisdictions.loader import territories_inside
from governance.papers.countries import country_name

ARTICLE: Final = gettext_lazy("CITES, Article VII, paragraph 6")
RESOLUTION: Final = gettext_lazy("CITES, Resolution Conf. 11.15 (Rev. CoP12)")
REGISTER: Final = gettext_lazy("CITES register of scientific institutions: code of the country and a number")
EU_FORM: Final = gettext_lazy("Regulation (EC) 865/2006, Article 52: two letters and three digits")
CONTENT_SOURCE: Final = gettext_lazy(
    "As Australia asks of its labels (Environment Protection and Biodiversity Conservation Regulations 2000, "
    "regulation 9A.01); the last line: common practice, no source"
)

COVERED_KINDS: Final = frozenset({"herbarium", "museum", "live-plants"})
"""Kinds of specimen that the article names."""

EU_STATES: Final = frozenset({
    "AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU", "IE", "IT", "LT", "LU", "LV",
    "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK",
})  # fmt: skip
"""The 27 member states, from memory; checked 2026-11-26. They decide only where the form of the Union is expected."""

LABEL_CONTENT: Final = (
    gettext_lazy("Names and addresses of both institutions"),
    gettext_lazy("Register numbers of both institutions"),
    gettext_lazy("Scientific name, common name and description of the specimens"),
    gettext_lazy("The CITES Appendix of each species"),
    gettext_lazy("That nothing is paid for the specimens"),
    gettext_lazy("That no animal is alive"),
    gettext_lazy("Signature of a responsible officer, with the day"),
)
"""What a label is expected to say, to hold it against."""

_NUMBER: Final = re.compile(r"([A-Z]{2})([0-9]{1,6})(\(?[A-Z]\)?)?")
_TRI: Final = {"yes": Tri.YES, "no": Tri.NO}


class Label(Protocol):
    """What was seen of a label; "" is not looked at. A row of ``ExchangeLabel`` is one."""

    non_commercial: str
    sender_code: str
    recipient_code: str
    preserved: str
    label_by_authority: str
    legally_acquired: str
    evidence: str


class Sender(Protocol):
    """The house: where it is, and its own number."""

    country: str
    cites_code: str


class Receiver(Protocol):
    """The recipient. cites_checked_on: the day on which somebody looked it up in the register; None: nobody did."""

    country: str
    cites_code: str
    cites_checked_on: date | None


@dataclass(frozen=True)
class Condition:
    """One condition. words: what was found, and what is missing to say yes. source: where the condition stands."""

    key: str
    name: str
    met: Tri
    words: tuple[str, ...]
    source: str


def conditions(
    label: Label | None, *, sender: Sender | None, recipient: Receiver | None, commercial: str = ""
) -> tuple[Condition, ...]:
    """The five conditions, in the order of the article.

    Args:
        label: None: no label is recorded, so nothing is told.
        sender, recipient: as they are on file; None: not on file.
        commercial: whether the request is for a commercial purpose ("yes", "no", ""), which outweighs the label.

    Source: CITES Article VII(6); Resolution Conf. 11.15 for the last condition.
    """
    return (
        _non_commercial(label, commercial),
        _registered(label, sender, recipient),
        _kind(label),
        _by_authority(label),
        _acquired(label),
    )


def label_holds(label: Label | None, *, sender: Sender | None, recipient: Receiver | None, commercial: str = "") -> Tri:
    """YES only if all five are; NO if one certainly is not; else NOT_TOLD."""
    return strictest(one.met for one in conditions(label, sender=sender, recipient=recipient, commercial=commercial))


def strictest(told: Iterator[Tri]) -> Tri:
    """NO before NOT_TOLD before YES.

    >>> strictest(iter([Tri.YES, Tri.NOT_TOLD])).name, strictest(iter([Tri.NOT_TOLD, Tri.NO])).name
    ('NOT_TOLD', 'NO')
    """
    seen = set(told)
    return Tri.NO if Tri.NO in seen else Tri.NOT_TOLD if Tri.NOT_TOLD in seen else Tri.YES


def _non_commercial(label: Label | None, commercial: str) -> Condition:
    met = _TRI.get(label.non_commercial if label else "", Tri.NOT_TOLD)
    if commercial == "yes":
        met = Tri.NO
        words = _("The request is for a commercial purpose.")
    elif met == Tri.NO:
        words = _("The loan, donation or exchange is commercial.")
    elif met == Tri.YES:
        words = _("It is a loan, donation or exchange without a commercial purpose.")
    else:
        words = _("Missing: whether it is a loan, donation or exchange without a commercial purpose.")
    return Condition("non-commercial", _("Non-commercial loan, donation or exchange"), met, (words,), str(ARTICLE))


def _registered(label: Label | None, sender: Sender | None, recipient: Receiver | None) -> Condition:
    here = _side(
        _("Sender"), label.sender_code if label else "", sender.cites_code if sender else "",
        sender.country if sender else "", is_looked_up=bool(sender and sender.cites_code),
    )  # fmt: skip
    there = _side(
        _("Recipient"), label.recipient_code if label else "", recipient.cites_code if recipient else "",
        recipient.country if recipient else "", is_looked_up=bool(recipient and recipient.cites_checked_on),
    )  # fmt: skip
    met = strictest(iter((here[0], there[0])))
    source = f"{ARTICLE}; {REGISTER}; {EU_FORM}"
    return Condition("registered", _("Both institutions are registered"), met, (*here[1], *there[1]), source)


def _side(who: str, on_label: str, on_file: str, country: str, *, is_looked_up: bool) -> tuple[Tri, tuple[str, ...]]:
    """Whether one institution is registered. The number on the label, the one on file and the register must agree."""
    if is_looked_up and not on_file.strip():
        return Tri.NO, (_("%(who)s: looked up in the register, and not found there.") % {"who": who},)
    if not on_label.strip():
        return Tri.NOT_TOLD, (_("%(who)s: no register number was read on the label.") % {"who": who},)
    form, words = number_form(on_label, country)
    told = {"who": who, "number": on_label.strip(), "file": on_file.strip()}
    if form != Tri.YES:
        return form, (f"{who}: {words}",)
    if not on_file.strip():
        words = _("%(who)s: %(number)s stands on the label, but no number is on file to hold it against.") % told
        return Tri.NOT_TOLD, (words,)
    if plain_number(on_label) != plain_number(on_file):
        words = _("%(who)s: %(number)s stands on the label, %(file)s on file. One of them is wrong.") % told
        return Tri.NOT_TOLD, (words,)
    if not is_looked_up:
        words = _("%(who)s: nobody has noted the day on which %(number)s was looked up in the register.") % told
        return Tri.NOT_TOLD, (words,)
    return Tri.YES, (_("%(who)s: %(number)s, as on file.") % told,)


def plain_number(number: str) -> str:
    """A register number without the blanks and marks in which spellings differ.

    >>> plain_number(" se-007 "), plain_number("SE 007")
    ('SE007', 'SE007')
    """
    return re.sub(r"[\s.\-]", "", number).upper()


def number_form(number: str, country: str) -> tuple[Tri, str]:
    """Whether a number has the form of the register, for an institution of a country; with what is wrong.

    YES: the code of the country, or of the State under which it lies, and a number. NO: the code of another State.
    NOT_TOLD: another form, which may be a slip, or the country of the institution is not on file.

    Source: register of scientific institutions of CITES: two-letter ISO code and a number given by the national
    authority; Regulation (EC) 865/2006, Article 52: in the European Union two letters and three digits. A letter at the
    end, as some authorities write it: from memory.
    """
    found = _NUMBER.fullmatch(plain_number(number))
    told = {"number": number.strip()}
    if not found or not is_country(found[1]):
        words = _("“%(number)s” is not written as the register writes numbers: the two letters of a country (ISO 3166) "
                  "and a number, such as SE 007.")  # fmt: skip
        return Tri.NOT_TOLD, words % told
    if not country:
        words = _("%(number)s cannot be held against the country of the institution, which is not on file.")
        return Tri.NOT_TOLD, words % told
    return _form_in(country, found, told)


def _form_in(country: str, found: re.Match[str], told: dict[str, str]) -> tuple[Tri, str]:
    code = found[1]
    if code != country and country not in territories_inside(code):
        told |= {"of": country_name(code), "country": country_name(country)}
        words = _("%(number)s is a number of %(of)s; the institution is in %(country)s, and only the authority of its "
                  "own State can register it.")  # fmt: skip
        return Tri.NO, words % told
    if code in EU_STATES and code == country and (len(found[2]) != 3 or found[3]):
        words = _("“%(number)s”: in the European Union a number has two letters and three digits.")
        return Tri.NOT_TOLD, words % told
    return Tri.YES, ""


def _kind(label: Label | None) -> Condition:
    kind = label.preserved if label else ""
    if kind in COVERED_KINDS:
        met, words = Tri.YES, _("The specimens are of a kind that the article names.")
    elif kind:
        met, words = Tri.NO, _("The article names herbarium specimens, other preserved, dried or embedded museum "
                               "specimens, and live plant material. Anything else needs a CITES paper.")  # fmt: skip
    else:
        met, words = Tri.NOT_TOLD, _("Missing: which kind of specimen it is.")
    return Condition("kind", _("A kind of specimen that is covered"), met, (words,), str(ARTICLE))


def _by_authority(label: Label | None) -> Condition:
    met = _TRI.get(label.label_by_authority if label else "", Tri.NOT_TOLD)
    words = {
        Tri.YES: _("The label was issued or approved by a Management Authority."),
        Tri.NO: _("The label was neither issued nor approved by a Management Authority."),
        Tri.NOT_TOLD: _("Missing: whether a Management Authority issued or approved the label."),
    }[met]
    return Condition("label", _("Label issued or approved by a Management Authority"), met, (words,), str(ARTICLE))


def _acquired(label: Label | None) -> Condition:
    met = _TRI.get(label.legally_acquired if label else "", Tri.NOT_TOLD)
    if met == Tri.YES and label and not label.evidence.strip():
        met, words = Tri.NOT_TOLD, _("Said to be legally acquired; missing: what shows it.")
    else:
        words = {
            Tri.YES: _("Legally acquired; what shows it stands below."),
            Tri.NO: _("Not shown to be legally acquired: the exchange is for legally acquired specimens alone."),
            Tri.NOT_TOLD: _("Missing: whether the specimens were legally acquired, and what shows it."),
        }[met]
    return Condition("acquired", _("Legally acquired"), met, (words,), str(RESOLUTION))
