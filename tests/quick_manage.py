"""``manage.py`` with the quick way to make tables, as the demo makes them: ``python -m tests.quick_manage migrate``."""

from __future__ import annotations

if __name__ == "__main__":
    from governance.config.quick_tables import quick_tables
    from manage import main

    with quick_tables():
        main()
