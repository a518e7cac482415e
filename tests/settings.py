"""``planner.settings`` made fast and sealed: own database, quick hasher, tasks at once."""

import os
import tempfile

os.environ.setdefault("PLANNER_VAR_DIR", tempfile.mkdtemp(prefix="planner-tests-"))

from planner.settings import *  # noqa: F403
from planner.settings import database

if "PLANNER_TEST_DATABASE_URL" in os.environ:
    DATABASES = {"default": database(os.environ["PLANNER_TEST_DATABASE_URL"])}
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
TASKS = {"default": {"BACKEND": "django_tasks.backends.immediate.ImmediateBackend"}}
CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
ALLOWED_HOSTS = ["testserver", "127.0.0.1", "localhost"]
