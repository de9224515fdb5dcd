"""Small words of the specimen's page: papers as links in a sentence, layers in a list, how long a run took."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import timedelta

from django import template
from django.urls import reverse
from django.utils.html import escape, format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.engine.tables import Layer
from governance.papers.models import LAYER_NAMES
from governance.verdicts.queries.layer_cards import LayerCard, PaperUsed

register = template.Library()

_NAMES_AS_WRITTEN = frozenset({Layer.CITES})


@register.filter
def with_links(sentence: str, papers: Iterable[PaperUsed]) -> SafeString:
    """A sentence with the references of its papers as links; the longest first, so that none is cut by a shorter."""
    text = str(escape(sentence))
    for number, used in enumerate(sorted(papers, key=lambda used: -len(used.reference))):
        text = text.replace(str(escape(used.reference)), f"\0{number}\0", 1)
    for number, used in enumerate(sorted(papers, key=lambda used: -len(used.reference))):
        text = text.replace(f"\0{number}\0", str(paper_link(used)))
    return mark_safe(text)  # escaped above; the links are made by format_html


@register.filter
def paper_link(used: PaperUsed) -> SafeString:
    """The reference of a paper as a link to it."""
    return format_html('<a class="ref" href="{}">{}</a>', reverse("papers:paper", args=[used.paper.pk]), used.reference)


@register.filter
def layer_list(cards: Sequence[LayerCard]) -> str:
    """The layers of some cards in a sentence: "land, protected site, CITES"."""
    return ", ".join(in_text(card.layer) for card in cards)


def in_text(layer: Layer) -> str:
    """The name of a layer inside a sentence."""
    name = str(LAYER_NAMES[layer])
    return name if layer in _NAMES_AS_WRITTEN else name[:1].lower() + name[1:]


@register.filter
def took(duration: timedelta | None) -> str:
    """How long something took.

    >>> took(timedelta(seconds=0.4)), took(timedelta(seconds=75))
    ('under a second', '1 min 15 s')
    """
    if duration is None:
        return ""
    seconds = duration.total_seconds()
    if seconds < 1:
        return _("under a second")
    if seconds < 60:
        return ngettext("%(n)d second", "%(n)d seconds", round(seconds)) % {"n": round(seconds)}
    return _("%(minutes)d min %(seconds)d s") % {"minutes": seconds // 60, "seconds": seconds % 60}
