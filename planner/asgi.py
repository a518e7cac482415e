"""Entry point for ASGI servers: ``planner.asgi:application``."""

import os

from django.core.asgi import get_asgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "planner.settings")
application = get_asgi_application()
