"""Marking on a Dask cluster that runs already: the bytes of one process, and clear refusals."""

import pytest

from potash.exercises import marks, workers
from potash.exercises.workers import Cluster, ThisProcess, WorkersLost

distributed = pytest.importorskip("distributed", reason="install potash[cluster]")


@pytest.fixture(scope="module")
def scheduler():
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, dashboard_address=None, processes=True
    ) as cluster:
        yield cluster.scheduler_address


def everything(folder):
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_two_dask_workers_give_the_bytes_of_one_process(lay_class, scheduler):
    classroom = lay_class(students=8)
    classroom.hand_out()
    for number in range(1, 9):
        student = f"s{number:02}"
        classroom.sheet(student).record("two-for-one", {"potassium": f"0.2{number}0 mol"})
        for copy in range(30):  # several chunks
            classroom.hand_in(student, f"{copy}/{student}.json")
    arguments = (classroom.course, classroom.returns, classroom.marks)
    alone = marks.mark_returns(*arguments, workers=ThisProcess())
    expected = everything(classroom.marks)
    together = marks.mark_returns(*arguments, workers=Cluster(scheduler))
    assert everything(classroom.marks) == expected
    assert (together, alone.files) == (alone, 240)


def test_an_address_where_nobody_answers_is_told(monkeypatch):
    monkeypatch.setattr(workers, "_NO_ANSWER", "1s")
    with pytest.raises(WorkersLost, match=r"no Dask scheduler answers at 'tcp://127.0.0.1:9'"):
        list(Cluster("tcp://127.0.0.1:9").run(str, [1]))


@pytest.mark.parametrize("count", [0, -1, 1000])
def test_a_number_of_processes_that_makes_no_sense_is_refused(count):
    with pytest.raises(WorkersLost, match="from 1 to 256"):
        workers.choose(count)
