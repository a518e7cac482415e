"""``manage.py case_schema``."""

import json

from django.core.management import call_command

from planner.engine.case import json_schemas


def test_it_prints_both_schemas_as_one_json_object(capsys):
    call_command("case_schema")

    assert json.loads(capsys.readouterr().out) == json_schemas()
