"""The entry point of a web server."""

import os

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.core.wsgi import get_wsgi_application
from django.db import connection

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "sites.settings")

# Django looks at the key only when it first signs something; reading it here makes a server
# without one fail when it starts. So does a server without a database.
signing_key = settings.SECRET_KEY
if connection.vendor == "unknown":
    raise ImproperlyConfigured(settings.NO_DATABASE)
application = get_wsgi_application()
