"""What links lead to, in words."""

from __future__ import annotations

from django.utils.translation import gettext as _

from governance.papers.models import PaperLink


def target_words(link: PaperLink) -> str:
    """What a link leads to: ``LMN-2024-038, part A``."""
    if link.all_accessions:
        return str(_("Every accession"))
    if link.part is not None:
        return _("%(accession)s, part %(part)s") % {"accession": link.part.accession.number, "part": link.part.letter}
    return str(link.accession or link.site or link.event or link.specimen)


def target_kind(link: PaperLink) -> str:
    """``Accession``, ``Part``, ``Site``, ``Event``, ``Specimen``."""
    kinds = {
        "accession": _("Accession"),
        "part": _("Part"),
        "site": _("Site"),
        "event": _("Event"),
        "specimen": _("Specimen"),
    }
    return next((str(word) for kind, word in kinds.items() if getattr(link, f"{kind}_id")), str(_("All")))
