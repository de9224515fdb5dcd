"""What can be done with material, and which use that is by the terms of papers.

Which kind of use a deed is: common practice, no source. A loss is no use at all; a publication of words alone is none
that a clause speaks of, so it has no answer.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from governance.engine.uses import Use
from governance.usedesk.models import MadeUse

Deed = MadeUse.Deed

USES_OF: Final[Mapping[str, tuple[Use | None, ...]]] = {
    Deed.STUDY: (Use.STUDY_ON_THE_SPOT,),
    Deed.LOAN: (Use.LOAN_AT_HOME, Use.LOAN_ABROAD),
    Deed.ONWARD_LOAN: (Use.ONWARD_LOAN,),
    Deed.RETENTION: (Use.RETENTION,),
    Deed.GIFT: (Use.GIFT_OR_EXCHANGE,),
    Deed.EXCHANGE: (Use.GIFT_OR_EXCHANGE,),
    Deed.SAMPLING: (Use.DESTRUCTIVE_SAMPLING,),
    Deed.EXTRACTION: (Use.DESTRUCTIVE_SAMPLING,),
    Deed.SEQUENCING: (Use.SEQUENCING, Use.DNA_FOR_IDENTIFICATION),
    Deed.IMAGING: (Use.IMAGING, Use.PUBLISHING_IMAGES),
    Deed.PUBLICATION: (None, Use.PUBLISHING_SEQUENCES, Use.PUBLISHING_IMAGES, Use.PUBLISHING_LOCALITIES),
    Deed.DATA: (Use.PUBLISHING_SEQUENCES, Use.PUBLISHING_IMAGES, Use.PUBLISHING_LOCALITIES),
    Deed.EXHIBITION: (Use.EXHIBITION,),
    Deed.TEACHING: (Use.TEACHING,),
    Deed.COMMERCIAL: (Use.COMMERCIAL_USE,),
    Deed.LOSS: (None,),
    Deed.DISPOSAL: (Use.DISPOSAL,),
    Deed.RETURN: (Use.RETURN_TO_PROVIDER,),
}
"""The kinds of use that a deed may be, the usual one first. Of a loan the countries decide, of others the person."""

CHOSEN_BY_A_PERSON: Final = frozenset({Deed.SEQUENCING, Deed.IMAGING, Deed.PUBLICATION, Deed.DATA})
"""Deeds of which a person says which use they were."""

LOANS: Final = frozenset({Deed.LOAN, Deed.ONWARD_LOAN})

FOR_GOOD: Final = frozenset({Deed.RETENTION, Deed.GIFT, Deed.EXCHANGE, Deed.DISPOSAL, Deed.RETURN})
"""Deeds after which the material is no longer here."""

LEAVES: Final = FOR_GOOD | {Deed.LOAN}
"""Deeds for which the material must be in the house: it cannot leave twice. Retention is of what is out."""

FROM_A_LOAN: Final = frozenset({Deed.ONWARD_LOAN, Deed.RETENTION, Deed.SAMPLING, Deed.LOSS})
"""Deeds that the borrower may have done with what is out."""

NEEDS_A_LOAN: Final = frozenset({Deed.ONWARD_LOAN, Deed.RETENTION})

TAKES_MATERIAL: Final = frozenset({Deed.SAMPLING, Deed.EXTRACTION})
"""Deeds that leave less of the specimen."""

TAKES_WHAT_IS_THERE: Final = FOR_GOOD | LOANS | TAKES_MATERIAL
"""Deeds that cannot be done with what is gone."""

NAMES_A_RECIPIENT: Final = frozenset(
    {Deed.LOAN, Deed.ONWARD_LOAN, Deed.RETENTION, Deed.GIFT, Deed.EXCHANGE, Deed.RETURN, Deed.COMMERCIAL}
)

CITED: Final = frozenset({Deed.PUBLICATION, Deed.DATA})
"""Deeds with a citation and an acknowledgement."""

LASTS: Final = frozenset({Deed.STUDY, Deed.EXHIBITION, Deed.TEACHING})
"""Deeds with a last day."""


def loan_uses(here: str, there: str) -> tuple[Use, ...]:
    """Loan at home or abroad, by the countries of the house and of the recipient; both where one is not known.

    >>> [use.code for use in loan_uses("SE", "IS")], [use.code for use in loan_uses("SE", "")]
    (['loan-abroad'], ['loan-at-home', 'loan-abroad'])
    """
    if not here or not there:
        return (Use.LOAN_AT_HOME, Use.LOAN_ABROAD)
    return (Use.LOAN_AT_HOME,) if here == there else (Use.LOAN_ABROAD,)
