"""The injection lesson's benches, driven along the page's path, with plans good and odd."""

import pytest

from rxlearn import bench
from rxlearn.bench.desk import the_desk
from rxlearn.plan.document import Change, Plan
from rxlearn.store.desk import save_changes

NAMES = ("injection", "oscillator_range", "image_neighbourhood", "multiband")


@pytest.fixture(autouse=True)
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("RXLEARN_HOME", str(tmp_path / "home"))


def awake(name):
    opened = getattr(bench, name)()
    opened.press("skip")
    return opened


def keep(**values):
    changes = {key.replace("__", "."): Change(value=value, status="wished", origin="test")
               for key, value in values.items()}
    save_changes(the_desk().store, changes, seen=Plan.demo())


ODD_PLANS = {
    "very high": dict(lower_band__low=50e6, lower_band__high=54e6, upper_band__low=57e6,
                      upper_band__high=60e6, intermediate_frequency=30e6,
                      lower_band__injection="low"),
    "very low": dict(lower_band__low=100e3, lower_band__high=200e3, upper_band__low=0.3e6,
                     upper_band__high=0.31e6, intermediate_frequency=50e3,
                     lower_band__injection="low"),
    "knob inside a band": dict(lower_band__low=0.39e6, lower_band__high=0.42e6,
                               upper_band__low=0.5e6, upper_band__high=0.6e6,
                               intermediate_frequency=0.1e6, lower_band__injection="low"),
    "odd name": dict(lower_band__name="$<script>&", upper_band__name="x" * 80),
    "region 1": dict(region=1),
}


@pytest.mark.parametrize("plan", ODD_PLANS)
@pytest.mark.parametrize("name", NAMES)
def test_every_plan_is_met_with_a_sentence_and_a_picture(name, plan):
    keep(**ODD_PLANS[plan])
    opened = awake(name)
    assert opened.sentence.endswith(".") and "nan" not in opened.sentence
    assert len(opened.controls) <= 4
    for key, control in opened.controls.items():
        for stop in range(2) if hasattr(control, "options") else (0, control.stops // 3,
                                                                  control.stops):
            opened.turn(**{key: control.value_at(stop)})
            assert "could not follow" not in opened.fault(key)


@pytest.mark.parametrize("name", NAMES)
def test_it_waits_for_a_prediction_and_shows_it_afterwards(name):
    opened = getattr(bench, name)()
    assert opened.guess is None
    opened.press("skip")
    key = next(k for k, c in opened.controls.items() if hasattr(c, "low"))
    opened.turn(**{key: opened.controls[key].value_at(7)})
    verdicts = [part["text"] for part in opened.panel.parts if part["kind"] == "verdict"]
    assert verdicts and verdicts[0].startswith("It is: ")


def test_injection_starts_at_the_plan_and_follows_the_controls():
    opened = awake("injection")
    assert opened.values == {"signal": 3.75e6, "intermediate_frequency": 3.2768e6,
                             "injection": "high"}
    opened.turn(injection="sum")
    assert "above the signal" in opened.fault("injection")
    opened.type("intermediate_frequency", "9 MHz")
    opened.type("signal", "3.5 MHz")
    assert opened.fault("signal") == "" and "5.5000 MHz" in opened.sentence
    assert "runs backwards" in opened.sentence


def test_oscillator_range_starts_at_medium_waves():
    opened = awake("oscillator_range")
    assert "995 to 2055 kHz" in opened.sentence
    opened.turn(injection="low")
    assert "13.47" in opened.sentence and "181.5" in opened.sentence
    opened.type("band_low", "1500 kHz")
    opened.type("band_high", "1400 kHz")
    assert "lower edge first" in opened.fault("band_high")


def test_image_neighbourhood_takes_the_plan_and_the_other_side():
    opened = awake("image_neighbourhood")
    assert "10.3036 MHz" in opened.sentence
    opened.turn(band="upper_band")
    assert "3.5714 MHz: there is 80 m amateur" in opened.sentence
    opened.turn(side="other")
    assert "16.6786 MHz" in opened.sentence


def test_multiband_shows_the_plans_pair():
    opened = awake("multiband")
    assert "share 50 kHz of one range" in opened.sentence
    opened.type("intermediate_frequency", "455 kHz")
    assert "5.19 MHz apart" in opened.sentence


def test_the_worked_example_follows_the_plan():
    assert "7.2768 MHz" in repr(bench.worked_example("injection_side"))
    keep(intermediate_frequency=2e6)
    assert "3.5 MHz + 2 MHz = 5.5 MHz" in repr(bench.worked_example("injection_side"))
