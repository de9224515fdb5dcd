"""Entry point of ASGI servers."""

import os

from django.core.asgi import get_asgi_application

from governance.config.banner import print_insecure_defaults

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "governance.config.settings")

application = get_asgi_application()
print_insecure_defaults()
