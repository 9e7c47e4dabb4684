from __future__ import annotations

from pathlib import Path

import pytest

from trials.errors import InputError
from trials.sharing import read_trial, trial_toml

TEXT = """
name = "bracket"
load_limit_pct = 70
[machine]
rated_power_kw = "15 hp"
base_rpm = 1500
max_rpm = 8000
[work]
material = "S355"
group = "P"
[hole]
diameter_mm = "8,5 mm"
depth_mm = "1.2 in"
[[drills]]
name = "A"
price = 80.0
[economics]
machine_rate_per_min = 1.5
"""


def written(folder: Path, text: str | bytes) -> Path:
    path = folder / "trial.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def test_what_is_left_out_comes_from_the_catalogue(tmp_path: Path) -> None:
    trial = read_trial(written(tmp_path, TEXT))
    assert trial.hole.depth_mm == pytest.approx(30.48)
    assert trial.machine.rated_power_kw == pytest.approx(11.185, abs=0.001)
    assert trial.drills[0].diameter_mm == 8.5
    low, high = trial.bounds.speed_m_per_min
    assert low < trial.start.speed_m_per_min < high


def test_round_trip(tmp_path: Path) -> None:
    trial = read_trial(written(tmp_path, TEXT))
    assert read_trial(written(tmp_path, trial_toml(trial))) == trial


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "missing"),
        ("x = [", "not valid TOML"),
        ("depth = 8,5", "not valid TOML"),
        (b"\xff\xfen\x00a\x00", "UTF-8"),
        (TEXT.replace('group = "P"', 'group = "Q"'), "ISO 513 group"),
        (TEXT.replace("depth_mm", "dept_mm"), "Is depth_mm meant"),
        (TEXT.replace("price = 80.0", 'price = "free"'), "drills 1: price"),
        (TEXT.replace("[[drills]]", "[drills]"), "a list"),
        (TEXT.replace("load_limit_pct = 70", "load_limit_pct = [7]"), "load_limit_pct"),
        (TEXT.replace('"1.2 in"', "-4"), "hole depth"),
    ],
)
def test_a_bad_file_says_where_and_why(tmp_path: Path, text: str | bytes, says: str) -> None:
    with pytest.raises(InputError) as caught:
        read_trial(written(tmp_path, text))
    assert "trial.toml" in str(caught.value)
    assert says in str(caught.value)


def test_an_absent_file_is_an_error_of_the_user(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        read_trial(tmp_path / "nothing.toml")
