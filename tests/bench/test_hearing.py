"""A figure's sound, without a page: when it is sent, what it is, what is said of it."""

from __future__ import annotations

import io
import wave
from pathlib import Path

import numpy as np
import pytest
from scipy.signal import periodogram

from rxlearn import bench
from rxlearn.bench.hearing import BEFORE, Hearing
from rxlearn.bench.live import live
from rxlearn.bench.panel import STRAY_NOTE
from rxlearn.compute.receiver_sound import Station, listen
from tests.bench.toy import ToyFigure, parts_of, toy_compute, toy_controls

SOUNDING = ("beat_and_filter", "beat_side", "simple_set", "whistle_pitch")
"""Figures that can be heard."""

BEAT = 1e6
TOY = Hearing(
    lambda result: listen([Station(BEAT + 1e5 * result.value)], BEAT, seconds=0.5),
    lambda result: f"A tone at {1e5 * result.value:.0f} Hz.")


@pytest.fixture
def sent(monkeypatch):
    """What goes to the page besides the state: (message, buffers)."""
    messages = []
    monkeypatch.setattr("rxlearn.bench.panel.Panel.send", lambda self, content, buffers=None:
                        messages.append((content, buffers)))
    return messages


def make_toy(predict=""):
    return live("A toy", toy_controls(), toy_compute, ToyFigure, predict=predict, sound=TOY)


def pitch(content: bytes) -> float:
    """The strongest tone (Hz) of a WAV file."""
    with wave.open(io.BytesIO(content)) as reader:
        rate = reader.getframerate()
        samples = np.frombuffer(reader.readframes(reader.getnframes()), "<i2")
    frequencies, power = periodogram(samples, rate, "hann", nfft=8 * rate)
    return float(frequencies[np.argmax(power)])


@pytest.mark.usefixtures("desk")
def test_a_press_sends_one_file_of_the_present_setting(sent):
    toy = make_toy()
    (part,) = parts_of(toy.panel, "sound")
    assert part["action"] == "Hear it" and "volume down first" in part["caution"]
    toy.turn(length=20e-3)
    assert not sent and "hear" not in toy.panel.texts
    toy.press("hear")
    ((message, (content,)),) = sent
    assert message == {"play": "hear", "kind": "audio/wav"}
    assert pitch(content) == pytest.approx(2000, abs=1.0)
    assert toy.panel.texts["hear"] == "A tone at 2000 Hz."
    toy.close()


@pytest.mark.usefixtures("desk")
def test_a_turn_sends_no_sound_and_says_that_it_is_of_before(sent):
    toy = make_toy()
    toy.press("hear")
    for length in (15, 16, 18, 19):
        toy.turn(length=length * 1e-3)
    assert len(sent) == 1
    assert toy.panel.texts["hear"] == f"{BEFORE} A tone at 1000 Hz."
    toy.press("reset:length")
    assert toy.panel.texts["hear"] == "A tone at 1000 Hz."
    toy.turn(length=20e-3)
    toy.press("hear")
    assert len(sent) == 2 and toy.panel.texts["hear"] == "A tone at 2000 Hz."
    toy.close()


@pytest.mark.usefixtures("desk")
def test_nothing_can_be_heard_while_the_figure_is_covered(sent, page):
    toy = make_toy("basics.predict_products")
    assert not parts_of(toy.panel, "sound")
    page.tell(toy.panel, {"event": "press", "key": "hear", "value": None})
    assert not sent and toy.panel.texts["fault"] == STRAY_NOTE
    toy.press("skip")
    assert parts_of(toy.panel, "sound")
    toy.press("hear")
    assert len(sent) == 1
    toy.close()


@pytest.mark.usefixtures("desk")
def test_a_figure_without_a_sound_knows_no_such_button(sent, page):
    silent = live("A toy", toy_controls(), toy_compute, ToyFigure)
    assert not parts_of(silent.panel, "sound")
    page.tell(silent.panel, {"event": "press", "key": "hear", "value": None})
    assert not sent and silent.panel.texts["fault"] == STRAY_NOTE
    silent.close()


@pytest.mark.usefixtures("desk")
def test_a_saved_lesson_holds_no_sound(sent):
    toy = make_toy()
    before = toy.panel._repr_mimebundle_()[0]["text/html"]
    toy.press("hear")
    assert toy.panel._repr_mimebundle_()[0]["text/html"] == before and "audio" not in before
    toy.close()


def test_the_list_of_sounds_is_whole():
    made = sum(path.read_text().count("sound=Hearing(")
               for path in Path(bench.__file__).parent.glob("*.py"))
    assert made == len(SOUNDING)


@pytest.mark.parametrize("name", SOUNDING)
@pytest.mark.usefixtures("desk")
def test_every_sound_there_is_plays_at_both_ends_of_its_knobs_and_says_what_it_is(name, sent):
    figure = getattr(bench, name)()
    if figure.guess is None:
        figure.press("skip")
    for edge in ("start", "low", "high"):
        figure.turn(**{key: getattr(knob, edge, knob.start) for key, knob in figure.controls.items()})
        figure.press("hear")
        _, (content,) = sent.pop()
        with wave.open(io.BytesIO(content)) as reader:
            samples = np.frombuffer(reader.readframes(reader.getnframes()), "<i2")
            assert 3.0 <= reader.getnframes() / reader.getframerate() <= 8.5
        assert 300 < np.abs(samples).max() < 0.9 * 32767
        words = figure.panel.texts["hear"]
        assert words.endswith(".") and any(unit in words for unit in (" Hz", " kHz", " s"))
        assert not figure.panel.texts.get("fault")
    figure.close()
