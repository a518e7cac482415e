from importlib import import_module

import pytest
from django.db import connection


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup, django_db_blocker):
    """The test database, emptied between some tests, which its audit trail would refuse.

    ``tests/apps/audit`` puts the refusal back for as long as a test lasts.
    """
    with django_db_blocker.unblock(), connection.schema_editor() as editor:
        import_module("apps.audit.migrations.0002_refuse_changes").allow(None, editor)
