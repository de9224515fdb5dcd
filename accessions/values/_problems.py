"""Why a text could not be read. Raised and caught inside ``accessions.values``; readers return it as a hint."""


class DateProblem(ValueError):
    """A date that cannot be read; the message is one clause for a person."""


class PositionProblem(ValueError):
    """Coordinates that cannot be read; the message is one clause for a person."""
