"""Work handed out to processes: the same answers in the same order, whatever happens to them."""

import math
import os
import signal
import subprocess
import sys
import time
from concurrent.futures import BrokenExecutor, Future, ThreadPoolExecutor
from functools import partial
from pathlib import Path

import pytest

from planner.engine.errors import EngineError, NoPlanError
from planner.engine.fanout import Cluster, Done, Here, Processes, fan_out, team_for

NUMBERS = list(range(23))
EXPECTED = [math.sin(number) for number in NUMBERS]


def in_its_own_process(number: int) -> int:
    return os.getpid()


def threads_of_numba(number: int) -> str | None:
    return os.environ.get("NUMBA_NUM_THREADS")


def dying_once(marker: Path, number: int) -> float:
    """The sine; the worker that is the first to come to 7 kills itself."""
    if number == 7 and not marker.exists():
        marker.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return math.sin(number)


def dying(number: int) -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def without_an_answer(number: int) -> None:
    raise NoPlanError(f"No plan for {number}.", remedy="Ask for another.")


def dividing_by_nothing(number: int) -> float:
    return 1 / number


class Fake:
    """A cluster with the interface of Dask's: threads here, and it loses what it is told to."""

    losses = (BrokenExecutor,)
    size = 3

    def __init__(self, losing: int = 0) -> None:
        self.losing, self.handed_out, self.dismissed = losing, 0, []

    def start(self):
        self.pool = ThreadPoolExecutor(self.size)
        return self

    def submit(self, function, *given):
        self.handed_out += 1
        if self.losing:
            self.losing -= 1
            future: Future[None] = Future()
            future.set_exception(BrokenExecutor())
            return future
        return self.pool.submit(function, *given)

    def dismiss(self, *, at_once):
        self.dismissed.append(at_once)
        self.pool.shutdown(wait=True, cancel_futures=True)


@pytest.mark.parametrize(
    ("team", "part"), [(Here(), None), (Fake(), None), (Fake(), 1), (Fake(), 50)]
)
def test_answers_stand_in_the_order_of_the_items_whoever_works_on_them(team, part):
    assert fan_out(math.sin, NUMBERS, team=team, part=part) == EXPECTED


def test_two_processes_give_the_same_answers_bit_for_bit():
    assert fan_out(math.sin, NUMBERS, team=Processes(2)) == EXPECTED


def test_no_items_need_no_workers():
    assert fan_out(math.sin, [], team=Processes(2)) == []


def test_processes_are_others_than_this_one():
    assert os.getpid() not in fan_out(in_its_own_process, [1, 2], team=Processes(1))


def test_a_worker_uses_one_thread():
    assert fan_out(threads_of_numba, [1], team=Processes(1)) == ["1"]


def test_a_lost_worker_costs_time_and_no_answer(tmp_path):
    found = fan_out(partial(dying_once, tmp_path / "died"), NUMBERS, team=Processes(2), part=2)

    assert (tmp_path / "died").exists()
    assert found == EXPECTED


def test_work_that_kills_every_worker_is_given_up_with_a_reason():
    with pytest.raises(EngineError) as refused:
        fan_out(dying, [1], team=Processes(1))

    assert str(refused.value) == (
        "Workers were lost 3 times in a row while nothing was done. Look for what ends them, for "
        "example too little memory, and try again with fewer processes."
    )


@pytest.mark.parametrize("losing", [1, 2])
def test_parts_that_a_cluster_loses_are_handed_out_again(losing):
    team = Fake(losing)

    assert fan_out(math.sin, NUMBERS, team=team, part=23) == EXPECTED
    assert (team.handed_out, team.dismissed) == (losing + 1, [True] * losing + [False])


def test_progress_counts_every_item_once():
    told: list[Done] = []

    fan_out(math.sin, NUMBERS, team=Here(), part=10, progress=told.append)

    assert told == [Done(10, 23), Done(20, 23), Done(23, 23)]


@pytest.mark.parametrize("team", [Here(), Processes(1)])
def test_an_error_of_the_engine_comes_back_with_its_remedy(team):
    with pytest.raises(EngineError) as refused:
        fan_out(without_an_answer, [4], team=team)

    assert refused.value.problem == "No plan for 4."
    assert refused.value.remedy == "Ask for another."


@pytest.mark.parametrize("team", [Here(), Processes(1)])
def test_any_other_error_comes_back_as_it_is(team):
    with pytest.raises(ZeroDivisionError):
        fan_out(dividing_by_nothing, [1, 0], team=team)


def test_a_cancelled_run_ends_its_workers_within_two_seconds_and_keeps_what_is_done():
    start = time.monotonic()
    asked: list[float] = []

    def cancelled() -> bool:
        enough = bool(done) and time.monotonic() - start > 0
        if enough:
            asked.append(time.monotonic())
        return enough

    done: list[Done] = []
    found = fan_out(
        time.sleep, [0, 60], team=Processes(2), part=1, progress=done.append, cancelled=cancelled
    )

    assert time.monotonic() - asked[0] < 2
    assert found == [None, None]
    assert done == [Done(1, 2)]


def test_what_was_not_done_when_it_was_cancelled_is_none():
    done: list[Done] = []

    found = fan_out(
        math.sin,
        NUMBERS,
        team=Here(),
        part=4,
        progress=done.append,
        cancelled=lambda: len(done) > 1,
    )

    assert found == EXPECTED[:8] + [None] * 15


def test_workers_end_when_the_process_that_started_them_is_killed(tmp_path):
    program = (
        "import os, signal, sys, time\n"
        "from planner.engine.fanout import Processes\n"
        "if __name__ == '__main__':\n"
        "    team = Processes(1)\n"
        "    worker = team.start().submit(os.getpid).result()\n"
        "    print(worker, flush=True)\n"
        "    os.kill(os.getpid(), signal.SIGKILL)\n"
    )
    path = tmp_path / "program.py"
    path.write_text(program)

    run = subprocess.run(  # noqa: S603
        [sys.executable, str(path)], capture_output=True, text=True, check=False,
        env=os.environ | {"PYTHONPATH": str(Path(__file__).parents[2])},
    )  # fmt: skip

    worker = int(run.stdout)
    deadline = time.monotonic() + 10
    while _runs(worker) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert not _runs(worker)


def _runs(process: int) -> bool:
    try:
        state = Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()[0]
    except FileNotFoundError:
        return False
    return state != "Z"


def test_who_works_follows_from_what_is_asked_for():
    assert isinstance(team_for(1), Here)
    assert isinstance(team_for(2), Processes)
    assert team_for(2).size == 2
    assert team_for().size >= 1


def test_without_the_package_a_cluster_is_refused_with_what_to_do(monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)

    with pytest.raises(EngineError) as refused:
        team_for(address="tcp://127.0.0.1:8786")

    assert refused.value.remedy == (
        "Install the optional packages of `cluster`, or unset DASK_SCHEDULER."
    )


def test_a_real_cluster_gives_the_same_answers():
    distributed = pytest.importorskip("distributed", reason="the optional packages of `cluster`")
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, dashboard_address=None
    ) as cluster:
        team = Cluster(cluster.scheduler_address)

        assert fan_out(math.sin, NUMBERS, team=team) == EXPECTED
