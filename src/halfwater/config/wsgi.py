"""The pages as a WSGI application, for `halfwater serve` and other servers."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "halfwater.config.settings")

application = get_wsgi_application()
