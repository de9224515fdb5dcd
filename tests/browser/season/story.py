"""The whole season: its chapters are told in the order in which these modules write them."""

from tests.browser.season import planning  # isort: skip
from tests.browser.season import arriving  # isort: skip
from tests.browser.season import judging  # isort: skip
from tests.browser.season import using  # isort: skip
from tests.browser.season import reporting  # isort: skip
from tests.browser.season import auditing  # isort: skip

__all__ = ["arriving", "auditing", "judging", "planning", "reporting", "using"]
