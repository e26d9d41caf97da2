"""The same numbers by one process, by several, and on a cluster; and what is left when it is interrupted."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys

import numpy as np
import pytest
from commandline import DEMO, ROOT, interruptible
from hearing_strategies import TOWN, kitchen

from freqplan import batches, sweep
from freqplan.stations import StationList

joblib = pytest.importorskip("joblib")


def towns(count=4):
    rng = np.random.default_rng(3)
    found = {"Town": TOWN}
    for place in range(count):
        hertz = 87_500_000 + 100_000 * rng.choice(206, 20, replace=False)
        found[f"Town {place}"] = StationList.from_frequencies(
            hertz.tolist(), level_dbuv=rng.uniform(20, 100, 20).tolist()
        )
    return found


def answer(**more):
    asked = {
        "intermediates_hz": [10_600_000, 10_700_000],
        "circuits": [1, 2],
        "draws": 3,
        "seed": 7,
        "towns": towns(),
    }
    return sweep(kitchen(), tracking_hz=200_000, **asked | more)


@pytest.fixture(scope="module")
def serial():
    result = answer()
    assert result.complete
    return result.rows.tobytes()


@pytest.fixture
def small_batches(monkeypatch):
    """Batches of a few sets, so that every worker gets some."""
    monkeypatch.setattr(batches, "BATCH_S", 0.01)


def test_two_processes_give_the_same_bits(serial, small_batches):
    assert answer(n_jobs=2).rows.tobytes() == serial


@pytest.mark.parametrize("backend", ["threading", "multiprocessing", "sequential"])
def test_the_backend_of_the_caller_is_used_and_gives_the_same_bits(serial, small_batches, backend):
    with joblib.parallel_config(backend=backend, n_jobs=2):
        assert answer().rows.tobytes() == serial


def test_without_joblib_one_process_gives_the_same_bits(serial, monkeypatch):
    monkeypatch.setitem(sys.modules, "joblib", None)
    assert not batches.has_joblib()
    assert answer(n_jobs=2).rows.tobytes() == serial


def test_a_cluster_gives_the_same_bits_and_listens_on_this_machine_alone(serial, small_batches):
    distributed = pytest.importorskip("distributed")
    psutil = pytest.importorskip("psutil")
    cluster = distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, host="127.0.0.1", dashboard_address="127.0.0.1:0",
        worker_dashboard_address="127.0.0.1:0",
    )  # fmt: skip
    with cluster, distributed.Client(cluster), joblib.parallel_config(backend="dask"):
        found = answer().rows.tobytes()
        own = psutil.Process()
        listening = [
            connection.laddr.ip
            for each in (own, *own.children(recursive=True))
            for connection in each.net_connections("inet")
            if connection.status == psutil.CONN_LISTEN
        ]
    assert found == serial
    assert set(listening) == {"127.0.0.1"}


def test_a_station_list_is_sent_once_for_all_the_sets_of_a_batch():
    import pickle

    work = batches.Workload(kitchen(), tuple(answer().work.choices), {"Town": TOWN}, draws=20)
    tasks = tuple(work.tasks())
    one, many = (
        len(pickle.dumps(batches.Batch(work.plan, 0, 0, False, some, 0))) for some in (tasks[:1], tasks)
    )
    assert len(tasks) == 160
    assert many - one < 100 * len(tasks)
    # Each task by itself would bring its own list.
    assert len(pickle.dumps(TOWN)) > 200


# --- stopped -----------------------------------------------------------------------------------


@pytest.mark.parametrize("n_jobs", [None, 2])
def test_an_interruption_keeps_what_is_finished(serial, small_batches, n_jobs):
    told = []

    def progress(done, total):
        told.append((done, total))
        if done > 20:
            raise KeyboardInterrupt

    result = answer(n_jobs=n_jobs, progress=progress)
    done = result.rows["done"].ravel()
    count = int(done.sum())
    assert (told[-1], result.complete) == ((count, done.size), False)
    assert 20 < count < done.size
    assert done[:count].all()
    whole = np.frombuffer(serial, dtype=batches.ROW)
    assert result.rows.ravel()[:count].tobytes() == whole[:count].tobytes()
    told_all = result.to_dict()
    assert (told_all["complete"], told_all["sets_done"], told_all["sets_total"]) == (False, count, done.size)
    assert f"{count} of {done.size} sets are computed" in result.sections["Which serves all"][0]
    assert len(result.table("draws")) == count


def test_an_interruption_before_anything_is_finished_still_has_tables(monkeypatch):
    def stop(_batch):
        raise KeyboardInterrupt

    monkeypatch.setattr(batches.Batch, "rows", stop)
    result = answer(goal="quiet")
    assert not result.rows["done"].any()
    assert {row["affected"] for row in result.choices.rows()} == {None}
    assert {row["place"] for row in result.choices.rows()} == {None}
    assert {row["sets"] for row in result.choices.rows()} == {0}
    json.dumps(result.to_dict())


@pytest.mark.skipif(os.name != "posix", reason="signals to a group of processes")
@pytest.mark.parametrize("jobs", ["1", "2"])
def test_ctrl_c_writes_what_is_finished(tmp_path, jobs):
    words = [
        "sweep", str(DEMO / "pantry.toml"), "--stations", str(DEMO / "orvessa.csv"), "--from", "5 MHz",
        "--to", "20 MHz", "--step", "10 kHz", "--progress", "--jobs", jobs, "--format", "json",
    ]  # fmt: skip
    running = subprocess.Popen(
        [sys.executable, "-m", "freqplan", *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        cwd=ROOT, start_new_session=True, preexec_fn=interruptible,
    )  # fmt: skip
    try:
        lines = [running.stderr.readline(), running.stderr.readline()]
        os.killpg(running.pid, signal.SIGINT)
        out, err = running.communicate(timeout=100)
    finally:
        running.kill()
    assert all(" of 3002 sets" in line for line in lines)
    told = json.loads(out)
    assert (running.returncode, told["complete"], told["sets_total"]) == (130, False, 3_002)
    assert 0 < told["sets_done"] < 3_002
    assert f"freqplan: stopped; {told['sets_done']} of 3002 sets are in the answer" in err
    assert "Traceback" not in err
    assert "Warning" not in err
