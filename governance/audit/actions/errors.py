"""What goes wrong in the audit, in words for people."""


class AuditError(Exception):
    """Something of the audit cannot be done. Its text is for the person who asked for it."""
