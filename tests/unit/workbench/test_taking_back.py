"""What was entered wrong is taken back, and back again; nobody's entry is lost by it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_stream import stream, written
from tests.helpers.pictures import picture
from trials.errors import ConflictError, NotFoundError
from trials.model import WearReading
from trials.workbench import Workbench


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workbench]:
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(example_trial())
        bench.plan_run("bracket", START)
        yield bench


def read(hole: int, vb_mm: float) -> WearReading:
    return WearReading(hole, vb_average_mm=vb_mm)


def test_a_reading_is_taken_back_and_put_back(bench: Workbench) -> None:
    for hole, vb_mm in ((20, 0.05), (40, 0.9), (40, 0.09)):
        bench.add_wear("bracket", 1, read(hole, vb_mm))
    wrong = next(one for one in bench.wear("bracket", 1) if one.reading.vb_average_mm == 0.9)
    run = bench.remove_wear("bracket", 1, wrong.uuid, who="anna")
    assert run.wear == bench.run("bracket", 1).wear == (read(20, 0.05), read(40, 0.09))
    (gone,) = [one for one in bench.wear("bracket", 1) if one.removed_utc]
    assert (gone.uuid, gone.removed_by, gone.taken_utc) == (wrong.uuid, "anna", wrong.taken_utc)
    with pytest.raises(ConflictError, match="taken back already"):
        bench.remove_wear("bracket", 1, wrong.uuid)
    bench.add_wear("bracket", 1, read(60, 0.12))
    bench.restore_wear("bracket", 1, wrong.uuid)
    assert [one.vb_average_mm for one in bench.run("bracket", 1).wear] == [0.05, 0.9, 0.09, 0.12]
    with pytest.raises(ConflictError, match="in place already"):
        bench.restore_wear("bracket", 1, wrong.uuid)


def test_of_two_who_change_at_once_the_later_one_is_told(bench: Workbench) -> None:
    bench.add_wear("bracket", 1, read(20, 0.05))
    (one,) = bench.wear("bracket", 1)
    seen = bench.version("bracket", 1)
    bench.add_wear("bracket", 1, read(40, 0.08), version=seen)
    with pytest.raises(ConflictError, match="changed by somebody else"):
        bench.remove_wear("bracket", 1, one.uuid, version=seen)
    with pytest.raises(ConflictError, match="changed by somebody else"):
        bench.withdraw_run("bracket", 1, version=seen)
    assert len(bench.run("bracket", 1).wear) == 2


def test_a_reading_of_another_run_is_not_found(bench: Workbench) -> None:
    bench.add_wear("bracket", 1, read(20, 0.05))
    bench.plan_run("bracket", START)
    with pytest.raises(NotFoundError, match="wear reading"):
        bench.remove_wear("bracket", 2, bench.wear("bracket", 1)[0].uuid)


def test_an_end_without_a_recording_is_taken_back_to_the_plan(bench: Workbench) -> None:
    with pytest.raises(ConflictError, match="has not ended"):
        bench.reopen_run("bracket", 1)
    bench.add_wear("bracket", 1, read(60, 0.2))
    bench.end_run("bracket", 1, "broken", holes=70, note="by mistake")
    run = bench.reopen_run("bracket", 1)
    assert (run.state, run.end, run.holes, len(run.wear)) == ("planned", None, 60, 1)
    again = bench.end_run("bracket", 1, "worn", holes=70)
    assert (again.state, again.end) == ("ended", "worn")


def test_an_end_of_a_recorded_run_is_taken_back_to_the_holes_that_were_counted(
    bench: Workbench, tmp_path: Path
) -> None:
    bench.import_trace("bracket", 1, written(tmp_path, stream(12)))
    before = bench.run("bracket", 1)
    bench.end_run("bracket", 1, "chipped", holes=99)
    assert bench.reopen_run("bracket", 1) == before


def test_a_plan_is_taken_back_only_while_it_is_one(bench: Workbench) -> None:
    bench.plan_run("bracket", START)
    with pytest.raises(ConflictError, match="newer run"):
        bench.withdraw_run("bracket", 1)
    assert bench.withdraw_run("bracket", 2).number == 2
    assert [run.number for run in bench.runs("bracket")] == [1]
    bench.add_photo("bracket", 1, 0, picture())
    with pytest.raises(ConflictError, match="a photo"):
        bench.withdraw_run("bracket", 1)
    bench.plan_run("bracket", START)
    bench.add_wear("bracket", 2, read(3, 0.01))
    with pytest.raises(ConflictError, match="a wear reading"):
        bench.withdraw_run("bracket", 2)
    bench.end_run("bracket", 2, "stopped", holes=5)
    with pytest.raises(ConflictError, match="it is ended"):
        bench.withdraw_run("bracket", 2)
    assert [run.number for run in bench.runs("bracket")] == [1, 2]
