"""What a station records comes to the shop, whatever engine the shop's store is on."""

from __future__ import annotations

import io
import shutil
import sqlite3
import threading
import uuid
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from PIL import Image

from tests.contract.store_contract import holes_frame
from tests.helpers.command_line import holewise
from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_stream import stream, written
from tests.helpers.postgres import PostgresServer
from tests.helpers.shared_trial import NAME, fill_shop
from trials.errors import ConflictError, InputError, StoreError
from trials.model import Drill, WearReading
from trials.store import (
    HEAD,
    Forwarder,
    ForwardRound,
    Recording,
    StoredAlarm,
    forward_status,
    open_store,
    shop_folder,
    use_server,
)
from trials.store import _tables as tables
from trials.store._forward_here import ANSWERS, OF_RUN, SERIES
from trials.workbench import Workbench


@dataclass
class Shop:
    """A shop's store, and how a station reaches it."""

    to: str
    folder: Path

    def bench(self) -> Workbench:
        return Workbench.open(self.folder, create=False)

    def send(self, station: Path, name: str = "mill 2") -> ForwardRound:
        with closing(self.sender(station, name)) as sender:
            return sender.round()

    def sender(self, station: Path, name: str = "mill 2") -> Forwarder:
        return Forwarder(shop_folder(station), self.to, files=self.folder, station=name)


@pytest.fixture(params=["sqlite", "postgres"])
def shop(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Shop]:
    folder = tmp_path / "shop"
    if request.param == "postgres":
        server: PostgresServer = request.getfixturevalue("postgres")
        address = server.new_database()
        use_server(shop_folder(folder), address)
        yield Shop(address, folder)
    else:
        Workbench.open(folder).close()
        yield Shop(str(folder), folder)


@pytest.fixture
def station(tmp_path: Path) -> Path:
    fill_shop(tmp_path / "station", tmp_path)
    return tmp_path / "station"


def package(bench: Workbench, file: Path, name: str = NAME) -> bytes:
    bench.export(name, file, replace=True)
    return file.read_bytes()


def packages(station: Path, shop: Shop, folder: Path) -> tuple[bytes, bytes]:
    with Workbench.open(station) as here, shop.bench() as there:
        return package(here, folder / "here.zip"), package(there, folder / "there.zip")


def told(station: Path) -> list[str]:
    status = forward_status(shop_folder(station))
    assert status is not None
    return [one.text for one in status.conflicts]


def test_the_shop_s_package_is_the_station_s_to_the_byte(
    station: Path, shop: Shop, tmp_path: Path
) -> None:
    assert shop.send(station) == ForwardRound(4, 0, 0)
    here, there = packages(station, shop, tmp_path)
    assert here == there
    assert shop.send(station) == ForwardRound(0, 0, 0), "once is enough"
    with Workbench.open(station) as bench, shop.bench() as shops:
        assert shops.trace(NAME, 1).equals(bench.trace(NAME, 1)), "the files are there as well"


def test_what_changes_later_comes_too(station: Path, shop: Shop, tmp_path: Path) -> None:
    shop.send(station)
    with Workbench.open(station) as bench:
        bench.undo_edit(NAME, 1)
        bench.add_wear(NAME, 3, WearReading(2, 0.05))
        bench.end_run(NAME, 3, "broken", holes=9, note="bang")
        bench.plan_run(NAME, START)
    assert shop.send(station) == ForwardRound(3, 0, 0)
    here, there = packages(station, shop, tmp_path)
    assert here == there
    assert told(station) == []


def test_with_nothing_remembered_all_is_sent_again_and_nothing_doubled(
    station: Path, shop: Shop, tmp_path: Path
) -> None:
    shop.send(station)
    (station / "forward.db").unlink()
    assert shop.send(station) == ForwardRound(4, 0, 0)
    here, there = packages(station, shop, tmp_path)
    assert here == there
    assert told(station) == []


def test_a_live_recording_grows_at_the_shop(tmp_path: Path, shop: Shop) -> None:
    station = tmp_path / "station"
    recording = Recording(uuid.uuid4(), "live", "tcp://mill:1", journal="journals/x")
    holes = holes_frame(6)
    with open_store(shop_folder(station)) as store, closing(shop.sender(station)) as sender:
        store.add_trial(example_trial())
        store.add_run("bracket", START)
        store.start_recording("bracket", 1, recording)
        sender.round()
        version = None
        for upto in (2, 5):
            store.add_holes("bracket", 1, recording.uuid, holes.iloc[upto - 2 : upto], upto)
            store.raise_alarm(recording.uuid, StoredAlarm(upto, "over_limit", "Look.", 1.0, upto))
            assert sender.round().sent == 1
            with open_store(shop_folder(shop.folder)) as there:
                found = there.run("bracket", 1)
                assert found.run.state == "recording"
                assert found.run.holes == upto
                assert version in (None, found.version), "a hole is no edit of a person"
                version = found.version
                assert there.holes("bracket", 1).equals(store.holes("bracket", 1))
                assert len(there.alarms("bracket", 1)) == (1 if upto == 2 else 2)
                assert there.recordings("bracket", 1)[0].journal is None
        # Seen at the shop, over at the station.
        with open_store(shop_folder(shop.folder)) as there:
            there.acknowledge_alarms("bracket", 1, "anna")
        store.end_alarm(recording.uuid, 2)
        # At its end fewer holes may stand than on the way.
        done = replace(recording, samples=10)
        store.finish_recording(
            "bracket", 1, done, holes.iloc[:4], [(1.0, 2.0, "link")],
            lambda run: replace(run, state="drilled", holes=4),
        )  # fmt: skip
        assert sender.round() == ForwardRound(1, 0, 0)
        with open_store(shop_folder(shop.folder)) as there:
            assert there.holes("bracket", 1).equals(store.holes("bracket", 1))
            assert len(there.holes("bracket", 1)) == 4
            assert there.gaps("bracket", 1) == [(1.0, 2.0, "link")]
            alarms = there.alarms("bracket", 1)
            assert alarms[0].over_utc is not None
            assert [one.acknowledged_by for one in alarms] == ["anna", "anna"]
            assert there.run("bracket", 1).run.state == "drilled"
    assert told(station) == []


def test_changed_on_both_sides_the_shop_s_stays_and_it_is_told(station: Path, shop: Shop) -> None:
    shop.send(station)
    with Workbench.open(station) as here, shop.bench() as there:
        here._shop.store.change_run(NAME, 3, lambda run: replace(run, note="here", batch="b1"))
        there._shop.store.change_run(NAME, 3, lambda run: replace(run, note="there", machine="m9"))
        here.add_wear(NAME, 3, WearReading(2, 0.1))
        there.add_wear(NAME, 3, WearReading(4, 0.2))
        assert shop.send(station) == ForwardRound(1, 0, 1)
        run = there.run(NAME, 3)
        assert (run.note, run.batch, run.machine) == ("there", "b1", "m9")
        assert [one.hole for one in run.wear] == [2, 4], "readings of both stand"
        (text,) = told(station)
        assert "run 3: note: here 'here', at the shop 'there'; the shop's stays" in text
        assert shop.send(station).conflicts == 0, "told once"
        here._shop.store.change_run(NAME, 3, lambda run: replace(run, note="again"))
        assert shop.send(station).conflicts == 1
        assert there.run(NAME, 3).note == "there"


def test_a_reading_taken_back_goes_back_at_the_shop(station: Path, shop: Shop) -> None:
    shop.send(station)
    with Workbench.open(station) as here, shop.bench() as there:
        key = here._shop.store.wear(NAME, 1)[0].uuid
        there.trials()  # what is remembered of the whole shop is read again where it changes
        here._shop.store.remove_wear(NAME, 1, key, who="anna")
        shop.send(station)
        assert [one.hole for one in there.run(NAME, 1).wear] == [5]
        ((_, runs),) = (one for one in there._shop.store.trials_with_runs()
                        if one[0].trial.name == NAME)  # fmt: skip
        assert [one.hole for one in runs[0].wear] == [5]
        here._shop.store.restore_wear(NAME, 1, key)
        shop.send(station)
        assert [one.hole for one in there.run(NAME, 1).wear] == [3, 5]
        # Taken back at the shop, it stays so.
        there._shop.store.remove_wear(NAME, 1, key, who="bo")
        shop.send(station)
        assert [one.hole for one in there.run(NAME, 1).wear] == [5]
    assert told(station) == []


def test_a_plan_taken_back_goes_unless_the_shop_worked_on_it(station: Path, shop: Shop) -> None:
    with Workbench.open(station) as here, shop.bench() as there:
        here.plan_run(NAME, START)
        shop.send(station)
        here._shop.store.withdraw_run(NAME, 4)
        here._shop.store.withdraw_run(NAME, 3)
        there.add_wear(NAME, 3, WearReading(4, 0.2))
        assert shop.send(station) == ForwardRound(2, 0, 1)
        assert [run.number for run in there.runs(NAME)] == [1, 2, 3]
        assert "taken out here and worked on at the shop; it stays there" in told(station)[0]


def test_a_plan_taken_out_at_the_shop_comes_again_when_it_is_drilled(
    station: Path, shop: Shop, tmp_path: Path
) -> None:
    shop.send(station)
    with Workbench.open(station) as here, shop.bench() as there:
        there._shop.store.withdraw_run(NAME, 3)
        assert shop.send(station).sent == 0
        assert len(there.runs(NAME)) == 2
        here.import_trace(NAME, 3, written(tmp_path, stream(4)))
        shop.send(station)
        assert len(there.holes(NAME, 3)) == 4
    assert "sent again" in told(station)[0]


def test_names_and_numbers_that_are_taken(station: Path, shop: Shop, tmp_path: Path) -> None:
    second = tmp_path / "second"
    with Workbench.open(second) as other:
        other.new_trial(example_trial(NAME, note="another"))
        other.plan_run(NAME, START)
    shop.send(second, "lathe 1")
    shop.send(station, "mill 2")
    with shop.bench() as there:
        assert sorted(one.name for one in there.trials()) == ["bracket", "bracket (mill 2)"]
        assert there.trial("bracket (mill 2)").note.startswith("=ask")
    assert "another trial's at the shop" in told(station)[0]
    # A third computer works on the same trial, from its package.
    third = tmp_path / "third"
    with Workbench.open(station) as here, Workbench.open(third) as bench:
        here.export(NAME, tmp_path / "p.zip")
        bench.import_package(tmp_path / "p.zip")
        bench.plan_run(NAME, START, note="third")
        here.plan_run(NAME, START, note="first")
        here.add_wear(NAME, 4, WearReading(1, 0.01))
    shop.send(station, "mill 2")
    shop.send(third, "mill 3")
    with shop.bench() as there, Workbench.open(station) as here:
        runs = there.runs("bracket (mill 2)")
        assert [(run.number, run.note) for run in runs[3:]] == [(4, "first"), (5, "third")]
        assert runs[:3] == here.runs(NAME)[:3]
        here._shop.store.change_trial(NAME, lambda trial: replace(trial, name="housing"))
        shop.send(station)
        assert sorted(one.name for one in there.trials()) == ["bracket", "housing"]


def test_drills_of_both_sides_stand_in_a_trial(station: Path, shop: Shop) -> None:
    shop.send(station)

    def with_drill(name: str) -> object:
        return lambda trial: replace(trial, drills=(*trial.drills, Drill(name, 8.5, price=9.0)))

    with Workbench.open(station) as here, shop.bench() as there:
        here._shop.store.change_trial(NAME, with_drill("from here"))  # type: ignore[arg-type]  # a lambda
        there._shop.store.change_trial(NAME, with_drill("from there"))  # type: ignore[arg-type]  # a lambda
        here.plan_run(NAME, START, drill="from here")
        assert shop.send(station) == ForwardRound(2, 0, 0)
        names = [drill.name for drill in there.trial(NAME).drills]
        assert names == ["plain", "coated", "from there", "from here"]
        # The shop takes a drill out that a run from here then needs.
        there._shop.store.change_trial(
            NAME, lambda trial: replace(trial, drills=trial.drills[:1] + trial.drills[2:])
        )
        here.plan_run(NAME, START, drill="coated")
        shop.send(station)
        assert "coated" in [drill.name for drill in there.trial(NAME).drills]


def test_photos_come_before_their_rows(station: Path, shop: Shop) -> None:
    picture = io.BytesIO()
    Image.new("RGB", (60, 40), "grey").save(picture, "PNG")
    with Workbench.open(station) as here, shop.bench() as there:
        photo = here.add_photo(NAME, 3, 2, picture.getvalue())
        away, kept = station / "away", station / "photos" / f"{photo.sha256}.jpg"
        kept.rename(away)
        assert shop.send(station).waiting == 1, "its file is gone: the row waits, the others go"
        assert there.photos(NAME, 3) == []
        assert len(there.runs(NAME)) == 2
        status = forward_status(shop_folder(station))
        assert status is not None
        assert [one.what for one in status.waiting] == ["run 3 of bracket"]
        assert photo.sha256 in str(status.waiting[0].trouble)
        assert status.lag_s >= 0
        away.rename(kept)
        shop.send(station)
        assert there.photo_bytes(photo.uuid) == here.photo_bytes(photo.uuid)
        here.set_photo_scale(photo.uuid, 0.01)
        there.remove_photo(photo.uuid)
        shop.send(station)
        assert there.photos(NAME, 3) == []
        there.restore_photo(photo.uuid)
        assert there.photos(NAME, 3)[0].mm_per_pixel == 0.01


def test_a_damaged_trace_is_not_sent(station: Path, shop: Shop) -> None:
    trace = sorted((station / "traces").glob("*.parquet"))[0]
    data = trace.read_bytes()
    trace.write_bytes(data[:-1] + b"?")
    done = shop.send(station)
    assert done.waiting == 1
    assert list(shop.folder.glob("traces/*.partial")) == []
    trace.write_bytes(data)
    assert shop.send(station) == ForwardRound(1, 0, 0)


def test_a_shop_put_back_to_an_earlier_state_gets_all_again(tmp_path: Path, station: Path) -> None:
    folder = tmp_path / "shop"
    Workbench.open(folder).close()
    shop = Shop(str(folder), folder)
    shop.send(station)
    shutil.copytree(folder, tmp_path / "backup")
    with Workbench.open(station) as here:
        here.end_run(NAME, 3, "worn", holes=7)
        here.plan_run(NAME, START)
    shop.send(station)
    shutil.rmtree(folder)
    shutil.copytree(tmp_path / "backup", folder)
    with closing(shop.sender(station)) as sender:
        sender.round()
        here_, there_ = packages(station, shop, tmp_path)
        assert here_ == there_
    assert any("put back to an earlier state" in text for text in told(station))


def test_older_and_newer_tables_are_told_and_waited_for(station: Path, tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    Workbench.open(folder).close()
    shop = Shop(str(folder), folder)
    with closing(shop.sender(station)) as sender:
        for revision, match in (("0008", "On a computer of the shop: run 'holewise doctor"),
                                ("9999", "newer Holewise")):  # fmt: skip
            set_revision(folder, revision)
            with pytest.raises(StoreError, match=match):
                sender.round()
        set_revision(folder, HEAD)
        assert sender.round().sent == 4
        set_revision(folder, "9999")
        with pytest.raises(StoreError, match="newer Holewise"):
            sender.round()


def set_revision(folder: Path, revision: str) -> None:
    with closing(sqlite3.connect(folder / "holewise.db")) as database, database:
        database.execute("UPDATE alembic_version SET version_num = ?", (revision,))


def test_a_station_that_needs_none(station: Path, tmp_path: Path, postgres: PostgresServer) -> None:
    with pytest.raises(InputError, match="another folder"):
        Forwarder(shop_folder(station), str(station), station="x")
    with pytest.raises(InputError, match="postgresql://"):
        Forwarder(shop_folder(station), "mysql://server/x", station="x")
    use_server(shop_folder(station), postgres.new_database())
    with pytest.raises(InputError, match="on a server already"):
        Forwarder(shop_folder(station), str(tmp_path / "shop"), station="x")


def test_two_processes_do_not_send_from_one_folder(station: Path, shop: Shop) -> None:
    stop, sent = threading.Event(), threading.Event()
    thread = threading.Thread(
        target=Workbench.forward, args=(station, shop.to),
        kwargs={"every_s": 0.1, "stop": stop, "on_event": lambda *_: sent.set()},
    )  # fmt: skip
    thread.start()
    try:
        assert sent.wait(30)
        with pytest.raises(ConflictError, match="sending from"):
            Workbench.forward(station, shop.to, once=True)
    finally:
        stop.set()
        thread.join()


def test_by_command(station: Path, shop: Shop) -> None:
    assert "Nothing was ever sent" in holewise("forward", "--status", data=station).out
    done = holewise("forward", "--to", shop.to, "--files", shop.folder, "--once", data=station)
    assert done.status == 0, done.err
    assert "4 sent" in done.out
    done = holewise("forward", "--to", shop.to, "--files", shop.folder, "--once", data=station)
    assert "Everything was sent before" in done.out
    with Workbench.open(station) as here, shop.bench() as there:
        here._shop.store.change_run(NAME, 3, lambda run: replace(run, note="here"))
        there._shop.store.change_run(NAME, 3, lambda run: replace(run, note="there"))
    done = holewise("forward", "--to", shop.to, "--files", shop.folder, "--once", data=station)
    assert "1 differ at the shop" in done.out
    assert "the shop's stays" in holewise("forward", "--status", data=station).out.replace(
        "\n", " "
    )
    assert "were changed here and at the shop" in " ".join(
        holewise("doctor", data=station).out.split()
    )
    assert "1 differences" in holewise("forward", "--seen", data=station).out
    assert "the shop's stays" not in holewise("forward", "--status", data=station).out
    assert "--to" in holewise("forward", data=station).err


def test_every_table_is_sent_or_said_not_to_be() -> None:
    """A table that is added must be thought of here."""
    sent = {"trial", "drill", "run", "recording", "alarm", "hole_edit", *OF_RUN, *ANSWERS, *SERIES}
    of_each_store_alone = {"station"}
    assert set(tables.metadata.tables) == sent | of_each_store_alone
