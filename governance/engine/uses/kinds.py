"""The words of the use desk: kinds of use, what papers say, answers, and what is known of facts.

Sources of the kinds of use and of the answers: the trade (common practice, no source); of the terms on third parties
and on a change of intent: Nagoya Protocol, Art. 6(3)(g).
"""

from __future__ import annotations

from enum import IntEnum
from typing import Final

from governance.engine.tables import EngineError


class _Coded(IntEnum):
    """Words of files and addresses: ``loan-abroad``."""

    @property
    def code(self) -> str:
        return self.name.lower().replace("_", "-")


class Use(_Coded):
    """Kinds of use, in the order in which screens list them. The numbers are stored: never change one."""

    STUDY_ON_THE_SPOT = 0
    LOAN_AT_HOME = 1
    LOAN_ABROAD = 2
    ONWARD_LOAN = 3
    RETENTION = 4
    GIFT_OR_EXCHANGE = 5
    DESTRUCTIVE_SAMPLING = 6
    DNA_FOR_IDENTIFICATION = 7
    SEQUENCING = 8
    PUBLISHING_SEQUENCES = 9
    IMAGING = 10
    PUBLISHING_IMAGES = 11
    PUBLISHING_LOCALITIES = 12
    EXHIBITION = 13
    TEACHING = 14
    COMMERCIAL_USE = 15
    DISPOSAL = 16
    RETURN_TO_PROVIDER = 17

    @classmethod
    def from_code(cls, code: str) -> Use:
        """The use of a word.

        Raises:
            EngineError: no use has that word; the message lists those that are.
        """
        try:
            return cls[code.upper().replace("-", "_")]
        except KeyError:
            raise EngineError(f'"{code}" is no use; the uses are {", ".join(use.code for use in cls)}') from None


DATA_USES: Final = frozenset(
    {Use.PUBLISHING_SEQUENCES, Use.PUBLISHING_IMAGES, Use.PUBLISHING_LOCALITIES, Use.COMMERCIAL_USE}
)
"""Uses of what was derived: a sequence or an image takes the clauses on these alone from the material behind it."""

TITLE_USES: Final = frozenset({
    Use.ONWARD_LOAN, Use.RETENTION, Use.GIFT_OR_EXCHANGE, Use.DESTRUCTIVE_SAMPLING, Use.DNA_FOR_IDENTIFICATION,
    Use.SEQUENCING, Use.COMMERCIAL_USE, Use.DISPOSAL,
})  # fmt: skip
"""Uses that only an owner may allow: where title lies elsewhere and the paper is silent, the owner is asked."""

FREE_OF_LOAN_IN: Final = frozenset({Use.STUDY_ON_THE_SPOT, Use.RETURN_TO_PROVIDER})
"""The only uses of borrowed material of which silence does not ask the lender: loans are not passed on without his word
(common practice, no source)."""

STAYS: Final = frozenset(
    {Use.STUDY_ON_THE_SPOT, Use.PUBLISHING_SEQUENCES, Use.PUBLISHING_IMAGES, Use.PUBLISHING_LOCALITIES}
)
"""Uses by which no material moves."""

TRAVELS: Final = frozenset(Use) - STAYS
"""Uses by which material may cross a border; whether it does is told by the place that is asked for."""

LEAVES: Final = frozenset(
    {Use.LOAN_ABROAD, Use.ONWARD_LOAN, Use.RETENTION, Use.GIFT_OR_EXCHANGE, Use.EXHIBITION, Use.RETURN_TO_PROVIDER}
)
"""Uses by which material goes to a place that is not told by the use: without the place, the way there is not known."""


class Said(_Coded):
    """What a paper says of a use. That nobody has read it for this use is no value: the term is absent."""

    ALLOWED = 0
    WITH_DUTIES = 1
    ASK_FIRST = 2
    NOT_ALLOWED = 3
    SILENT = 4


class Answer(_Coded):
    """The answer of the desk, mildest to strictest: that of several papers, or of several uses, is the largest.

    SILENT: the terms say nothing and the house has not decided how that is read. NOT_KNOWN: papers unread, facts not
    told, footing of the material not settled: a person reads or decides. It is stricter than SILENT, since what is
    unread may forbid.
    """

    ALLOWED = 0
    WITH_DUTIES = 1
    ASK_FIRST = 2
    SILENT = 3
    NOT_KNOWN = 4
    NOT_ALLOWED = 5


NOT_HEARD: Final = -1
"""Reading of silence by which a paper of a kind is not expected to speak of a use, such as a health certificate."""

NO_PAPER: Final = "none"
"""Stands for a kind of paper where no paper is heard at all."""

MAY_GO: Final = frozenset({Answer.ALLOWED, Answer.WITH_DUTIES})


class RecipientKind(_Coded):
    """Who receives. The numbers are stored as bits: never change one."""

    PUBLIC_RESEARCH = 0
    PRIVATE_RESEARCH = 1
    COMPANY = 2
    INDIVIDUAL = 3
    AUTHORITY = 4


class Ownership(_Coded):
    """Who keeps the title, by the terms of a paper. NOT_SAID: it does not tell."""

    NOT_SAID = 0
    HOUSE = 1
    STATE_KEEPS_TITLE = 2
    OWNER_KEEPS_TITLE = 3
    DEPOSIT = 4
    LOAN_IN = 5


ELSEWHERE: Final = frozenset(
    {Ownership.STATE_KEEPS_TITLE, Ownership.OWNER_KEEPS_TITLE, Ownership.DEPOSIT, Ownership.LOAN_IN}
)
"""Title lies with somebody else."""


class Ended(_Coded):
    """How a paper ceased to hold: its terms bind on, and the provider is asked before any further use.

    REFUSED, APPLIED: it was never granted, whatever the day.
    """

    REVOKED = 0
    WITHDRAWN = 1
    SURRENDERED = 2
    REFUSED = 3
    APPLIED = 4


class Tri(IntEnum):
    """A fact of the request: yes, no, or not told."""

    NO = 0
    YES = 1
    NOT_TOLD = 2


class WayCode(_Coded):
    """What is known of one paper of the way there: export from here, import over there, CITES."""

    NOT_NEEDED = 0
    HELD = 1
    EXCHANGE_LABEL = 2
    NEEDED = 3
    NOT_KNOWN = 4


class Listed(IntEnum):
    """Whether material is of a species that CITES lists: by its name, as far as it is named."""

    NO = 0
    UNKNOWN = 1
    YES = 2


class Replied(_Coded):
    """What a provider replied for one request: it stands in for the clause that says ask, or for its silence."""

    AGREED = 0
    WAITING = 1
    REFUSED = 2
