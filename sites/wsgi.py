"""The entry point of a web server."""

import os

from django.conf import settings
from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "sites.settings")

# Django looks at the key only when it first signs something; reading it here makes a server
# without one fail when it starts.
signing_key = settings.SECRET_KEY
application = get_wsgi_application()
