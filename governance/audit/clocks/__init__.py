"""The second clock: the register as it was known at a moment, for whoever reads its tables."""

from governance.audit.clocks.errors import AsKnownError
from governance.audit.clocks.known import as_known
from governance.audit.clocks.moments import moment_of
from governance.audit.clocks.rules import not_kept

__all__ = ["AsKnownError", "as_known", "moment_of", "not_kept"]
