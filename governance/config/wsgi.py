"""Entry point of WSGI servers."""

import os

from django.core.wsgi import get_wsgi_application

from governance.config.banner import print_insecure_defaults

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "governance.config.settings")

application = get_wsgi_application()
print_insecure_defaults()
