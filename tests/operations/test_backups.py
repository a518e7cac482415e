"""Copies of a database in use: taken, checked, put back, and refused when they are not whole."""

import datetime as dt
import gzip
import json
import sqlite3
import threading
from hashlib import sha256

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from planner.operations.backups import BackupError, check, restore, take

NOW = dt.datetime(2026, 11, 25, 15, 30, tzinfo=dt.UTC)


@pytest.fixture
def live(tmp_path):
    """A database of two tables, with a write-ahead log as the service has it."""
    path = tmp_path / "live.sqlite3"
    with sqlite3.connect(path) as database:
        database.execute("PRAGMA journal_mode=WAL")
        database.execute("CREATE TABLE site (id INTEGER PRIMARY KEY, name TEXT)")
        database.execute("CREATE TABLE item (site INTEGER REFERENCES site(id), n INTEGER)")
        database.executemany("INSERT INTO site VALUES (?, ?)", [(1, "Hill"), (2, "Ford")])
    database.close()
    return {"NAME": str(path)}


def names(database) -> list[str]:
    with sqlite3.connect(database["NAME"]) as opened:
        found = [name for (name,) in opened.execute("SELECT name FROM site ORDER BY id")]
    opened.close()
    return found


def execute(database, statement, *values):
    with sqlite3.connect(database["NAME"]) as opened:
        opened.execute(statement, values)
    opened.close()


@pytest.fixture
def manifest(live, tmp_path):
    return take(live, "sqlite", tmp_path / "kept", version="0.1.0", now=NOW)


def test_a_copy_has_a_manifest_that_says_what_and_when(manifest):
    said = json.loads(manifest.read_text())
    digest = said.pop("sha256")

    assert said == {
        "file": "benchward-20261125T153000.sqlite3.gz",
        "vendor": "sqlite",
        "version": "0.1.0",
        "taken_at": "2026-11-25T15:30:00+00:00",
    }
    assert len(digest) == 64
    assert sorted(path.name for path in manifest.parent.iterdir()) == [
        "benchward-20261125T153000.json",
        "benchward-20261125T153000.sqlite3.gz",
    ]


def test_a_copy_put_back_undoes_what_came_later(live, manifest):
    execute(live, "UPDATE site SET name = 'Lost'")
    execute(live, "INSERT INTO site VALUES (3, 'New')")

    restore(manifest, live, "sqlite")

    assert names(live) == ["Hill", "Ford"]


def test_a_copy_taken_while_others_write_is_one_moment_of_the_database(live, tmp_path):
    """A writer moves one unit at a time between two rows: in every copy the sum is the same."""
    execute(live, "INSERT INTO item VALUES (1, 1000), (2, 1000)")
    stop = threading.Event()

    def move():
        database = sqlite3.connect(live["NAME"], timeout=20, isolation_level=None)
        while not stop.is_set():
            database.execute("BEGIN IMMEDIATE")
            database.execute("UPDATE item SET n = n - 1 WHERE site = 1")
            database.execute("UPDATE item SET n = n + 1 WHERE site = 2")
            database.execute("COMMIT")
        database.close()

    writer = threading.Thread(target=move)
    writer.start()
    try:
        for second in range(5):
            at = NOW + dt.timedelta(seconds=second)
            path = take(live, "sqlite", tmp_path / "kept", version="x", now=at)
            copy = {"NAME": str(tmp_path / f"copy-{second}.sqlite3")}
            sqlite3.connect(copy["NAME"]).close()
            restore(path, copy, "sqlite")
            database = sqlite3.connect(copy["NAME"])
            assert database.execute("SELECT sum(n) FROM item").fetchone() == (2000,)
            database.close()
    finally:
        stop.set()
        writer.join()


def test_a_whole_copy_passes_the_check(manifest):
    assert check(manifest).version == "0.1.0"


def damage(manifest, change):
    """Do something to the packed database of a manifest; returns where it is, or was."""
    copy = manifest.parent / json.loads(manifest.read_text())["file"]
    change(copy)
    return copy


def test_a_copy_that_was_changed_is_noticed(manifest):
    damage(manifest, lambda copy: copy.write_bytes(copy.read_bytes()[:-1] + b"x"))

    with pytest.raises(BackupError, match="its digest differs"):
        check(manifest)


def test_a_copy_that_is_gone_is_noticed(manifest):
    damage(manifest, lambda copy: copy.unlink())

    with pytest.raises(BackupError, match="is missing"):
        check(manifest)


def put_digest_right(manifest, copy):
    """Write the digest of the damaged copy, as a clumsy hand would."""
    said = json.loads(manifest.read_text())
    said["sha256"] = sha256(copy.read_bytes()).hexdigest()
    manifest.write_text(json.dumps(said))


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"not packed at all", "cannot be unpacked"),
        (gzip.compress(b"not a database" * 100, mtime=0), "is not a database"),
    ],
    ids=["not packed", "no database"],
)
def test_a_copy_that_is_no_database_is_noticed(manifest, content, says):
    copy = damage(manifest, lambda copy: copy.write_bytes(content))
    put_digest_right(manifest, copy)

    with pytest.raises(BackupError, match=says):
        check(manifest)


def test_rows_that_refer_to_nothing_are_noticed_before_a_copy_is_kept(live, tmp_path):
    execute(live, "INSERT INTO item VALUES (99, 1)")

    with pytest.raises(BackupError, match="refers to rows that are not there: table item"):
        take(live, "sqlite", tmp_path / "kept", version="x", now=NOW)

    assert list((tmp_path / "kept").iterdir()) == []


def test_two_copies_in_one_second_do_not_overwrite_each_other(live, manifest):
    with pytest.raises(BackupError, match="is there already"):
        take(live, "sqlite", manifest.parent, version="x", now=NOW)


def test_a_copy_of_another_kind_of_database_is_refused(live, manifest):
    with pytest.raises(BackupError, match="is of sqlite, the service uses postgresql"):
        restore(manifest, live, "postgresql")


@pytest.mark.parametrize("text", ["", "[]", '{"file": "x"}'])
def test_a_file_that_is_no_manifest_is_refused(tmp_path, text):
    path = tmp_path / "x.json"
    path.write_text(text)

    with pytest.raises(BackupError, match="is not the manifest of a backup"):
        check(path)


@pytest.mark.skipif(connection.vendor != "sqlite", reason="PostgreSQL has a test of its own")
def test_the_commands_copy_check_and_refuse(live, tmp_path, monkeypatch, capsys):
    monkeypatch.setitem(connection.settings_dict, "NAME", live["NAME"])
    call_command("backup", str(tmp_path / "kept"))
    manifest = capsys.readouterr().out.strip()

    call_command("restore", manifest, "--check")
    assert "is whole." in capsys.readouterr().out

    with pytest.raises(CommandError, match="is not the manifest"):
        call_command("restore", str(tmp_path / "nothing.json"), "--check")


@pytest.mark.postgres
@pytest.mark.skipif(connection.vendor != "postgresql", reason="needs PLANNER_TEST_DATABASE_URL")
@pytest.mark.django_db(transaction=True)
def test_postgresql_is_copied_and_put_back(tmp_path):
    with connection.cursor() as cursor:
        cursor.execute("CREATE TABLE probe (n integer)")
        cursor.execute("INSERT INTO probe VALUES (1)")
    database = connection.settings_dict
    manifest = take(database, "postgresql", tmp_path, version="x", now=NOW)
    with connection.cursor() as cursor:
        cursor.execute("UPDATE probe SET n = 2")
    connection.close()

    assert check(manifest).vendor == "postgresql"
    restore(manifest, database, "postgresql")

    with connection.cursor() as cursor:
        cursor.execute("SELECT n FROM probe")
        assert cursor.fetchall() == [(1,)]
        cursor.execute("DROP TABLE probe")
