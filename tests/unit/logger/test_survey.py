"""What a source sends is found out: lines, fields, load, time and units. Invented streams; the
words are the usual ones in machine shops of several countries (common practice, no source)."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from trials.errors import InputError
from trials.logger import Arrival, Guess, Heard, Mapping, guess, survey, try_out
from trials.logger.survey import Survey


def heard(data: bytes, *, at_end: bool = True, whole: bool = True) -> Heard:
    return Heard(((data, Arrival(0, 0)),), at_end, "stream", whole)


def columns(
    names: list[str] | None, *, mark: str = ";", decimal: str = ",", lines: int = 600
) -> bytes:
    """Seconds, load, speed and depth at 20 lines a second; a hole every 6 s."""
    rng = random.Random(1)
    out = [mark.join(names)] if names else []
    for i in range(lines):
        place_s = i / 20 % 6
        cutting = 2 <= place_s < 5.5
        row = [
            f"{i / 20:.2f}", f"{(40 if cutting else 5) + rng.gauss(0, 0.5):.1f}",
            f"{2996 + rng.randint(-3, 3)}", f"{(place_s - 2) * 7 if cutting else 0:.2f}",
        ]  # fmt: skip
        out.append(mark.join(row).replace(".", decimal))
    return ("\r\n".join(out) + "\r\n").encode()


def looked(data: bytes) -> tuple[Survey, Guess]:
    seen = survey(heard(data))
    return seen, guess(seen)


@pytest.mark.parametrize(
    "names",
    [
        ["time_s", "spindle_load_pct", "rpm", "depth_mm"],
        ["Zeit [s]", "Spindellast [%]", "Drehzahl [1/min]", "Tiefe [mm]"],
        ["Uhr t", "Auslastung Spindel", "n", "Bohrtiefe"],
        ["Temps (s)", "Charge broche (%)", "Vitesse (tr/min)", "Profondeur (mm)"],
        ["tempo", "carico mandrino", "giri", "profondità"],
        ["Tiempo", "Carga husillo", "Velocidad", "Profundidad"],
        ["tempo", "carga do fuso", "velocidade rpm", "profundidade"],
        ["Tijd", "Spindelbelasting", "Toerental", "Diepte"],
        ["Tid", "Spindelbelastning", "Varvtal", "Djup"],
        ["Czas", "Obciążenie wrzeciona", "Obroty", "Głębokość"],
        ["Čas", "Zatížení vřetena", "Otáčky", "Hloubka"],
        ["时间", "主轴负载", "转速", "深度"],
    ],
    ids=lambda names: names[1],
)
def test_columns_are_known_by_their_names(names: list[str]) -> None:
    seen, found = looked(columns(names))
    assert (seen.line_format.delimiter, seen.line_format.decimal) == (";", ",")
    assert [found.time[0], found.load[0], found.rpm[0], found.depth[0]] == names
    assert (found.load_unit, found.time_unit, found.depth_unit) == ("%", "s", "mm")
    assert found.doubts == []
    tried = try_out(seen.heard, seen.line_format, found.mapping())
    assert (len(tried.batch), tried.counters.rejected) == (600, 0)
    assert tried.batch.load_pct.max() == pytest.approx(41.0, abs=1.5)


def test_columns_without_names_are_known_by_how_they_go_and_a_person_is_asked() -> None:
    seen, found = looked(columns(None))
    assert seen.line_format.header is False
    assert (found.load[0], found.time) == (2, [1])
    assert found.doubts, "nothing but its behaviour says that column 2 is the load"


def test_pairs_with_a_power_need_a_reference() -> None:
    text = "".join(f"seq={i} t={50 * i} P_spindle={5.2 if i % 40 > 10 else 0.8:.2f} n=2990\n"
                   for i in range(300)).encode()  # fmt: skip
    seen, found = looked(text)
    assert seen.line_format.kind == "key=value"
    assert (found.load[0], found.load_unit) == ("P_spindle", "kW")
    assert (found.time[0], found.time_unit) == ("t", "ms"), "a counter is not a time"
    assert "kW or %" in found.doubts[0]
    with pytest.raises(InputError, match="reference"):
        found.mapping()
    assert found.mapping(11.0).load_factor == pytest.approx(100 / 11)


def test_values_up_to_one_may_be_a_ratio_and_a_person_is_asked() -> None:
    text = "".join(f"t={i / 20};load={0.4 if i % 40 > 10 else 0.05}\n" for i in range(300)).encode()
    _, found = looked(text)
    assert found.load_unit == "ratio"
    assert any("ratio" in doubt for doubt in found.doubts)


def test_axis_loads_and_overrides_are_not_offered_first() -> None:
    lines = []
    for i in range(200):
        stamp = f"2026-01-01T08:00:{i // 10:02d}.{i % 10}00Z"
        lines.append(f"{stamp}|Xload|{50 + i % 9}|Zload|{i % 90}|Fovr|100|S2load|{i % 7}"
                     f"|S1load|{i % 40}|S1speed|{2990 + i % 3}|S2speed|0|mode|AUTO")  # fmt: skip
    seen, found = looked(("\n".join(lines) + "\n").encode())
    assert seen.line_format.kind == "shdr"
    assert (found.load[0], found.rpm[0], found.time) == ("S1load", "S1speed", [])
    assert found.load[1] == "S2load"
    one = seen.field("S1load")
    assert one is not None
    assert seen.rate_per_s(one) == pytest.approx(10.0, rel=0.02)


def test_two_loads_of_one_kind_are_for_a_person_to_settle() -> None:
    text = "t;load a;load b\n" + "".join(f"{i};{i % 50};{i % 30}\n" for i in range(100))
    _, found = looked(text.encode())
    assert set(found.load) == {"load a", "load b"}
    assert found.doubts


def test_a_stream_joined_in_the_middle_of_a_line() -> None:
    text = b"1;t=99;lo" + b"\n" + b"".join(b"t=%d;load=%d\n" % (i, i % 40) for i in range(100))
    seen = survey(heard(text + b"t=100;lo", at_end=False, whole=False))
    assert [one.name for one in seen.fields] == ["t", "load"]
    assert seen.lines == 100


@pytest.mark.parametrize("data", [b"", b"\n\n", b"  \r\n"])
def test_nothing_heard_says_so(data: bytes) -> None:
    with pytest.raises(InputError, match="sending"):
        survey(heard(data))


def test_bytes_without_lines_ask_for_the_baud_rate() -> None:
    with pytest.raises(InputError, match="baud"):
        survey(heard(b"x" * 500, at_end=False, whole=False))


def test_a_field_that_a_person_names_is_tried_out() -> None:
    seen = survey(heard(columns(["a", "b", "c", "d"])))
    tried = try_out(seen.heard, seen.line_format, Mapping.parse("load=c,time=a"))
    assert tried.counters.rejects["outside the allowed range"] == 600


def test_a_real_lathe_s_lines(shared_data: Path) -> None:
    """A recording of a real lathe (the open standard's agent, demo folder; see its notes):
    ``S1load`` is the main spindle's load in %, ``S6load`` that of the live tool."""
    data = (shared_data / "shdr_turning_recording.txt").read_bytes()
    seen, found = looked(data)
    assert seen.line_format.kind == "shdr"
    assert (found.load[:2], found.load_unit, found.rpm[0]) == (["S1load", "S6load"], "%", "S1speed")
    assert found.doubts == []
    one = seen.field("S1load")
    assert one is not None
    assert (one.count, one.high) == (77, 164)  # counted in the file with another program
    tried = try_out(seen.heard, seen.line_format, found.mapping())
    assert len(tried.batch) == 77
