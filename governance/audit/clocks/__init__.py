"""The second clock: the register as it was known at a moment, for whoever reads its tables."""

from governance.audit.clocks.known import AsKnownError, as_known

__all__ = ["AsKnownError", "as_known"]
