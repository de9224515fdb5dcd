"""``manage.py`` with the quick way to make tables, as the demo makes them: ``python -m tests.quick_manage migrate``.

It works in the morning of the day on which all tests take place: what it makes is kept for all of them.
"""

from __future__ import annotations

if __name__ == "__main__":
    from governance.config.quick_tables import quick_tables
    from manage import main
    from tests.clock import hold

    hold(hours_before=6)
    with quick_tables():
        main()
